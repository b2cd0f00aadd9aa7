#include "engine/bound/unit_box.h"

#include <algorithm>
#include <cmath>

#include "engine/bound/bernstein.h"
#include "engine/bound/interval.h"

namespace ratebound::bound {

UnitMap::UnitMap(const Box& box) : variables(box.variables()) {
  for (int i = 0; i < variables; ++i) {
    lo[i] = box.lo[i];
    hi[i] = box.hi[i];
    if (lo[i] == hi[i]) {
      centre[i] = lo[i];
      continue;
    }
    centre[i] = 0.5 * lo[i] + 0.5 * hi[i];
    radius[i] = std::max(Succ(hi[i] - centre[i]), Succ(centre[i] - lo[i]));
  }
}

void UnitMap::ToBox(const double* v, double* x) const {
  for (int i = 0; i < variables; ++i) {
    x[i] = std::clamp(centre[i] + radius[i] * v[i], lo[i], hi[i]);
  }
}

UnitPolynomial::UnitPolynomial(const Polynomial& polynomial, const UnitMap& map)
    : set(map.variables, polynomial.keys()),
      coefficients(set.Spread(polynomial.keys(), polynomial.coefficients())) {
  // Shift: 2 sum d roundings; the scale radius^a and its product: sum d + 1.
  const int roundings = 3 * set.SumOfDegrees() + 1;
  std::array<double, kMostVariables> reach{};
  for (int i = 0; i < map.variables; ++i) {
    reach[i] = std::fabs(map.centre[i]) + map.radius[i];
  }
  std::vector<double> monomials(set.size());
  set.Evaluate(reach.data(), monomials.data());
  const std::span<const MonomialKey> keys = polynomial.keys();
  double reached = 0;
  double inherited = 0;
  for (int k = 0; k < polynomial.terms(); ++k) {
    const double monomial = monomials[set.Index(keys[k])];
    reached += std::fabs(polynomial.coefficients()[k]) * monomial;
    inherited += polynomial.errors()[k] * monomial;
  }
  // The same count bounds the rounding of `inherited` and of `reach` itself.
  error = kGuard * inherited + RoundingBound(roundings, reached);

  set.Shift(map.centre.data(), coefficients.data());
  set.Evaluate(map.radius.data(), monomials.data());
  for (int k = 0; k < set.size(); ++k) {
    coefficients[k] *= monomials[k];
    absolute_sum += std::fabs(coefficients[k]);
  }
}

}  // namespace ratebound::bound
