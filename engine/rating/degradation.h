// A unit that cannot unload to a target load cycles its lowest stage and loses by it.
//
// With LF the part of the time that the stage runs, and CD the degradation coefficient,
//   LF = (percent load / 100) * full-load capacity / capacity of the stage,   0 < LF < 1,
//   CD = slope * LF + intercept,
// both the coefficients and which form applies are data of the procedure:
//
//  - whole efficiency (AHRI 550/590 and 551/591): capacity over power is divided by CD;
//  - by powers (AHRI 340/360): EER = LF * Q / (LF * CD * cycling powers + continuous
//  powers),
//    where compressor and condenser section cycle, indoor fan and controls go on.
// (Equations from memory, as the procedure files say.)
//
// The continuous powers must be known one by one: fitted with the unit, or given in watts
// as procedure inputs of the same names. The cycling powers are the rest of the total, so
// that a stage that runs all the time (LF = CD = 1) has exactly its measured efficiency,
// and a unit of which only the total was measured can be rated once its fan and control
// powers are declared.
#ifndef RATEBOUND_ENGINE_RATING_DEGRADATION_H_
#define RATEBOUND_ENGINE_RATING_DEGRADATION_H_

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/rating/point_figure.h"
#include "engine/rating/procedure_inputs.h"
#include "engine/rating/stage_run.h"

namespace ratebound::rating {

// The figure of `run`, a stage above `target_percent`, cycled down to it.
// FAILED_PRECONDITION naming the continuous powers that are not known.
absl::StatusOr<PointFigure> CycleDown(const document::Procedure& procedure,
                                      const ProcedureInputs& inputs,
                                      const StageRunner& runner, const StageRun& run,
                                      double target_percent);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_DEGRADATION_H_
