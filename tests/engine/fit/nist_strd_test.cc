// The linear sets of the NIST Statistical Reference Datasets
// (tests/data/nist-strd/README.md). Agreement is counted in digits: log relative error,
// -log10(|value - certified| / |certified|), as McCullough, The American Statistician 52
// (1998) 358, and 15 at most.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/base/status_macros.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "gtest/gtest.h"
#include "tests/engine/fit/reference_table.h"
#include "tests/testing/matchers.h"

namespace ratebound::fit {
namespace {

double Digits(double value, double reference) {
  if (value == reference) return 15;
  const double error =
      std::fabs(value - reference) / (reference == 0 ? 1 : std::fabs(reference));
  return std::min(15.0, -std::log10(error));
}

double FewestDigits(const std::vector<double>& values,
                    const std::vector<double>& references) {
  EXPECT_EQ(values.size(), references.size());
  double fewest = 15;
  for (size_t i = 0; i < std::min(values.size(), references.size()); ++i) {
    fewest = std::min(fewest, Digits(values[i], references[i]));
  }
  return fewest;
}

struct Estimates {
  LeastSquaresFit fit;
  std::vector<double> coefficients;
  std::vector<double> standard_errors;
};

class NistSet : public ::testing::TestWithParam<std::string> {
 protected:
  NistSet() : table_("nist-strd/certified.txt") {}

  // Polynomials in the scaled Chebyshev basis, other columns as they are. `precise` keeps
  // the design to twice the precision and takes three steps of refinement.
  absl::StatusOr<Estimates> Fit(const std::string& set, bool precise) {
    std::vector<std::vector<double>> columns = ReadColumns("nist-strd/" + set + ".csv");
    const std::vector<double> response = columns[0];
    columns.erase(columns.begin());
    const std::string kind = table_.Words(set, "model")[0];
    Estimates estimates;
    LeastSquaresOptions options{
        .refinement_steps = precise ? 3 : LeastSquaresOptions().refinement_steps,
        .r_squared_about_mean = kind != "columns"};
    if (kind == "polynomial") {
      const int degree = std::stoi(table_.Words(set, "model")[1]);
      ASSIGN_OR_RETURN(PolynomialBasis basis,
                       PolynomialBasis::ForPoints(columns, degree));
      ASSIGN_OR_RETURN(DesignMatrix design,
                       precise ? basis.PreciseDesign(columns) : basis.Design(columns));
      ASSIGN_OR_RETURN(
          estimates.fit,
          SolveLeastSquares({.design = design, .response = response}, options));
      ASSIGN_OR_RETURN(PolynomialBasis::RawPolynomial raw,
                       basis.ToRawPolynomial(estimates.fit.coefficients,
                                             estimates.fit.coefficients_low,
                                             estimates.fit.covariance));
      estimates.coefficients = raw.coefficients;
      for (int t = 0; t < basis.terms(); ++t) {
        estimates.standard_errors.push_back(
            std::sqrt(raw.covariance[t * basis.terms() + t]));
      }
      return estimates;
    }
    if (kind == "columns_with_constant") {
      columns.insert(columns.begin(), std::vector<double>(response.size(), 1.0));
    }
    DesignMatrix design(static_cast<int>(response.size()),
                        static_cast<int>(columns.size()));
    for (int j = 0; j < design.columns; ++j) {
      for (int i = 0; i < design.rows; ++i) design.at(i, j) = columns[j][i];
    }
    ASSIGN_OR_RETURN(
        estimates.fit,
        SolveLeastSquares({.design = design, .response = response}, options));
    estimates.coefficients = estimates.fit.coefficients;
    for (int t = 0; t < design.columns; ++t) {
      estimates.standard_errors.push_back(estimates.fit.StandardErrorOf(t));
    }
    return estimates;
  }

  ReferenceTable table_;
};

TEST_P(NistSet, AgreesWithCertifiedValues) {
  const std::string set = GetParam();
  ASSERT_OK_AND_ASSIGN(const Estimates estimates, Fit(set, true));
  const double coefficient_digits =
      FewestDigits(estimates.coefficients, table_.Numbers(set, "certified_coefficient"));
  RecordProperty("coefficient_digits", std::to_string(coefficient_digits));
  EXPECT_GE(coefficient_digits, 12);
  EXPECT_GE(
      FewestDigits(estimates.coefficients, table_.Numbers(set, "exact_coefficient")), 12);
  EXPECT_GE(Digits(estimates.fit.r_squared, table_.Numbers(set, "exact_r_squared")[0]),
            9);
  for (const char* source : {"certified", "exact"}) {
    const std::string prefix(source);
    if (set == "wampler1") {
      // Exact data: what is left is rounding of responses up to 2.5 million.
      EXPECT_LT(estimates.fit.residual_sd, 1e-9);
      for (double error : estimates.standard_errors) EXPECT_LT(error, 1e-9);
      continue;
    }
    const double error_digits = FewestDigits(
        estimates.standard_errors, table_.Numbers(set, prefix + "_standard_error"));
    RecordProperty("standard_error_digits", std::to_string(error_digits));
    EXPECT_GE(error_digits, 9) << source;
    if (table_.Has(set, prefix + "_residual_sd")) {
      EXPECT_GE(Digits(estimates.fit.residual_sd,
                       table_.Numbers(set, prefix + "_residual_sd")[0]),
                9);
    }
  }
}

// What an ordinary fit reaches: a design in double and one step of refinement. Digits are
// lost where the design was rounded, most under residuals far above the signal
// (wampler5).
TEST_P(NistSet, OrdinaryFitKeepsTenDigits) {
  const std::string set = GetParam();
  ASSERT_OK_AND_ASSIGN(const Estimates estimates, Fit(set, false));
  const double digits =
      FewestDigits(estimates.coefficients, table_.Numbers(set, "certified_coefficient"));
  RecordProperty("ordinary_digits", std::to_string(digits));
  EXPECT_GE(digits, set == "wampler5" ? 8.5 : 10);
}

TEST_P(NistSet, LeveragesAndPressAgreeWithExactArithmetic) {
  const std::string set = GetParam();
  ASSERT_OK_AND_ASSIGN(const Estimates estimates, Fit(set, true));
  EXPECT_GE(FewestDigits(estimates.fit.leverages, table_.Numbers(set, "exact_leverage")),
            9);
  const double press = table_.Numbers(set, "exact_press")[0];
  if (press > 0) {
    EXPECT_GE(Digits(estimates.fit.press, press), 9);
  } else {
    EXPECT_LT(estimates.fit.press, 1e-18);
  }
}

INSTANTIATE_TEST_SUITE_P(Linear, NistSet,
                         ::testing::Values("norris", "noint1", "noint2", "filip",
                                           "longley", "wampler1", "wampler3", "wampler5"),
                         [](const auto& set) { return set.param; });

}  // namespace
}  // namespace ratebound::fit
