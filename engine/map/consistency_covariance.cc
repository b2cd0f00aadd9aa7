#include "engine/map/consistency_covariance.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string_view>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/map/fit_line.h"
#include "engine/map/shape_change.h"

namespace ratebound::map {
namespace {

using document::StageMap;
using document::Surface;
using document::SurfacePurpose;
using document::TestPoint;

absl::StatusOr<std::vector<double>> Residuals(const StageMap& map,
                                              std::span<const TestPoint> points,
                                              const Surface& surface) {
  std::map<std::string_view, const TestPoint*> by_id;
  for (const TestPoint& point : points) by_id.emplace(point.id, &point);
  std::vector<double> residuals;
  for (size_t k = 0; k < map.point_ids.size(); ++k) {
    const auto found = by_id.find(map.point_ids[k]);
    std::optional<double> value;
    if (found != by_id.end()) value = found->second->Find(surface.quantity);
    if (!value) {
      return absl::InvalidArgumentError(absl::StrCat(
          "point '", map.point_ids[k], "' of the map has no ", surface.quantity));
    }
    residuals.push_back(*value - ValueAtScaled(surface, ScaledPoint(map, surface, k)));
  }
  return residuals;
}

// What residuals leave where the fit is exact: rounding, of this part of the values.
constexpr double kRounding = 1e-12;

}  // namespace

absl::StatusOr<std::vector<double>> ResidualCovariance(
    const StageMap& map, std::span<const TestPoint> points,
    std::span<const Surface> surfaces) {
  const size_t count = surfaces.size();
  std::vector<std::vector<double>> residuals;
  for (const Surface& surface : surfaces) {
    ASSIGN_OR_RETURN(residuals.emplace_back(), Residuals(map, points, surface));
  }
  const double degrees =
      std::max(1.0, static_cast<double>(map.point_ids.size()) -
                        static_cast<double>(FittedTerms(surfaces[0]).size()));
  std::vector<double> covariance(count * count);
  for (size_t k = 0; k < count; ++k) {
    for (size_t l = 0; l < count; ++l) {
      double sum = 0;
      for (size_t i = 0; i < residuals[k].size(); ++i) {
        sum += residuals[k][i] * residuals[l][i];
      }
      covariance[k * count + l] = sum / degrees;
    }
  }
  return covariance;
}

absl::StatusOr<document::ResponseCovariance> CovarianceBetween(
    const std::string& first, const std::string& second,
    std::span<const TestPoint> points, const StageMap& map) {
  const std::string quantities[] = {first, second};
  std::optional<int> degree = ProofDegree(map, quantities);
  for (const std::string& quantity : quantities) {
    if (degree) break;
    const Surface* const surface = FindSurface(map, quantity, SurfacePurpose::kTable);
    if (surface == nullptr) {
      return absl::FailedPreconditionError(
          absl::StrCat("there is no surface of ", quantity));
    }
    degree = surface->degree;
  }
  document::ResponseCovariance result{
      .first = first, .second = second, .degree = *degree};
  std::vector<Surface> alone;
  for (const std::string& quantity : quantities) {
    const WeightedQuantity term[] = {{quantity, 1}};
    ASSIGN_OR_RETURN(alone.emplace_back(), FitCombination(map, points, term, *degree));
  }
  ASSIGN_OR_RETURN(const std::vector<double> residual,
                   ResidualCovariance(map, points, alone));
  result.residual_covariance_si = residual[1];
  const double sd[] = {std::sqrt(residual[0]), std::sqrt(residual[3])};
  const auto scatters = [&](int k) {
    return sd[k] > kRounding * std::fabs(alone[k].mean_si);
  };
  if (scatters(0) && scatters(1)) {
    result.residual_correlation = std::clamp(residual[1] / (sd[0] * sd[1]), -1.0, 1.0);
  }
  // A power of two near the ratio of the scatters.
  double factor = 1;
  if (sd[0] > 0 && sd[1] > 0 && std::isfinite(sd[1] / sd[0])) {
    int exponent;
    std::frexp(sd[1] / sd[0], &exponent);
    factor = std::ldexp(1.0, exponent);
  }
  std::vector<std::vector<double>> covariances;
  for (const double sign : {1.0, -1.0}) {
    const WeightedQuantity terms[] = {{first, factor}, {second, sign}};
    ASSIGN_OR_RETURN(Surface surface, FitCombination(map, points, terms, *degree));
    covariances.push_back(std::move(surface.covariance_si));
  }
  if (covariances[0].size() == covariances[1].size()) {
    for (size_t k = 0; k < covariances[0].size(); ++k) {
      result.coefficient_covariance_si.push_back((covariances[0][k] - covariances[1][k]) /
                                                 (4 * factor));
    }
  }
  return result;
}

}  // namespace ratebound::map
