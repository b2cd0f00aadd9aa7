#include "engine/fit/model_choice.h"

#include <cmath>
#include <numeric>
#include <tuple>
#include <vector>

#include "engine/fit/lack_of_fit.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "engine/number/distribution.h"
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
  const LeastSquaresProblem problem{.design = design, .response = response};
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(problem));
  ASSERT_OK_AND_ASSIGN(const LackOfFit test, TestLackOfFit(problem, fit, groups));
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
    const LeastSquaresProblem problem{.design = design, .response = response};
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(problem));
    ASSERT_OK_AND_ASSIGN(const LackOfFit test, TestLackOfFit(problem, fit, groups));
    alarms += test.p_value < 0.05;
  }
  // 5 % of 2000 is 100; four standard deviations are 39.
  EXPECT_NEAR(alarms, 0.05 * kRounds, 39);
}

// Two days at each of three conditions, each day one point of each: a day's shift stands
// in all three groups, so K has d = 3 on one contrast and one degree of freedom is left.
// Where every repeat has days of its own, all three are.
TEST(LackOfFitTest, CountsDegreesOfFreedomInBlocks) {
  const std::vector<std::vector<double>> columns = {{1, 2, 3, 1, 2, 3}};
  const std::vector<double> response = {1, 6, 5, 3, 8, 7};
  const std::vector<int> groups = {1, 2, 3, 1, 2, 3};
  const PolynomialBasis basis = *PolynomialBasis::ForPoints(columns, 1);
  const DesignMatrix design = *basis.Design(columns);
  for (const auto& [blocks, lack, pure] :
       {std::tuple(std::vector<int>{0, 0, 0, 1, 1, 1}, 1.0, 1.0),
        std::tuple(std::vector<int>{0, 1, 2, 3, 4, 5}, 1.0, 3.0)}) {
    const LeastSquaresProblem problem{
        .design = design, .response = response, .blocks = blocks};
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(problem));
    ASSERT_OK_AND_ASSIGN(const LackOfFit test, TestLackOfFit(problem, fit, groups));
    EXPECT_NEAR(test.f, 6, 1e-12);  // as above, from the same numbers
    EXPECT_EQ(test.lack_degrees_used, lack);
    EXPECT_NEAR(test.pure_error_degrees_used, pure, 1e-12);
  }
}

TEST(LackOfFitTest, RepeatsWithinABlockAreOneObservation) {
  // The second group's repeats stand on one day; the others' on two.
  const std::vector<std::vector<double>> columns = {{1, 1, 2, 2, 3, 3, 4}};
  const std::vector<double> response = {1, 3, 6, 8, 5, 7, 9};
  const std::vector<int> groups = {1, 1, 2, 2, 3, 3, 4};
  const std::vector<int> blocks = {0, 1, 2, 2, 3, 4, 5};
  const PolynomialBasis basis = *PolynomialBasis::ForPoints(columns, 1);
  const DesignMatrix design = *basis.Design(columns);
  const LeastSquaresProblem problem{
      .design = design, .response = response, .blocks = blocks};
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(problem));
  ASSERT_OK_AND_ASSIGN(const LackOfFit test, TestLackOfFit(problem, fit, groups));
  EXPECT_EQ(test.pure_error_degrees_of_freedom, 2);
  EXPECT_EQ(test.lack_degrees_of_freedom, 2);
  EXPECT_NEAR(test.pure_error_sum_of_squares, 2 + 2, 1e-12);
  // The line through (1,1) (1,3) (2,7) (3,5) (3,7) (4,9); R 4.2.2: deviance(lm(y ~ x))
  // = 11.272727272727272.
  EXPECT_NEAR(test.lack_of_fit_sum_of_squares + test.pure_error_sum_of_squares,
              11.272727272727272, 1e-12);
  const std::vector<int> one_day(7, 0);
  const LeastSquaresProblem same_day{.design = design, .response = response};
  const LeastSquaresProblem blocked{
      .design = design, .response = response, .blocks = one_day};
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit plain, SolveLeastSquares(same_day));
  EXPECT_THAT(TestLackOfFit(blocked, plain, groups),
              StatusIs(kFailed, HasSubstr("in different blocks")));
}

// A true quadratic over two conditions whose points share a day's shift: the plain F test
// alarms in up to 3 % of campaigns at 1 % where days hold one level of a condition.
TEST(LackOfFitTest, DayEffectsRaiseNoFalseAlarms) {
  Random random("DAY_EFFECTS_RAISE_NO_FALSE_ALARMS");
  constexpr int kRounds = 2000, kDays = 20, kPerDay = 5;
  int alarms = 0, plain_alarms = 0, found = 0;
  for (int round = 0; round < kRounds; ++round) {
    std::vector<std::vector<double>> columns(2);
    std::vector<double> response, bent;
    std::vector<int> groups, blocks;
    for (int day = 0; day < kDays; ++day) {
      const double shift = random.Normal();
      for (int i = 0; i < kPerDay; ++i) {
        const int a = day % 5, b = (i + day) % 5;
        columns[0].push_back(a + 0.02 * random.Normal());
        columns[1].push_back(b + 0.02 * random.Normal());
        const double x = columns[0].back() - 2, y = columns[1].back() - 2;
        response.push_back(9 + x - y + 0.5 * x * y - x * x + shift +
                           0.3 * random.Normal());
        bent.push_back(response.back() + 2.0 * x * x * x * x);
        groups.push_back(5 * a + b);
        blocks.push_back(day);
      }
    }
    const PolynomialBasis basis = *PolynomialBasis::ForPoints(columns, 2);
    const DesignMatrix design = *basis.Design(columns);
    const auto probability = [&](const std::vector<double>& values, double* plain) {
      const LeastSquaresProblem problem{
          .design = design, .response = values, .blocks = blocks};
      const LeastSquaresFit fit = *SolveLeastSquares(problem);
      const LackOfFit test = *TestLackOfFit(problem, fit, groups);
      *plain = number::FUpperTail(test.f, test.lack_degrees_of_freedom,
                                  test.pure_error_degrees_of_freedom);
      return test.p_value;
    };
    double plain = 0;
    alarms += probability(response, &plain) < 0.01;
    plain_alarms += plain < 0.01;
    found += probability(bent, &plain) < 0.01;
  }
  // 1 % of 2000, and four standard deviations.
  EXPECT_LE(alarms, 20 + 18);
  EXPECT_GT(plain_alarms, 20 + 18) << "plain degrees of freedom would do";
  EXPECT_GT(found, kRounds * 9 / 10);
}

TEST(LackOfFitTest, WithoutScatterThereIsNoTest) {
  const std::vector<std::vector<double>> columns = {{1, 2, 3, 4, 4}};
  const std::vector<double> response = {1, 3, 6, 8, 8};
  const PolynomialBasis basis = *PolynomialBasis::ForPoints(columns, 1);
  const DesignMatrix design = *basis.Design(columns);
  const LeastSquaresProblem problem{.design = design, .response = response};
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(problem));
  const auto test = [&](const std::vector<int>& groups) {
    return TestLackOfFit(problem, fit, groups);
  };
  EXPECT_THAT(test({1, 2, 3, 4, 5}),
              StatusIs(kFailed, HasSubstr("no condition was tested twice")));
  EXPECT_THAT(test({1, 2, 3, 4, 4}), StatusIs(kFailed, HasSubstr("agree exactly")));
  EXPECT_THAT(test({1, 1, 1, 4, 4}),
              StatusIs(kFailed, HasSubstr("2 distinct conditions")));
}

}  // namespace
}  // namespace ratebound::fit
