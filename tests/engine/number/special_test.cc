// Values marked "50 digits" were computed with mpmath 1.2 at 50 decimal digits.
#include "engine/number/special.h"

#include <cmath>
#include <limits>

#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::number {
namespace {

using ::ratebound::testing::Random;

double RelativeError(double value, double exact) { return std::fabs(value / exact - 1); }

TEST(Erf, AgreesWithTheLongDoubleLibraryFarIntoTheTail) {
  Random random("ERF");
  for (int i = 0; i < 20000; ++i) {
    const double x = random.Uniform(-6, 6);
    ASSERT_LE(std::fabs(Erf(x) / erfl(x) - 1), 2.3e-16L) << x;
    const double far = random.Uniform(-6, 26);
    ASSERT_LE(std::fabs(Erfc(far) / erfcl(far) - 1), 3.4e-16L) << far;
  }
  EXPECT_EQ(Erf(0), 0);
  EXPECT_EQ(Erfc(-std::numeric_limits<double>::infinity()), 2);
  EXPECT_EQ(Erfc(std::numeric_limits<double>::infinity()), 0);
}

TEST(LogGamma, LogarithmsOfFactorialsAndTheZeros) {
  EXPECT_EQ(LogGamma(1), 0);
  EXPECT_EQ(LogGamma(2), 0);
  double log_factorial = 0;
  for (int n = 2; n <= 170; ++n) {
    log_factorial += static_cast<double>(logl(n));
    EXPECT_NEAR(LogGamma(n + 1), log_factorial, 1e-14 * log_factorial);
  }
  EXPECT_DOUBLE_EQ(LogGamma(0.5), 0.57236494292470008707);  // log sqrt(pi)
  EXPECT_TRUE(std::isnan(LogGamma(0)));
  EXPECT_TRUE(std::isnan(LogGamma(-0.5)));
}

TEST(StirlingRemainder, FiftyDigitValues) {
  const struct {
    double x, exact;
  } kCases[] = {{1e-5, 4.837643556460688417},     {0.1, 0.51274008133191492716},
                {0.5, 0.15342640972002734529},    {1.5, 0.054814121051917653896},
                {3, 0.027677925684998339149},     {10, 0.0083305634333628712565},
                {14.9, 0.0055920025122508301839}, {15, 0.005554733551962801371},
                {100, 0.00083333055563491468338}, {1e6, 8.3333333333330555556e-8}};
  for (const auto& [x, exact] : kCases) {
    EXPECT_NEAR(StirlingRemainder(x), exact, 4e-15) << x;
  }
}

TEST(Log1pMinusX, FiftyDigitValuesOnBothSidesOfTheSwitch) {
  const struct {
    double x, exact;
  } kCases[] = {{1e-8, -4.9999999666666671259e-17}, {-0.3, -0.056674943938732374155},
                {0.5, -0.094534891891835618022},    {-0.5, -0.19314718055994530942},
                {0.49, -0.091223880042632224123},   {1e-3, -4.996669164668332114e-7},
                {-0.9, -1.4025850929940458839},     {3, -1.6137056388801093812}};
  for (const auto& [x, exact] : kCases) {
    EXPECT_LE(RelativeError(Log1pMinusX(x), exact), 5e-16) << x;
  }
}

TEST(IncompleteBeta, FiftyDigitValues) {
  const struct {
    double a, b, x, y, lower;
  } kCases[] = {{0.5, 0.5, 0.25, 0.75, 1.0 / 3},
                {2, 3, 0.25, 0.75, 0.26171875},
                {0.01, 3, 1e-20, 1, 0.64045325251462015155},
                {30, 0.2, 0.5, 0.5, 2.2615965795962415804e-11}};
  for (const auto& c : kCases) {
    EXPECT_LE(RelativeError(IncompleteBeta(c.a, c.b, c.x, c.y).lower, c.lower), 3e-14);
    EXPECT_LE(RelativeError(IncompleteBeta(c.b, c.a, c.y, c.x).upper, c.lower), 3e-14);
  }
}

// For whole n, I_x(a, n - a + 1) is the chance of at least a successes in n trials.
TEST(IncompleteBeta, IsTheBinomialTail) {
  for (int n : {1, 5, 40}) {
    for (int a = 1; a <= n; ++a) {
      for (double x : {0.125, 0.5, 0.875}) {
        long double tail = 0;
        for (int k = a; k <= n; ++k) {
          tail += expl(lgammal(n + 1.0L) - lgammal(k + 1.0L) - lgammal(n - k + 1.0L) +
                       k * logl(x) + (n - k) * logl(1 - x));
        }
        const double exact = static_cast<double>(tail);
        EXPECT_LE(RelativeError(IncompleteBeta(a, n - a + 1, x, 1 - x).lower, exact),
                  2e-13)
            << n << " " << a << " " << x;
      }
    }
  }
}

TEST(IncompleteBeta, RecurrenceInTheFirstParameter) {
  // DLMF 8.17.20: I_x(a, b) - I_x(a+1, b) = x^a y^b / (a B(a, b)), the slope over a.
  Random random("INCOMPLETE_BETA_RECURRENCE");
  for (int i = 0; i < 2000; ++i) {
    const double a = std::exp(random.Uniform(-2, 8));
    const double b = std::exp(random.Uniform(-2, 8));
    const double x = random.Uniform(0, 1);
    const auto here = IncompleteBeta(a, b, x, 1 - x);
    const auto next = IncompleteBeta(a + 1, b, x, 1 - x);
    ASSERT_NEAR(here.lower - next.lower, here.slope / a, 1e-13)
        << a << " " << b << " " << x;
    ASSERT_NEAR(here.lower + here.upper, 1, 1e-15);
  }
}

TEST(IncompleteGamma, ExponentialAndErrorFunctionCases) {
  Random random("INCOMPLETE_GAMMA_CASES");
  for (int i = 0; i < 2000; ++i) {
    const double x = random.Uniform(0, 30);
    ASSERT_LE(RelativeError(IncompleteGamma(1, x).upper, static_cast<double>(expl(-x))),
              1e-14);
    ASSERT_LE(
        RelativeError(IncompleteGamma(1, x).lower, static_cast<double>(-expm1l(-x))),
        1e-14);
    const long double root = sqrtl(x);
    ASSERT_NEAR(IncompleteGamma(0.5, x).upper, static_cast<double>(erfcl(root)), 1e-15);
  }
}

TEST(IncompleteIntegrals, OutsideTheDomainIsNotANumber) {
  EXPECT_TRUE(std::isnan(IncompleteBeta(0, 1, 0.5, 0.5).lower));
  EXPECT_TRUE(std::isnan(IncompleteBeta(1, 1, -0.1, 1.1).lower));
  EXPECT_TRUE(std::isnan(IncompleteBeta(1, 1, 0.5, 0.4).lower));
  EXPECT_TRUE(std::isnan(IncompleteGamma(-1, 1).lower));
  EXPECT_TRUE(std::isnan(IncompleteGamma(1, -1).upper));
  EXPECT_EQ(IncompleteBeta(2, 3, 0, 1).upper, 1);
  EXPECT_EQ(IncompleteBeta(2, 3, 1, 0).lower, 1);
  EXPECT_EQ(IncompleteGamma(2, std::numeric_limits<double>::infinity()).lower, 1);
}

}  // namespace
}  // namespace ratebound::number
