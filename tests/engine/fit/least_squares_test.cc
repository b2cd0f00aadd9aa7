#include "engine/fit/least_squares.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/fit/polynomial_basis.h"
#include "engine/number/distribution.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/fit/reference_table.h"
#include "tests/engine/fit/test_campaign.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

using ::ratebound::testing::IsOk;
using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

TEST(LeastSquaresTest, PolynomialOfItsOwnDegreeIsReproduced) {
  Random random("POLYNOMIAL_OF_ITS_OWN_DEGREE_IS_REPRODUCED");
  for (int variables = 1; variables <= 6; ++variables) {
    for (int degree = 1; degree <= 3; ++degree) {
      Campaign campaign = MakeCampaign(random, 160, variables, 4);
      ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                           PolynomialBasis::ForPoints(campaign.columns, degree));
      const DesignMatrix design = DesignOf(basis, campaign);
      std::vector<double> truth;
      for (int t = 0; t < basis.terms(); ++t) truth.push_back(random.Uniform(-1, 1));
      for (int i = 0; i < design.rows; ++i) {
        campaign.response[i] = 0;
        for (int t = 0; t < design.columns; ++t) {
          campaign.response[i] += truth[t] * design.at(i, t);
        }
      }
      ASSERT_OK_AND_ASSIGN(
          const LeastSquaresFit fit,
          SolveLeastSquares({.design = design, .response = campaign.response}));
      for (int t = 0; t < basis.terms(); ++t) {
        EXPECT_NEAR(fit.coefficients[t], truth[t], 1e-12) << basis.TermName(t);
      }
      EXPECT_LT(fit.residual_sd, 1e-13);
      EXPECT_GT(fit.r_squared, 1 - 1e-12);
    }
  }
}

TEST(LeastSquaresTest, OrderOfRowsDoesNotMatter) {
  Random random("ORDER_OF_ROWS_DOES_NOT_MATTER");
  const Campaign campaign = MakeCampaign(random, 40, 3, 8);
  Campaign turned = campaign;
  for (std::vector<double>& column : turned.columns)
    std::reverse(column.begin(), column.end());
  std::reverse(turned.response.begin(), turned.response.end());
  std::reverse(turned.weights.begin(), turned.weights.end());
  std::reverse(turned.blocks.begin(), turned.blocks.end());
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(campaign.columns, 2));
  const LeastSquaresFit fit = FitOf(basis, campaign), other = FitOf(basis, turned);
  for (int t = 0; t < fit.terms; ++t) {
    EXPECT_NEAR(fit.coefficients[t], other.coefficients[t], 1e-12 * 5000);
  }
  EXPECT_NEAR(fit.press / other.press, 1, 1e-10);
  EXPECT_NEAR(fit.leverages[0], other.leverages[39], 1e-13);
}

TEST(LeastSquaresTest, ScalingTheResponseByAPowerOfTwoScalesEverythingExactly) {
  Random random("SCALING_THE_RESPONSE");
  const Campaign campaign = MakeCampaign(random, 30, 2, 10);
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(campaign.columns, 2));
  const LeastSquaresFit fit = FitOf(basis, campaign);
  for (const double factor : {0x1p-300, 0x1p-3, -1.0, 0x1p+200}) {
    Campaign scaled = campaign;
    for (double& y : scaled.response) y *= factor;
    const LeastSquaresFit other = FitOf(basis, scaled);
    for (int t = 0; t < fit.terms; ++t) {
      EXPECT_EQ(other.coefficients[t], factor * fit.coefficients[t]);
      EXPECT_EQ(other.clusters->covariance[t * fit.terms],
                factor * factor * fit.clusters->covariance[t * fit.terms]);
    }
    EXPECT_EQ(other.residual_sd, std::fabs(factor) * fit.residual_sd);
    EXPECT_EQ(other.loo_rms, std::fabs(factor) * fit.loo_rms);
    EXPECT_EQ(other.r_squared, fit.r_squared);
  }
}

TEST(LeastSquaresTest, ScalingTheWeightsLeavesTheSurface) {
  Random random("SCALING_THE_WEIGHTS");
  const Campaign campaign = MakeCampaign(random, 30, 2, 10);
  Campaign heavier = campaign;
  for (double& weight : heavier.weights) weight *= 4;
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(campaign.columns, 2));
  const LeastSquaresFit fit = FitOf(basis, campaign), other = FitOf(basis, heavier);
  EXPECT_EQ(fit.coefficients, other.coefficients);
  EXPECT_EQ(fit.loo_residuals, other.loo_residuals);
  EXPECT_EQ(2 * fit.residual_sd, other.residual_sd);
  EXPECT_EQ(fit.loo_rms, other.loo_rms);
  EXPECT_NEAR(fit.covariance[0] / other.covariance[0], 1, 1e-14);
}

TEST(LeastSquaresTest, WholeWeightsAreRepeatedRows) {
  Random random("WHOLE_WEIGHTS_ARE_REPEATED_ROWS");
  Campaign campaign = MakeCampaign(random, 20, 2, 5);
  Campaign repeated = campaign;
  repeated.weights.assign(repeated.weights.size(), 1);
  for (size_t i = 0; i < campaign.weights.size(); ++i) {
    campaign.weights[i] = static_cast<double>(1 + i % 3);
    for (size_t copy = 0; copy < i % 3; ++copy) {
      for (size_t v = 0; v < 2; ++v)
        repeated.columns[v].push_back(campaign.columns[v][i]);
      repeated.response.push_back(campaign.response[i]);
      repeated.weights.push_back(1);
      repeated.blocks.push_back(campaign.blocks[i]);
    }
  }
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(campaign.columns, 2));
  const LeastSquaresFit weighted = FitOf(basis, campaign),
                        copies = FitOf(basis, repeated);
  for (int t = 0; t < weighted.terms; ++t) {
    EXPECT_NEAR(weighted.coefficients[t], copies.coefficients[t], 1e-9);
  }
  EXPECT_NEAR(weighted.residual_sum_of_squares / copies.residual_sum_of_squares, 1,
              1e-11);
  EXPECT_NEAR(weighted.r_squared, copies.r_squared, 1e-12);
}

TEST(LeastSquaresTest, FitOfACombinationIsTheCombinationOfFits) {
  Random random("FIT_OF_A_COMBINATION");
  for (int round = 0; round < 20; ++round) {
    const Campaign capacity = MakeCampaign(random, 40, 3, 8);
    Campaign power = capacity;
    for (double& y : power.response) y = 0.3 * y + 20 * random.Normal();
    const double limit = random.Uniform(2, 5);
    Campaign margin = capacity;
    ASSERT_OK_AND_ASSIGN(margin.response,
                         CombineResponses(std::vector{capacity.response, power.response},
                                          std::vector{1.0, -limit}));
    ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                         PolynomialBasis::ForPoints(capacity.columns, 2));
    const LeastSquaresFit a = FitOf(basis, capacity), b = FitOf(basis, power),
                          m = FitOf(basis, margin);
    for (int t = 0; t < m.terms; ++t) {
      EXPECT_NEAR(m.coefficients[t], a.coefficients[t] - limit * b.coefficients[t],
                  1e-10);
    }
    for (int i = 0; i < m.rows; ++i) {
      EXPECT_NEAR(m.loo_residuals[i], a.loo_residuals[i] - limit * b.loo_residuals[i],
                  1e-9);
    }
  }
}

TEST(LeastSquaresTest, LeaveOneOutEqualsRefitting) {
  Random random("LEAVE_ONE_OUT_EQUALS_REFITTING");
  const Campaign campaign = MakeCampaign(random, 24, 2, 6);
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(campaign.columns, 2));
  const LeastSquaresFit fit = FitOf(basis, campaign);
  double press = 0, weight_sum = 0;
  for (size_t i = 0; i < campaign.response.size(); ++i) {
    std::vector<bool> leave_out(campaign.response.size());
    leave_out[i] = true;
    const LeastSquaresFit rest = FitOf(basis, WithoutRows(campaign, leave_out));
    const double residual = campaign.response[i] - Predict(basis, rest, campaign, i);
    EXPECT_NEAR(fit.loo_residuals[i], residual, 1e-8);
    press += campaign.weights[i] * residual * residual;
    weight_sum += campaign.weights[i];
  }
  EXPECT_NEAR(fit.press / press, 1, 1e-9);
  EXPECT_NEAR(fit.loo_rms, std::sqrt(press / weight_sum), 1e-8);
  EXPECT_NEAR(std::accumulate(fit.leverages.begin(), fit.leverages.end(), 0.0), fit.terms,
              1e-12);
}

TEST(LeastSquaresTest, DependentTermsAreNamed) {
  // x1 follows x0, as outdoor and entering water temperature do in a badly planned
  // campaign.
  std::vector<std::vector<double>> columns(2);
  std::vector<double> response;
  for (int i = 0; i < 20; ++i) {
    columns[0].push_back(i);
    columns[1].push_back(40 - 2 * i);
    response.push_back(i * i);
  }
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(columns, 1));
  ASSERT_OK_AND_ASSIGN(const DesignMatrix design, basis.Design(columns));
  const std::vector<std::string> names =
      basis.TermNames(std::vector<std::string>{"outdoor", "water"});
  EXPECT_THAT(
      SolveLeastSquares({.design = design, .response = response}, {.term_names = names}),
      StatusIs(absl::StatusCode::kFailedPrecondition,
               AllOf(HasSubstr("only 2 of 3 terms"),
                     HasSubstr("water is a combination of outdoor"))));

  // Three distinct levels cannot carry a cubic, also when each is hit with a jitter of
  // rounding.
  DesignMatrix powers(12, 4);
  for (int i = 0; i < 12; ++i) {
    const double z = (i % 3 - 1) * (1 + i * 1e-17);
    for (int j = 0; j < 4; ++j) powers.at(i, j) = j == 0 ? 1 : powers.at(i, j - 1) * z;
  }
  EXPECT_THAT(
      SolveLeastSquares({.design = powers, .response = std::vector<double>(12, 1.0)}),
      StatusIs(absl::StatusCode::kFailedPrecondition,
               AllOf(HasSubstr("only 3 of 4"),
                     HasSubstr("term 3 is a combination of term 1"))));

  DesignMatrix zero(5, 2);
  for (int i = 0; i < 5; ++i) zero.at(i, 0) = i;
  EXPECT_THAT(
      SolveLeastSquares({.design = zero, .response = std::vector<double>(5, 1.0)}),
      StatusIs(absl::StatusCode::kFailedPrecondition,
               HasSubstr("term 1 is zero at every point")));
}

TEST(LeastSquaresTest, UnitsOfAColumnDoNotDecideItsRank) {
  DesignMatrix design(6, 2);
  std::vector<double> response;
  for (int i = 0; i < 6; ++i) {
    design.at(i, 0) = 1e-30 * (1 + i);
    design.at(i, 1) = 1e+30 * (i * i + 1);
    response.push_back(3 * (1 + i) - 2 * (i * i + 1));
  }
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit,
                       SolveLeastSquares({.design = design, .response = response}));
  EXPECT_NEAR(fit.coefficients[0], 3e30, 1e17);
  EXPECT_NEAR(fit.coefficients[1], -2e-30, 1e-43);
}

TEST(LeastSquaresTest, UnusableInputIsRefusedWithItsPlace) {
  DesignMatrix design(4, 1);
  design.values = {1, 2, 3, 4};
  const std::vector<double> response = {1, 2, 3, 4};
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  constexpr auto kInvalid = absl::StatusCode::kInvalidArgument;

  EXPECT_THAT(SolveLeastSquares({.design = design, .response = {}}),
              StatusIs(kInvalid, HasSubstr("0 responses for 4 rows")));
  EXPECT_THAT(
      SolveLeastSquares(
          {.design = design, .response = response, .blocks = std::vector<int>{1, 2}}),
      StatusIs(kInvalid, HasSubstr("2 block ids for 4 rows")));
  for (const double bad : {nan, infinity, -infinity, 1e200}) {
    std::vector<double> bad_response = response;
    bad_response[2] = bad;
    EXPECT_THAT(SolveLeastSquares({.design = design, .response = bad_response}),
                StatusIs(kInvalid, HasSubstr("response of row 2")));
    DesignMatrix bad_design = design;
    bad_design.at(3, 0) = bad;
    EXPECT_THAT(SolveLeastSquares({.design = bad_design, .response = response}),
                StatusIs(kInvalid, HasSubstr("term 0 of row 3")));
  }
  for (const double bad : {nan, infinity, 0.0, -1.0}) {
    EXPECT_THAT(SolveLeastSquares({.design = design,
                                   .response = response,
                                   .weights = std::vector{1.0, bad, 1.0, 1.0}}),
                StatusIs(kInvalid, HasSubstr("weight of row 1")));
  }
  const DesignMatrix square(3, 3);
  EXPECT_THAT(
      SolveLeastSquares({.design = square, .response = std::vector<double>(3)}),
      StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("at least 4 points")));
}

TEST(LeastSquaresTest, DecisivePointsAreNamedAndLeftOutOfPress) {
  // Anscombe's fourth set: one point alone fixes the slope (row 7, leverage 1).
  const std::vector<std::vector<double>> columns =
      ReadColumns("regression-diagnostics/anscombe4.csv");
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(std::span(columns).first(1), 1));
  ASSERT_OK_AND_ASSIGN(const DesignMatrix design,
                       basis.Design(std::span(columns).first(1)));
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit,
                       SolveLeastSquares({.design = design, .response = columns[1]}));
  EXPECT_THAT(fit.decisive_points, ElementsAre(7));
  EXPECT_NEAR(fit.leverages[7], 1, 1e-14);
  EXPECT_NEAR(fit.residuals[7], 0, 1e-13);
  EXPECT_TRUE(std::isfinite(fit.press));
}

TEST(LeastSquaresTest, WorkspaceCanBeUsedForAnotherSize) {
  Random random("WORKSPACE_CAN_BE_USED_FOR_ANOTHER_SIZE");
  LeastSquaresWorkspace workspace;
  LeastSquaresFit reused;
  for (const int points : {50, 12, 33, 50}) {
    const Campaign campaign = MakeCampaign(random, points, 2, 7);
    ASSERT_OK_AND_ASSIGN(
        const PolynomialBasis basis,
        PolynomialBasis::ForPoints(campaign.columns, points == 33 ? 3 : 2));
    const DesignMatrix design = DesignOf(basis, campaign);
    const LeastSquaresProblem problem = {.design = design, .response = campaign.response};
    ASSERT_THAT(SolveLeastSquares(problem, {}, workspace, reused), IsOk());
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fresh, SolveLeastSquares(problem));
    EXPECT_EQ(reused.coefficients, fresh.coefficients);
    EXPECT_EQ(reused.leverages, fresh.leverages);
    EXPECT_EQ(reused.covariance, fresh.covariance);
    EXPECT_EQ(reused.press, fresh.press);
  }
}

TEST(LeastSquaresTest, RefinementRepairsAnIllConditionedFit) {
  // Raw powers of x on [1, 2]: condition 1e7; the truth is integer and the noise
  // orthogonal to the model by construction, which plain QR confuses with the
  // coefficients (Wampler 1970).
  const int kTerms = 7;
  DesignMatrix design(40, kTerms);
  std::vector<double> response(40);
  for (int i = 0; i < 40; ++i) {
    double power = 1;
    for (int j = 0; j < kTerms; ++j, power *= 1 + i / 64.0) {
      design.at(i, j) = power;
      response[i] += power;
    }
  }
  for (int i = 0; i < 40; ++i) response[i] += (i % 2 == 0 ? 1e6 : -1e6);
  std::vector<LeastSquaresFit> fits;
  for (int steps = 0; steps <= 4; ++steps) {
    ASSERT_OK_AND_ASSIGN(LeastSquaresFit fit,
                         SolveLeastSquares({.design = design, .response = response},
                                           {.refinement_steps = steps}));
    fits.push_back(std::move(fit));
  }
  const auto error = [&](int steps) {
    double most = 0;
    for (int t = 0; t < kTerms; ++t) {
      most = std::max(
          most, std::fabs(fits[steps].coefficients[t] / fits[4].coefficients[t] - 1));
    }
    return most;
  };
  EXPECT_GT(error(0), 1e-12);
  EXPECT_LT(error(1), 1e-4 * error(0));
  EXPECT_LE(error(3), 2.3e-16);

  // Equal weights change nothing, although their roots do not stand in a double.
  const std::vector<double> weights(response.size(), 3.0);
  ASSERT_OK_AND_ASSIGN(
      const LeastSquaresFit weighted,
      SolveLeastSquares({.design = design, .response = response, .weights = weights},
                        {.refinement_steps = 4}));
  for (int t = 0; t < kTerms; ++t) {
    EXPECT_NEAR(weighted.coefficients[t] / fits[4].coefficients[t], 1, 1e-13);
  }
}

// R 4.2.2: lm, hatvalues, vcov (tests/data/regression-diagnostics/README.md).
TEST(LeastSquaresTest, AgreesWithAnotherImplementation) {
  const ReferenceTable table("regression-diagnostics/ols.txt");
  OutsideCheck ordinary(
      {.name = "fit.diagnostics_of_r",
       .source = "R 4.2.2: lm, hatvalues, vcov; three classical data sets",
       .tolerance = 1e-12});
  // R prints 15 digits of what plain QR gives; the condition is 5e9.
  OutsideCheck ill_conditioned({.name = "fit.diagnostics_of_r_longley",
                                .source = "R 4.2.2: lm, hatvalues, vcov; Longley (1967)",
                                .tolerance = 1e-9});
  for (const std::string set : {"stackloss", "cars", "longley_r", "anscombe1"}) {
    SCOPED_TRACE(set);
    std::vector<std::vector<double>> columns =
        ReadColumns("regression-diagnostics/" + set + ".csv");
    const std::vector<double> response = columns.back();
    columns.pop_back();
    columns.insert(columns.begin(), std::vector<double>(response.size(), 1.0));
    DesignMatrix design(static_cast<int>(response.size()),
                        static_cast<int>(columns.size()));
    for (int j = 0; j < design.columns; ++j) {
      for (int i = 0; i < design.rows; ++i) design.at(i, j) = columns[j][i];
    }
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit,
                         SolveLeastSquares({.design = design, .response = response}));
    OutsideCheck& check = set == "longley_r" ? ill_conditioned : ordinary;
    const auto compare = [&](const std::string& quantity,
                             const std::vector<double>& ours) {
      check.Each(absl::StrCat(set, " ", quantity), ours, table.Numbers(set, quantity));
    };
    compare("coefficient", fit.coefficients);
    compare("residual_sd", {fit.residual_sd});
    compare("r_squared", {fit.r_squared});
    compare("press", {fit.press});
    compare("leverage", fit.leverages);
    std::vector<double> errors;
    for (int t = 0; t < fit.terms; ++t) errors.push_back(fit.StandardErrorOf(t));
    compare("standard_error", errors);
    // Covariances may vanish, so they are measured by the standard errors.
    const std::vector<double> covariance = table.Numbers(set, "covariance");
    for (int a = 0; a < fit.terms; ++a) {
      for (int b = 0; b < fit.terms; ++b) {
        const int at = a * fit.terms + b;
        check.Deviation(absl::StrCat(set, " covariance ", at),
                        std::fabs(fit.covariance[at] - covariance[at]) /
                            (fit.StandardErrorOf(a) * fit.StandardErrorOf(b)));
      }
    }
  }
}

TEST(LeastSquaresTest, StandardErrorOfARowIsThatOfItsFittedValue) {
  Random random("STANDARD_ERROR_OF_A_ROW");
  const Campaign campaign = MakeCampaign(random, 30, 2, 10);
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(campaign.columns, 2));
  const LeastSquaresFit fit = FitOf(basis, campaign);
  const DesignMatrix design = DesignOf(basis, campaign);
  for (int i = 0; i < fit.rows; ++i) {
    std::vector<double> row;
    for (int t = 0; t < fit.terms; ++t) row.push_back(design.at(i, t));
    // The leverage of a weighted fit is w * row' (X'WX)^-1 row.
    const double expected =
        fit.residual_sd * std::sqrt(fit.leverages[i] / campaign.weights[i]);
    EXPECT_NEAR(fit.StandardError(row), expected, 1e-10 * expected);
  }
}

}  // namespace
}  // namespace ratebound::fit
