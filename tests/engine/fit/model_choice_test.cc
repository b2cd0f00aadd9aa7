#include "engine/fit/model_choice.h"

#include <cmath>
#include <numeric>
#include <vector>

#include "engine/fit/lack_of_fit.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

constexpr auto kFailed = absl::StatusCode::kFailedPrecondition;

// Powers of two conditions with clearly present terms up to `degree`.
std::vector<double> Responses(Random& random,
                              const std::vector<std::vector<double>>& columns, int degree,
                              double noise) {
  std::vector<double> response;
  for (size_t i = 0; i < columns[0].size(); ++i) {
    double y = 40;
    for (int d = 1; d <= degree; ++d) {
      double power = 1;
      for (int k = 0; k < d; ++k) power *= columns[0][i] + 0.5 * columns[1][i];
      y += 10 * power;
    }
    response.push_back(y + noise * random.Normal());
  }
  return response;
}

std::vector<std::vector<double>> Points(Random& random, int count) {
  std::vector<std::vector<double>> columns(2);
  for (int i = 0; i < count; ++i) {
    for (std::vector<double>& column : columns) column.push_back(random.Uniform(-1, 1));
  }
  return columns;
}

TEST(ModelChoiceTest, TheDegreeOfTheTruthIsFound) {
  Random random("THE_DEGREE_OF_THE_TRUTH_IS_FOUND");
  for (int round = 0; round < 60; ++round) {
    const int truth = 1 + round % 3;
    const std::vector<std::vector<double>> columns = Points(random, 60);
    // Without noise all higher degrees fit too: the lowest must win.
    const std::vector<double> exact = Responses(random, columns, truth, 0);
    ASSERT_OK_AND_ASSIGN(const DegreeChoice choice,
                         ChooseDegree({.columns = columns, .response = exact}));
    EXPECT_EQ(choice.degree, truth);
    // Noise that hides no term.
    const std::vector<double> noisy = Responses(random, columns, truth, 0.1);
    ASSERT_OK_AND_ASSIGN(const DegreeChoice other,
                         ChooseDegree({.columns = columns, .response = noisy}));
    EXPECT_GE(other.degree, truth);
    EXPECT_EQ(other.candidates.size(), 3u);
    EXPECT_EQ(other.candidates[1].terms, 6);
  }
}

TEST(ModelChoiceTest, WhatThePointsCannotCarryIsRefusedWithReason) {
  Random random("WHAT_THE_POINTS_CANNOT_CARRY");
  std::vector<std::vector<double>> columns = Points(random, 9);
  for (size_t i = 0; i < 9; ++i) columns[1][i] = static_cast<double>(i % 3);
  const std::vector<double> response = Responses(random, columns, 1, 0.1);
  ASSERT_OK_AND_ASSIGN(const DegreeChoice choice,
                       ChooseDegree({.columns = columns, .response = response}));
  EXPECT_TRUE(choice.candidates[0].estimable);
  EXPECT_FALSE(choice.candidates[2].estimable);
  EXPECT_THAT(choice.candidates[2].refused,
              HasSubstr("column 1 takes 3 distinct levels"));

  EXPECT_THAT(
      ChooseDegree({.columns = std::vector<std::vector<double>>{{1, 2}},
                    .response = std::vector<double>{1, 2}}),
      StatusIs(kFailed, HasSubstr("degree 1: 2 points cannot determine 2 terms")));
  const std::vector<double> short_response(3);
  EXPECT_THAT(
      ChooseDegree({.columns = columns, .response = short_response}),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("3 responses for 9 rows")));
}

TEST(ModelChoiceTest, BlocksAreLeftOutWhole) {
  Random random("BLOCKS_ARE_LEFT_OUT_WHOLE");
  // Each block has its own offset at its own place: single points are foretold by their
  // block.
  std::vector<std::vector<double>> columns(1);
  std::vector<double> response;
  std::vector<int> blocks;
  for (int block = 0; block < 8; ++block) {
    const double offset = 3 * random.Normal();
    for (int i = 0; i < 6; ++i) {
      columns[0].push_back(block + 0.02 * i);
      response.push_back(20 + 5.0 * block + offset + 0.05 * random.Normal());
      blocks.push_back(block);
    }
  }
  const DegreeChoiceProblem alone = {
      .columns = columns, .response = response, .greatest_degree = 6};
  DegreeChoiceProblem whole = alone;
  whole.blocks = blocks;
  ASSERT_OK_AND_ASSIGN(const DegreeChoice by_point, ChooseDegree(alone));
  ASSERT_OK_AND_ASSIGN(const DegreeChoice by_block, ChooseDegree(whole));
  EXPECT_GT(by_point.degree, by_block.degree);
  EXPECT_GT(*by_block.candidates[3].leave_block_out_rms, by_block.candidates[3].loo_rms);
}

TEST(ModelChoiceTest, AColumnThatRestsOnOnePointIsRefused) {
  std::vector<std::vector<double>> columns(2);
  std::vector<double> response;
  for (int i = 0; i < 10; ++i) {
    columns[0].push_back(i);
    columns[1].push_back(i == 4 ? 1 : 0);
    response.push_back(i + 0.1 * (i % 3));
  }
  EXPECT_THAT(
      ChooseDegree({.columns = columns, .response = response, .greatest_degree = 1}),
      StatusIs(kFailed, HasSubstr("row 4 alone")));
}

// Draper and Smith, Applied Regression Analysis (3rd ed. 1998), the textbook split of a
// line with repeats; here on small integers worked by hand: x = 1,1,2,2,3,3 and y =
// 1,3,6,8,5,7. Line: slope 2, intercept 1; residuals -2,0,1,3,-2,0 (18); pure error 2+2+2
// = 6 on 3 degrees of freedom; lack of fit 12 on 1; F = 12 / 2 = 6.
TEST(LackOfFitTest, AgreesWithAHandWorkedSplit) {
  const std::vector<std::vector<double>> columns = {{1, 1, 2, 2, 3, 3}};
  const std::vector<double> response = {1, 3, 6, 8, 5, 7};
  const std::vector<int> groups = {1, 1, 2, 2, 3, 3};
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(columns, 1));
  ASSERT_OK_AND_ASSIGN(const DesignMatrix design, basis.Design(columns));
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit,
                       SolveLeastSquares({.design = design, .response = response}));
  ASSERT_OK_AND_ASSIGN(const LackOfFit test,
                       TestLackOfFit(fit, {.response = response, .groups = groups}));
  EXPECT_EQ(test.lack_degrees_of_freedom, 1);
  EXPECT_EQ(test.pure_error_degrees_of_freedom, 3);
  EXPECT_NEAR(test.pure_error_sum_of_squares, 6, 1e-13);
  EXPECT_NEAR(test.lack_of_fit_sum_of_squares, 12, 1e-12);
  EXPECT_NEAR(test.f, 6, 1e-12);
  EXPECT_NEAR(test.pure_error_sd, std::sqrt(2.0), 1e-14);
  // R 4.2.2: pf(6, 1, 3, lower.tail = FALSE) = 0.09172111331157187
  EXPECT_NEAR(test.p_value, 0.09172111331157187, 1e-12);
}

TEST(LackOfFitTest, FalseAlarmsComeAtTheStatedRate) {
  Random random("FALSE_ALARMS_COME_AT_THE_STATED_RATE");
  int alarms = 0;
  const int kRounds = 2000;
  for (int round = 0; round < kRounds; ++round) {
    std::vector<std::vector<double>> columns(1);
    std::vector<double> response;
    std::vector<int> groups;
    for (int i = 0; i < 16; ++i) {
      const int level = i / 2;
      columns[0].push_back(level);
      response.push_back(3 - 0.5 * level + random.Normal());
      groups.push_back(level);
    }
    const PolynomialBasis basis = *PolynomialBasis::ForPoints(columns, 1);
    const DesignMatrix design = *basis.Design(columns);
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit,
                         SolveLeastSquares({.design = design, .response = response}));
    ASSERT_OK_AND_ASSIGN(const LackOfFit test,
                         TestLackOfFit(fit, {.response = response, .groups = groups}));
    alarms += test.p_value < 0.05;
  }
  // 5 % of 2000 is 100; four standard deviations are 39.
  EXPECT_NEAR(alarms, 0.05 * kRounds, 39);
}

TEST(LackOfFitTest, WithoutScatterThereIsNoTest) {
  const std::vector<std::vector<double>> columns = {{1, 2, 3, 4, 4}};
  const std::vector<double> response = {1, 3, 6, 8, 8};
  const PolynomialBasis basis = *PolynomialBasis::ForPoints(columns, 1);
  const DesignMatrix design = *basis.Design(columns);
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit,
                       SolveLeastSquares({.design = design, .response = response}));
  const auto test = [&](std::vector<int> groups) {
    return TestLackOfFit(fit, {.response = response, .groups = groups});
  };
  EXPECT_THAT(test({1, 2, 3, 4, 5}),
              StatusIs(kFailed, HasSubstr("no condition was tested twice")));
  EXPECT_THAT(test({1, 2, 3, 4, 4}), StatusIs(kFailed, HasSubstr("agree exactly")));
  EXPECT_THAT(test({1, 1, 1, 4, 4}),
              StatusIs(kFailed, HasSubstr("2 distinct conditions")));
}

}  // namespace
}  // namespace ratebound::fit
