#include "engine/number/dual.h"

#include <cmath>
#include <limits>

#include "Eigen/Core"
#include "gtest/gtest.h"
#include "tests/testing/random.h"
#include "unsupported/Eigen/AutoDiff"

namespace ratebound::number {
namespace {

using ::ratebound::testing::Random;

// The same formula in this room's names and in the standard library's, which Eigen
// overloads.
template <typename T>
T OurFormula(const T& x, const T& y, const T& z) {
  T w = Exp(x / y) * Sqrt(z) - Log(y + 2.0) * 3.0;
  w += Pow(z, 1.7) / (1.0 + x * x) - y;
  w -= 2.0 / z;
  w *= 0.5 + Sin(x) * Cos(y);
  return w / (Tanh(z) + 1.0) + -x;
}
template <typename T>
T StandardFormula(const T& x, const T& y, const T& z) {
  using std::cos, std::exp, std::log, std::pow, std::sin, std::sqrt, std::tanh;
  T w = exp(x / y) * sqrt(z) - log(y + 2.0) * 3.0;
  w += pow(z, 1.7) / (1.0 + x * x) - y;
  w -= 2.0 / z;
  w *= 0.5 + sin(x) * cos(y);
  return w / (tanh(z) + 1.0) + -x;
}

TEST(Dual, GradientAgreesWithEigensAutomaticDifferentiation) {
  using EigenDual = Eigen::AutoDiffScalar<Eigen::Vector3d>;
  Random random("DUAL_AGAINST_EIGEN");
  for (int trial = 0; trial < 500; ++trial) {
    const double at[3] = {random.Uniform(-2, 2), random.Uniform(1, 3),
                          random.Uniform(0.5, 4)};
    Dual<3> ours[3];
    EigenDual eigens[3];
    for (int i = 0; i < 3; ++i) {
      ours[i] = Dual<3>::Variable(at[i], i);
      eigens[i] = EigenDual(at[i], 3, i);
    }
    const Dual<3> our = OurFormula(ours[0], ours[1], ours[2]);
    const EigenDual eigen = StandardFormula(eigens[0], eigens[1], eigens[2]);
    EXPECT_NEAR(our.value, eigen.value(), 1e-13 * (1 + std::fabs(our.value)));
    for (int i = 0; i < 3; ++i) {
      EXPECT_NEAR(our.derivative[i], eigen.derivatives()[i],
                  1e-12 * (1 + std::fabs(our.derivative[i])));
    }
  }
}

TEST(Dual, GradientAgreesWithCentralDifferences) {
  Random random("DUAL_AGAINST_DIFFERENCES");
  for (int trial = 0; trial < 500; ++trial) {
    const double at[3] = {random.Uniform(-2, 2), random.Uniform(1, 3),
                          random.Uniform(0.5, 4)};
    const Dual<3> dual =
        OurFormula(Dual<3>::Variable(at[0], 0), Dual<3>::Variable(at[1], 1),
                   Dual<3>::Variable(at[2], 2));
    EXPECT_EQ(dual.value, OurFormula(at[0], at[1], at[2]));  // to the bit
    for (int i = 0; i < 3; ++i) {
      const double h = 1e-5;
      double above[3] = {at[0], at[1], at[2]};
      double below[3] = {at[0], at[1], at[2]};
      above[i] += h;
      below[i] -= h;
      const double difference = (OurFormula(above[0], above[1], above[2]) -
                                 OurFormula(below[0], below[1], below[2])) /
                                (2 * h);
      EXPECT_NEAR(dual.derivative[i], difference, 1e-7 * (1 + std::fabs(difference)));
    }
  }
}

TEST(Dual, EachFunctionHasItsDerivative) {
  const double x = 0.7;
  const auto d = Dual<1>::Variable(x, 0);
  EXPECT_DOUBLE_EQ(Exp(d).derivative[0], std::exp(x));
  EXPECT_DOUBLE_EQ(Expm1(d).derivative[0], std::exp(x));
  EXPECT_DOUBLE_EQ(Log(d).derivative[0], 1 / x);
  EXPECT_DOUBLE_EQ(Log1p(d).derivative[0], 1 / (1 + x));
  EXPECT_DOUBLE_EQ(Sqrt(d).derivative[0], 0.5 / std::sqrt(x));
  EXPECT_DOUBLE_EQ(Pow(d, 3.0).derivative[0], 3 * x * x);
  EXPECT_DOUBLE_EQ(Pow(2.0, d).derivative[0], std::pow(2, x) * std::log(2));
  EXPECT_DOUBLE_EQ(Pow(d, d).derivative[0], std::pow(x, x) * (std::log(x) + 1));
  EXPECT_DOUBLE_EQ(IntegerPower(d, 5).derivative[0], 5 * x * x * x * x);
  EXPECT_DOUBLE_EQ(IntegerPower(d, -2).derivative[0], -2 / (x * x * x));
  EXPECT_DOUBLE_EQ(Atan(d).derivative[0], 1 / (1 + x * x));
  EXPECT_EQ(Fabs(-d).derivative[0], 1);
  EXPECT_EQ((1.0 - d).derivative[0], -1);
  EXPECT_EQ((d - 1.0).derivative[0], 1);
}

TEST(Dual, KinksAndSingularities) {
  EXPECT_EQ(Fabs(Dual<1>::Variable(0, 0)).derivative[0], 0);
  EXPECT_EQ(Sqrt(Dual<1>::Variable(0, 0)).derivative[0],
            std::numeric_limits<double>::infinity());
  EXPECT_EQ(Pow(Dual<1>::Variable(0, 0), 0.0).derivative[0], 0);
}

TEST(Dual, ComparesByValue) {
  EXPECT_TRUE(Dual<2>::Variable(1, 0) < Dual<2>::Variable(2, 1));
  EXPECT_TRUE(Dual<2>::Variable(1, 0) == Dual<2>::Variable(1, 1));
  EXPECT_TRUE(Dual<2>(3) >= 3);
}

}  // namespace
}  // namespace ratebound::number
