// Standard ratings: what a procedure makes of a unit's figures. Every number comes from
// the procedure (ratings/procedures); the code holds the rules alone, one file for each
// form of procedure (load_points_form.h, one_point_form.h, weighted_conditions_form.h,
// compressor_form.h).
//
// Example:
//   ASSIGN_OR_RETURN(document::Rating rating, RateSource(procedure, source));
//   if (!rating.value) std::puts(rating.refusal.c_str());
//   for (const auto& point : rating.missing_points) { ... }   // what to measure
//
// For many values of one metric see metric.h.
//
// Units: figures come in SI; the metric, its conditions, constants and rounding are
// evaluated in the procedure's own units. Errors: INVALID_ARGUMENT for a procedure that
// contradicts itself. A unit that the procedure does not fit is no error: the rating then
// has no value, says in `refusal` why, and lists the test points and inputs that are
// missing, if that is it. Determinism: the same bits for the same procedure and figures.
// Thread-safety: as the source.
#ifndef RATEBOUND_ENGINE_RATING_RATE_H_
#define RATEBOUND_ENGINE_RATING_RATE_H_

#include <string>

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/document/rating.h"
#include "engine/rating/figure_source.h"
#include "engine/rating/rated_unit.h"

namespace ratebound::rating {

struct RateOptions {
  // Refuse a procedure that has any number which was not read in the published document.
  bool published_only = false;
  // Refuse a procedure that does not hold on this day, as 2026-03-31. Empty: any day.
  std::string day = {};
};

absl::StatusOr<document::Rating> RateSource(const document::Procedure& procedure,
                                            const FigureSource& source,
                                            const RateOptions& options = {});

// The same for figures that are given by name.
absl::StatusOr<document::Rating> RateUnit(const document::Procedure& procedure,
                                          const RatedUnit& rated_unit,
                                          const RateOptions& options = {});

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_RATE_H_
