#include "engine/points/uncertainty/coverage_interval.h"

#include <algorithm>
#include <numeric>
#include <vector>

#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::points {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::testing::HasSubstr;

TEST(SymmetricInterval, OrderStatisticsOfTheSupplement) {
  std::vector<double> draws(1000);
  std::iota(draws.begin(), draws.end(), 1);
  // q = 950, r = (1000 - 950)/2 = 25.
  EXPECT_EQ(SymmetricInterval(draws, 0.95).low, 25);
  EXPECT_EQ(SymmetricInterval(draws, 0.95).high, 975);
  // q = 951, r = the integer part of (1000 - 951 + 1)/2 = 25.
  EXPECT_EQ(SymmetricInterval(draws, 0.951).low, 25);
  EXPECT_EQ(SymmetricInterval(draws, 0.951).high, 976);
}

TEST(SymmetricIntervalOf, FindsTheSameInDrawsOfAnyOrder) {
  for (double probability : {0.5, 0.95, 0.951}) {
    std::vector<double> draws;
    for (int i = 0; i < 1000; ++i) draws.push_back((i * 377) % 1000);
    std::vector<double> sorted = draws;
    std::sort(sorted.begin(), sorted.end());
    const Interval wanted = SymmetricInterval(sorted, probability);
    const Interval found = SymmetricIntervalOf(draws, probability);
    EXPECT_EQ(found.low, wanted.low) << probability;
    EXPECT_EQ(found.high, wanted.high) << probability;
  }
}

TEST(ShortestInterval, LeansTowardsTheDenseEnd) {
  std::vector<double> draws;
  for (int i = 0; i < 1000; ++i) draws.push_back(i * i);
  EXPECT_EQ(ShortestInterval(draws, 0.95).low, 0);
  EXPECT_EQ(ShortestInterval(draws, 0.95).high, 950 * 950);
  EXPECT_LT(ShortestInterval(draws, 0.95).width(),
            SymmetricInterval(draws, 0.95).width());
  // As many draws as can be spanned, where probability rounds to all of them.
  EXPECT_EQ(ShortestInterval(std::vector<double>{1, 2, 4}, 0.99).high, 4);
  EXPECT_EQ(SymmetricInterval(std::vector<double>{1, 2, 4}, 0.99).low, 1);
}

TEST(NumericalTolerance, HalfAUnitOfTheLastDigit) {
  OutsideCheck check({.name = "uncertainty.supplement1_numerical_tolerance",
                      .source = "JCGM 101:2008, 7.9.2, examples 1 to 3 (from memory)",
                      .tolerance = 1e-14});
  check.Relative("0.000 35 g, 2 digits", NumericalTolerance(0.00035, 2), 0.000005);
  check.Relative("0.000 3 g, 1 digit", NumericalTolerance(0.0003, 1), 0.00005);
  check.Relative("2 K, 1 digit", NumericalTolerance(2, 1), 0.5);
}

TEST(NumericalTolerance, RoundingThatCarriesAndPowersOfTen) {
  EXPECT_DOUBLE_EQ(NumericalTolerance(0.0996, 2), 0.005);  // 0.10
  EXPECT_DOUBLE_EQ(NumericalTolerance(9.6, 1), 5);         // 1e1
  for (const double power : {1e-9, 1e-3, 0.1, 1.0, 1000.0, 1e12}) {
    EXPECT_DOUBLE_EQ(NumericalTolerance(power, 1), power / 2);
    EXPECT_DOUBLE_EQ(NumericalTolerance(power, 2), power / 20);
  }
  EXPECT_EQ(NumericalTolerance(0, 1), 0);
}

TEST(CheckAdequacy, BothEndsCount) {
  EXPECT_TRUE(CheckAdequacy(10, 2, {8.04, 11.96}, 1.0, 2).is_adequate);
  EXPECT_FALSE(CheckAdequacy(10, 2, {8.06, 12}, 1.0, 2).is_adequate);
  EXPECT_FALSE(CheckAdequacy(10, 2, {8, 12.06}, 1.0, 2).is_adequate);
  EXPECT_TRUE(CheckAdequacy(10, 2, {8.06, 12}, 1.0, 1).is_adequate);
  EXPECT_TRUE(CheckAdequacy(10, 0, {10, 10}, 0, 1).is_adequate);
  EXPECT_FALSE(CheckAdequacy(10, 0, {9.9, 10.1}, 0, 1).is_adequate);
}

TEST(CheckAdequacy, TheSentenceGivesBothIntervals) {
  EXPECT_EQ(
      CheckAdequacy(10, 2, {8.5, 13}, 1.0, 1).sentence,
      "The linear answer is not adequate: the linear interval [8, 12] and the Monte "
      "Carlo interval [8.5, 13] differ by 0.5 at the low end and 1 at the high end, "
      "and no more than 0.5 is allowed for 1 significant digit of its standard "
      "uncertainty; report the Monte Carlo interval.");
  EXPECT_THAT(CheckAdequacy(10, 2, {8, 12}, 1.0, 2).sentence,
              HasSubstr("is adequate to 2 significant digits:"));
}

}  // namespace
}  // namespace ratebound::points
