#include "engine/bound/interval.h"

#include <mpfr.h>

#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "gtest/gtest.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::bound {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::Random;

constexpr double kLargest = std::numeric_limits<double>::max();
constexpr double kSmallestNormal = std::numeric_limits<double>::min();

// Real arithmetic by GNU MPFR: 4096 bits hold a sum or product of any two doubles
// exactly, and a quotient or root beyond the last bit.
class Real {
 public:
  Real() { mpfr_init2(value_, 4096); }
  explicit Real(double x) : Real() { mpfr_set_d(value_, x, MPFR_RNDN); }
  ~Real() { mpfr_clear(value_); }
  Real(const Real&) = delete;
  Real& operator=(const Real&) = delete;
  mpfr_ptr get() { return value_; }
  bool In(const Interval& x) const {
    return mpfr_cmp_d(value_, x.lo) >= 0 && mpfr_cmp_d(value_, x.hi) <= 0;
  }

 private:
  mpfr_t value_;
};

// Any finite double, all exponents alike, subnormals included.
double AnyDouble(Random& random) {
  for (;;) {
    const double x = std::bit_cast<double>(random.Bits());
    if (std::isfinite(x)) return x;
  }
}

// Mostly of one size, so that sums cancel.
double SomeDouble(Random& random) {
  switch (random.Integer(0, 5)) {
    case 0:
      return AnyDouble(random);
    case 1:
      return random.Integer(-4, 4);
    case 2:
      return std::ldexp(random.Uniform(-1, 1), -1060);  // subnormal
    default:
      return random.Uniform(-2, 2);
  }
}

Interval SomeInterval(Random& random, double* inside) {
  const double a = SomeDouble(random);
  const double b = SomeDouble(random);
  *inside = random.Integer(0, 1) ? a : b;
  return {std::min(a, b), std::max(a, b)};
}

TEST(Interval, HoldsTheRealResultOfEveryOperation) {
  OutsideCheck check({.name = "bound.interval_holds_the_real_result",
                      .source = "GNU MPFR, arithmetic of 4096 bits",
                      .tolerance = 0});
  Random random("INTERVAL_HOLDS_THE_REAL_RESULT");
  for (int i = 0; i < 100'000; ++i) {
    double p = 0;
    double q = 0;
    const Interval x = SomeInterval(random, &p);
    const Interval y = SomeInterval(random, &q);
    Real a(p);
    Real b(q);
    Real r;
    mpfr_add(r.get(), a.get(), b.get(), MPFR_RNDN);
    check.Holds("x + y", r.In(x + y));
    mpfr_sub(r.get(), a.get(), b.get(), MPFR_RNDN);
    check.Holds("x - y", r.In(x - y));
    mpfr_mul(r.get(), a.get(), b.get(), MPFR_RNDN);
    check.Holds("x * y", r.In(x * y));
    if (q != 0) {
      mpfr_div(r.get(), a.get(), b.get(), MPFR_RNDN);
      check.Holds("x / y", r.In(x / y));
    }
    mpfr_sqr(r.get(), a.get(), MPFR_RNDN);
    check.Holds("x squared", r.In(Sqr(x)));
    if (p >= 0) {
      mpfr_sqrt(r.get(), a.get(), MPFR_RNDN);
      check.Holds("root of x", r.In(Sqrt(x)));
    }
    const int exponent = random.Integer(0, 9);
    mpfr_pow_si(r.get(), a.get(), exponent, MPFR_RNDN);
    check.Holds("power of x", r.In(Power(x, exponent)));
    ASSERT_FALSE(HasFailure()) << "x = " << p << ", y = " << q << ", power " << exponent;
  }
}

TEST(Interval, PointResultsAreAFewUnitsWideAtMost) {
  Random random("INTERVAL_POINT_RESULTS_ARE_NARROW");
  for (int i = 0; i < 10'000; ++i) {
    const Interval x = random.Uniform(0.5, 2);
    const Interval y = random.Uniform(0.5, 2);
    for (const Interval& r : {x + y, x * y, x / y, Sqr(x), Sqrt(x)}) {
      EXPECT_LE(r.hi - r.lo, 4 * 0x1p-52 * r.hi);
    }
  }
}

// The same products without widening miss the real value almost always: the widening is
// what makes the test above pass.
TEST(Interval, WithoutWideningTheRealProductIsMissed) {
  Random random("INTERVAL_WITHOUT_WIDENING");
  int missed = 0;
  int held = 0;
  for (int i = 0; i < 10'000; ++i) {
    const double p = random.Uniform(1, 2);
    const double q = random.Uniform(1, 2);
    Real a(p);
    Real b(q);
    Real r;
    mpfr_mul(r.get(), a.get(), b.get(), MPFR_RNDN);
    missed += !r.In({p * q, p * q});
    held += r.In(Interval(p) * Interval(q));
  }
  EXPECT_GT(missed, 9'900);
  EXPECT_EQ(held, 10'000);
}

TEST(Interval, PredAndSuccReachTheNeighbours) {
  Random random("PRED_AND_SUCC_REACH_THE_NEIGHBOURS");
  std::vector<double> cases = {0.0,
                               -0.0,
                               1.0,
                               -1.0,
                               2.0,
                               0.5,
                               kLargest,
                               -kLargest,
                               kSmallestNormal,
                               -kSmallestNormal,
                               kSmallestSubnormal,
                               -kSmallestSubnormal};
  for (int i = 0; i < 100'000; ++i) cases.push_back(AnyDouble(random));
  for (double c : cases) {
    const double below = std::nextafter(c, -kInfinity);
    ASSERT_LE(Pred(c), below) << c;
    ASSERT_GE(Succ(c), std::nextafter(c, kInfinity)) << c;
    // At most one more unit, and that only near the subnormal range.
    ASSERT_GE(Pred(c), std::fabs(c) > 0x1p-1020 || std::fabs(c) < 0x1p-1022
                           ? below
                           : std::nextafter(below, -kInfinity))
        << c;
  }
  EXPECT_EQ(Pred(kInfinity), kLargest);
  EXPECT_EQ(Succ(-kInfinity), -kLargest);
  EXPECT_EQ(Pred(-kInfinity), -kInfinity);
  EXPECT_EQ(Succ(kInfinity), kInfinity);
}

TEST(Interval, OverflowLeavesAFiniteLowerEnd) {
  const Interval x = Interval(kLargest) * 2;
  EXPECT_EQ(x.lo, kLargest);
  EXPECT_EQ(x.hi, kInfinity);
  EXPECT_EQ(Power(1e200, 3).lo, kLargest);
  EXPECT_EQ((-Interval(kLargest) - kLargest).hi, -kLargest);
  // ... and what is built on it still holds the real 2 largest / 2 largest = 1.
  EXPECT_TRUE((x / x).Contains(1));
  EXPECT_TRUE((x - x).Contains(0));
}

TEST(Interval, UnderflowKeepsTheSign) {
  const Interval x = Interval(kSmallestSubnormal) * kSmallestSubnormal;
  EXPECT_GT(x.hi, 0);
  EXPECT_EQ(Sqr(kSmallestSubnormal).lo, 0);
}

TEST(Interval, NothingTimesUnboundedIsNothing) {
  const Interval x = Interval(0) * Interval::Entire();
  EXPECT_LE(x.Width(), 4 * kSmallestSubnormal);
  EXPECT_TRUE(x.Contains(0));
}

TEST(Interval, DivisionByAnIntervalWithNothingInside) {
  EXPECT_EQ(Interval(1) / Interval(-1, 1), Interval::Entire());
  EXPECT_EQ(Interval(1) / Interval(0), Interval::Entire());
  const Interval half = Interval(1, 2) / Interval(0, 4);
  EXPECT_LE(half.lo, 0.25);
  EXPECT_GT(half.lo, 0.2499);
  EXPECT_EQ(half.hi, kInfinity);
  EXPECT_EQ((Interval(1, 2) / Interval(-4, 0)).lo, -kInfinity);
}

TEST(Interval, EvenPowerOfAnIntervalAroundNothingStartsAtNothing) {
  EXPECT_EQ(Sqr(Interval(-1, 2)).lo, 0);
  EXPECT_GE(Sqr(Interval(-1, 2)).hi, 4);
  EXPECT_TRUE(Power(Interval(-2, 1), 3).Contains(Interval(-8, 1)));
}

TEST(Interval, NaNBecomesTheWholeLine) {
  const double nan = std::nan("");
  EXPECT_EQ(Interval(nan) + 1, Interval::Entire());
  EXPECT_EQ(Interval(nan) * 1, Interval::Entire());
  EXPECT_EQ(Interval(1) / Interval(nan), Interval::Entire());
  EXPECT_EQ(Power(Interval(nan), 2), Interval::Entire());
  EXPECT_EQ(Sqrt(Interval(nan)), Interval::Entire());
  EXPECT_EQ(Sqrt(Interval(-2, -1)), Interval::Entire());
}

TEST(Interval, HullAndIntersection) {
  EXPECT_EQ(Hull({1, 2}, {4, 5}), Interval(1, 5));
  EXPECT_EQ(Intersect({1, 3}, {2, 5}), Interval(2, 3));
  EXPECT_EQ(Intersect({1, 2}, {2, 5}), Interval(2));
  EXPECT_EQ(Intersect({1, 2}, {4, 5}), std::nullopt);
}

}  // namespace
}  // namespace ratebound::bound
