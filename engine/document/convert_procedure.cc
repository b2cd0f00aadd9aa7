#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(Aggregation::kWeightedHarmonic) + 1 ==
              v1::AGGREGATION_WEIGHTED_HARMONIC);

constexpr char kCooling[] = "cooling";
constexpr char kHeating[] = "heating";

static void Read(const v1::Scope& from, Scope& to, base::FaultList& faults) {
  to.equipment_classes = Plainly(from.equipment_classes());
  if (from.has_capacity_low())
    Read(from.capacity_low(), to.capacity_low.emplace(), faults);
  if (from.has_capacity_high()) {
    Read(from.capacity_high(), to.capacity_high.emplace(), faults);
  }
  to.phase_counts = Plainly(from.phase_counts());
  Read(from.citation(), to.citation, faults);
  to.valid_from = from.valid_from();
  to.valid_until = from.valid_until();
}

static void Write(const Scope& from, v1::Scope* to) {
  Fill(from.equipment_classes, to->mutable_equipment_classes());
  if (from.capacity_low.has_value())
    Write(*from.capacity_low, to->mutable_capacity_low());
  if (from.capacity_high.has_value())
    Write(*from.capacity_high, to->mutable_capacity_high());
  Fill(from.phase_counts, to->mutable_phase_counts());
  Write(from.citation, to->mutable_citation());
  to->set_valid_from(from.valid_from);
  to->set_valid_until(from.valid_until);
}

static void Read(const v1::LoadPoint& from, LoadPoint& to, base::FaultList& faults) {
  to.id = from.id();
  Read(from.percent_load(), to.percent_load, faults);
  Read(from.weight(), to.weight, faults);
  ReadAll(from.conditions(), to.conditions, faults);
}

static void Write(const LoadPoint& from, v1::LoadPoint* to) {
  to->set_id(from.id);
  Write(from.percent_load, to->mutable_percent_load());
  Write(from.weight, to->mutable_weight());
  WriteAll(from.conditions, to->mutable_conditions());
}

static void Read(const v1::AddedPower& from, AddedPower& to, base::FaultList& faults) {
  to.name = from.name();
  to.input = from.input();
  to.cycling_part_input = from.cycling_part_input();
  Read(from.citation(), to.citation, faults);
}

static void Write(const AddedPower& from, v1::AddedPower* to) {
  to->set_name(from.name);
  to->set_input(from.input);
  to->set_cycling_part_input(from.cycling_part_input);
  Write(from.citation, to->mutable_citation());
}

// Whether points with weights make the metric.
static bool IsWeighted(const v1::Procedure& procedure) {
  return procedure.form_case() == v1::Procedure::FORM_NOT_SET ||
         procedure.form_case() == v1::Procedure::kWeightedConditions;
}

static void ReadForm(const v1::Procedure& from, ProcedureForm& to,
                     base::FaultList& faults) {
  switch (from.form_case()) {
    case v1::Procedure::kOnePoint:
      return Read(from.one_point(), to.emplace<OnePoint>(), faults);
    case v1::Procedure::kWeightedConditions:
      return Read(from.weighted_conditions(), to.emplace<WeightedConditions>(), faults);
    case v1::Procedure::kCompressorTable:
      return Read(from.compressor_table(), to.emplace<CompressorTable>(), faults);
    case v1::Procedure::kBinSeason:
      return Read(from.bin_season(), to.emplace<BinSeason>(), faults);
    case v1::Procedure::FORM_NOT_SET:
      return;
  }
}

static void WriteForm(const ProcedureForm& from, v1::Procedure* to) {
  if (const auto* form = std::get_if<OnePoint>(&from)) {
    Write(*form, to->mutable_one_point());
  } else if (const auto* weighted = std::get_if<WeightedConditions>(&from)) {
    Write(*weighted, to->mutable_weighted_conditions());
  } else if (const auto* table = std::get_if<CompressorTable>(&from)) {
    Write(*table, to->mutable_compressor_table());
  } else if (const auto* season = std::get_if<BinSeason>(&from)) {
    Write(*season, to->mutable_bin_season());
  }
}

void Read(const v1::Procedure& from, Procedure& to, base::FaultList& faults) {
  to.id = from.id();
  to.title = from.title();
  to.document = from.document();
  to.edition = from.edition();
  to.metric = from.metric();
  to.metric_unit = from.metric_unit();
  Read(from.scope(), to.scope, faults);
  to.mode_kind = from.mode_kind() == kHeating ? ModeKind::kHeating : ModeKind::kCooling;
  if (from.mode_kind() != kHeating && from.mode_kind() != kCooling) {
    faults.Add(
        {.field = "Procedure.mode_kind", .message = "is neither cooling nor heating"});
  }
  Read(from.capacity_basis(), to.capacity_basis, faults);
  to.capacity_quantity = from.capacity_quantity();
  to.power_quantity = from.power_quantity();
  ReadAll(from.common_conditions(), to.common_conditions, faults);
  ReadAll(from.load_points(), to.load_points, faults);
  if (from.has_part_load()) Read(from.part_load(), to.part_load.emplace(), faults);
  if (IsWeighted(from) || from.aggregation() != v1::AGGREGATION_UNSPECIFIED) {
    to.aggregation =
        ReadEnum<Aggregation>(from.aggregation(), "Procedure.aggregation", faults);
    Read(from.aggregation_citation(), to.aggregation_citation, faults);
  }
  to.weight_sum = from.weight_sum();
  ReadForm(from, to.form, faults);
  Read(from.rounding_step(), to.rounding_step, faults);
  ReadAll(from.required_inputs(), to.required_inputs, faults);
  to.notes = Plainly(from.notes());
  Read(from.unit_constant(), to.unit_constant, faults);
  ReadAll(from.added_powers(), to.added_powers, faults);
  if (from.has_surveillance_tolerance()) {
    Read(from.surveillance_tolerance(), to.surveillance_tolerance.emplace(), faults);
  }
  to.capacity_unit = from.capacity_unit();
  to.power_unit = from.power_unit();
  to.edition_of = from.edition_of();
}

void Write(const Procedure& from, v1::Procedure* to) {
  to->set_id(from.id);
  to->set_title(from.title);
  to->set_document(from.document);
  to->set_edition(from.edition);
  to->set_metric(from.metric);
  to->set_metric_unit(from.metric_unit);
  Write(from.scope, to->mutable_scope());
  to->set_mode_kind(from.mode_kind == ModeKind::kHeating ? kHeating : kCooling);
  Write(from.capacity_basis, to->mutable_capacity_basis());
  to->set_capacity_quantity(from.capacity_quantity);
  to->set_power_quantity(from.power_quantity);
  WriteAll(from.common_conditions, to->mutable_common_conditions());
  WriteForm(from.form, to);
  WriteAll(from.load_points, to->mutable_load_points());
  if (from.part_load.has_value()) Write(*from.part_load, to->mutable_part_load());
  if (IsWeighted(*to) || from.aggregation_citation != Citation{}) {
    to->set_aggregation(WriteEnum<v1::Aggregation>(from.aggregation));
    Write(from.aggregation_citation, to->mutable_aggregation_citation());
  }
  to->set_weight_sum(from.weight_sum);
  Write(from.rounding_step, to->mutable_rounding_step());
  WriteAll(from.required_inputs, to->mutable_required_inputs());
  Fill(from.notes, to->mutable_notes());
  Write(from.unit_constant, to->mutable_unit_constant());
  WriteAll(from.added_powers, to->mutable_added_powers());
  if (from.surveillance_tolerance.has_value()) {
    Write(*from.surveillance_tolerance, to->mutable_surveillance_tolerance());
  }
  to->set_capacity_unit(from.capacity_unit);
  to->set_power_unit(from.power_unit);
  to->set_edition_of(from.edition_of);
}

}  // namespace ratebound::document
