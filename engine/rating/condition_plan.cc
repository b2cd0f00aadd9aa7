#include "engine/rating/condition_plan.h"

#include <algorithm>
#include <cmath>
#include <string_view>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/units.h"

namespace ratebound::rating {
namespace {

using document::CitedCondition;

bool IsMapped(const SourceDescription& description, const std::string& quantity) {
  const std::vector<std::string>& mapped = description.mode.conditions;
  return std::find(mapped.begin(), mapped.end(), quantity) != mapped.end();
}

const document::HeldCondition* FindHeld(const SourceDescription& description,
                                        const std::string& quantity) {
  for (const document::HeldCondition& held : description.mode.held_conditions) {
    if (held.quantity == quantity) return &held;
  }
  return nullptr;
}

const CitedCondition* FindIn(const std::vector<const CitedCondition*>& conditions,
                             const std::string& quantity) {
  for (const CitedCondition* condition : conditions) {
    if (condition->quantity == quantity) return condition;
  }
  return nullptr;
}

// "entering_air" of "entering_air_wb": the stream whose humidity the quantity tells;
// empty where it tells none.
std::string_view HumidStream(std::string_view quantity) {
  for (std::string_view suffix :
       {"_wb", "_dew_point", "_relative_humidity", "_rh", "_humidity_ratio"}) {
    if (quantity.ends_with(suffix))
      return quantity.substr(0, quantity.size() - suffix.size());
  }
  return {};
}

// The condition of the unit that tells the humidity of the same stream in another way, or
// null.
const std::string* HumidityTwin(const SourceDescription& description,
                                const std::string& quantity) {
  const std::string_view stream = HumidStream(quantity);
  if (stream.empty()) return nullptr;
  for (const std::string& mapped : description.mode.conditions) {
    if (mapped != quantity && HumidStream(mapped) == stream) return &mapped;
  }
  return nullptr;
}

double ValueAt(const document::LoadLine& line, double at_full_load, double percent) {
  if (line.full_load_input.empty()) {
    return percent > line.percent_low ? line.slope_per_percent * percent + line.intercept
                                      : line.constant;
  }
  if (at_full_load <= line.constant) return at_full_load;
  if (percent <= line.percent_low) return line.constant;
  return line.constant + (at_full_load - line.constant) * (percent - line.percent_low) /
                             (100 - line.percent_low);
}

std::string PlaceOf(const PointConditions& point) {
  return point.id.empty() ? "the rating point" : absl::StrCat("point ", point.id);
}

std::vector<std::string> InputsOf(const std::vector<const CitedCondition*>& conditions) {
  std::vector<std::string> names;
  for (const CitedCondition* condition : conditions) {
    if (!condition->input.empty()) names.push_back(condition->input);
    if (condition->load_line && !condition->load_line->full_load_input.empty()) {
      names.push_back(condition->load_line->full_load_input);
    }
  }
  return names;
}

}  // namespace

std::vector<const CitedCondition*> ConditionPlan::ConditionsOf(
    const PointConditions& point) const {
  std::vector<const CitedCondition*> conditions;
  for (const CitedCondition& condition : point.conditions)
    conditions.push_back(&condition);
  for (const CitedCondition& condition : procedure_.common_conditions) {
    if (FindIn(conditions, condition.quantity) == nullptr)
      conditions.push_back(&condition);
  }
  return conditions;
}

absl::Status ConditionPlan::CheckKnown(const PointConditions& point) {
  std::vector<const CitedCondition*> used;
  for (const CitedCondition* condition : ConditionsOf(point)) {
    const std::string& quantity = condition->quantity;
    const document::HeldCondition* held = FindHeld(description_, quantity);
    if (IsMapped(description_, quantity) || held != nullptr) {
      used.push_back(condition);
      continue;
    }
    if (condition->if_mapped) {
      if (std::find(taken_as_tested_.begin(), taken_as_tested_.end(), quantity) ==
          taken_as_tested_.end()) {
        taken_as_tested_.push_back(quantity);
      }
      continue;
    }
    if (const std::string* twin = HumidityTwin(description_, quantity)) {
      return absl::FailedPreconditionError(absl::StrCat(
          "the procedure fixes ", quantity, ", but mode ", description_.mode.id,
          " of unit ", description_.unit.id, " is mapped over ", *twin,
          ", and the one is not turned into the other here; map the mode over ",
          quantity));
    }
    return absl::FailedPreconditionError(
        absl::StrCat("the procedure fixes ", quantity, ", which mode ",
                     description_.mode.id, " of unit ", description_.unit.id,
                     " neither depends on nor holds; name it among the conditions or",
                     " the held_conditions of the mode"));
  }
  RETURN_IF_ERROR(inputs_.Require(InputsOf(used)));

  for (const CitedCondition* condition : used) {
    const document::HeldCondition* held = FindHeld(description_, condition->quantity);
    if (held == nullptr) continue;
    ASSIGN_OR_RETURN(const Resolved asked, Resolve(*condition, point.percent_load));
    ASSIGN_OR_RETURN(const double asked_si,
                     ToSi(condition->quantity, asked.value, asked.unit));
    if (std::fabs(asked_si - held->value_si) <= held->tolerance_si) continue;
    return absl::FailedPreconditionError(
        absl::StrCat(PlaceOf(point), " asks for ", condition->quantity, " of ",
                     base::ShortestText(asked.value), " ", asked.unit, ", but mode ",
                     description_.mode.id, " of unit ", description_.unit.id,
                     " was tested with it held at ", base::ShortestText(held->value), " ",
                     held->unit, " (within ", base::ShortestText(held->tolerance), ")"));
  }
  return absl::OkStatus();
}

absl::Status ConditionPlan::CheckComplete(const PointConditions& point) const {
  const std::vector<const CitedCondition*> named = ConditionsOf(point);
  std::vector<std::string> missing;
  for (const std::string& quantity : description_.mode.conditions) {
    if (FindIn(named, quantity) == nullptr) missing.push_back(quantity);
  }
  if (missing.empty()) return absl::OkStatus();
  return absl::FailedPreconditionError(
      absl::StrCat("mode ", description_.mode.id, " of unit ", description_.unit.id,
                   " depends on conditions that the procedure does not fix at ",
                   PlaceOf(point), ": ", absl::StrJoin(missing, ", ")));
}

absl::Status ConditionPlan::AddLines() {
  for (const CitedCondition& condition : load_lines_) {
    const std::vector<std::string>& mapped = description_.mode.conditions;
    const auto found = std::find(mapped.begin(), mapped.end(), condition.quantity);
    // A line of what the unit does not depend on changes nothing.
    if (found == mapped.end()) continue;
    Line line{.condition = static_cast<int>(found - mapped.begin())};
    if (!condition.load_line.has_value()) {
      return absl::InvalidArgumentError(
          absl::StrCat("part_load.load_lines of procedure ", procedure_.id, ": ",
                       condition.quantity, " is no line over load"));
    }
    line.line = *condition.load_line;
    ASSIGN_OR_RETURN(line.unit, UnitOf(condition.quantity, line.line.unit));
    line.from_full_load = !line.line.full_load_input.empty();
    if (line.from_full_load) {
      RETURN_IF_ERROR(inputs_.Require({line.line.full_load_input}));
      ASSIGN_OR_RETURN(line.at_full_load, inputs_.In(line.line.full_load_input,
                                                     condition.quantity, line.line.unit));
    }
    lines_.push_back(std::move(line));
  }
  return absl::OkStatus();
}

absl::StatusOr<ConditionPlan> ConditionPlan::Create(
    const document::Procedure& procedure, const SourceDescription& description,
    const ProcedureInputs& inputs, std::vector<PointConditions> points,
    std::vector<CitedCondition> load_lines) {
  ConditionPlan plan(procedure, description, inputs);
  if (description.mode.conditions.size() > kMostModeConditions) {
    return absl::InvalidArgumentError(absl::StrCat("mode ", description.mode.id,
                                                   " has more than ", kMostModeConditions,
                                                   " conditions"));
  }
  plan.points_ = std::move(points);
  plan.load_lines_ = std::move(load_lines);
  for (const PointConditions& point : plan.points_) {
    RETURN_IF_ERROR(plan.CheckKnown(point));
    RETURN_IF_ERROR(plan.CheckComplete(point));
  }
  for (const PointConditions& point : plan.points_) {
    const std::vector<const CitedCondition*> named = plan.ConditionsOf(point);
    std::vector<double>& values_si = plan.values_si_.emplace_back();
    for (const std::string& quantity : description.mode.conditions) {
      ASSIGN_OR_RETURN(const Resolved resolved,
                       plan.Resolve(*FindIn(named, quantity), point.percent_load));
      ASSIGN_OR_RETURN(values_si.emplace_back(),
                       ToSi(quantity, resolved.value, resolved.unit));
    }
  }
  RETURN_IF_ERROR(plan.AddLines());
  return plan;
}

void ConditionPlan::ValuesAtLoadSi(int point, double percent,
                                   std::span<double> values_si) const {
  const std::vector<double>& fixed_si = values_si_[point];
  std::copy(fixed_si.begin(), fixed_si.end(), values_si.begin());
  for (const Line& line : lines_) {
    values_si[line.condition] =
        quantity::ToSi(ValueAt(line.line, line.at_full_load, percent), line.unit);
  }
}

std::vector<std::string> ConditionPlan::Notes() const {
  if (taken_as_tested_.empty()) return {};
  return {absl::StrCat("no figure of unit ", description_.unit.id, " depends on ",
                       absl::StrJoin(taken_as_tested_, ", "),
                       "; what was tested is taken as what the procedure asks for")};
}

absl::StatusOr<double> ConditionPlan::LineValue(const CitedCondition& condition,
                                                double percent) const {
  const document::LoadLine& line = *condition.load_line;
  double at_full_load = 0;
  if (!line.full_load_input.empty()) {
    ASSIGN_OR_RETURN(at_full_load,
                     inputs_.In(line.full_load_input, condition.quantity, line.unit));
  }
  return ValueAt(line, at_full_load, percent);
}

absl::StatusOr<ConditionPlan::Resolved> ConditionPlan::Resolve(
    const CitedCondition& condition, double percent) const {
  if (condition.value) {
    return Resolved{.value = condition.value->value,
                    .unit = condition.value->unit,
                    .how = "stated by the procedure",
                    .citation = condition.value->citation};
  }
  if (condition.load_line) {
    ASSIGN_OR_RETURN(const double value, LineValue(condition, percent));
    return Resolved{
        .value = value,
        .unit = condition.load_line->unit,
        .how = absl::StrCat("line over load at ", base::ShortestText(percent), " % load"),
        .citation = condition.load_line->citation};
  }
  RETURN_IF_ERROR(inputs_.InSi(condition.input, condition.quantity).status());
  const document::ProcedureInput& input = *inputs_.Find(condition.input);
  return Resolved{.value = input.value,
                  .unit = input.unit,
                  .how = absl::StrCat("input ", condition.input, " of the manifest")};
}

std::vector<TraceNode> ConditionPlan::TraceOf(
    const std::vector<const CitedCondition*>& conditions, double percent) const {
  std::vector<TraceNode> trace;
  auto add = [&](const CitedCondition& condition, const std::string& remark) {
    // Create resolved each of them.
    const absl::StatusOr<Resolved> resolved = Resolve(condition, percent);
    if (!resolved.ok()) return;
    trace.push_back({.step = {.label = condition.quantity,
                              .value = resolved->value,
                              .unit = resolved->unit,
                              .how = absl::StrCat(resolved->how, remark),
                              .clause = resolved->citation.source,
                              .basis = resolved->citation.basis}});
  };
  for (const std::string& quantity : description_.mode.conditions) {
    add(*FindIn(conditions, quantity), "");
  }
  for (const document::HeldCondition& held : description_.mode.held_conditions) {
    const CitedCondition* condition = FindIn(conditions, held.quantity);
    if (condition == nullptr) continue;
    add(*condition,
        absl::StrCat("; tested at ", base::ShortestText(held.value), " ", held.unit));
  }
  return trace;
}

std::vector<TraceNode> ConditionPlan::Trace(int point) const {
  return TraceOf(ConditionsOf(points_[point]), points_[point].percent_load);
}

std::vector<TraceNode> ConditionPlan::TraceAtLoad(int point, double percent) const {
  return TraceOf(ConditionsAtLoad(points_[point]), percent);
}

std::vector<const CitedCondition*> ConditionPlan::ConditionsAtLoad(
    const PointConditions& point) const {
  std::vector<const CitedCondition*> conditions;
  for (const CitedCondition& line : load_lines_) conditions.push_back(&line);
  for (const CitedCondition* condition : ConditionsOf(point)) {
    if (FindIn(conditions, condition->quantity) == nullptr)
      conditions.push_back(condition);
  }
  return conditions;
}

std::vector<document::Measure> StatedConditions(const document::Procedure& procedure,
                                                const ProcedureInputs& inputs,
                                                const PointConditions& point) {
  std::vector<document::Measure> stated;
  auto add = [&](const CitedCondition& condition) {
    for (const document::Measure& before : stated) {
      if (before.quantity == condition.quantity) return;
    }
    document::Measure measure{.quantity = condition.quantity};
    if (condition.value) {
      measure.value = condition.value->value;
      measure.unit = condition.value->unit;
    } else if (condition.load_line && condition.load_line->full_load_input.empty()) {
      measure.value = ValueAt(*condition.load_line, 0, point.percent_load);
      measure.unit = condition.load_line->unit;
    } else if (const auto* input = inputs.Find(condition.input)) {
      measure.value = input->value;
      measure.unit = input->unit;
    } else {
      return;
    }
    const absl::StatusOr<double> value_si =
        ToSi(measure.quantity, measure.value, measure.unit);
    if (!value_si.ok()) return;
    measure.value_si = *value_si;
    stated.push_back(std::move(measure));
  };
  for (const CitedCondition& condition : point.conditions) add(condition);
  for (const CitedCondition& condition : procedure.common_conditions) add(condition);
  return stated;
}

}  // namespace ratebound::rating
