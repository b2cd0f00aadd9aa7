#include "engine/map/shape_rows.h"

#include <algorithm>
#include <vector>

#include "engine/bound/bernstein.h"
#include "engine/bound/polynomial.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using ::testing::ElementsAre;

// Of 1, z, z^2 over [-1, 1] at degree 2: 1 1 1, -1 0 1, 1 -1 1 (by hand).
TEST(ShapeRows, AreTheBernsteinCoefficientsOfTheTerms) {
  const std::vector<int> exponents = {0, 1, 2};
  const LinearMargin margin{.variables = 1, .exponents = exponents};
  EXPECT_EQ(CountBernsteinRows(margin, 1), 3);
  EXPECT_THAT(BernsteinRows(margin, {.lo = {-1}, .hi = {1}}, 1),
              ElementsAre(1, -1, 1, 1, 0, -1, 1, 1, 1));
}

TEST(ShapeRows, ADerivativeOfAQuadraticIsExactAtTheEnds) {
  const std::vector<int> exponents = {0, 1, 2};
  const LinearMargin margin{.variables = 1, .exponents = exponents, .derivative = 0};
  EXPECT_EQ(CountBernsteinRows(margin, 8), 2);
  EXPECT_THAT(BernsteinRows(margin, {.lo = {-1}, .hi = {1}}, 8),
              ElementsAre(0, 1, -2, 0, 1, 2));
}

std::vector<int> FullExponents(int variables, int degree) {
  std::vector<int> exponents;
  std::vector<int> row(variables, 0);
  for (int next = 0; next < variables;) {
    int sum = 0;
    for (int e : row) sum += e;
    if (sum <= degree) exponents.insert(exponents.end(), row.begin(), row.end());
    next = 0;
    while (next < variables && ++row[next] > degree) row[next++] = 0;
  }
  return exponents;
}

// The least of all rows times the coefficients is a lower bound; the same as the bound
// engine gives for one part, and no lower for more parts.
TEST(ShapeRows, BoundAPolynomialAsTheBoundEngineDoes) {
  testing::Random random("BOUND_A_POLYNOMIAL_AS_THE_BOUND_ENGINE_DOES");
  for (int round = 0; round < 60; ++round) {
    const int n = random.Integer(1, 3);
    const int degree = random.Integer(1, 3);
    const std::vector<int> exponents = FullExponents(n, degree);
    const size_t terms = exponents.size() / n;
    std::vector<double> b;
    for (size_t t = 0; t < terms; ++t) b.push_back(random.Normal());
    bound::Box box;
    for (int v = 0; v < n; ++v) {
      box.lo.push_back(random.Uniform(-2, 0));
      box.hi.push_back(random.Uniform(0, 2));
    }
    const int derivative = random.Integer(-1, n - 1);
    const LinearMargin margin{
        .variables = n, .exponents = exponents, .derivative = derivative};
    bound::Polynomial p = bound::Polynomial::Create(n, exponents, b).value();
    if (derivative >= 0) p = p.Derivative(derivative);
    double last = 0;
    for (int parts : {1, 2, 4}) {
      const std::vector<double> rows = BernsteinRows(margin, box, parts);
      ASSERT_EQ(static_cast<int64_t>(rows.size()),
                CountBernsteinRows(margin, parts) * static_cast<int64_t>(terms));
      double least = 1e300;
      for (size_t at = 0; at < rows.size(); at += terms) {
        double sum = 0;
        for (size_t t = 0; t < terms; ++t) sum += rows[at + t] * b[t];
        least = std::min(least, sum);
      }
      if (parts == 1) {
        EXPECT_NEAR(least, bound::EncloseRange(p, box)->range.lo, 1e-9);
      } else {
        EXPECT_GE(least, last - 1e-9);
      }
      last = least;
      std::vector<double> z(n);
      for (int k = 0; k < 50; ++k) {
        for (int v = 0; v < n; ++v) z[v] = random.Uniform(box.lo[v], box.hi[v]);
        EXPECT_GE(p.Evaluate(z), least - 1e-9);
      }
    }
  }
}

}  // namespace
}  // namespace ratebound::map
