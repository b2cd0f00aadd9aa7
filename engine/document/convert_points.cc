#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(Severity::kFailure) + 1 == v1::SEVERITY_FAILURE);

void Read(const v1::ValueUncertainty& from, ValueUncertainty& to, base::FaultList&) {
  to.random_standard_si = from.random_standard_si();
  to.systematic_standard_si = from.systematic_standard_si();
  to.degrees_of_freedom = from.degrees_of_freedom();
  to.expanded_si = from.expanded_si();
  to.systematic_expanded_si = from.systematic_expanded_si();
}

void Write(const ValueUncertainty& from, v1::ValueUncertainty* to) {
  to->set_random_standard_si(from.random_standard_si);
  to->set_systematic_standard_si(from.systematic_standard_si);
  to->set_degrees_of_freedom(from.degrees_of_freedom);
  to->set_expanded_si(from.expanded_si);
  to->set_systematic_expanded_si(from.systematic_expanded_si);
}

static void Read(const v1::SiValue& from, SiValue& to, base::FaultList& faults) {
  to.quantity = from.quantity();
  to.value_si = from.value_si();
  if (from.has_standard_deviation_si()) {
    to.standard_deviation_si = from.standard_deviation_si();
  }
  if (from.has_spread_si()) to.spread_si = from.spread_si();
  to.reading_count = from.reading_count();
  to.computed = from.computed();
  if (from.has_lab_value_si()) to.lab_value_si = from.lab_value_si();
  if (from.has_uncertainty()) {
    Read(from.uncertainty(), to.uncertainty.emplace(), faults);
  }
}

static void Write(const SiValue& from, v1::SiValue* to) {
  to->set_quantity(from.quantity);
  to->set_value_si(from.value_si);
  if (from.standard_deviation_si.has_value()) {
    to->set_standard_deviation_si(*from.standard_deviation_si);
  }
  if (from.spread_si.has_value()) to->set_spread_si(*from.spread_si);
  to->set_reading_count(from.reading_count);
  to->set_computed(from.computed);
  if (from.lab_value_si.has_value()) to->set_lab_value_si(*from.lab_value_si);
  if (from.uncertainty.has_value()) Write(*from.uncertainty, to->mutable_uncertainty());
}

void Read(const v1::TestPoint& from, TestPoint& to, base::FaultList& faults) {
  to.id = from.id();
  to.file = from.file();
  to.line = from.line();
  to.unit = from.unit();
  to.mode = from.mode();
  to.stage = from.stage();
  to.block = from.block();
  to.specimen = from.specimen();
  to.regime = from.regime();
  ReadAll(from.values(), to.values, faults);
  to.dropped_reason = from.dropped_reason();
  to.tested_on = from.tested_on();
  to.curve = from.curve();
  to.last_line = from.last_line();
}

void Write(const TestPoint& from, v1::TestPoint* to) {
  to->set_id(from.id);
  to->set_file(from.file);
  to->set_line(from.line);
  to->set_unit(from.unit);
  to->set_mode(from.mode);
  to->set_stage(from.stage);
  to->set_block(from.block);
  to->set_specimen(from.specimen);
  to->set_regime(from.regime);
  WriteAll(from.values, to->mutable_values());
  to->set_dropped_reason(from.dropped_reason);
  to->set_tested_on(from.tested_on);
  to->set_curve(from.curve);
  to->set_last_line(from.last_line);
}

void Read(const v1::Finding& from, Finding& to, base::FaultList& faults) {
  to.severity = ReadEnum<Severity>(from.severity(), "Finding.severity", faults);
  to.subject = from.subject();
  to.message = from.message();
  to.file = from.file();
  to.line = from.line();
}

void Write(const Finding& from, v1::Finding* to) {
  to->set_severity(WriteEnum<v1::Severity>(from.severity));
  to->set_subject(from.subject);
  to->set_message(from.message);
  to->set_file(from.file);
  to->set_line(from.line);
}

}  // namespace ratebound::document
