#include "engine/rating/stage_run.h"

#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/efficiency.h"

namespace ratebound::rating {
namespace {

std::string ConditionText(const RunConditions& conditions) {
  std::string text;
  for (const TraceNode& node : conditions.trace) {
    absl::StrAppend(&text, text.empty() ? "" : ", ", node.step.label, " ",
                    base::ShortestText(node.step.value), " ", node.step.unit);
  }
  return text;
}

TraceNode WattNode(std::string label, double value_w, document::Footing footing) {
  return {
      .step = {
          .label = std::move(label), .value = value_w, .unit = "W", .footing = footing}};
}

}  // namespace

absl::StatusOr<StageRun> StageRunner::Run(int stage, RunConditions conditions) const {
  absl::StatusOr<StageFigures> figures =
      rated_unit_.evaluate(stage, conditions.values_si);
  const std::string place =
      absl::StrCat("stage ", StageId(stage), " of unit ", rated_unit_.unit.id, " at ",
                   ConditionText(conditions));
  if (absl::IsCancelled(figures.status())) return figures.status();
  if (!figures.ok()) {
    return absl::FailedPreconditionError(
        absl::StrCat("no figures of ", place, ": ", figures.status().message()));
  }

  StageRun run{.stage = stage};
  for (auto [quantity, target] :
       {std::pair(&procedure_.capacity_quantity, &run.capacity_w),
        std::pair(&procedure_.power_quantity, &run.power_w)}) {
    const double* value = figures->Find(*quantity);
    if (value == nullptr) {
      return absl::FailedPreconditionError(absl::StrCat(
          "the procedure rates ", *quantity, ", which is not known of ", place));
    }
    if (!(std::isfinite(*value) && *value > 0)) {
      return absl::FailedPreconditionError(absl::StrCat(*quantity, " of ", place, " is ",
                                                        base::ShortestText(*value),
                                                        " W, not above 0"));
    }
    *target = *value;
  }
  for (const document::AddedPower& added : procedure_.added_powers) {
    ASSIGN_OR_RETURN(const double per_capacity, inputs_.Number(added.input));
    ASSIGN_OR_RETURN(const double cycling_part, inputs_.Number(added.cycling_part_input));
    const double added_w = per_capacity * run.capacity_w;
    run.power_w += added_w;
    run.added_continuous_w += (1 - cycling_part) * added_w;
  }

  if (full_load_w_ > 0) run.percent_load = 100 * run.capacity_w / full_load_w_;
  run.figure = FigureOf(procedure_, run.capacity_w, run.power_w);
  run.figures = *std::move(figures);
  run.conditions = std::move(conditions);
  return run;
}

TraceNode StageRunner::Trace(const StageRun& run, std::string how) const {
  const document::Footing footing = run.figures.footing;
  TraceNode node{.step = {.label = absl::StrCat("stage ", StageId(run.stage)),
                          .value = run.figure,
                          .unit = procedure_.metric_unit,
                          .how = std::move(how),
                          .footing = footing}};
  node.inputs.push_back(WattNode(procedure_.capacity_quantity, run.capacity_w, footing));
  const double* measured_w = run.figures.Find(procedure_.power_quantity);
  TraceNode power = WattNode(procedure_.power_quantity, *measured_w, footing);
  node.inputs.push_back(power);
  for (const document::AddedPower& added : procedure_.added_powers) {
    // Run read the same input.
    const double added_w = *inputs_.Number(added.input) * run.capacity_w;
    TraceNode allowance = WattNode(added.name, added_w, document::Footing::kUnspecified);
    allowance.step.how = absl::StrCat("input ", added.input, " times capacity");
    allowance.step.clause = added.citation.source;
    allowance.step.basis = added.citation.basis;
    node.inputs.push_back(std::move(allowance));
  }
  if (run.percent_load > 0) {
    node.inputs.push_back({.step = {.label = "percent load",
                                    .value = run.percent_load,
                                    .unit = "%",
                                    .how = "capacity over full-load capacity"}});
  }
  for (const TraceNode& condition : run.conditions.trace)
    node.inputs.push_back(condition);
  return node;
}

}  // namespace ratebound::rating
