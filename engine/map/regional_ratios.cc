#include "engine/map/regional_ratios.h"

#include <algorithm>
#include <cmath>

#include "absl/status/status.h"
#include "engine/base/status_macros.h"
#include "engine/fit/band_ratios.h"
#include "engine/map/proof_spread.h"

namespace ratebound::map {

absl::StatusOr<std::vector<double>> RegionalRatios(const ResponseProblem& problem,
                                                   int degree,
                                                   std::span<const double> low_si,
                                                   std::span<const double> high_si,
                                                   int draws) {
  ASSIGN_OR_RETURN(const ModelFit fitted, FitModel(problem, {.degree = degree},
                                                   document::SurfacePurpose::kProof));
  if (!fitted.no_covariance.empty()) {
    return absl::FailedPreconditionError(fitted.no_covariance);
  }
  const std::vector<std::vector<double>> places = TestedPlaces(fitted, low_si, high_si);
  std::vector<std::vector<double>> columns(low_si.size());
  for (const std::vector<double>& place : places) {
    for (size_t i = 0; i < columns.size(); ++i) columns[i].push_back(place[i]);
  }
  ASSIGN_OR_RETURN(const fit::DesignMatrix rows, fitted.basis.Design(columns));
  return fit::RatiosOverBlocks(fitted.Problem(), rows, draws);
}

absl::StatusOr<std::vector<double>> RegionalRatios(
    const document::StageMap& map, std::span<const document::TestPoint> points,
    std::span<const WeightedQuantity> combination, int degree,
    std::span<const double> low_si, std::span<const double> high_si, int draws) {
  ASSIGN_OR_RETURN(const CombinationData data, CombinationOf(map, points, combination));
  return RegionalRatios(data.Problem(map), degree, low_si, high_si, draws);
}

}  // namespace ratebound::map
