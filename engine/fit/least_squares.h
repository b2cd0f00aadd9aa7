// Weighted linear least squares with the diagnostics that a decision needs: what the fit
// is worth (residual standard deviation, R squared, leave-one-out), where it hangs on
// single points (leverages), how sure it is (covariance, also with whole blocks erring
// together), or which terms the points cannot tell apart.
//
// Example:
//   DesignMatrix design = ...;                            // points x terms
//   ASSIGN_OR_RETURN(LeastSquaresFit fit,
//                    SolveLeastSquares({.design = design, .response = power_w,
//                                       .blocks = test_day}));
//   double standard_error = fit.StandardError(row);       // of the surface where row is
//   phi(x)
//
// Method: columns and response are scaled by powers of two (exact), factored by
// column-pivoted Householder QR, and the solution is refined on the augmented system with
// residuals in twice the working precision (Björck 1967; see refinement.h). No normal
// equations. Leverages, leave-one-out residuals e_i / (1 - h_i) and PRESS after Allen,
// Technometrics 16 (1974) 125 and Cook and Weisberg, Residuals and Influence in
// Regression (1982), 2.2.
//
// Weights w_i are inverse variances up to a common factor: the fit minimises sum w_i
// e_i^2.
//
// Deterministic: the same bits on any x86-64 machine at any optimisation level.
// Thread-safety: pure functions; a workspace belongs to one thread at a time.
#ifndef RATEBOUND_ENGINE_FIT_LEAST_SQUARES_H_
#define RATEBOUND_ENGINE_FIT_LEAST_SQUARES_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/fit/clusters.h"
#include "engine/fit/design_matrix.h"
#include "engine/fit/scaled_system.h"

namespace ratebound::fit {

// Refers to the caller's data, which must outlive the call.
struct LeastSquaresProblem {
  const DesignMatrix& design;
  std::span<const double> response;      // one for each row
  std::span<const double> weights = {};  // each above 0; empty: all 1
  std::span<const int> blocks = {};      // id of each row's block; empty: no blocks
};

struct LeastSquaresOptions {
  // Steps of iterative refinement, each worth a factor of about condition * 2^-53. In a
  // scaled orthogonal basis one gives coefficients and residuals as if computed in twice
  // the precision and rounded; a second fills in coefficients_low.
  int refinement_steps = 1;
  // A column whose part outside the span of the others is below this share of the longest
  // column counts as dependent on them.
  double rank_tolerance = 1e-12;
  // R squared compares with the weighted mean of the response; without a constant term,
  // compare with zero.
  bool r_squared_about_mean = true;
  // Names of the columns in messages; "term 3" where empty.
  std::span<const std::string> term_names = {};
};

struct LeastSquaresFit {
  int rows = 0;
  int terms = 0;
  std::vector<double> coefficients;      // in the order of the design's columns
  std::vector<double> coefficients_low;  // their continuation beyond double
  std::vector<double> residuals;         // response - fitted
  std::vector<double> fitted;
  double residual_sum_of_squares = 0;  // weighted
  int degrees_of_freedom = 0;          // rows - terms, at least 1
  // Root of residual_sum_of_squares / degrees_of_freedom: the standard deviation of a
  // response of weight 1.
  double residual_sd = 0;
  double r_squared = 0;  // 1 for a response without spread that is fitted exactly, else 0

  std::vector<double> leverages;  // each in [0, 1], summing to `terms`
  std::vector<double>
      loo_residuals;  // of each row in the fit without it; 0 at decisive points
  // Rows of leverage 1: the fit passes through them whatever they read, and without them
  // some term cannot be estimated.
  std::vector<int> decisive_points;
  // Weighted sum of squares of loo_residuals, and the root of its weighted mean; over the
  // points that are not decisive.
  double press = 0;
  double loo_rms = 0;

  // An upper bound, at most `terms` times too large, of the 2-norm condition number of
  // the design with its columns (and rows, by weights) scaled.
  double condition = 0;
  // (X'WX)^-1, and that times residual_sd^2; terms x terms by rows.
  std::vector<double> unscaled_covariance;
  std::vector<double> covariance;
  std::optional<ClusterFit> clusters;  // where blocks were given

  double StandardErrorOf(int term) const;
  // sqrt(row' * covariance * row), for a row of the design's form.
  double StandardError(std::span<const double> row) const;
};

// sqrt(row' * covariance * row); 0 where rounding makes it negative.
double StandardError(std::span<const double> covariance, std::span<const double> row);

// The response sum_k factors[k] * responses[k], each sum in twice the precision; for a
// claim on a combination such as capacity - L * power. Least squares is linear in the
// response: on one design and weights the fit of the combination is the combination of
// the fits. INVALID_ARGUMENT for unequal lengths.
absl::StatusOr<std::vector<double>> CombineResponses(
    std::span<const std::vector<double>> responses, std::span<const double> factors);

// Memory that a sequence of fits shares.
class LeastSquaresWorkspace {
 private:
  friend absl::Status SolveLeastSquares(const LeastSquaresProblem&,
                                        const LeastSquaresOptions&,
                                        LeastSquaresWorkspace&, LeastSquaresFit&);
  ScaledSystem system_;
};

// Errors: INVALID_ARGUMENT for sizes that do not match, values that are not finite or
// above 1e150, and weights that are not above 0. FAILED_PRECONDITION when there are not
// more rows than terms, or when some terms depend on others at these points: the message
// names them.
absl::StatusOr<LeastSquaresFit> SolveLeastSquares(
    const LeastSquaresProblem& problem, const LeastSquaresOptions& options = {});
// The same into memory that is used again. After an error `fit` is unspecified.
absl::Status SolveLeastSquares(const LeastSquaresProblem& problem,
                               const LeastSquaresOptions& options,
                               LeastSquaresWorkspace& workspace, LeastSquaresFit& fit);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_LEAST_SQUARES_H_
