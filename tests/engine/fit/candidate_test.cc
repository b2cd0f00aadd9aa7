#include <algorithm>
#include <cmath>
#include <vector>

#include "engine/fit/candidate_basis.h"
#include "engine/fit/candidate_choice.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/surface_evaluate.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

std::vector<std::vector<double>> Plan(Random& random, int count, int second_levels) {
  std::vector<std::vector<double>> columns(2);
  for (int i = 0; i < count; ++i) {
    columns[0].push_back(random.Uniform(-5, 15));
    columns[1].push_back(35 + 10 * (i % second_levels));
  }
  return columns;
}

TEST(CandidateBasisTest, WithoutCapsIsTheFullPolynomialToTheBit) {
  Random random("WITHOUT_CAPS");
  const auto columns = Plan(random, 30, 5);
  const std::vector<int> caps = {3, 7};
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis full,
                       PolynomialBasis::ForPoints(columns, 3));
  for (const auto& given : {std::vector<int>(), caps}) {
    ASSERT_OK_AND_ASSIGN(const CandidateBasis basis,
                         CandidateBasis::ForPoints(columns, 3, given));
    EXPECT_EQ(basis.terms(), full.terms());
    ASSERT_OK_AND_ASSIGN(const DesignMatrix design, basis.Design(columns));
    ASSERT_OK_AND_ASSIGN(const DesignMatrix wanted, full.Design(columns));
    EXPECT_EQ(design.values, wanted.values);
  }
}

// A cubic that is linear in the second condition, from two levels of it.
TEST(CandidateBasisTest, ReproducesWhatItsTermsSpan) {
  Random random("REPRODUCES_WHAT_ITS_TERMS_SPAN");
  const auto columns = Plan(random, 30, 2);
  const std::vector<int> caps = {3, 1};
  std::vector<double> response;
  const auto truth = [](double a, double b) {
    return 8000 + 120 * a - 3 * a * a + 0.1 * a * a * a - 40 * b + 2 * a * b -
           0.05 * a * a * b;
  };
  for (int i = 0; i < 30; ++i) response.push_back(truth(columns[0][i], columns[1][i]));
  ASSERT_OK_AND_ASSIGN(const CandidateBasis basis,
                       CandidateBasis::ForPoints(columns, 3, caps));
  EXPECT_THAT(basis.TermNames(),
              ElementsAre("1", "x0", "x1", "x0^2", "x0*x1", "x0^3", "x0^2*x1"));
  ASSERT_OK_AND_ASSIGN(const DesignMatrix design, basis.Design(columns));
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit,
                       SolveLeastSquares({.design = design, .response = response}));
  // Evaluated as a full cubic.
  ASSERT_OK_AND_ASSIGN(
      const PolynomialSurface surface,
      PolynomialSurface::Create(basis.full(), basis.ToMonomials(fit.coefficients),
                                basis.CovarianceToMonomials(fit.unscaled_covariance)));
  for (int i = 0; i < 30; ++i) {
    const std::vector<double> point = {columns[0][i], columns[1][i]};
    EXPECT_NEAR(surface.At(point), response[i], 1e-8);
    const double root = surface.StandardErrorAt(point);
    EXPECT_NEAR(root * root, fit.leverages[i], 1e-12);
  }
}

TEST(CandidateBasisTest, RefusesWhatLevelsDoNotCarry) {
  Random random("REFUSES_WHAT_LEVELS");
  const auto columns = Plan(random, 30, 2);
  const std::vector<int> caps = {3, 2};
  EXPECT_THAT(CandidateBasis::ForPoints(columns, 3, caps),
              StatusIs(absl::StatusCode::kFailedPrecondition,
                       HasSubstr("column 1 takes 2 distinct levels")));
  const std::vector<int> short_caps = {1};
  EXPECT_FALSE(CandidateBasis::ForPoints(columns, 3, short_caps).ok());
}

TEST(CandidateChoiceTest, ScoresAndStandardErrorsByHand) {
  // Squares 1, 9, 1, 9: mean 5, standard deviation 8 / root 12 of single ones.
  const std::vector<CandidateErrors> candidates = {
      {.terms = 3, .left_out = {1, 3, -1, -3}}};
  ASSERT_OK_AND_ASSIGN(CandidateChoice choice,
                       ChooseCandidate({.candidates = candidates}));
  EXPECT_DOUBLE_EQ(choice.scores[0].rms, std::sqrt(5.0));
  EXPECT_NEAR(choice.scores[0].standard_error,
              std::sqrt(64.0 / 3 / 4) / (2 * std::sqrt(5.0)), 1e-15);
  // Two blocks of one sum each: they agree, and nothing is left to err.
  const std::vector<int> blocks = {7, 7, 2, 2};
  ASSERT_OK_AND_ASSIGN(choice,
                       ChooseCandidate({.candidates = candidates, .blocks = blocks}));
  EXPECT_DOUBLE_EQ(choice.scores[0].rms, std::sqrt(5.0));
  EXPECT_EQ(choice.scores[0].standard_error, 0);
}

TEST(CandidateChoiceTest, TheSimplestWithinOneStandardErrorIsTaken) {
  // Mean squares 7.25, 5.5, 5.25; that of the last has a standard error of 2.46.
  const std::vector<CandidateErrors> candidates = {
      {.terms = 3, .left_out = {2, 3, -2, std::sqrt(12.0)}},
      {.terms = 6, .left_out = {1, 3, -1, std::sqrt(11.0)}},
      {.terms = 10, .left_out = {1, 3, -1, std::sqrt(10.0)}},
      {.terms = 1}};  // cannot be chosen
  ASSERT_OK_AND_ASSIGN(CandidateChoice choice,
                       ChooseCandidate({.candidates = candidates}));
  EXPECT_EQ(choice.least, 2);
  EXPECT_EQ(choice.chosen, 0);
  ASSERT_OK_AND_ASSIGN(choice, ChooseCandidate({.candidates = candidates,
                                                .rule = ChoiceRule::kLeastError}));
  EXPECT_EQ(choice.chosen, 2);
  ASSERT_OK_AND_ASSIGN(choice, ChooseCandidate({.candidates = candidates,
                                                .rule = ChoiceRule::kLeastError,
                                                .rounding = 0.1}));
  EXPECT_EQ(choice.chosen, 1);
}

// Neither rows nor blocks have an order.
TEST(CandidateChoiceTest, OrderOfRowsChangesNoChoice) {
  Random random("ORDER_OF_ROWS");
  for (int round = 0; round < 50; ++round) {
    std::vector<CandidateErrors> candidates(3);
    std::vector<int> blocks;
    for (int i = 0; i < 24; ++i) blocks.push_back(i % 6);
    for (int k = 0; k < 3; ++k) {
      candidates[k].terms = 3 * (k + 1);
      for (int i = 0; i < 24; ++i) {
        candidates[k].left_out.push_back((1.2 - 0.1 * k) * random.Normal());
      }
    }
    ASSERT_OK_AND_ASSIGN(const CandidateChoice choice,
                         ChooseCandidate({.candidates = candidates, .blocks = blocks}));
    for (CandidateErrors& candidate : candidates) {
      std::reverse(candidate.left_out.begin(), candidate.left_out.end());
    }
    std::reverse(blocks.begin(), blocks.end());
    for (int& block : blocks) block = 40 - block;
    ASSERT_OK_AND_ASSIGN(const CandidateChoice other,
                         ChooseCandidate({.candidates = candidates, .blocks = blocks}));
    EXPECT_EQ(choice.chosen, other.chosen);
    EXPECT_EQ(choice.least, other.least);
  }
}

TEST(CandidateChoiceTest, SizesThatDoNotMatchAreRefused) {
  const std::vector<CandidateErrors> uneven = {{.terms = 1, .left_out = {1, 2}},
                                               {.terms = 2, .left_out = {1}}};
  EXPECT_THAT(ChooseCandidate({.candidates = uneven}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("1 errors")));
  const std::vector<CandidateErrors> none = {{.terms = 1}};
  EXPECT_THAT(
      ChooseCandidate({.candidates = none}),
      StatusIs(absl::StatusCode::kFailedPrecondition, "no candidate can be chosen"));
}

}  // namespace
}  // namespace ratebound::fit
