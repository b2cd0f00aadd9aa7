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
using document::LoadPoint;

bool IsMapped(const RatedUnit& rated_unit, const std::string& quantity) {
  const std::vector<std::string>& mapped = rated_unit.mode.conditions;
  return std::find(mapped.begin(), mapped.end(), quantity) != mapped.end();
}

const document::HeldCondition* FindHeld(const RatedUnit& rated_unit,
                                        const std::string& quantity) {
  for (const document::HeldCondition& held : rated_unit.mode.held_conditions) {
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
const std::string* HumidityTwin(const RatedUnit& rated_unit,
                                const std::string& quantity) {
  const std::string_view stream = HumidStream(quantity);
  if (stream.empty()) return nullptr;
  for (const std::string& mapped : rated_unit.mode.conditions) {
    if (mapped != quantity && HumidStream(mapped) == stream) return &mapped;
  }
  return nullptr;
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
    const LoadPoint& point) const {
  std::vector<const CitedCondition*> conditions;
  for (const CitedCondition& condition : point.conditions)
    conditions.push_back(&condition);
  for (const CitedCondition& condition : procedure_.common_conditions) {
    if (FindIn(conditions, condition.quantity) == nullptr)
      conditions.push_back(&condition);
  }
  return conditions;
}

absl::Status ConditionPlan::CheckKnown(const LoadPoint& point) {
  std::vector<const CitedCondition*> used;
  for (const CitedCondition* condition : ConditionsOf(point)) {
    const std::string& quantity = condition->quantity;
    const document::HeldCondition* held = FindHeld(rated_unit_, quantity);
    if (IsMapped(rated_unit_, quantity) || held != nullptr) {
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
    if (const std::string* twin = HumidityTwin(rated_unit_, quantity)) {
      return absl::FailedPreconditionError(absl::StrCat(
          "the procedure fixes ", quantity, ", but mode ", rated_unit_.mode.id,
          " of unit ", rated_unit_.unit.id, " is mapped over ", *twin,
          ", and the one is not turned into the other here; map the mode over ",
          quantity));
    }
    return absl::FailedPreconditionError(
        absl::StrCat("the procedure fixes ", quantity, ", which mode ",
                     rated_unit_.mode.id, " of unit ", rated_unit_.unit.id,
                     " neither depends on nor holds; name it among the conditions or",
                     " the held_conditions of the mode"));
  }
  RETURN_IF_ERROR(inputs_.Require(InputsOf(used)));

  for (const CitedCondition* condition : used) {
    const document::HeldCondition* held = FindHeld(rated_unit_, condition->quantity);
    if (held == nullptr) continue;
    ASSIGN_OR_RETURN(const Resolved asked, Resolve(*condition, point.percent_load.value));
    ASSIGN_OR_RETURN(const double asked_si,
                     ToSi(condition->quantity, asked.value, asked.unit));
    if (std::fabs(asked_si - held->value_si) <= held->tolerance_si) continue;
    return absl::FailedPreconditionError(
        absl::StrCat("point ", point.id, " asks for ", condition->quantity, " of ",
                     base::ShortestText(asked.value), " ", asked.unit, ", but mode ",
                     rated_unit_.mode.id, " of unit ", rated_unit_.unit.id,
                     " was tested with it held at ", base::ShortestText(held->value), " ",
                     held->unit, " (within ", base::ShortestText(held->tolerance), ")"));
  }
  return absl::OkStatus();
}

absl::Status ConditionPlan::CheckComplete(const LoadPoint& point) const {
  const std::vector<const CitedCondition*> named = ConditionsOf(point);
  std::vector<std::string> missing;
  for (const std::string& quantity : rated_unit_.mode.conditions) {
    if (FindIn(named, quantity) == nullptr) missing.push_back(quantity);
  }
  if (missing.empty()) return absl::OkStatus();
  return absl::FailedPreconditionError(
      absl::StrCat("mode ", rated_unit_.mode.id, " of unit ", rated_unit_.unit.id,
                   " depends on conditions that the procedure does not fix at point ",
                   point.id, ": ", absl::StrJoin(missing, ", ")));
}

absl::StatusOr<ConditionPlan> ConditionPlan::Create(const document::Procedure& procedure,
                                                    const RatedUnit& rated_unit,
                                                    const ProcedureInputs& inputs) {
  ConditionPlan plan(procedure, rated_unit, inputs);
  for (const LoadPoint& point : procedure.load_points) {
    RETURN_IF_ERROR(plan.CheckKnown(point));
    RETURN_IF_ERROR(plan.CheckComplete(point));
  }
  return plan;
}

std::vector<std::string> ConditionPlan::Notes() const {
  if (taken_as_tested_.empty()) return {};
  return {absl::StrCat("no figure of unit ", rated_unit_.unit.id, " depends on ",
                       absl::StrJoin(taken_as_tested_, ", "),
                       "; what was tested is taken as what the procedure asks for")};
}

absl::StatusOr<double> ConditionPlan::LineValue(const CitedCondition& condition,
                                                double percent) const {
  const document::LoadLine& line = *condition.load_line;
  if (line.full_load_input.empty()) {
    return percent > line.percent_low ? line.slope_per_percent * percent + line.intercept
                                      : line.constant;
  }
  ASSIGN_OR_RETURN(const double at_full_load,
                   inputs_.In(line.full_load_input, condition.quantity, line.unit));
  if (at_full_load <= line.constant) return at_full_load;
  if (percent <= line.percent_low) return line.constant;
  return line.constant + (at_full_load - line.constant) * (percent - line.percent_low) /
                             (100 - line.percent_low);
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

absl::StatusOr<RunConditions> ConditionPlan::Run(
    const std::vector<const CitedCondition*>& conditions, double percent) const {
  RunConditions run;
  auto add_to_trace = [&](const std::string& quantity, const Resolved& resolved,
                          const std::string& how) {
    run.trace.push_back({.step = {.label = quantity,
                                  .value = resolved.value,
                                  .unit = resolved.unit,
                                  .how = how,
                                  .clause = resolved.citation.source,
                                  .basis = resolved.citation.basis}});
  };
  for (const std::string& quantity : rated_unit_.mode.conditions) {
    // CheckComplete saw each of them.
    const CitedCondition& condition = *FindIn(conditions, quantity);
    ASSIGN_OR_RETURN(const Resolved resolved, Resolve(condition, percent));
    ASSIGN_OR_RETURN(const double value_si,
                     ToSi(quantity, resolved.value, resolved.unit));
    run.values_si.push_back({.quantity = quantity, .value_si = value_si});
    add_to_trace(quantity, resolved, resolved.how);
  }
  for (const document::HeldCondition& held : rated_unit_.mode.held_conditions) {
    const CitedCondition* condition = FindIn(conditions, held.quantity);
    if (condition == nullptr) continue;
    ASSIGN_OR_RETURN(const Resolved resolved, Resolve(*condition, percent));
    add_to_trace(held.quantity, resolved,
                 absl::StrCat(resolved.how, "; tested at ",
                              base::ShortestText(held.value), " ", held.unit));
  }
  return run;
}

absl::StatusOr<RunConditions> ConditionPlan::AtPoint(const LoadPoint& point) const {
  return Run(ConditionsOf(point), point.percent_load.value);
}

absl::StatusOr<RunConditions> ConditionPlan::AtLoad(const LoadPoint& point,
                                                    double percent) const {
  std::vector<const CitedCondition*> conditions;
  for (const CitedCondition& line : procedure_.part_load->load_lines) {
    conditions.push_back(&line);
  }
  for (const CitedCondition* condition : ConditionsOf(point)) {
    if (FindIn(conditions, condition->quantity) == nullptr)
      conditions.push_back(condition);
  }
  return Run(conditions, percent);
}

}  // namespace ratebound::rating
