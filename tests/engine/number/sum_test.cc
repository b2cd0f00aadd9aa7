#include "engine/number/sum.h"

#include <cmath>
#include <limits>
#include <vector>

#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::number {
namespace {

using ::ratebound::testing::Random;

TEST(Sum, KeepsWhatCancellationWouldLose) {
  EXPECT_EQ(Sum(std::vector<double>{1, 1e100, 1, -1e100}), 2);
  EXPECT_EQ(Sum(std::vector<double>(10, 0.1)),
            1.0);  // a plain sum gives 0.9999999999999999
  EXPECT_EQ(Sum({}), 0);
  EXPECT_TRUE(std::isnan(Mean({})));
  EXPECT_EQ(Mean(std::vector<double>{1, 2, 6}), 3);
}

TEST(Sum, CorrectlyRoundedOnTermsOfOneSign) {
  Random random("SUM_OF_POSITIVE_TERMS");
  for (int trial = 0; trial < 50; ++trial) {
    std::vector<double> terms(2000);
    __float128 exact = 0;
    for (double& term : terms) {
      term = std::ldexp(random.Uniform(0, 1), random.Integer(-20, 20));
      exact += term;
    }
    EXPECT_EQ(Sum(terms), static_cast<double>(exact));
  }
}

TEST(Dot, KeepsWhatCancellationWouldLose) {
  const std::vector<double> a = {1e16, 3, -1e16};
  const std::vector<double> b = {1.1, 1, 1.1};
  EXPECT_EQ(Dot(a, b), 3);
  // (1 + e)(1 + e) - 1 - 2e leaves e^2, far below the rounding of the first product.
  const double e = 0x1p-40;
  EXPECT_EQ(Dot(std::vector<double>{1 + e, -1, -2}, std::vector<double>{1 + e, 1, e}),
            e * e);
}

TEST(SumOfSquares, IsTheDotWithItself) {
  Random random("SUM_OF_SQUARES");
  std::vector<double> terms(1000);
  for (double& term : terms) term = random.Normal();
  EXPECT_EQ(SumOfSquares(terms), Dot(terms, terms));
  EXPECT_EQ(SumOfSquares(std::vector<double>{3, 4}), 25);
}

TEST(Sum, NonFiniteTermsGiveThePlainSum) {
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  EXPECT_EQ(Sum(std::vector<double>{1, kInfinity, 2}), kInfinity);
  EXPECT_EQ(Sum(std::vector<double>{1, -kInfinity, 2}), -kInfinity);
  EXPECT_TRUE(std::isnan(Sum(std::vector<double>{kInfinity, -kInfinity})));
  EXPECT_TRUE(std::isnan(Sum(std::vector<double>{1, std::nan("")})));
}

}  // namespace
}  // namespace ratebound::number
