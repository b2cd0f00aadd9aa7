#include "engine/fit/influence.h"

#include <cmath>
#include <string>
#include <vector>

#include "engine/fit/polynomial_basis.h"
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
using ::testing::DoubleNear;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

TEST(InfluenceTest, DiagnosticsAgreeWithAnotherImplementation) {
  const ReferenceTable diagnostics("regression-diagnostics/diagnostics.txt");
  const ReferenceTable influences("regression-diagnostics/influence.txt");
  OutsideCheck ordinary({.name = "fit.influence_of_r",
                         .source = "R 4.2.2: summary, rstandard, rstudent, "
                                   "cooks.distance, dffits, covratio; classical sets, "
                                   "plain and weighted",
                         .tolerance = 2e-11});
  // The reference loses digits where the condition is 5e9, and where without row 2 the
  // others lie on a line to 1e-3 (it subtracts squares).
  OutsideCheck hard({.name = "fit.influence_of_r_hard",
                     .source = "R 4.2.2, as fit.influence_of_r; Longley (1967) and "
                               "Anscombe (1973) III",
                     .tolerance = 2e-8});
  for (const std::string plain : {"stackloss", "longley_r", "anscombe1", "anscombe2",
                                  "anscombe3", "anscombe4", "phones", "cars"}) {
    for (const std::string& set : {plain, plain + "_weighted"}) {
      SCOPED_TRACE(set);
      const PublishedSet data = ReadPublishedSet(set);
      ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(data.problem()));
      ASSERT_OK_AND_ASSIGN(const Influence influence,
                           MeasureInfluence(data.problem(), fit));
      OutsideCheck& check =
          plain == "longley_r" || plain == "anscombe3" ? hard : ordinary;
      const auto compare = [&](const std::string& quantity, std::vector<double> ours) {
        for (const ReferenceTable* table : {&diagnostics, &influences}) {
          if (!table->Has(set, quantity)) continue;
          std::vector<double> theirs = table->Numbers(set, quantity);
          // Decisive points: nothing to compare with.
          for (const int row : fit.decisive_points) {
            if (theirs.size() < 2) continue;
            EXPECT_TRUE(std::isnan(theirs[row])) << quantity;
            EXPECT_EQ(ours[row], 0) << quantity;
            theirs[row] = 0;
          }
          check.Each(set + " " + quantity, ours, theirs);
        }
      };
      compare("internally_studentised", influence.internally_studentised);
      compare("externally_studentised", influence.externally_studentised);
      compare("cooks_distance", influence.cooks_distance);
      compare("dffits", influence.dffits);
      compare("covratio", influence.covratio);
      compare("adjusted_r_squared", {influence.adjusted_r_squared});
      compare("f", {influence.f.value()});
      compare("f_p_value", {influence.f_p_value.value()});
      EXPECT_EQ(influence.predicted_r_squared.has_value(), fit.decisive_points.empty());
    }
  }
}

TEST(InfluenceTest, FitsThemselvesAgreeWithAnotherImplementation) {
  const ReferenceTable table("regression-diagnostics/diagnostics.txt");
  OutsideCheck ordinary({.name = "fit.ordinary_of_r",
                         .source = "R 4.2.2: lm, hatvalues; seven classical sets",
                         .tolerance = 1e-11});
  OutsideCheck ill_conditioned({.name = "fit.ordinary_of_r_longley",
                                .source = "R 4.2.2: lm, hatvalues; Longley (1967)",
                                .tolerance = 1e-9});
  for (const std::string set : {"stackloss", "longley_r", "anscombe1", "anscombe2",
                                "anscombe3", "anscombe4", "phones", "cars"}) {
    const PublishedSet data = ReadPublishedSet(set);
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(data.problem()));
    OutsideCheck& check = set == "longley_r" ? ill_conditioned : ordinary;
    const auto compare = [&](const std::string& quantity,
                             const std::vector<double>& ours) {
      check.Each(set + " " + quantity, ours, table.Numbers(set, quantity));
    };
    compare("coefficient", fit.coefficients);
    compare("residual_sd", {fit.residual_sd});
    compare("r_squared", {fit.r_squared});
    compare("leverage", fit.leverages);
    compare("covariance", fit.covariance);
    std::vector<double> errors;
    for (int t = 0; t < fit.terms; ++t) errors.push_back(fit.StandardErrorOf(t));
    compare("standard_error", errors);
    if (fit.decisive_points.empty()) compare("press", {fit.press});
  }
}

TEST(InfluenceTest, StackLossAsPublished) {
  const PublishedSet data = ReadPublishedSet("stackloss");
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(data.problem()));
  ASSERT_OK_AND_ASSIGN(const Influence influence, MeasureInfluence(data.problem(), fit));
  OutsideCheck check({.name = "fit.influence_stackloss",
                      .source = "Cook and Weisberg, Residuals and Influence in "
                                "Regression, 1982, stack loss data, observation 21",
                      .tolerance = 5e-3});
  check.Absolute("Cook's distance", influence.cooks_distance[20], 0.692);
  check.Absolute("externally studentised", influence.externally_studentised[20], -3.33);
}

TEST(InfluenceTest, ConditionsOfLongleyAreInflatedAsPublished) {
  const ReferenceTable table("regression-diagnostics/influence.txt");
  OutsideCheck check({.name = "fit.variance_inflation_of_r",
                      .source =
                          "R 4.2.2: diagonal of the inverse correlation; stackloss, "
                          "Longley (1967)",
                      .tolerance = 1e-10});
  for (const std::string set : {"stackloss", "longley_r"}) {
    std::vector<std::vector<double>> columns =
        ReadColumns("regression-diagnostics/" + set + ".csv");
    columns.pop_back();
    ASSERT_OK_AND_ASSIGN(const std::vector<double> inflation,
                         InflationOfConditions(columns));
    check.Each(set, inflation, table.Numbers(set, "variance_inflation"));
    // A linear design has its conditions as terms.
    const PublishedSet data = ReadPublishedSet(set);
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(data.problem()));
    ASSERT_OK_AND_ASSIGN(std::vector<double> of_terms,
                         InflationOfTerms(data.problem(), fit));
    EXPECT_EQ(of_terms[0], 0);
    for (size_t v = 0; v < inflation.size(); ++v) {
      EXPECT_NEAR(of_terms[v + 1] / inflation[v], 1, 1e-7);
    }
  }
}

TEST(InfluenceTest, DeletedFitsAreThoseOfTheOtherRows) {
  Random random("DELETED_FITS_ARE_THOSE_OF_THE_OTHER_ROWS");
  for (int round = 0; round < 10; ++round) {
    constexpr int kRows = 14, kTerms = 3;
    DesignMatrix design(kRows, kTerms);
    std::vector<double> response, weights;
    for (int i = 0; i < kRows; ++i) {
      const double x = random.Uniform(-1, 1);
      design.at(i, 0) = 1;
      design.at(i, 1) = x;
      design.at(i, 2) = x * x;
      // One point so far off that the others' squares cancel in the sum.
      response.push_back(2 + x + 1e-4 * random.Normal() + (i == 5 ? 50 : 0));
      weights.push_back(random.Uniform(0.5, 2));
    }
    const LeastSquaresProblem problem = {
        .design = design, .response = response, .weights = weights};
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(problem));
    ASSERT_OK_AND_ASSIGN(const Influence influence, MeasureInfluence(problem, fit));
    for (int left_out = 0; left_out < kRows; ++left_out) {
      DesignMatrix others(kRows - 1, kTerms);
      std::vector<double> y, w;
      for (int i = 0; i < kRows; ++i) {
        if (i == left_out) continue;
        for (int j = 0; j < kTerms; ++j) {
          others.at(static_cast<int>(y.size()), j) = design.at(i, j);
        }
        y.push_back(response[i]);
        w.push_back(weights[i]);
      }
      ASSERT_OK_AND_ASSIGN(
          const LeastSquaresFit without,
          SolveLeastSquares({.design = others, .response = y, .weights = w}));
      const double h = fit.leverages[left_out];
      const double expected = std::sqrt(weights[left_out]) * fit.residuals[left_out] /
                              (without.residual_sd * std::sqrt(1 - h));
      EXPECT_NEAR(influence.externally_studentised[left_out] / expected, 1, 1e-8);
      // DFFITS is the change of the fitted value in its own standard deviations.
      double fitted = 0;
      for (int j = 0; j < kTerms; ++j) {
        fitted += without.coefficients[j] * design.at(left_out, j);
      }
      const double moved = (fit.fitted[left_out] - fitted) /
                           (without.residual_sd * std::sqrt(h / weights[left_out]));
      EXPECT_NEAR(influence.dffits[left_out] / moved, 1, 1e-8);
    }
  }
}

TEST(InfluenceTest, EdgesHaveAnswers) {
  DesignMatrix design(3, 2);
  design.values = {1, 1, 1, 0, 1, 2};
  const std::vector<double> response = {0, 2, 1};
  const LeastSquaresProblem problem = {.design = design, .response = response};
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(problem));
  ASSERT_OK_AND_ASSIGN(const Influence influence, MeasureInfluence(problem, fit));
  // One degree of freedom: every residual is one standard deviation.
  EXPECT_THAT(
      influence.internally_studentised,
      ElementsAre(DoubleNear(-1, 1e-14), DoubleNear(1, 1e-14), DoubleNear(-1, 1e-14)));
  EXPECT_THAT(influence.externally_studentised, IsEmpty());
  EXPECT_THAT(influence.covratio, IsEmpty());

  const std::vector<double> line = {1, 2, 3};
  const LeastSquaresProblem exact = {.design = design, .response = line};
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit on_line, SolveLeastSquares(exact));
  ASSERT_OK_AND_ASSIGN(const Influence nothing, MeasureInfluence(exact, on_line));
  for (const double r : nothing.internally_studentised) EXPECT_TRUE(std::isfinite(r));

  EXPECT_THAT(
      MeasureInfluence({.design = design, .response = std::vector<double>(2)}, fit),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("2 responses")));
  EXPECT_THAT(InflationOfConditions(
                  std::vector<std::vector<double>>{{1, 2, 3, 5, 4}, {2, 4, 6, 10, 8}}),
              StatusIs(absl::StatusCode::kFailedPrecondition,
                       HasSubstr("is a combination of condition")));
  ASSERT_OK_AND_ASSIGN(
      const std::vector<double> alone,
      InflationOfConditions(std::vector<std::vector<double>>{{1e6 + 1, 1e6, 1e6 + 3}}));
  EXPECT_THAT(alone, ElementsAre(DoubleNear(1, 1e-12)));
}

}  // namespace
}  // namespace ratebound::fit
