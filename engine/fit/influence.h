// What each point does to a fit, and what the fit is worth beyond R squared.
//
// Example:
//   ASSIGN_OR_RETURN(Influence influence, MeasureInfluence(problem, fit));
//   if (std::fabs(influence.externally_studentised[i]) > 3) ...      // see advice.h
//
// With e residual, h leverage, w weight, n rows, p terms, s residual_sd, and (i) for the
// fit without row i:
//   internally studentised  r = sqrt(w) e / (s sqrt(1 - h))
//   externally studentised  t = sqrt(w) e / (s_(i) sqrt(1 - h)), Student's t with
//                           n - p - 1 degrees of freedom for a row chosen beforehand
//   Cook's distance         r^2 h / ((1 - h) p)     (Cook, Technometrics 19 (1977) 15)
//   DFFITS                  t sqrt(h / (1 - h))     (Belsley, Kuh and Welsch, Regression
//   COVRATIO                (s_(i)^2 / s^2)^p / (1 - h)          Diagnostics, 1980, 2.1)
//   predicted R squared     1 - PRESS / total sum of squares
//   variance inflation      the factor by which the other terms widen a term's variance
// s_(i) is taken from the deleted residuals themselves where subtracting squares would
// lose digits.
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FIT_INFLUENCE_H_
#define RATEBOUND_ENGINE_FIT_INFLUENCE_H_

#include <optional>
#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/fit/design_matrix.h"
#include "engine/fit/least_squares.h"

namespace ratebound::fit {

struct Influence {
  // One for each row; 0 at the fit's decisive points, where nothing is left to compare
  // with. The externally studentised, DFFITS and COVRATIO are empty with one degree of
  // freedom, and infinite (COVRATIO 0) where all other points lie exactly on one surface.
  std::vector<double> internally_studentised;
  std::vector<double> externally_studentised;
  std::vector<double> cooks_distance;
  std::vector<double> dffits;
  std::vector<double> covratio;

  double adjusted_r_squared = 0;
  // Of all terms together against the mean alone (against zero, without a mean), with
  // its probability; empty where there is nothing but the mean, or no residual.
  std::optional<double> f;
  std::optional<double> f_p_value;
  // Empty where there are decisive points or the response has no spread.
  std::optional<double> predicted_r_squared;
};

// `fit` is that of `problem`; `about_mean` as LeastSquaresOptions::r_squared_about_mean.
// INVALID_ARGUMENT for sizes that do not match.
absl::StatusOr<Influence> MeasureInfluence(const LeastSquaresProblem& problem,
                                           const LeastSquaresFit& fit,
                                           bool about_mean = true);

// For each term of the design: its variance over what it would be if the term were
// uncorrelated with the others about the mean; 0 for a constant term. Meaningful in a
// basis scaled about the middle of the conditions; raw powers are collinear as such.
// INVALID_ARGUMENT for sizes that do not match.
absl::StatusOr<std::vector<double>> InflationOfTerms(const LeastSquaresProblem& problem,
                                                     const LeastSquaresFit& fit);

// For each condition: 1 / (1 - R squared) of its linear regression on the others and a
// constant; how far the test plan moved conditions together. 1 for a single condition.
// INVALID_ARGUMENT for unequal lengths or values out of range; FAILED_PRECONDITION where
// one condition is a combination of others, or there are too few points.
absl::StatusOr<std::vector<double>> InflationOfConditions(
    Columns columns, std::span<const double> weights = {});

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_INFLUENCE_H_
