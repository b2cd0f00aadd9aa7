#include "engine/map/shape_change.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace ratebound::map {
namespace {

using document::Surface;

// d' C^-1 d over the fitted terms, by the Cholesky factor L of C: |L^-1 d|^2.
double QuadraticForm(const Surface& surface, const std::vector<int>& terms,
                     const std::vector<double>& d) {
  const size_t p = terms.size();
  std::vector<double> l(p * p);
  std::vector<double> u(p);
  double sum = 0;
  for (size_t i = 0; i < p; ++i) {
    for (size_t j = 0; j <= i; ++j) {
      double entry = TriangleEntry(surface.leverage_matrix, terms[i], terms[j]);
      for (size_t k = 0; k < j; ++k) entry -= l[i * p + k] * l[j * p + k];
      l[i * p + j] = i == j ? std::sqrt(std::max(entry, 0.0)) : entry / l[j * p + j];
    }
    u[i] = d[terms[i]];
    for (size_t k = 0; k < i; ++k) u[i] -= l[i * p + k] * u[k];
    u[i] /= l[i * p + i];
    sum += u[i] * u[i];
  }
  return sum;
}

}  // namespace

double TriangleEntry(const std::vector<double>& triangle, int i, int j) {
  const auto row = static_cast<size_t>(std::max(i, j));
  const auto column = static_cast<size_t>(std::min(i, j));
  return triangle[row * (row + 1) / 2 + column];
}

std::vector<int> FittedTerms(const Surface& surface) {
  std::vector<int> terms;
  for (int t = 0; t < static_cast<int>(surface.coefficients_si.size()); ++t) {
    if (TriangleEntry(surface.leverage_matrix, t, t) > 0) terms.push_back(t);
  }
  return terms;
}

double ValueAtScaled(const Surface& surface, const std::vector<double>& z) {
  const size_t n = z.size();
  double sum = 0;
  for (size_t t = 0; t < surface.coefficients_si.size(); ++t) {
    double term = surface.coefficients_si[t];
    for (size_t i = 0; i < n; ++i) {
      for (int k = surface.exponents[t * n + i]; k > 0; --k) term *= z[i];
    }
    sum += term;
  }
  return sum;
}

std::vector<double> ScaledPoint(const document::StageMap& map, const Surface& surface,
                                size_t point) {
  const size_t n = map.conditions.size();
  std::vector<double> z(n);
  for (size_t i = 0; i < n; ++i) {
    z[i] = (map.point_conditions_si[point * n + i] - surface.centre_si[i]) /
           surface.half_range_si[i];
  }
  return z;
}

SurfaceChange ReplaceCoefficients(const document::StageMap& map,
                                  std::vector<double> coefficients_si, Surface& surface) {
  const std::vector<int> terms = FittedTerms(surface);
  Surface difference = surface;
  for (size_t t = 0; t < coefficients_si.size(); ++t) {
    difference.coefficients_si[t] = coefficients_si[t] - surface.coefficients_si[t];
  }
  SurfaceChange change{.residual_sd_before_si = surface.residual_sd_si};
  for (size_t k = 0; k < map.point_ids.size(); ++k) {
    const double moved = ValueAtScaled(difference, ScaledPoint(map, surface, k));
    if (std::fabs(moved) > std::fabs(change.greatest_change_si)) {
      change.greatest_change_si = moved;
      change.greatest_change_point = map.point_ids[k];
    }
  }
  const double added = QuadraticForm(surface, terms, difference.coefficients_si);
  const double degrees = std::max(
      1.0, static_cast<double>(surface.point_count) - static_cast<double>(terms.size()));
  const double before = surface.residual_sd_si * surface.residual_sd_si * degrees;
  surface.residual_sd_si = std::sqrt((before + added) / degrees);
  if (before > 0) {
    surface.r_squared = 1 - (1 - surface.r_squared) * (before + added) / before;
  }
  surface.coefficients_si = std::move(coefficients_si);
  change.residual_sd_after_si = surface.residual_sd_si;
  return change;
}

}  // namespace ratebound::map
