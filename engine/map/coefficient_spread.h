// How the coefficients of fitted surfaces vary together: what each test day (or point, in
// a laboratory that names no days) adds to them.
//
// A rating rests on several surfaces at once: capacity and power of several stages. Their
// errors are not independent, since a day's set-up moves them together, and a covariance
// of each surface alone does not tell how. This writes the error of each surface as a sum
// over sources with names; sources of the same name in different surfaces are the same.
//
// Example:
//   ASSIGN_OR_RETURN(CoefficientSpread capacity, SpreadOf(map, capacity_surface,
//   points)); ASSIGN_OR_RETURN(CoefficientSpread power, SpreadOf(map, power_surface,
//   points));
//   // variance of a figure M(coefficients): sum over sources of (dM/dc' deviation)^2,
//   the
//   // deviations of a source's name taken in all surfaces at once
//
// The deviations are those of the delete-one-block jackknife (engine/fit/clusters.h),
//   d_g = -sqrt((G - 1) / G) (X'WX)^-1 X_g' W_g (I - H_gg)^-1 e_g,
// so that the sum of d_g d_g' is the covariance of a surface for tables, where that is
// cluster-robust. Where points name no blocks each point is a source of its own; a table
// surface then has a covariance that presumes equal scatter, and the sum is the
// jackknife's instead.
//
// Units: those of Surface::coefficients_si. Errors: FAILED_PRECONDITION with a sentence
// where the surface has no covariance; INVALID_ARGUMENT where a point is missing. Thread-
// safety: pure. Deterministic: the same bits for the same points in the same order.
#ifndef RATEBOUND_ENGINE_MAP_COEFFICIENT_SPREAD_H_
#define RATEBOUND_ENGINE_MAP_COEFFICIENT_SPREAD_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/document/points.h"

namespace ratebound::map {

struct CoefficientSpread {
  std::vector<std::string> sources;
  // sources x coefficients, by rows.
  std::vector<double> deviations_si;
  double degrees_of_freedom = 0;  // sources - 1
  // The surface was fitted to several stages at once: its sources are the directions of
  // its covariance, which nobody shares, and have no names.
  bool apart = false;

  std::span<const double> Deviation(size_t source) const {
    const size_t terms = deviations_si.size() / sources.size();
    return std::span(deviations_si).subspan(source * terms, terms);
  }
};

// `points` holds at least the points that `map` names; `surface` is one of `map`.
absl::StatusOr<CoefficientSpread> SpreadOf(const document::StageMap& map,
                                           const document::Surface& surface,
                                           std::span<const document::TestPoint> points);

// What a surface's polynomial is at a point, and what each source of the spread adds to
// it. Behind a transform (model_form.h) these are of what the polynomial gives.
struct PointSpread {
  double polynomial = 0;
  std::vector<double> deviations;  // one for each source
};

// INVALID_ARGUMENT for a surface whose form does not fit the conditions of `map`.
absl::StatusOr<PointSpread> SpreadAt(const document::StageMap& map,
                                     const document::Surface& surface,
                                     const CoefficientSpread& spread,
                                     std::span<const double> conditions_si);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_COEFFICIENT_SPREAD_H_
