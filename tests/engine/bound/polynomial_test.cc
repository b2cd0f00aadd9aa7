#include "engine/bound/polynomial.h"

#include <mpfr.h>

#include <cmath>
#include <limits>
#include <vector>

#include "engine/bound/bernstein.h"
#include "gtest/gtest.h"
#include "tests/engine/bound/random_polynomial.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::bound {
namespace {

using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

TEST(Polynomial, AddsEqualTermsAndDropsZeros) {
  ASSERT_OK_AND_ASSIGN(const Polynomial p,
                       Polynomial::Create(2, {1, 0, 0, 2, 1, 0, 1, 1}, {1.5, 3, 2.5, 0}));
  EXPECT_EQ(p.terms(), 2);
  EXPECT_EQ(p.Evaluate(std::vector<double>{2, 10}), 308);
  EXPECT_EQ(p.Degree(), 2);
  EXPECT_EQ(p.Degree(0), 1);
}

TEST(Polynomial, RefusesWhatIsNoPolynomial) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THAT(Polynomial::Create(1, {0}, {nan}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("not finite")));
  EXPECT_THAT(Polynomial::Create(1, {-1}, {1}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("exponent -1")));
  EXPECT_THAT(Polynomial::Create(2, {0}, {1}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("1 exponents")));
  EXPECT_THAT(Polynomial::Create(9, {0, 0, 0, 0, 0, 0, 0, 0, 0}, {1}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("9 variables")));
  EXPECT_THAT(Polynomial::Create(1, {1, 1}, {1e308, 1e308}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("not finite")));
}

TEST(Polynomial, DerivativeOfACubic) {
  ASSERT_OK_AND_ASSIGN(const Polynomial p,
                       Polynomial::Create(2, {3, 1, 0, 1, 0, 0}, {2, 5, 7}));
  const Polynomial d = p.Derivative(0);
  EXPECT_EQ(d.terms(), 1);
  EXPECT_EQ(d.Evaluate(std::vector<double>{2, 3}), 6 * 4 * 3);
}

// The coefficients of a covariance form are sums of many rounded products. Each must lie
// within its stated error of the value that MPFR computes from the same doubles.
TEST(Polynomial, StatedErrorsCoverTheRoundingOfAProduct) {
  Random random("POLYNOMIAL_STATED_ERRORS");
  int rounded = 0;
  for (int trial = 0; trial < 50; ++trial) {
    const Polynomial a = RandomPolynomial(random, 2, 3);
    const Polynomial b = RandomPolynomial(random, 2, 2);
    ASSERT_OK_AND_ASSIGN(const Polynomial ab, Product(a, b));
    for (int m = 0; m < ab.terms(); ++m) {
      mpfr_t exact;
      mpfr_t product;
      mpfr_init2(exact, 2000);
      mpfr_init2(product, 2000);
      mpfr_set_d(exact, 0, MPFR_RNDN);
      for (int k = 0; k < a.terms(); ++k) {
        for (int l = 0; l < b.terms(); ++l) {
          if (a.keys()[k] + b.keys()[l] != ab.keys()[m]) continue;
          mpfr_set_d(product, a.coefficients()[k], MPFR_RNDN);
          mpfr_mul_d(product, product, b.coefficients()[l], MPFR_RNDN);
          mpfr_add(exact, exact, product, MPFR_RNDN);
        }
      }
      mpfr_sub_d(exact, exact, ab.coefficients()[m], MPFR_RNDN);
      const double off = std::fabs(mpfr_get_d(exact, MPFR_RNDA));
      EXPECT_LE(off, ab.errors()[m]);
      EXPECT_LE(ab.errors()[m], 1e-14);
      rounded += off > 0;
      mpfr_clear(exact);
      mpfr_clear(product);
    }
  }
  EXPECT_GT(rounded, 500);
}

TEST(Polynomial, FormsAgreeWithTheirDefinition) {
  ASSERT_OK_AND_ASSIGN(const Polynomial one, Polynomial::Create(1, {0}, {1}));
  ASSERT_OK_AND_ASSIGN(const Polynomial x, Polynomial::Create(1, {1}, {1}));
  const std::vector<Polynomial> basis = {one, x};
  ASSERT_OK_AND_ASSIGN(const Polynomial q,
                       QuadraticForm(basis, std::vector<double>{4, -1, -1, 9}));
  EXPECT_EQ(q.Evaluate(std::vector<double>{3}), 4 - 2 * 3 + 9 * 9);
  ASSERT_OK_AND_ASSIGN(const Polynomial s, SumOfSquares(basis));
  EXPECT_EQ(s.Evaluate(std::vector<double>{3}), 10);
  EXPECT_THAT(
      QuadraticForm(basis, std::vector<double>{1}),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("4 matrix entries")));
  EXPECT_THAT(QuadraticForm(basis, std::vector<double>{1, std::nan(""), 0, 1}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("not finite")));
}

TEST(EncloseRange, HoldsEverySampleAndIsTightAtAVertex) {
  Random random("RANGE_HOLDS_EVERY_SAMPLE");
  for (int trial = 0; trial < 200; ++trial) {
    const int n = random.Integer(1, 4);
    const Polynomial p = RandomPolynomial(random, n, random.Integer(0, 4));
    Box box;
    const double scale = std::ldexp(1.0, random.Integer(-20, 5));
    for (int i = 0; i < n; ++i) {
      box.lo.push_back(random.Uniform(-3, 3));
      box.hi.push_back(box.lo[i] + scale * random.Uniform(0, 1));
    }
    ASSERT_OK_AND_ASSIGN(const RangeEnclosure range, EncloseRange(p, box));
    EXPECT_LE(range.range.lo, range.least_vertex.hi);
    EXPECT_GE(range.range.hi, range.greatest_vertex.lo);
    std::vector<Interval> x(n);
    for (int s = 0; s < 200; ++s) {
      for (int i = 0; i < n; ++i) {
        const double u =
            random.Integer(0, 2) == 0 ? random.Integer(0, 1) : random.Uniform(0, 1);
        x[i] = std::min(box.hi[i], box.lo[i] + u * (box.hi[i] - box.lo[i]));
      }
      const Interval value = p.Evaluate(x);
      ASSERT_LE(range.range.lo, value.hi);
      ASSERT_GE(range.range.hi, value.lo);
    }
  }
}

// Over a small box the coefficient at a vertex is the minimum, so the bound is the value
// up to the rounding: the enclosure is not merely sound.
TEST(EncloseRange, IsSharpWherePolynomialIsMonotone) {
  ASSERT_OK_AND_ASSIGN(
      const Polynomial p,
      Polynomial::Create(2, {0, 0, 1, 0, 0, 1, 1, 1, 3, 0}, {1, 2, -3, 1, 1}));
  ASSERT_OK_AND_ASSIGN(const RangeEnclosure range, EncloseRange(p, {{0, 0}, {1, 1}}));
  EXPECT_NEAR(range.range.lo, -2, 1e-12);  // at (0, 1)
  EXPECT_NEAR(range.range.hi, 4, 1e-12);   // at (1, 0)
  EXPECT_LE(range.range.lo, -2);
  EXPECT_GE(range.range.hi, 4);
  EXPECT_TRUE(range.least_vertex.Contains(-2));
  EXPECT_TRUE(range.greatest_vertex.Contains(4));
}

TEST(EncloseRange, ABoxOfNoWidthGivesTheValue) {
  ASSERT_OK_AND_ASSIGN(const Polynomial p, Polynomial::Create(2, {2, 0, 0, 1}, {1, 1}));
  ASSERT_OK_AND_ASSIGN(const RangeEnclosure range, EncloseRange(p, {{0.1, 7}, {0.1, 7}}));
  EXPECT_LE(range.range.Width(), 1e-12);
  EXPECT_TRUE(range.range.Contains(7.01));
}

TEST(EncloseRange, HugeValuesGiveTheWholeLineAndNoFalseBound) {
  ASSERT_OK_AND_ASSIGN(const Polynomial p,
                       Polynomial::Create(1, {4, 3}, {1e300, -1e300}));
  ASSERT_OK_AND_ASSIGN(const RangeEnclosure range, EncloseRange(p, {{-1e10}, {1e10}}));
  EXPECT_EQ(range.range, Interval::Entire());
}

// 1 + 2^60 - 2^60 is 0 in doubles; the exact sum is 1, and the range holds it.
TEST(EncloseRange, HoldsTheExactResultOfACancelledSum) {
  const Polynomial huge = Polynomial::Constant(1, 0x1p60);
  ASSERT_OK_AND_ASSIGN(const Polynomial up, Sum(Polynomial::Constant(1, 1), huge));
  ASSERT_OK_AND_ASSIGN(const Polynomial sum, Sum(up, huge.Scale(-1)));
  ASSERT_OK_AND_ASSIGN(const RangeEnclosure range, EncloseRange(sum, {{0}, {1}}));
  EXPECT_TRUE(range.range.Contains(1));
  EXPECT_TRUE(range.least_vertex.Contains(1));
  EXPECT_LT(range.range.hi, 1000);
}

TEST(EncloseRange, LargeTensorsTakeTheCentredForm) {
  Random random("RANGE_CENTRED_FORM");
  const int n = 8;
  const Polynomial p = RandomPolynomial(random, n, 4);  // 5^8 coefficients as a tensor
  const Box box{std::vector<double>(n, 0.5), std::vector<double>(n, 0.6)};
  ASSERT_OK_AND_ASSIGN(const RangeEnclosure range, EncloseRange(p, box));
  std::vector<Interval> x(n);
  for (int s = 0; s < 100; ++s) {
    for (Interval& xi : x) xi = random.Uniform(0.5, 0.6);
    const Interval value = p.Evaluate(x);
    ASSERT_LE(range.range.lo, value.hi);
    ASSERT_GE(range.range.hi, value.lo);
  }
  EXPECT_LE(range.range.lo, range.least_vertex.hi);
  EXPECT_GE(range.range.hi, range.greatest_vertex.lo);
}

TEST(EncloseRange, RefusesFaultyBoxes) {
  ASSERT_OK_AND_ASSIGN(const Polynomial p, Polynomial::Create(1, {1}, {1}));
  EXPECT_THAT(EncloseRange(p, {{1}, {0}}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("reversed")));
  EXPECT_THAT(EncloseRange(p, {{0}, {std::nan("")}}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("not finite")));
  EXPECT_THAT(EncloseRange(p, {{0, 0}, {1, 1}}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("2 lower")));
  ASSERT_OK_AND_ASSIGN(const Polynomial high, Polynomial::Create(1, {9}, {1}));
  EXPECT_THAT(EncloseRange(high, {{0}, {1}}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("degree 9")));
}

}  // namespace
}  // namespace ratebound::bound
