// How responses that were measured at the same points err together.
//
// Where two responses are fitted by the same terms, the estimator is linear in the
// response, and so is what is left of a block when it is left out. So the covariance
// between the coefficients of a and b, as cluster-robust as that of each, comes from fits
// of their sum and difference:
//   V(k a + b) - V(k a - b) = 2 k (V_ab + V_ba),
// k a power of two that makes both alike in size. That gives the symmetric part of V_ab,
// which is all that the variance of a combination at one condition asks for.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_MAP_CONSISTENCY_COVARIANCE_H_
#define RATEBOUND_ENGINE_MAP_CONSISTENCY_COVARIANCE_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/document/points.h"

namespace ratebound::map {

// Covariance of the residuals of surfaces over the points of the map, count x count by
// rows, by points less the terms of the first. INVALID_ARGUMENT where a point of the map
// is missing or has no such quantity.
absl::StatusOr<std::vector<double>> ResidualCovariance(
    const document::StageMap& map, std::span<const document::TestPoint> points,
    std::span<const document::Surface> surfaces);

// At the degree of the proof surfaces, or of the table's where there are none. Errors as
// FitCombination.
absl::StatusOr<document::ResponseCovariance> CovarianceBetween(
    const std::string& first, const std::string& second,
    std::span<const document::TestPoint> points, const document::StageMap& map);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_CONSISTENCY_COVARIANCE_H_
