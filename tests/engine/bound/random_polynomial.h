// Random polynomials for property tests.
#ifndef RATEBOUND_TESTS_ENGINE_BOUND_RANDOM_POLYNOMIAL_H_
#define RATEBOUND_TESTS_ENGINE_BOUND_RANDOM_POLYNOMIAL_H_

#include <vector>

#include "engine/bound/polynomial.h"
#include "tests/testing/random.h"

namespace ratebound::bound {

// All monomials of total degree at most `degree`, with standard normal coefficients.
inline Polynomial RandomPolynomial(testing::Random& random, int variables, int degree) {
  std::vector<int> exponents;
  std::vector<double> coefficients;
  std::vector<int> row(variables);
  for (;;) {
    exponents.insert(exponents.end(), row.begin(), row.end());
    coefficients.push_back(random.Normal());
    int i = 0;
    for (; i < variables; ++i) {
      ++row[i];
      int total = 0;
      for (int e : row) total += e;
      if (total <= degree) break;
      row[i] = 0;
    }
    if (i == variables) break;
  }
  return *Polynomial::Create(variables, exponents, coefficients);
}

}  // namespace ratebound::bound

#endif  // RATEBOUND_TESTS_ENGINE_BOUND_RANDOM_POLYNOMIAL_H_
