// The linear sets of the NIST Statistical Reference Datasets
// (tests/data/nist-strd/README.md). Deviations are relative, so 1e-9 is nine digits: the
// log relative error of McCullough, The American Statistician 52 (1998) 358. Where the
// certified value is 0 they are absolute.
#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "gtest/gtest.h"
#include "tests/engine/fit/reference_table.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::fit {
namespace {

using ratebound::testing::OutsideCheck;

struct Estimates {
  LeastSquaresFit fit;
  std::vector<double> coefficients;
  std::vector<double> standard_errors;
};

constexpr char kSource[] = "NIST Statistical Reference Datasets, linear regression";
const std::vector<std::string> kSets = {"norris",  "noint1",   "noint2",   "filip",
                                        "longley", "wampler1", "wampler3", "wampler5"};

class NistSets : public ::testing::Test {
 protected:
  NistSets() : table_("nist-strd/certified.txt") {}

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

TEST_F(NistSets, AgreeWithCertifiedValues) {
  OutsideCheck coefficients(
      {.name = "fit.nist_strd_coefficients", .source = kSource, .tolerance = 1e-12});
  OutsideCheck errors(
      {.name = "fit.nist_strd_standard_errors", .source = kSource, .tolerance = 1e-9});
  OutsideCheck deviations(
      {.name = "fit.nist_strd_residual_sd", .source = kSource, .tolerance = 1e-9});
  OutsideCheck r_squared(
      {.name = "fit.nist_strd_r_squared",
       .source = absl::StrCat(kSource, "; exact rational arithmetic on them"),
       .tolerance = 1e-9});
  for (const std::string& set : kSets) {
    SCOPED_TRACE(set);
    ASSERT_OK_AND_ASSIGN(const Estimates estimates, Fit(set, true));
    r_squared.Each(set, {{estimates.fit.r_squared}},
                   table_.Numbers(set, "exact_r_squared"));
    for (const std::string basis : {"certified", "exact"}) {
      const std::string what = absl::StrCat(set, ", ", basis);
      coefficients.Each(what, estimates.coefficients,
                        table_.Numbers(set, basis + "_coefficient"));
      // Of wampler1, which is exact, both are 0; what is left is rounding of responses up
      // to 2.5 million.
      errors.Each(what, estimates.standard_errors,
                  table_.Numbers(set, basis + "_standard_error"));
      if (table_.Has(set, basis + "_residual_sd")) {
        deviations.Each(what, {{estimates.fit.residual_sd}},
                        table_.Numbers(set, basis + "_residual_sd"));
      }
    }
  }
}

// What an ordinary fit reaches: a design in double and one step of refinement. Digits are
// lost where the design was rounded, most under residuals far above the signal
// (wampler5).
TEST_F(NistSets, OrdinaryFitKeepsTenDigits) {
  OutsideCheck most(
      {.name = "fit.nist_strd_ordinary_fit", .source = kSource, .tolerance = 1e-10});
  OutsideCheck wampler5({.name = "fit.nist_strd_ordinary_fit_of_wampler5",
                         .source = kSource,
                         .tolerance = 3.2e-9});
  for (const std::string& set : kSets) {
    ASSERT_OK_AND_ASSIGN(const Estimates estimates, Fit(set, false));
    (set == "wampler5" ? wampler5 : most)
        .Each(set, estimates.coefficients, table_.Numbers(set, "certified_coefficient"));
  }
}

TEST_F(NistSets, LeveragesAndPressAgreeWithExactArithmetic) {
  const std::string source =
      absl::StrCat("exact rational arithmetic on the data of ", kSource);
  OutsideCheck leverages(
      {.name = "fit.nist_strd_leverages", .source = source, .tolerance = 1e-9});
  OutsideCheck press(
      {.name = "fit.nist_strd_press", .source = source, .tolerance = 1e-9});
  for (const std::string& set : kSets) {
    ASSERT_OK_AND_ASSIGN(const Estimates estimates, Fit(set, true));
    leverages.Each(set, estimates.fit.leverages, table_.Numbers(set, "exact_leverage"));
    press.Each(set, {{estimates.fit.press}}, table_.Numbers(set, "exact_press"));
    if (set == "wampler1") {
      EXPECT_LT(estimates.fit.press, 1e-18);
    }
  }
}

}  // namespace
}  // namespace ratebound::fit
