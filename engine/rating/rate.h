// Standard ratings by the algorithm "weighted points": an efficiency at each of a few
// loads, weighted into one figure. Part-load metrics of chillers and of commercial
// unitary equipment are of this kind. Every number comes from the procedure
// (ratings/procedures); the code holds the rules alone.
//
// Example:
//   ASSIGN_OR_RETURN(document::Rating rating, RateUnit(procedure, rated_unit));
//   if (!rating.value) std::puts(rating.refusal.c_str());
//
// How a point is reached, at its own conditions:
//  1. full load: the stage of the largest capacity, at the conditions of the 100 % point;
//  2. the nearest stage within the window around the target load, used as it is;
//  3. else a straight line over load between the neighbouring stages (part_load.h);
//  4. below the lowest stage, that stage cycling, with a degradation (degradation.h).
// There is no extrapolation over load: a load above the largest stage is refused.
//
// Units: figures come in SI; the metric, its conditions, constants and rounding are
// evaluated in the procedure's own units. Errors: INVALID_ARGUMENT for a procedure that
// contradicts itself. A unit that the procedure does not fit is no error: the rating then
// has no value and says in `refusal` why. Determinism: the same bits for the same
// procedure and figures. Thread-safety: as `evaluate` of the rated unit.
#ifndef RATEBOUND_ENGINE_RATING_RATE_H_
#define RATEBOUND_ENGINE_RATING_RATE_H_

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/document/rating.h"
#include "engine/rating/rated_unit.h"

namespace ratebound::rating {

struct RateOptions {
  // Refuse a procedure that has any number which was not read in the published document.
  bool published_only = false;
};

absl::StatusOr<document::Rating> RateUnit(const document::Procedure& procedure,
                                          const RatedUnit& rated_unit,
                                          const RateOptions& options = {});

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_RATE_H_
