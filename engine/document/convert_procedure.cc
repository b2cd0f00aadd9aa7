#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(BracketCondition::kOwnLoad) + 1 ==
              v1::BRACKET_CONDITION_OWN_LOAD);
static_assert(static_cast<int>(InterpolatedFigure::kSpecificPower) + 1 ==
              v1::INTERPOLATED_FIGURE_SPECIFIC_POWER);
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
}

static void Write(const Scope& from, v1::Scope* to) {
  Fill(from.equipment_classes, to->mutable_equipment_classes());
  if (from.capacity_low.has_value())
    Write(*from.capacity_low, to->mutable_capacity_low());
  if (from.capacity_high.has_value())
    Write(*from.capacity_high, to->mutable_capacity_high());
  Fill(from.phase_counts, to->mutable_phase_counts());
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::LoadLine& from, LoadLine& to, base::FaultList& faults) {
  to.slope_per_percent = from.slope_per_percent();
  to.intercept = from.intercept();
  to.percent_low = from.percent_low();
  to.constant = from.constant();
  to.unit = from.unit();
  Read(from.citation(), to.citation, faults);
  to.full_load_input = from.full_load_input();
}

static void Write(const LoadLine& from, v1::LoadLine* to) {
  to->set_slope_per_percent(from.slope_per_percent);
  to->set_intercept(from.intercept);
  to->set_percent_low(from.percent_low);
  to->set_constant(from.constant);
  to->set_unit(from.unit);
  Write(from.citation, to->mutable_citation());
  to->set_full_load_input(from.full_load_input);
}

static void Read(const v1::CitedCondition& from, CitedCondition& to,
                 base::FaultList& faults) {
  to.quantity = from.quantity();
  switch (from.at_case()) {
    case v1::CitedCondition::kValue:
      Read(from.value(), to.value.emplace(), faults);
      break;
    case v1::CitedCondition::kInput:
      to.input = from.input();
      break;
    case v1::CitedCondition::kLoadLine:
      Read(from.load_line(), to.load_line.emplace(), faults);
      break;
    case v1::CitedCondition::AT_NOT_SET:
      faults.Add({.field = "CitedCondition.at", .message = "is missing"});
      break;
  }
  to.if_mapped = from.if_mapped();
}

static void Write(const CitedCondition& from, v1::CitedCondition* to) {
  to->set_quantity(from.quantity);
  if (from.value.has_value()) {
    Write(*from.value, to->mutable_value());
  } else if (from.load_line.has_value()) {
    Write(*from.load_line, to->mutable_load_line());
  } else {
    to->set_input(from.input);
  }
  to->set_if_mapped(from.if_mapped);
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

static void Read(const v1::PartLoad& from, PartLoad& to, base::FaultList& faults) {
  Read(from.window_percent(), to.window_percent, faults);
  to.bracket_condition = ReadEnum<BracketCondition>(from.bracket_condition(),
                                                    "PartLoad.bracket_condition", faults);
  to.interpolated =
      ReadEnum<InterpolatedFigure>(from.interpolated(), "PartLoad.interpolated", faults);
  Read(from.bracket_citation(), to.bracket_citation, faults);
  ReadAll(from.load_lines(), to.load_lines, faults);
  Read(from.degradation_slope(), to.degradation_slope, faults);
  Read(from.degradation_intercept(), to.degradation_intercept, faults);
  to.cycling_powers = Plainly(from.cycling_powers());
  to.continuous_powers = Plainly(from.continuous_powers());
  Read(from.cycling_citation(), to.cycling_citation, faults);
}

static void Write(const PartLoad& from, v1::PartLoad* to) {
  Write(from.window_percent, to->mutable_window_percent());
  to->set_bracket_condition(WriteEnum<v1::BracketCondition>(from.bracket_condition));
  to->set_interpolated(WriteEnum<v1::InterpolatedFigure>(from.interpolated));
  Write(from.bracket_citation, to->mutable_bracket_citation());
  WriteAll(from.load_lines, to->mutable_load_lines());
  Write(from.degradation_slope, to->mutable_degradation_slope());
  Write(from.degradation_intercept, to->mutable_degradation_intercept());
  Fill(from.cycling_powers, to->mutable_cycling_powers());
  Fill(from.continuous_powers, to->mutable_continuous_powers());
  Write(from.cycling_citation, to->mutable_cycling_citation());
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
  to.aggregation =
      ReadEnum<Aggregation>(from.aggregation(), "Procedure.aggregation", faults);
  Read(from.aggregation_citation(), to.aggregation_citation, faults);
  to.weight_sum = from.weight_sum();
  Read(from.rounding_step(), to.rounding_step, faults);
  ReadAll(from.required_inputs(), to.required_inputs, faults);
  to.notes = Plainly(from.notes());
  Read(from.unit_constant(), to.unit_constant, faults);
  ReadAll(from.added_powers(), to.added_powers, faults);
  if (from.has_surveillance_tolerance()) {
    Read(from.surveillance_tolerance(), to.surveillance_tolerance.emplace(), faults);
  }
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
  WriteAll(from.load_points, to->mutable_load_points());
  if (from.part_load.has_value()) Write(*from.part_load, to->mutable_part_load());
  to->set_aggregation(WriteEnum<v1::Aggregation>(from.aggregation));
  Write(from.aggregation_citation, to->mutable_aggregation_citation());
  to->set_weight_sum(from.weight_sum);
  Write(from.rounding_step, to->mutable_rounding_step());
  WriteAll(from.required_inputs, to->mutable_required_inputs());
  Fill(from.notes, to->mutable_notes());
  Write(from.unit_constant, to->mutable_unit_constant());
  WriteAll(from.added_powers, to->mutable_added_powers());
  if (from.surveillance_tolerance.has_value()) {
    Write(*from.surveillance_tolerance, to->mutable_surveillance_tolerance());
  }
}

}  // namespace ratebound::document
