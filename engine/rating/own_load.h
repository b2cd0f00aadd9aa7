// The load at which a stage is in balance with the conditions of that same load.
#ifndef RATEBOUND_ENGINE_RATING_OWN_LOAD_H_
#define RATEBOUND_ENGINE_RATING_OWN_LOAD_H_

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/stage_run.h"

namespace ratebound::rating {

// Runs `stage` where its percent load equals the percent that its conditions were set for
// (the load_lines of the procedure): cooler condenser water raises the capacity, so the
// load depends on the condition and the condition on the load. Found by bisection between
// 0 and 100 percent, to 1e-10 percent; a capacity that does not rise with load has one
// balance. The runner must know full load. FAILED_PRECONDITION where there is no balance
// up to 100 percent.
absl::StatusOr<StageRun> RunAtOwnLoad(const ConditionPlan& plan,
                                      const StageRunner& runner,
                                      const document::LoadPoint& point, int stage);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_OWN_LOAD_H_
