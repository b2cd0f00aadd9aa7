#include "engine/fit/normality.h"

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/fit/published_sets.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

TEST(NormalityTest, AgreesWithAnotherImplementation) {
  const ReferenceTable table("regression-diagnostics/influence.txt");
  OutsideCheck check({.name = "fit.shapiro_wilk",
                      .source =
                          "R 4.2.2: shapiro.test (Royston, AS R94, 1995); residuals "
                          "and responses of classical sets, integer samples of 3 to "
                          "5000",
                      .tolerance = 1e-10});
  const auto compare = [&](const std::string& set, const std::string& quantity,
                           const std::vector<double>& values) {
    ASSERT_OK_AND_ASSIGN(const NormalityTest test, TestNormality(values));
    const std::vector<double> theirs = table.Numbers(set, quantity);
    check.Relative(set + " " + quantity + " W", test.w, theirs[0]);
    // Relative to how sharply the probability follows W.
    const double distance = std::fabs(std::log(test.p_value / theirs[1]));
    check.Deviation(set + " " + quantity + " p",
                    distance / (1 + std::fabs(std::log(theirs[1]))));
  };
  for (const std::string set :
       {"stackloss", "anscombe1", "anscombe2", "anscombe3", "phones", "cars"}) {
    const PublishedSet data = ReadPublishedSet(set);
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(data.problem()));
    compare(set, "residual_normality", fit.residuals);
    compare(set, "response_normality", data.response);
  }
  for (const int n : {3, 4, 5, 6, 7, 10, 11, 12, 13, 20, 50, 100, 500, 2000, 5000}) {
    std::vector<double> near_normal, skewed;
    for (long i = 1; i <= n; ++i) {
      near_normal.push_back(
          static_cast<double>(i * 7919 % 1009 + i * 104729 % 997 + i * 1299709 % 991));
      skewed.push_back(static_cast<double>((i * 7919 % 1009) * (i * 7919 % 1009)));
    }
    compare("sample", "near_normal_" + std::to_string(n), near_normal);
    compare("sample", "skewed_" + std::to_string(n), skewed);
  }
}

TEST(NormalityTest, LevelIsHeldAndLargeDeviationsAreSeen) {
  Random random("LEVEL_IS_HELD");
  for (const int n : {8, 20, 60}) {
    int rejected = 0, seen = 0;
    constexpr int kRounds = 4000;
    for (int round = 0; round < kRounds; ++round) {
      std::vector<double> values;
      for (int i = 0; i < n; ++i) values.push_back(1000 + 3 * random.Normal());
      rejected += TestNormality(values)->p_value < 0.05;
      values[0] += 30;
      seen += TestNormality(values)->p_value < 0.05;
    }
    EXPECT_NEAR(rejected, 0.05 * kRounds, 4.5 * std::sqrt(0.05 * 0.95 * kRounds)) << n;
    EXPECT_GT(seen, 0.98 * kRounds) << n;
  }
}

TEST(NormalityTest, UnitsAndSignDoNotMatter) {
  const std::vector<double> values = {3, 1, 4, 1.5, 9, 2.6, 5, 3.5};
  std::vector<double> other;
  for (const double value : values) other.push_back(1e6 - 1e-3 * value);
  ASSERT_OK_AND_ASSIGN(const NormalityTest test, TestNormality(values));
  ASSERT_OK_AND_ASSIGN(const NormalityTest turned, TestNormality(other));
  EXPECT_NEAR(test.w, turned.w, 1e-7);
  EXPECT_NEAR(test.p_value, turned.p_value, 1e-6);
}

TEST(NormalityTest, WhatCannotBeJudgedIsRefused) {
  constexpr auto kPrecondition = absl::StatusCode::kFailedPrecondition;
  EXPECT_THAT(TestNormality(std::vector{1.0, 2.0}),
              StatusIs(kPrecondition, HasSubstr("there are 2")));
  EXPECT_THAT(TestNormality(std::vector<double>(5001)),
              StatusIs(kPrecondition, HasSubstr("there are 5001")));
  EXPECT_THAT(TestNormality(std::vector<double>(7, 3.25)),
              StatusIs(kPrecondition, HasSubstr("all values are equal")));
  EXPECT_THAT(
      TestNormality(std::vector{1.0, std::numeric_limits<double>::quiet_NaN(), 2.0}),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("value 1")));
}

}  // namespace
}  // namespace ratebound::fit
