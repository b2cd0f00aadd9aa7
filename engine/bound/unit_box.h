// The map between a box and [-1, 1]^n, and polynomials rewritten in the unit coordinates.
//
// x_i = centre_i + radius_i v_i. The radius is rounded up, so that v in [-1, 1]^n covers
// the box (and at most some units in the last place more). Splitting [-1, 1] at middles
// is exact, and the bounds of rounding become sums of absolute coefficients.
#ifndef RATEBOUND_ENGINE_BOUND_UNIT_BOX_H_
#define RATEBOUND_ENGINE_BOUND_UNIT_BOX_H_

#include <array>
#include <vector>

#include "engine/bound/box.h"
#include "engine/bound/monomial_set.h"
#include "engine/bound/polynomial.h"

namespace ratebound::bound {

struct UnitMap {
  explicit UnitMap(const Box& box);

  // Rounded, and kept inside the box.
  void ToBox(const double* v, double* x) const;

  int variables;
  std::array<double, kMostVariables> lo{};
  std::array<double, kMostVariables> hi{};
  std::array<double, kMostVariables> centre{};
  std::array<double, kMostVariables> radius{};  // 0 exactly where the side has no width
};

// A polynomial in unit coordinates. For every member p of the family and all |v_i| <= 1:
//   |p(centre + radius v) - sum_a coefficients_a v^a| <= error.
struct UnitPolynomial {
  UnitPolynomial(const Polynomial& polynomial, const UnitMap& map);

  MonomialSet set;
  std::vector<double> coefficients;
  double error = 0;
  double absolute_sum = 0;  // of the coefficients
};

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_UNIT_BOX_H_
