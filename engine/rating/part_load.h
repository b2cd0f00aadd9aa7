// The figure of a unit at one load point: which stage, or which stages, and how they make
// it.
//
// All stages are first run at the conditions of the target. Then:
//  - a stage whose percent load lies within the window around the target is used as it
//  is; of
//    several the nearest, of equally near ones the larger. Figures jump at the window's
//    edge, as the procedures mean them to;
//  - else the nearest stages below and above give a straight line over load. The
//  procedure says
//    whether both run at the target's conditions (AHRI 340/360) or each at the conditions
//    that belong to the load it gives itself (AHRI 550/590, where the condenser's water
//    is a line over load): the load at which a stage is in balance with its own
//    conditions (own_load.h);
//  - below the lowest stage, that stage cycles at the target's conditions
//  (degradation.h);
//  - above the largest stage there is no figure.
#ifndef RATEBOUND_ENGINE_RATING_PART_LOAD_H_
#define RATEBOUND_ENGINE_RATING_PART_LOAD_H_

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/point_figure.h"
#include "engine/rating/procedure_inputs.h"
#include "engine/rating/stage_run.h"

namespace ratebound::rating {

// The runner must know full load. FAILED_PRECONDITION where the point cannot be reached.
absl::StatusOr<PointFigure> RatePartLoad(const document::Procedure& procedure,
                                         const ProcedureInputs& inputs,
                                         const ConditionPlan& plan,
                                         const StageRunner& runner,
                                         const document::LoadPoint& point);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_PART_LOAD_H_
