#include "engine/map/surface_polynomials.h"

#include <cmath>
#include <limits>

#include "engine/base/status_macros.h"

namespace ratebound::map {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

int Variables(const document::Surface& surface) {
  return static_cast<int>(surface.centre_si.size());
}

}  // namespace

absl::StatusOr<bound::Polynomial> ValuePolynomial(const document::Surface& surface) {
  return bound::Polynomial::Create(Variables(surface), surface.exponents,
                                   surface.coefficients_si);
}

absl::StatusOr<bound::Polynomial> FormPolynomial(
    const document::Surface& surface, const std::vector<double>& lower_triangle) {
  const int variables = Variables(surface);
  const int terms = static_cast<int>(surface.coefficients_si.size());
  if (static_cast<int>(lower_triangle.size()) != terms * (terms + 1) / 2) {
    return absl::FailedPreconditionError("the surface has no covariance");
  }
  // Products of monomials are monomials: exponents add, and doubling an entry is exact.
  // What adding entries of one monomial up rounds away, Create accounts for.
  std::vector<int> exponents;
  std::vector<double> coefficients;
  for (int i = 0; i < terms; ++i) {
    for (int j = 0; j <= i; ++j) {
      for (int v = 0; v < variables; ++v) {
        exponents.push_back(surface.exponents[i * variables + v] +
                            surface.exponents[j * variables + v]);
      }
      const double entry = lower_triangle[i * (i + 1) / 2 + j];
      coefficients.push_back(i == j ? entry : 2 * entry);
    }
  }
  return bound::Polynomial::Create(variables, exponents, coefficients);
}

bound::Box ScaledBox(const document::Surface& surface, const std::vector<double>& low_si,
                     const std::vector<double>& high_si) {
  bound::Box box;
  for (int i = 0; i < Variables(surface); ++i) {
    // Two roundings are at most two steps of the larger of the operands; widening the
    // difference before the division by a step of x covers the first, one more step the
    // second.
    const double centre = surface.centre_si[i];
    const double half_range = surface.half_range_si[i];
    const double low = std::nextafter(low_si[i] - centre, -kInfinity) / half_range;
    const double high = std::nextafter(high_si[i] - centre, kInfinity) / half_range;
    box.lo.push_back(std::nextafter(low, -kInfinity));
    box.hi.push_back(std::nextafter(high, kInfinity));
  }
  return box;
}

std::vector<double> UnscaledPoint(const document::Surface& surface,
                                  const std::vector<double>& z) {
  std::vector<double> x(z.size());
  for (size_t i = 0; i < z.size(); ++i) {
    x[i] = surface.centre_si[i] + surface.half_range_si[i] * z[i];
  }
  return x;
}

}  // namespace ratebound::map
