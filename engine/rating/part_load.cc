#include "engine/rating/part_load.h"

#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/degradation.h"
#include "engine/rating/efficiency.h"
#include "engine/rating/own_load.h"

namespace ratebound::rating {
namespace {

using document::BracketCondition;
using document::InterpolatedFigure;
using document::LoadPoint;
using document::PartLoad;
using document::Procedure;

// Percents of load this near count as equal, at the window's edge and between stages.
constexpr double kSamePercent = 1e-9;

// The nearest run within the window; of equally near ones the larger capacity.
const StageRun* NearestInWindow(const std::vector<StageRun>& runs, double target_percent,
                                double window_percent) {
  const StageRun* nearest = nullptr;
  double nearest_distance = 0;
  for (const StageRun& run : runs) {
    const double distance = std::fabs(run.percent_load - target_percent);
    if (distance > window_percent + kSamePercent) continue;
    const bool nearer = nearest == nullptr || distance < nearest_distance - kSamePercent;
    const bool same_but_larger = nearest != nullptr &&
                                 distance <= nearest_distance + kSamePercent &&
                                 run.capacity_w >= nearest->capacity_w;
    if (!nearer && !same_but_larger) continue;
    nearest = &run;
    nearest_distance = distance;
  }
  return nearest;
}

struct Neighbours {
  const StageRun* below = nullptr;  // largest load under the target
  const StageRun* above = nullptr;  // smallest load over it
};

Neighbours NeighboursOf(const std::vector<StageRun>& runs, double target_percent) {
  Neighbours found;
  for (const StageRun& run : runs) {
    const StageRun*& side = run.percent_load < target_percent ? found.below : found.above;
    const bool nearer =
        side == nullptr || std::fabs(run.percent_load - target_percent) <
                               std::fabs(side->percent_load - target_percent);
    if (nearer) side = &run;
  }
  return found;
}

PointFigure Direct(const PartLoad& rule, const StageRunner& runner, const StageRun& run) {
  PointFigure point{.figure = run.figure};
  point.RestsOn(run);
  point.trace.step.how = absl::StrCat("stage ", runner.StageId(run.stage), ", within ",
                                      base::ShortestText(rule.window_percent.value),
                                      " % of the target load");
  point.trace.step.clause = rule.window_percent.citation.source;
  point.trace.step.basis = rule.window_percent.citation.basis;
  point.trace.inputs.push_back(runner.Trace(run, "at the target's conditions"));
  return point;
}

absl::StatusOr<PointFigure> Interpolate(const Procedure& procedure,
                                        const StageRunner& runner, const StageRun& below,
                                        const StageRun& above, double target_percent) {
  if (!(below.percent_load <= target_percent && target_percent <= above.percent_load)) {
    return absl::FailedPreconditionError(absl::StrCat(
        "stages ", runner.StageId(below.stage), " and ", runner.StageId(above.stage),
        " bracket ", base::ShortestText(target_percent),
        " % load at its own conditions but not at the conditions of their own loads (",
        base::ShortestText(below.percent_load), " % and ",
        base::ShortestText(above.percent_load), " %)"));
  }
  const PartLoad& rule = *procedure.part_load;
  const double span = above.percent_load - below.percent_load;
  const double part = span > 0 ? (target_percent - below.percent_load) / span : 1;
  // The line is straight in efficiency or in specific power, whichever the metric is.
  const bool invert = IsSpecificPower(procedure) !=
                      (rule.interpolated == InterpolatedFigure::kSpecificPower);
  const double from = invert ? 1 / below.figure : below.figure;
  const double to = invert ? 1 / above.figure : above.figure;
  const double between = from + (to - from) * part;

  PointFigure point{.figure = invert ? 1 / between : between};
  point.RestsOn(below);
  point.RestsOn(above);
  const bool own_load = rule.bracket_condition == BracketCondition::kOwnLoad;
  const std::string at =
      own_load ? "at the conditions of its own load" : "at the target's conditions";
  point.trace.step.how =
      absl::StrCat("interpolated over load between stages ", runner.StageId(below.stage),
                   " and ", runner.StageId(above.stage));
  point.trace.step.clause = rule.bracket_citation.source;
  point.trace.step.basis = rule.bracket_citation.basis;
  point.trace.inputs.push_back(runner.Trace(below, at));
  point.trace.inputs.push_back(runner.Trace(above, at));
  return point;
}

}  // namespace

absl::StatusOr<PointFigure> RatePartLoad(const Procedure& procedure,
                                         const ProcedureInputs& inputs,
                                         const ConditionPlan& plan,
                                         const StageRunner& runner,
                                         const LoadPoint& point) {
  const PartLoad& rule = *procedure.part_load;
  const double target_percent = point.percent_load.value;
  ASSIGN_OR_RETURN(const RunConditions conditions, plan.AtPoint(point));
  std::vector<StageRun> runs;
  for (int stage = 0; stage < runner.stage_count(); ++stage) {
    ASSIGN_OR_RETURN(StageRun run, runner.Run(stage, conditions));
    runs.push_back(std::move(run));
  }

  if (const StageRun* run =
          NearestInWindow(runs, target_percent, rule.window_percent.value)) {
    return Direct(rule, runner, *run);
  }
  const Neighbours neighbours = NeighboursOf(runs, target_percent);
  if (neighbours.above == nullptr) {
    return absl::FailedPreconditionError(
        absl::StrCat("point ", point.id, " is at ", base::ShortestText(target_percent),
                     " % load, and the largest stage gives only ",
                     base::ShortestText(neighbours.below->percent_load),
                     " % there; loads are not extrapolated"));
  }
  if (neighbours.below == nullptr) {
    return CycleDown(procedure, inputs, runner, *neighbours.above, target_percent);
  }
  if (rule.bracket_condition == BracketCondition::kTarget) {
    return Interpolate(procedure, runner, *neighbours.below, *neighbours.above,
                       target_percent);
  }
  ASSIGN_OR_RETURN(const StageRun below,
                   RunAtOwnLoad(plan, runner, point, neighbours.below->stage));
  ASSIGN_OR_RETURN(const StageRun above,
                   RunAtOwnLoad(plan, runner, point, neighbours.above->stage));
  return Interpolate(procedure, runner, below, above, target_percent);
}

}  // namespace ratebound::rating
