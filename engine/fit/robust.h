// Regression that gross errors cannot pull: for screening points and for seeing what the
// bulk of them says. Never for proofs, which rest on all accepted points.
//
// Example:
//   ASSIGN_OR_RETURN(RobustFit fit, FitRobust({.design = design, .response = power_w}));
//   for (int row : fit.doubtful_rows) ...       // rows that the others do not believe
//
// By default an MM-estimate (Yohai, Annals of Statistics 15 (1987) 642): an S-estimate
// that up to half of the points cannot lead astray (robust_start.h) gives the start and
// the scale, and from there Tukey's biweight with 95 % efficiency at normal errors is
// iterated with the scale held. The S-scale has rows - terms in its denominator.
//
// Other combinations are the classical M-estimates, where the scale is the median
// magnitude of the residuals over 0.6745, taken anew in each step. Started from least
// squares they resist outlying responses, but not outlying conditions (leverage).
//
// What no estimate can do: points in error that stand alone at their conditions draw a
// flexible surface after them as long as it can bend there. Simulated (a quadratic in two
// conditions, 48 good points and 12 in error beyond one corner): from about 30 standard
// deviations on the errors are told. Elsewhere 20 % of gross errors leave the surface
// within the scatter of a fit without them, at 94 % efficiency when there are none (ten
// points for each term).
//
// Standard errors (Huber, Robust Statistics, 1981, 7.6, the estimate called (6.5)): with
// u = r / s,
//   cov = kappa^2 * (sum (s psi(u))^2 / (rows - terms)) / mean(psi')^2 * (X'WX)^-1,
//   kappa = 1 + terms * variance(psi') / (rows * mean(psi')^2).
//
// The rows' order changes nothing, not even the last bit, except among rows that are the
// same in everything. Deterministic on any x86-64 machine. Cost of the default: about 500
// to 5000 small regressions. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_FIT_ROBUST_H_
#define RATEBOUND_ENGINE_FIT_ROBUST_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/robust_loss.h"

namespace ratebound::fit {

enum class RobustStart { kLeastSquares, kHighBreakdown };
enum class RobustScale {
  kIteratedMedian,  // median |r| / 0.6745, in each step
  kFixed,           // the S-estimate's; needs kHighBreakdown
};

struct RobustOptions {
  RobustLoss loss = RobustLoss::kTukey;
  // Residuals of this many scales begin to lose weight (Huber) or have none (Tukey).
  // Where empty 1.345 and 4.685: 95 % efficiency at normal errors (Holland and Welsch,
  // Communications in Statistics A6 (1977) 813).
  std::optional<double> tuning = {};
  RobustStart start = RobustStart::kHighBreakdown;
  RobustScale scale = RobustScale::kFixed;
  // The iteration ends when no residual changes by more than this share of the scale.
  double tolerance = 1e-10;
  int most_iterations = 500;
  // Rows of less robustness weight are doubtful. 0.25 is 3.3 scales for Tukey, 5.4 for
  // Huber, at the usual tuning.
  double doubtful_below = 0.25;
  // Names of the columns in messages; "term 3" where empty.
  std::span<const std::string> term_names = {};
};

struct RobustFit {
  int rows = 0;
  int terms = 0;
  std::vector<double> coefficients;
  std::vector<double> residuals;  // response - fitted
  std::vector<double> fitted;
  double scale = 0;  // robust standard deviation of a response of weight 1
  // psi(u) / u of each row in [0, 1], apart from its weight in the problem.
  std::vector<double> robustness_weights;
  std::vector<int> doubtful_rows;  // by row
  int iterations = 0;
  bool converged = false;
  // Terms x terms by rows. Empty, like standard_errors, where the residuals crowd where
  // psi falls, so that the formula has no answer.
  std::vector<double> covariance;
  std::vector<double> standard_errors;
};

// `problem.blocks` play no part. Errors: those of SolveLeastSquares; INVALID_ARGUMENT for
// options out of range or a fixed scale without high-breakdown start; FAILED_PRECONDITION
// where there are fewer than 2 * terms + 1 rows for the high-breakdown start, where a row
// alone decides a term (leverage 1), or where most points lie on one surface to rounding,
// so that there is no scatter to judge the others by: the message names these.
absl::StatusOr<RobustFit> FitRobust(const LeastSquaresProblem& problem,
                                    const RobustOptions& options = {});

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_ROBUST_H_
