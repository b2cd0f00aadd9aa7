#include "engine/claim/frame.h"

#include <algorithm>
#include <utility>

#include "engine/base/status_macros.h"
#include "engine/map/surface_polynomials.h"

namespace ratebound::claim {
namespace {

using bound::Polynomial;

document::Surface Scales(const Frame& frame) {
  document::Surface surface;
  surface.centre_si = frame.centre_si;
  surface.half_range_si = frame.half_range_si;
  return surface;
}

// The monomials of a surface as polynomials of another frame.
absl::StatusOr<std::vector<Polynomial>> BasisIn(const Frame& frame,
                                                const document::Surface& surface) {
  const int n = frame.variables();
  if (static_cast<int>(surface.centre_si.size()) != n) {
    return absl::InvalidArgumentError("surfaces of unlike numbers of conditions");
  }
  const size_t terms = surface.coefficients_si.size();
  // powers[i][e] is the e-th power of the surface's variable i.
  std::vector<std::vector<Polynomial>> powers(static_cast<size_t>(n));
  for (int i = 0; i < n; ++i) {
    ASSIGN_OR_RETURN(const Polynomial x, ConditionIn(frame, i));
    ASSIGN_OR_RETURN(const Polynomial shifted,
                     Sum(x, Polynomial::Constant(n, -surface.centre_si[i])));
    // The quotient 1 / half_range is rounded, which moves each coefficient by at most a
    // unit roundoff of itself: the product with one adds as much to its error.
    ASSIGN_OR_RETURN(
        Polynomial scaled,
        Product(shifted.Scale(1 / surface.half_range_si[i]), Polynomial::Constant(n, 1)));
    int degree = 0;
    for (size_t k = 0; k < terms; ++k) {
      degree = std::max(degree, surface.exponents[k * static_cast<size_t>(n) + i]);
    }
    powers[i] = {Polynomial::Constant(n, 1), scaled};
    for (int e = 2; e <= degree; ++e) {
      ASSIGN_OR_RETURN(Polynomial next, Product(powers[i].back(), scaled));
      powers[i].push_back(std::move(next));
    }
  }
  std::vector<Polynomial> basis;
  for (size_t k = 0; k < terms; ++k) {
    Polynomial term = Polynomial::Constant(n, 1);
    for (int i = 0; i < n; ++i) {
      const int e = surface.exponents[k * static_cast<size_t>(n) + i];
      if (e == 0) continue;
      ASSIGN_OR_RETURN(term, Product(term, powers[i][e]));
    }
    basis.push_back(std::move(term));
  }
  return basis;
}

}  // namespace

Frame FrameOf(const document::Surface& surface) {
  return {.centre_si = surface.centre_si, .half_range_si = surface.half_range_si};
}

absl::StatusOr<Polynomial> ConditionIn(const Frame& frame, int condition) {
  const int n = frame.variables();
  std::vector<int> exponents(static_cast<size_t>(2 * n), 0);
  exponents[static_cast<size_t>(n + condition)] = 1;
  const double coefficients[] = {frame.centre_si[condition],
                                 frame.half_range_si[condition]};
  return Polynomial::Create(n, exponents, coefficients);
}

absl::StatusOr<Polynomial> ValueIn(const Frame& frame, const document::Surface& surface) {
  if (FrameOf(surface) == frame) return map::ValuePolynomial(surface);
  ASSIGN_OR_RETURN(const std::vector<Polynomial> basis, BasisIn(frame, surface));
  Polynomial sum = Polynomial::Constant(frame.variables(), 0);
  for (size_t k = 0; k < basis.size(); ++k) {
    ASSIGN_OR_RETURN(sum, Sum(sum, basis[k].Scale(surface.coefficients_si[k])));
  }
  return sum;
}

absl::StatusOr<Polynomial> FormIn(const Frame& frame, const document::Surface& surface,
                                  const std::vector<double>& lower_triangle) {
  if (FrameOf(surface) == frame) return map::FormPolynomial(surface, lower_triangle);
  ASSIGN_OR_RETURN(const std::vector<Polynomial> basis, BasisIn(frame, surface));
  const size_t terms = basis.size();
  if (lower_triangle.size() != terms * (terms + 1) / 2) {
    return absl::FailedPreconditionError("the surface has no covariance");
  }
  std::vector<double> matrix(terms * terms, 0.0);
  for (size_t i = 0; i < terms; ++i) {
    for (size_t j = 0; j <= i; ++j) {
      matrix[i * terms + j] = matrix[j * terms + i] = lower_triangle[i * (i + 1) / 2 + j];
    }
  }
  return bound::QuadraticForm(basis, matrix);
}

absl::StatusOr<Polynomial> CutIn(const Frame& frame,
                                 const document::HalfSpace& half_space) {
  Polynomial sum = Polynomial::Constant(frame.variables(), half_space.constant);
  for (int i = 0; i < frame.variables(); ++i) {
    if (half_space.factors[i] == 0) continue;
    ASSIGN_OR_RETURN(const Polynomial x, ConditionIn(frame, i));
    ASSIGN_OR_RETURN(sum, Sum(sum, x.Scale(half_space.factors[i])));
  }
  return sum;
}

bound::Box BoxIn(const Frame& frame, const document::ConditionBox& box) {
  return map::ScaledBox(Scales(frame), box.low_si, box.high_si);
}

std::vector<double> PointOf(const Frame& frame, const std::vector<double>& z) {
  return map::UnscaledPoint(Scales(frame), z);
}

}  // namespace ratebound::claim
