#include <optional>
#include <string>

#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(MethodKind::kSteadiness) + 1 ==
              v1::METHOD_KIND_STEADINESS);

// `quantity` is what the figure is a tolerance of.
static void ReadFigure(const v1::ToleranceFigure& from, const std::string& quantity,
                       std::optional<ToleranceFigure>& to, base::FaultList& faults) {
  ToleranceFigure& figure = to.emplace();
  if (from.has_relative_fraction()) figure.relative_fraction = from.relative_fraction();
  figure.unit = from.unit();
  if (!from.has_absolute()) return;
  figure.absolute = from.absolute();
  figure.absolute_si = SiDifferenceOf(quantity, from.absolute(), figure.unit, faults);
}

static void Write(const ToleranceFigure& from, v1::ToleranceFigure* to) {
  if (from.relative_fraction.has_value()) {
    to->set_relative_fraction(*from.relative_fraction);
  }
  if (from.absolute.has_value()) to->set_absolute(*from.absolute);
  to->set_unit(from.unit);
}

void Read(const v1::TestTolerance& from, TestTolerance& to, base::FaultList& faults) {
  to.quantity = from.quantity();
  if (from.has_greatest_spread()) {
    ReadFigure(from.greatest_spread(), to.quantity, to.greatest_spread, faults);
  }
  if (from.has_greatest_deviation()) {
    ReadFigure(from.greatest_deviation(), to.quantity, to.greatest_deviation, faults);
  }
  if (from.has_greatest_standard_deviation()) {
    ReadFigure(from.greatest_standard_deviation(), to.quantity,
               to.greatest_standard_deviation, faults);
  }
  if (from.has_mean_deviation()) {
    ReadFigure(from.mean_deviation(), to.quantity, to.mean_deviation, faults);
  }
  Read(from.citation(), to.citation, faults);
}

void Write(const TestTolerance& from, v1::TestTolerance* to) {
  to->set_quantity(from.quantity);
  if (from.greatest_spread.has_value()) {
    Write(*from.greatest_spread, to->mutable_greatest_spread());
  }
  if (from.greatest_deviation.has_value()) {
    Write(*from.greatest_deviation, to->mutable_greatest_deviation());
  }
  if (from.greatest_standard_deviation.has_value()) {
    Write(*from.greatest_standard_deviation, to->mutable_greatest_standard_deviation());
  }
  if (from.mean_deviation.has_value()) {
    Write(*from.mean_deviation, to->mutable_mean_deviation());
  }
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::MethodNumber& from, MethodNumber& to,
                 base::FaultList& faults) {
  to.name = from.name();
  Read(from.value(), to.value, faults);
}

static void Write(const MethodNumber& from, v1::MethodNumber* to) {
  to->set_name(from.name);
  Write(from.value, to->mutable_value());
}

static void Read(const v1::MethodRule& from, MethodRule& to, base::FaultList& faults) {
  to.name = from.name();
  Read(from.choice(), to.choice, faults);
}

static void Write(const MethodRule& from, v1::MethodRule* to) {
  to->set_name(from.name);
  Write(from.choice, to->mutable_choice());
}

void Read(const v1::MeasurementMethod& from, MeasurementMethod& to,
          base::FaultList& faults) {
  to.id = from.id();
  to.title = from.title();
  to.document = from.document();
  to.edition = from.edition();
  to.kind = ReadEnum<MethodKind>(from.kind(), "MeasurementMethod.kind", faults);
  ReadAll(from.numbers(), to.numbers, faults);
  ReadAll(from.rules(), to.rules, faults);
  ReadAll(from.tolerances(), to.tolerances, faults);
  ReadAll(from.required_inputs(), to.required_inputs, faults);
  to.notes = Plainly(from.notes());
}

void Write(const MeasurementMethod& from, v1::MeasurementMethod* to) {
  to->set_id(from.id);
  to->set_title(from.title);
  to->set_document(from.document);
  to->set_edition(from.edition);
  to->set_kind(WriteEnum<v1::MethodKind>(from.kind));
  WriteAll(from.numbers, to->mutable_numbers());
  WriteAll(from.rules, to->mutable_rules());
  WriteAll(from.tolerances, to->mutable_tolerances());
  WriteAll(from.required_inputs, to->mutable_required_inputs());
  Fill(from.notes, to->mutable_notes());
}

}  // namespace ratebound::document
