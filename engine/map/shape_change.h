// What other coefficients make of a fitted surface.
//
// Least squares is quadratic: coefficients b in place of the fitted b0 raise the weighted
// sum of squared residuals by (b - b0)' X'WX (b - b0), and X'WX is the inverse of the
// surface's leverage matrix. So neither points nor weights are needed again.
//
// Thread-safety: pure, but for the surface that is changed.
#ifndef RATEBOUND_ENGINE_MAP_SHAPE_CHANGE_H_
#define RATEBOUND_ENGINE_MAP_SHAPE_CHANGE_H_

#include <string>
#include <vector>

#include "engine/document/map.h"

namespace ratebound::map {

// Whether the surface is a polynomial in the conditions that gives the quantity itself.
inline bool IsPlainPolynomial(const document::Surface& surface) {
  return !surface.form.has_value();
}

// The terms that were fitted: the others have no leverage and a coefficient of 0.
std::vector<int> FittedTerms(const document::Surface& surface);

// An entry of a symmetric matrix given by its lower triangle row by row.
double TriangleEntry(const std::vector<double>& triangle, int i, int j);

struct SurfaceChange {
  double residual_sd_before_si = 0;
  double residual_sd_after_si = 0;
  double greatest_change_si = 0;  // at a point, with its sign
  std::string greatest_change_point;
};

// Puts other coefficients of fitted terms in, and brings the residual standard deviation
// and R squared up to date. Covariance, leverage and leave-out error stay as fitted.
SurfaceChange ReplaceCoefficients(const document::StageMap& map,
                                  std::vector<double> coefficients_si,
                                  document::Surface& surface);

// The value at scaled conditions.
double ValueAtScaled(const document::Surface& surface, const std::vector<double>& z);
// A point of the map, by number, in the scaled conditions of the surface.
std::vector<double> ScaledPoint(const document::StageMap& map,
                                const document::Surface& surface, size_t point);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_SHAPE_CHANGE_H_
