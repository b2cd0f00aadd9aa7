#include "engine/points/uncertainty/input_uncertainty.h"

#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "engine/points/uncertainty/semidefinite_cholesky.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

using ::ratebound::testing::IsOk;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::AllOf;
using ::testing::HasSubstr;

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

Component Simple(int input, double standard_uncertainty) {
  return {.name = "part", .input = input, .standard_uncertainty = standard_uncertainty};
}
Component Shared(int input, double standard_uncertainty, const char* cause) {
  Component component = Simple(input, standard_uncertainty);
  component.shared = cause;
  return component;
}
Component Systematic(Component component) {
  component.systematic = true;
  return component;
}

TEST(Component, FactoriesDivideByTheirDistributionsFactor) {
  EXPECT_DOUBLE_EQ(FromHalfWidth("a", 0, 0.3).standard_uncertainty, 0.3 / std::sqrt(3.0));
  EXPECT_DOUBLE_EQ(
      FromHalfWidth("a", 0, 0.3, Distribution::kTriangular).standard_uncertainty,
      0.3 / std::sqrt(6.0));
  EXPECT_DOUBLE_EQ(
      FromHalfWidth("a", 0, 0.3, Distribution::kArcsine).standard_uncertainty,
      0.3 / std::sqrt(2.0));
  EXPECT_DOUBLE_EQ(FromHalfWidth("a", 0, 0.3, Distribution::kNormal).standard_uncertainty,
                   0.1);
  EXPECT_EQ(FromExpanded("a", 0, 0.5, 2).standard_uncertainty, 0.25);
  // GUM F.2.2.1: u = 0.29 of the digit.
  EXPECT_NEAR(FromResolution("a", 0, 1).standard_uncertainty, 0.29, 0.005);
  EXPECT_EQ(FromReadings("a", 0, 12, 9).standard_uncertainty, 4);
  EXPECT_EQ(FromReadings("a", 0, 12, 9).degrees_of_freedom, 8);
  EXPECT_EQ(DegreesOfFreedomOf(0.25), 8);  // GUM G.4.2 example
}

TEST(InputUncertainty, EveryFaultIsNamedWithItsPlace) {
  struct Case {
    const char* name;
    std::vector<Component> components;
    std::vector<Correlation> correlations;
    const char* words;
  };
  const std::vector<Component> three = {Simple(0, 1), Simple(1, 1), Simple(2, 1)};
  const Case kCases[] = {
      {"input", {Simple(3, 1)}, {}, "input 3 is not among the 3 inputs"},
      {"negative", {Simple(0, -1)}, {}, "standard uncertainty -1"},
      {"not a number", {Simple(0, kNan)}, {}, "standard uncertainty"},
      {"zero coverage factor",
       {FromExpanded("c", 0, 1, 0)},
       {},
       "coverage factors above 0"},
      {"one reading", {FromReadings("c", 0, 1, 1)}, {}, "at least 2 readings"},
      {"cause of two kinds",
       {Shared(0, 1, "bath"), Systematic(Shared(1, 1, "bath"))},
       {},
       "shares 'bath'"},
      {"coefficient", three, {{0, 1, 1.5}}, "coefficient 1.5 is outside -1 to 1"},
      {"coefficient that is no number", three, {{0, 1, kNan}}, "outside -1 to 1"},
      {"itself", three, {{1, 1, 0.5}}, "not two different ones"},
      {"no such input", three, {{1, 3, 0.5}}, "not two different ones"},
      {"twice", three, {{0, 1, 0.0}, {1, 0, 0.5}}, "already have a coefficient"},
      {"the other part", three, {{0, 1, 0.5, true}}, "no systematic component"},
      {"shared and explicit",
       {Simple(0, 1), Simple(1, 1), Shared(0, 1, "bath"), Shared(1, 1, "bath")},
       {{0, 1, 0.5}},
       "already share the random cause 'bath'"},
      {"indefinite",
       three,
       {{0, 1, 0.9}, {1, 2, 0.9}, {0, 2, -0.9}},
       "inputs 0, 1, 2 contradict each other"},
      // The third coefficient is left at 0, which the other two rule out.
      {"indefinite by omission", three, {{0, 1, 0.9}, {1, 2, 0.9}}, "semidefinite"},
  };
  for (const Case& c : kCases) {
    SCOPED_TRACE(c.name);
    EXPECT_THAT(InputUncertainty::Create(3, c.components, c.correlations),
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(c.words)));
  }
}

TEST(InputUncertainty, AllFaultsComeTogether) {
  EXPECT_THAT(InputUncertainty::Create(2, {Simple(7, 1), Simple(0, -1)}, {{0, 1, 2}}),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       AllOf(HasSubstr("input 7"), HasSubstr("uncertainty -1"),
                             HasSubstr("coefficient 2"))));
}

TEST(InputUncertainty, SharedInOnePartMayBeCorrelatedInTheOther) {
  EXPECT_THAT(InputUncertainty::Create(
                  2,
                  {Simple(0, 1), Simple(1, 1), Systematic(Shared(0, 1, "bath")),
                   Systematic(Shared(1, 1, "bath"))},
                  {{0, 1, 0.5}}),
              IsOk());
}

// The covariance of the inputs themselves, from their rows of the factors.
double CovarianceOfInputs(const InputUncertainty& inputs, int first, int second) {
  std::vector<double> weights(inputs.weight_count());
  inputs.Weigh(inputs.standard_uncertainties(), weights);
  std::array<std::vector<double>, 2> rows;
  const std::array<int, 2> which = {first, second};
  for (int i = 0; i < 2; ++i) {
    std::vector<double> gradient(inputs.input_count());
    gradient[which[i]] = 1;
    rows[i].resize(inputs.factor_count());
    inputs.Load(gradient, weights, rows[i]);
  }
  double sum = 0;
  for (int k = 0; k < inputs.factor_count(); ++k) sum += rows[0][k] * rows[1][k];
  return sum;
}

TEST(InputUncertainty, FactorsReproduceWhatWasStated) {
  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty inputs,
      InputUncertainty::Create(
          4,
          {Simple(0, 3), Simple(0, 4), Simple(1, 2), Systematic(Simple(1, 7)),
           Shared(2, 0.5, "meter"), Shared(3, 0.25, "meter"), Simple(2, 1),
           Shared(0, 0.1, "bath"), Shared(3, 0.2, "bath")},
          {{0, 1, -0.6}, {2, 1, 0.3}}));
  EXPECT_NEAR(CovarianceOfInputs(inputs, 0, 0), 25 + 0.01, 1e-12);
  EXPECT_NEAR(CovarianceOfInputs(inputs, 1, 1), 4 + 49, 1e-12);
  EXPECT_NEAR(CovarianceOfInputs(inputs, 0, 1), -0.6 * 5 * 2, 1e-12);
  EXPECT_NEAR(CovarianceOfInputs(inputs, 1, 2), 0.3 * 2 * 1, 1e-12);
  EXPECT_NEAR(CovarianceOfInputs(inputs, 0, 2), 0, 1e-12);
  EXPECT_NEAR(CovarianceOfInputs(inputs, 2, 3), 0.5 * 0.25, 1e-12);
  EXPECT_NEAR(CovarianceOfInputs(inputs, 2, 2), 0.25 + 1, 1e-12);
  EXPECT_NEAR(CovarianceOfInputs(inputs, 0, 3), 0.1 * 0.2, 1e-12);
  // Three of the correlated set, two shared causes, and one systematic component.
  EXPECT_EQ(inputs.random_factor_count(), 5);
  EXPECT_EQ(inputs.factor_count(), 6);
}

TEST(FactorSemidefinite, ProductOfTheFactorIsTheMatrix) {
  Random random("SEMIDEFINITE_FACTOR_GIVES_MATRIX_BACK");
  for (int trial = 0; trial < 200; ++trial) {
    // Correlations of n random vectors in a space of fewer dimensions: singular ones too.
    const int n = random.Integer(2, 7);
    const int dimensions = random.Integer(1, n + 1);
    std::vector<std::vector<double>> vectors(n, std::vector<double>(dimensions));
    for (std::vector<double>& vector : vectors) {
      double length = 0;
      for (double& x : vector) {
        x = random.Normal();
        length += x * x;
      }
      for (double& x : vector) x /= std::sqrt(length);
    }
    std::vector<double> matrix(n * n);
    for (int i = 0; i < n; ++i) {
      for (int j = 0; j < n; ++j) {
        for (int k = 0; k < dimensions; ++k) {
          matrix[i * n + j] += vectors[i][k] * vectors[j][k];
        }
      }
      matrix[i * n + i] = 1;
    }
    std::vector<double> factor = matrix;
    ASSERT_TRUE(FactorSemidefinite(factor, n)) << "trial " << trial;
    for (int i = 0; i < n; ++i) {
      for (int j = 0; j < n; ++j) {
        double product = 0;
        for (int k = 0; k < n; ++k) product += factor[i * n + k] * factor[j * n + k];
        EXPECT_NEAR(product, matrix[i * n + j], 2e-7) << "trial " << trial;
      }
    }
  }
}

TEST(FactorSemidefinite, WhatMovesTogetherMustAgreeOnTheRest) {
  // Inputs 0 and 1 are the same, yet go opposite ways with input 2.
  std::vector<double> matrix = {1, 1, 0.5, 1, 1, -0.5, 0.5, -0.5, 1};
  EXPECT_FALSE(FactorSemidefinite(matrix, 3));
  std::vector<double> agreeing = {1, 1, 0.5, 1, 1, 0.5, 0.5, 0.5, 1};
  EXPECT_TRUE(FactorSemidefinite(agreeing, 3));
}

TEST(FactorSemidefinite, SmallestNegativeEigenvalueIsSeen) {
  // Eigenvalues 1 + 2r and 1 - r: semidefinite down to r = -1/2.
  for (const double r : {-0.5, -0.499, 0.0, 1.0}) {
    std::vector<double> matrix = {1, r, r, r, 1, r, r, r, 1};
    EXPECT_TRUE(FactorSemidefinite(matrix, 3)) << r;
  }
  for (const double r : {-0.5 - 1e-9, -0.6, 1.0001}) {
    std::vector<double> matrix = {1, r, r, r, 1, r, r, r, 1};
    EXPECT_FALSE(FactorSemidefinite(matrix, 3)) << r;
  }
}

}  // namespace
}  // namespace ratebound::points
