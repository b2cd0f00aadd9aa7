#include "engine/claim/equivalence_statistics.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "engine/fit/intervals.h"
#include "engine/number/distribution.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::claim {
namespace {

using ::testing::HasSubstr;
using testing::StatusIs;

// Equivalent at the level just where the two-sided interval of confidence 1 - 2 level
// lies inside the margins.
TEST(TestEquivalence, IsTheIntervalInsideTheMargins) {
  testing::Random random("INTERVAL_INSIDE");
  int equivalent = 0;
  for (int trial = 0; trial < 500; ++trial) {
    const EquivalenceProblem problem = {
        .difference = random.Uniform(-3, 3),
        .standard_error = random.Uniform(0.1, 1.5),
        .degrees_of_freedom = random.Uniform(2, 40),
        .margin = random.Uniform(1, 5),
        .systematic = trial % 2 == 0 ? 0 : random.Uniform(0, 0.5)};
    ASSERT_OK_AND_ASSIGN(const EquivalenceTest test, TestEquivalence(problem, 0.05));
    const fit::Interval interval = fit::StudentInterval(
        problem.difference, problem.standard_error, problem.degrees_of_freedom, 0.9);
    const double margin = problem.margin - problem.systematic;
    EXPECT_EQ(test.equivalent, -margin < interval.low && interval.high < margin);
    EXPECT_EQ(test.equivalent, test.p_value < 0.05);
    EXPECT_EQ(test.equivalent, test.least_margin < problem.margin);
    equivalent += test.equivalent;
  }
  EXPECT_GT(equivalent, 50);
  EXPECT_LT(equivalent, 450);
}

// By hand: 4 within 10, standard error 2, 10 degrees of freedom; t(0.05; 10) = 1.812
// (handbook table, from memory).
TEST(TestEquivalence, WorkedByHand) {
  ASSERT_OK_AND_ASSIGN(
      const EquivalenceTest test,
      TestEquivalence(
          {.difference = 4, .standard_error = 2, .degrees_of_freedom = 10, .margin = 10},
          0.05));
  EXPECT_DOUBLE_EQ(test.above.statistic, 7);
  EXPECT_DOUBLE_EQ(test.below.statistic, 3);
  EXPECT_NEAR(test.critical, 1.812, 5e-4);
  EXPECT_NEAR(test.least_margin, 4 + 2 * 1.812, 2e-3);
  EXPECT_TRUE(test.equivalent);
}

// Specimens that differ by the whole margin are called equivalent in at most the level's
// share of trials, with equal and with unequal numbers of tests and noise.
TEST(TestEquivalence, ErrsAtTheLevelAtTheMargin) {
  struct Case {
    int first, second;
    double first_sd, second_sd;
  };
  for (const Case& c : {Case{6, 6, 1, 1}, Case{4, 12, 2, 1}, Case{12, 4, 2, 1}}) {
    testing::Random random("AT_THE_MARGIN");
    constexpr int kTrials = 10'000;
    int equivalent = 0;
    for (int trial = 0; trial < kTrials; ++trial) {
      const auto draw = [&](int count, double centre, double sd, double* variance) {
        std::vector<double> values;
        double mean = 0, squares = 0;
        for (int i = 0; i < count; ++i) {
          values.push_back(centre + sd * random.Normal());
          mean += values.back() / count;
        }
        for (const double v : values) squares += (v - mean) * (v - mean);
        *variance = squares / (count - 1) / count;
        return mean;
      };
      double first_variance, second_variance;
      const double first = draw(c.first, 8, c.first_sd, &first_variance);
      const double second = draw(c.second, 0, c.second_sd, &second_variance);
      ASSERT_OK_AND_ASSIGN(
          const EquivalenceTest test,
          TestEquivalence(
              {.difference = first - second,
               .standard_error = std::sqrt(first_variance + second_variance),
               .degrees_of_freedom = SatterthwaiteDegrees(first_variance, c.first - 1,
                                                          second_variance, c.second - 1),
               .margin = 8},
              0.05));
      equivalent += test.equivalent;
    }
    EXPECT_LE(equivalent, 0.057 * kTrials + 4 * std::sqrt(0.057 * 0.943 * kTrials));
    EXPECT_GE(equivalent, 0.03 * kTrials);
  }
}

TEST(TestRatioEquivalence, AtTheEdgeErrsAtTheLevel) {
  for (const double ratio : {1.05, 0.95}) {
    testing::Random random("RATIO_EDGE");
    constexpr int kTrials = 10'000;
    int equivalent = 0;
    for (int trial = 0; trial < kTrials; ++trial) {
      const double common = 0.7 * random.Normal();
      const SpecimenPair pair = {
          .first = 100 * ratio + common + 0.7 * random.Normal(),
          .second = 100 + common + 0.7 * random.Normal(),
          .first_variance = 0.98,
          .second_variance = 0.98,
          .covariance = 0.49,
          .degrees_of_freedom = std::numeric_limits<double>::infinity()};
      ASSERT_OK_AND_ASSIGN(const RatioEquivalence test,
                           TestRatioEquivalence(pair, 0.05, 0.05));
      equivalent += test.equivalent;
    }
    EXPECT_NEAR(equivalent, 0.05 * kTrials, 4 * std::sqrt(0.05 * 0.95 * kTrials))
        << ratio;
  }
}

TEST(TestRatioEquivalence, TheLeastFractionIsWhereItBegins) {
  const SpecimenPair pair = {.first = 103,
                             .second = 100,
                             .first_variance = 1,
                             .second_variance = 0.8,
                             .degrees_of_freedom = 9,
                             .systematic_fraction = 0.002};
  ASSERT_OK_AND_ASSIGN(const RatioEquivalence any, TestRatioEquivalence(pair, 0.5, 0.05));
  ASSERT_TRUE(any.least_fraction.has_value());
  EXPECT_GT(*any.least_fraction, 0.03);
  for (const double apart : {-1e-6, 1e-6}) {
    ASSERT_OK_AND_ASSIGN(const RatioEquivalence test,
                         TestRatioEquivalence(pair, *any.least_fraction + apart, 0.05));
    EXPECT_EQ(test.equivalent, apart > 0);
  }
}

TEST(TestRatioEquivalence, NothingIsEquivalentToWhatMayBeZero) {
  ASSERT_OK_AND_ASSIGN(const RatioEquivalence test,
                       TestRatioEquivalence({.first = 1,
                                             .second = 1,
                                             .first_variance = 1,
                                             .second_variance = 1,
                                             .covariance = 1,
                                             .degrees_of_freedom = 20},
                                            0.5, 0.05));
  EXPECT_FALSE(test.equivalent);
  EXPECT_EQ(test.p_value, 1);
  EXPECT_FALSE(test.least_fraction.has_value());
}

TEST(SatterthwaiteDegrees, LieBetweenTheFewerAndTheSum) {
  EXPECT_DOUBLE_EQ(SatterthwaiteDegrees(2, 7, 2, 7), 14);
  EXPECT_DOUBLE_EQ(SatterthwaiteDegrees(3, 5, 0, 9), 5);
  EXPECT_DOUBLE_EQ(SatterthwaiteDegrees(0, 5, 0, 9), 5);
  testing::Random random("SATTERTHWAITE");
  for (int i = 0; i < 200; ++i) {
    const double a = random.Uniform(2, 30), b = random.Uniform(2, 30);
    const double df =
        SatterthwaiteDegrees(random.Uniform(0, 5), a, random.Uniform(0, 5), b);
    EXPECT_GE(df, std::min(a, b) * (1 - 1e-12));
    EXPECT_LE(df, (a + b) * (1 + 1e-12));
  }
}

TEST(TestEquivalence, UnusableInputIsRefused) {
  const EquivalenceProblem good = {
      .difference = 0, .standard_error = 1, .degrees_of_freedom = 5, .margin = 1};
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EquivalenceProblem bad = good;
  bad.margin = 0;
  EXPECT_THAT(TestEquivalence(bad, 0.05),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("margin")));
  bad = good;
  bad.standard_error = -1;
  EXPECT_THAT(TestEquivalence(bad, 0.05),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("standard error")));
  bad = good;
  bad.difference = nan;
  EXPECT_THAT(TestEquivalence(bad, 0.05),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("difference")));
  bad = good;
  bad.degrees_of_freedom = 0;
  EXPECT_THAT(TestEquivalence(bad, 0.05),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("degrees")));
  EXPECT_THAT(TestEquivalence(good, 0.7),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("level")));
  EXPECT_THAT(TestRatioEquivalence({.first = 1,
                                    .second = 1,
                                    .first_variance = 1,
                                    .second_variance = 1,
                                    .covariance = 2,
                                    .degrees_of_freedom = 3},
                                   0.1, 0.05),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("covariance")));
}

}  // namespace
}  // namespace ratebound::claim
