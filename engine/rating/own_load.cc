#include "engine/rating/own_load.h"

#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"

namespace ratebound::rating {
namespace {

constexpr double kBalancePercent = 1e-10;

absl::StatusOr<StageRun> RunAt(const ConditionPlan& plan, const StageRunner& runner,
                               const document::LoadPoint& point, int stage,
                               double percent) {
  ASSIGN_OR_RETURN(RunConditions conditions, plan.AtLoad(point, percent));
  return runner.Run(stage, std::move(conditions));
}

}  // namespace

absl::StatusOr<StageRun> RunAtOwnLoad(const ConditionPlan& plan,
                                      const StageRunner& runner,
                                      const document::LoadPoint& point, int stage) {
  double low = 0;
  double high = 100;
  ASSIGN_OR_RETURN(StageRun run, RunAt(plan, runner, point, stage, high));
  if (run.percent_load > high + kBalancePercent) {
    return absl::FailedPreconditionError(absl::StrCat(
        "stage ", runner.StageId(stage), " gives ", base::ShortestText(run.percent_load),
        " % load at the conditions of full load, more than the stage of the largest "
        "capacity"));
  }
  while (high - low > kBalancePercent) {
    const double middle = low + (high - low) / 2;
    ASSIGN_OR_RETURN(StageRun trial, RunAt(plan, runner, point, stage, middle));
    (trial.percent_load > middle ? low : high) = middle;
  }
  return RunAt(plan, runner, point, stage, high);
}

}  // namespace ratebound::rating
