// Simulated errors of a proof surface over a region of conditions, for a one-sided band
// that holds over the region at once (engine/claim/regional_constant.h).
//
// Example:
//   ASSIGN_OR_RETURN(std::vector<double> ratios,
//                    RegionalRatios(map, points, combination, 2, low_si, high_si, 1000));
//
// Looked at are the tested places of the region: a grid (33 places for one condition, 13
// by 13 for two, 7 and 5 each for three and four, vertices for more, the middle alone
// above seven), drawn in to where leverage allows, and the points inside.
//
// Errors: those of CombinationOf and FitModel; FAILED_PRECONDITION where the points give
// no covariance. Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_MAP_REGIONAL_RATIOS_H_
#define RATEBOUND_ENGINE_MAP_REGIONAL_RATIOS_H_

#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/map/combination.h"

namespace ratebound::map {

absl::StatusOr<std::vector<double>> RegionalRatios(
    const document::StageMap& map, std::span<const document::TestPoint> points,
    std::span<const WeightedQuantity> combination, int degree,
    std::span<const double> low_si, std::span<const double> high_si, int draws);

// The same for a response as it is.
absl::StatusOr<std::vector<double>> RegionalRatios(const ResponseProblem& problem,
                                                   int degree,
                                                   std::span<const double> low_si,
                                                   std::span<const double> high_si,
                                                   int draws);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_REGIONAL_RATIOS_H_
