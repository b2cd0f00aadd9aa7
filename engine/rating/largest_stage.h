// The stage that a procedure rates where it asks for all that a unit can do.
#ifndef RATEBOUND_ENGINE_RATING_LARGEST_STAGE_H_
#define RATEBOUND_ENGINE_RATING_LARGEST_STAGE_H_

#include "engine/rating/condition_plan.h"
#include "engine/rating/stage_reader.h"

namespace ratebound::rating {

// The stage of the largest capacity at a point of the plan; of equal ones the later. -1
// with the stage that has no figures in `failed`, where there is none.
int LargestStage(const ConditionPlan& plan, const StageReader& reader,
                 const FigureSource& source, int point, StageRun& run, int& failed);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_LARGEST_STAGE_H_
