#include "engine/number/elementary.h"

#include <cmath>
#include <limits>
#include <string>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::number {
namespace {

using ::ratebound::testing::Random;

constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kLeast = std::numeric_limits<double>::denorm_min();

// Error in units of the last place of the exact value, as the C library's long double
// gives it (good to about 1e-19, so an independent reference for doubles).
double ErrorInUlps(double value, long double exact) {
  const double rounded = static_cast<double>(exact);
  const double size = std::fabs(rounded);
  const double ulp = std::nextafter(size, kInfinity) - size;
  return static_cast<double>(std::fabs(value - exact) / ulp);
}

struct AccuracyCase {
  std::string name;
  double (*function)(double);
  long double (*reference)(long double);
  double low, high;
};

class ElementaryAccuracy : public ::testing::TestWithParam<AccuracyCase> {};

TEST_P(ElementaryAccuracy, WithinOneUnitOfTheLastPlaceOfTheLongDoubleLibrary) {
  const AccuracyCase& c = GetParam();
  Random random(c.name);
  for (int i = 0; i < 20000; ++i) {
    const double x = random.Uniform(c.low, c.high);
    ASSERT_LE(ErrorInUlps(c.function(x), c.reference(x)), 1.0)
        << c.name << "(" << x << ")";
  }
}

INSTANTIATE_TEST_SUITE_P(
    Functions, ElementaryAccuracy,
    ::testing::Values(AccuracyCase{"Exp", Exp, expl, -700, 700},
                      AccuracyCase{"ExpNearZero", Exp, expl, -1, 1},
                      AccuracyCase{"Expm1", Expm1, expm1l, -2, 2},
                      AccuracyCase{"Log", Log, logl, 1e-3, 3},
                      AccuracyCase{"LogLarge", Log, logl, 1, 1e308},
                      AccuracyCase{"Log1p", Log1p, log1pl, -0.9, 2},
                      AccuracyCase{"Log1pHuge", Log1p, log1pl, 1e15, 1.79e308},
                      AccuracyCase{"Log10", Log10, log10l, 1e-3, 1e3},
                      AccuracyCase{"CubeRoot", CubeRoot, cbrtl, -1e3, 1e3},
                      AccuracyCase{"Sin", Sin, sinl, -100, 100},
                      AccuracyCase{"Cos", Cos, cosl, -100, 100},
                      AccuracyCase{"Tan", Tan, tanl, -100, 100},
                      AccuracyCase{"Asin", Asin, asinl, -1, 1},
                      AccuracyCase{"Acos", Acos, acosl, -1, 1},
                      AccuracyCase{"Atan", Atan, atanl, -50, 50},
                      AccuracyCase{"Sinh", Sinh, sinhl, -20, 20},
                      AccuracyCase{"Cosh", Cosh, coshl, -20, 20},
                      AccuracyCase{"Tanh", Tanh, tanhl, -5, 5}),
    [](const auto& test) { return test.param.name; });

TEST(Pow, WithinOneUnitOfTheLastPlaceOfTheLongDoubleLibrary) {
  Random random("POW_ACCURACY");
  for (int i = 0; i < 20000; ++i) {
    const double x = random.Uniform(0.01, 100);
    const double y = random.Uniform(-50, 50);
    ASSERT_LE(ErrorInUlps(Pow(x, y), powl(x, y)), 1.0) << x << " ^ " << y;
  }
}

TEST(Exp, EdgeCases) {
  EXPECT_EQ(Exp(0), 1);
  EXPECT_EQ(Exp(-kInfinity), 0);
  EXPECT_EQ(Exp(kInfinity), kInfinity);
  EXPECT_EQ(Exp(709.79), kInfinity);
  EXPECT_EQ(Exp(709.78), std::exp(709.78));
  EXPECT_EQ(Exp(-745.2), 0);
  EXPECT_EQ(Exp(-745.1), kLeast);
  EXPECT_TRUE(std::isnan(Exp(kNan)));
  EXPECT_EQ(Expm1(-kInfinity), -1);
  EXPECT_EQ(Expm1(kLeast), kLeast);
  EXPECT_TRUE(std::signbit(Expm1(-0.0)));
  EXPECT_TRUE(std::isnan(Expm1(kNan)));
}

TEST(Log, EdgeCases) {
  EXPECT_EQ(Log(1), 0);
  EXPECT_EQ(Log(0), -kInfinity);
  EXPECT_EQ(Log(kInfinity), kInfinity);
  EXPECT_TRUE(std::isnan(Log(-1)));
  EXPECT_TRUE(std::isnan(Log(kNan)));
  EXPECT_DOUBLE_EQ(Log(kLeast), -744.44007192138122);  // -1074 log 2
  EXPECT_EQ(Log10(1000), 3);
  EXPECT_EQ(Log1p(-1), -kInfinity);
  EXPECT_EQ(Log1p(kInfinity), kInfinity);
  EXPECT_EQ(Log1p(kLeast), kLeast);
  EXPECT_TRUE(std::signbit(Log1p(-0.0)));
  EXPECT_TRUE(std::isnan(Log1p(-1.5)));
  EXPECT_TRUE(std::isnan(Log1p(kNan)));
}

TEST(Pow, EdgeCases) {
  EXPECT_EQ(Pow(kNan, 0), 1);
  EXPECT_EQ(Pow(1, kNan), 1);
  EXPECT_EQ(Pow(0, 0), 1);
  EXPECT_EQ(Pow(0, -1), kInfinity);
  EXPECT_EQ(Pow(-0.0, -3), -kInfinity);
  EXPECT_EQ(Pow(-2, 3), -8);
  EXPECT_TRUE(std::isnan(Pow(-2, 0.5)));
  EXPECT_TRUE(std::isnan(Pow(kNan, 1)));
  EXPECT_EQ(Pow(2, kInfinity), kInfinity);
  EXPECT_EQ(Pow(0.5, kInfinity), 0);
  EXPECT_EQ(Pow(2, -1074), kLeast);
  EXPECT_EQ(Pow(10, 2), 100);
}

TEST(Trigonometry, EdgeCases) {
  EXPECT_TRUE(std::signbit(Sin(-0.0)));
  EXPECT_TRUE(std::signbit(Tan(-0.0)));
  EXPECT_EQ(Sin(kLeast), kLeast);
  EXPECT_EQ(Cos(0), 1);
  for (double x : {kInfinity, -kInfinity, kNan}) {
    EXPECT_TRUE(std::isnan(Sin(x)));
    EXPECT_TRUE(std::isnan(Cos(x)));
    EXPECT_TRUE(std::isnan(Tan(x)));
  }
  // The hard argument of Ng 1992, Argument Reduction for Huge Arguments: sin(1e22).
  EXPECT_DOUBLE_EQ(Sin(1e22), -0.8522008497671888017727);
  EXPECT_TRUE(std::isnan(Asin(1.1)));
  EXPECT_TRUE(std::isnan(Acos(-1.1)));
  EXPECT_EQ(Tanh(kInfinity), 1);
}

TEST(IntegerPower, MultipliesInTheStatedOrder) {
  Random random("INTEGER_POWER_ORDER");
  for (int i = 0; i < 1000; ++i) {
    const double x = random.Uniform(-3, 3);
    EXPECT_EQ(IntegerPower(x, 1), x);
    EXPECT_EQ(IntegerPower(x, 2), x * x);
    EXPECT_EQ(IntegerPower(x, 3), x * (x * x));
    EXPECT_EQ(IntegerPower(x, 4), (x * x) * (x * x));
    EXPECT_EQ(IntegerPower(x, 5), x * ((x * x) * (x * x)));
    EXPECT_EQ(IntegerPower(x, 6), (x * x) * ((x * x) * (x * x)));
    EXPECT_EQ(IntegerPower(x, -2), 1 / (x * x));
  }
}

TEST(IntegerPower, ExactWhereThePowerIsRepresentable) {
  EXPECT_EQ(IntegerPower(3.0, 33), 5559060566555523.0);
  EXPECT_EQ(IntegerPower(-2.0, 1023), -0x1p1023);
  EXPECT_EQ(IntegerPower(kNan, 0), 1);
  EXPECT_EQ(IntegerPower(0.0, -1), kInfinity);
  EXPECT_EQ(IntegerPower(1.0, std::numeric_limits<int>::min()), 1);
}

}  // namespace
}  // namespace ratebound::number
