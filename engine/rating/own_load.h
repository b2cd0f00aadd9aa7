// The load at which a stage is in balance with the conditions of that same load.
#ifndef RATEBOUND_ENGINE_RATING_OWN_LOAD_H_
#define RATEBOUND_ENGINE_RATING_OWN_LOAD_H_

#include "engine/rating/condition_plan.h"
#include "engine/rating/stage_reader.h"

namespace ratebound::rating {

inline constexpr double kBalancePercent = 1e-10;

// What came of it.
enum class Balance { kFound, kNoFigures, kAboveFullLoad };

// The percent of `full_load_si` where the stage gives as much as the percent that its
// conditions were set for (the load lines of the plan): cooler condenser water raises the
// capacity, so the load depends on the condition and the condition on the load. Between 0
// and 100 percent, to kBalancePercent; a capacity that does not rise with load has one
// balance. `run` is the stage there, `percent` the load of its conditions: with
// kNoFigures where there are none, with kAboveFullLoad 100.
Balance FindOwnLoad(const ConditionPlan& plan, const StageReader& reader,
                    const FigureSource& source, int point, int stage, double full_load_si,
                    StageRun& run, double& percent);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_OWN_LOAD_H_
