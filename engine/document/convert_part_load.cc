#include <optional>

#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(BracketCondition::kOwnLoad) + 1 ==
              v1::BRACKET_CONDITION_OWN_LOAD);
static_assert(static_cast<int>(InterpolatedFigure::kSpecificPower) + 1 ==
              v1::INTERPOLATED_FIGURE_SPECIFIC_POWER);
static_assert(static_cast<int>(CyclingRule::kRatio) + 1 == v1::CYCLING_RULE_RATIO);
static_assert(static_cast<int>(MinimumLoad::kRefused) + 1 == v1::MINIMUM_LOAD_REFUSED);

// Choices that were added later: what was written before has none.
template <typename Plain, typename Wire>
static std::optional<Plain> ReadChoice(Wire value) {
  const int number = static_cast<int>(value);
  if (number == 0) return {};
  return static_cast<Plain>(number - 1);
}
template <typename Wire, typename Plain>
static Wire WriteChoice(const std::optional<Plain>& value) {
  return value ? WriteEnum<Wire>(*value) : static_cast<Wire>(0);
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

void Read(const v1::CitedCondition& from, CitedCondition& to, base::FaultList& faults) {
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

void Write(const CitedCondition& from, v1::CitedCondition* to) {
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

static void Read(const v1::CyclingPart& from, CyclingPart& to, base::FaultList&) {
  to.power = from.power();
  to.input = from.input();
}

static void Write(const CyclingPart& from, v1::CyclingPart* to) {
  to->set_power(from.power);
  to->set_input(from.input);
}

void Read(const v1::PartLoad& from, PartLoad& to, base::FaultList& faults) {
  Read(from.window_percent(), to.window_percent, faults);
  to.bracket_condition = ReadEnum<BracketCondition>(from.bracket_condition(),
                                                    "PartLoad.bracket_condition", faults);
  to.interpolated =
      ReadEnum<InterpolatedFigure>(from.interpolated(), "PartLoad.interpolated", faults);
  Read(from.bracket_citation(), to.bracket_citation, faults);
  ReadAll(from.load_lines(), to.load_lines, faults);
  if (from.has_degradation_slope()) {
    Read(from.degradation_slope(), to.degradation_slope, faults);
  }
  if (from.has_degradation_intercept()) {
    Read(from.degradation_intercept(), to.degradation_intercept, faults);
  }
  to.cycling_powers = Plainly(from.cycling_powers());
  to.continuous_powers = Plainly(from.continuous_powers());
  Read(from.cycling_citation(), to.cycling_citation, faults);
  to.cycling_rule = ReadChoice<CyclingRule>(from.cycling_rule());
  if (from.has_cycling_coefficient()) {
    Read(from.cycling_coefficient(), to.cycling_coefficient.emplace(), faults);
  }
  ReadAll(from.cycling_parts(), to.cycling_parts, faults);
  to.minimum_load = ReadChoice<MinimumLoad>(from.minimum_load());
  to.minimum_load_condition = ReadChoice<BracketCondition>(from.minimum_load_condition());
  to.full_load_input = from.full_load_input();
}

void Write(const PartLoad& from, v1::PartLoad* to) {
  Write(from.window_percent, to->mutable_window_percent());
  to->set_bracket_condition(WriteEnum<v1::BracketCondition>(from.bracket_condition));
  to->set_interpolated(WriteEnum<v1::InterpolatedFigure>(from.interpolated));
  Write(from.bracket_citation, to->mutable_bracket_citation());
  WriteAll(from.load_lines, to->mutable_load_lines());
  const bool by_line = from.Cycling() == CyclingRule::kCoefficientLine;
  if (by_line || from.degradation_slope != CitedValue{}) {
    Write(from.degradation_slope, to->mutable_degradation_slope());
  }
  if (by_line || from.degradation_intercept != CitedValue{}) {
    Write(from.degradation_intercept, to->mutable_degradation_intercept());
  }
  Fill(from.cycling_powers, to->mutable_cycling_powers());
  Fill(from.continuous_powers, to->mutable_continuous_powers());
  Write(from.cycling_citation, to->mutable_cycling_citation());
  to->set_cycling_rule(WriteChoice<v1::CyclingRule>(from.cycling_rule));
  if (from.cycling_coefficient.has_value()) {
    Write(*from.cycling_coefficient, to->mutable_cycling_coefficient());
  }
  WriteAll(from.cycling_parts, to->mutable_cycling_parts());
  to->set_minimum_load(WriteChoice<v1::MinimumLoad>(from.minimum_load));
  to->set_minimum_load_condition(
      WriteChoice<v1::BracketCondition>(from.minimum_load_condition));
  to->set_full_load_input(from.full_load_input);
}

}  // namespace ratebound::document
