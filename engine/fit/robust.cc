#include "engine/fit/robust.h"

#include <algorithm>
#include <cmath>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/fit/robust_start.h"
#include "engine/fit/robust_system.h"

namespace ratebound::fit {
namespace {

constexpr double kHuberTuning = 1.345;
constexpr double kTukeyTuning = 4.685;
// Scaled residuals up to this are rounding; the largest scaled response is about 1.
constexpr double kRounding = 1e-13;
constexpr double kOffTheSurface = 100 * kRounding;
constexpr size_t kMostNamed = 10;

absl::Status CheckOptions(const RobustOptions& options) {
  if (options.tuning && !(*options.tuning > 0 && *options.tuning < 1e6)) {
    return absl::InvalidArgumentError(
        absl::StrCat("the tuning constant is ", base::ShortestText(*options.tuning),
                     "; expected a number above 0, such as 1.345 or 4.685"));
  }
  if (options.scale == RobustScale::kFixed &&
      options.start != RobustStart::kHighBreakdown) {
    return absl::InvalidArgumentError(
        "a fixed scale comes from the high-breakdown start; choose that start, or the "
        "iterated median scale");
  }
  if (!(options.tolerance > 0) || options.most_iterations < 1 ||
      !(options.doubtful_below >= 0 && options.doubtful_below <= 1)) {
    return absl::InvalidArgumentError(
        "expected a tolerance above 0, at least one iteration, and a doubtful weight "
        "between 0 and 1");
  }
  return absl::OkStatus();
}

absl::Status CheckProblem(const LeastSquaresFit& ordinary, const RobustOptions& options) {
  if (!ordinary.decisive_points.empty()) {
    return absl::FailedPreconditionError(absl::StrCat(
        "without row ", ordinary.decisive_points.front(),
        " some term cannot be estimated, so nothing can tell whether it is in error; "
        "repeat that condition, or leave the term out"));
  }
  const int needed = 2 * ordinary.terms + 1;
  if (options.start == RobustStart::kHighBreakdown && ordinary.rows < needed) {
    return absl::FailedPreconditionError(absl::StrCat(
        ordinary.rows, " points are too few to find the gross ones among them for ",
        ordinary.terms, " terms; it takes at least ", needed,
        " points, or a lower degree"));
  }
  return absl::OkStatus();
}

// The residuals of `system`, of which most vanish.
absl::Status ExactFitError(const RobustSystem& system,
                           std::span<const double> residuals) {
  std::vector<int> off;
  for (int i = 0; i < system.rows(); ++i) {
    if (std::fabs(residuals[i]) > kOffTheSurface) off.push_back(system.original_row(i));
  }
  std::sort(off.begin(), off.end());
  const size_t count = off.size();
  if (count == 0) {
    return absl::FailedPreconditionError(
        "all points lie on one surface to rounding, so there is no scatter to judge them "
        "by; were values computed rather than measured?");
  }
  off.resize(std::min(count, kMostNamed));
  return absl::FailedPreconditionError(absl::StrCat(
      system.rows() - static_cast<int>(count), " of ", system.rows(),
      " points lie on one surface to rounding, so there is no scatter to judge the "
      "others by; look at row",
      count == 1 ? " " : "s ", absl::StrJoin(off, ", "),
      count > kMostNamed ? " and more" : "", ", which ", count == 1 ? "does" : "do",
      " not, and at whether the rest were measured"));
}

// Huber's estimate; see the header. `residuals` and `scale` as in `system`.
void ReportCovariance(RobustSystem& system, RobustLoss loss, double tuning,
                      std::span<const double> residuals, double scale, RobustFit& fit) {
  const int rows = fit.rows, terms = fit.terms;
  std::vector<double> slopes;
  double squares = 0, mean = 0;
  for (const double residual : residuals) {
    const double u = residual / scale;
    const double psi = u * RobustnessWeight(loss, tuning, u);
    squares += psi * psi;
    slopes.push_back(PsiDerivative(loss, tuning, u));
    mean += slopes.back();
  }
  mean /= rows;
  if (!(mean > 0)) return;
  double spread = 0;
  for (const double slope : slopes) spread += (slope - mean) * (slope - mean);
  const double kappa = 1 + terms * (spread / (rows - 1)) / (rows * mean * mean);
  const double sd = fit.scale * std::sqrt(squares / (rows - terms)) * kappa / mean;
  fit.covariance = system.UnscaledCovariance();
  for (double& entry : fit.covariance) entry *= sd * sd;
  for (int j = 0; j < terms; ++j) {
    fit.standard_errors.push_back(
        std::sqrt(fit.covariance[static_cast<size_t>(j) * terms + j]));
  }
}

}  // namespace

absl::StatusOr<RobustFit> FitRobust(const LeastSquaresProblem& problem,
                                    const RobustOptions& options) {
  RETURN_IF_ERROR(CheckOptions(options));
  ASSIGN_OR_RETURN(const LeastSquaresFit ordinary,
                   SolveLeastSquares({.design = problem.design,
                                      .response = problem.response,
                                      .weights = problem.weights},
                                     {.term_names = options.term_names}));
  RETURN_IF_ERROR(CheckProblem(ordinary, options));
  const double tuning = options.tuning.value_or(
      options.loss == RobustLoss::kHuber ? kHuberTuning : kTukeyTuning);

  RobustSystem system(problem);
  const int rows = system.rows(), terms = system.terms();
  std::vector<double> coefficients, residuals, before, memory;
  std::vector<double> weights(rows, 1.0);
  double scale = 0;
  if (options.start == RobustStart::kHighBreakdown) {
    HighBreakdownStart start = MinimiseScale(system);
    coefficients = std::move(start.coefficients);
    scale = start.scale;
  } else {
    system.Solve(weights, coefficients);
  }
  system.Residuals(coefficients, residuals);

  RobustFit fit{.rows = rows, .terms = terms};
  const auto reweigh = [&] {
    for (int i = 0; i < rows; ++i) {
      weights[i] = RobustnessWeight(options.loss, tuning, residuals[i] / scale);
    }
  };
  while (!fit.converged && fit.iterations < options.most_iterations) {
    ++fit.iterations;
    if (options.scale == RobustScale::kIteratedMedian) {
      scale = MedianScale(residuals, memory);
    }
    if (!(scale > kRounding)) return ExactFitError(system, residuals);
    reweigh();
    if (!system.Solve(weights, coefficients)) {
      return absl::FailedPreconditionError(
          "the points that keep any weight do not tell the terms apart; test more levels "
          "of the conditions, or use a lower degree");
    }
    before = residuals;
    system.Residuals(coefficients, residuals);
    double change = 0;
    for (int i = 0; i < rows; ++i) {
      change = std::max(change, std::fabs(residuals[i] - before[i]));
    }
    fit.converged = change <= options.tolerance * scale;
  }
  reweigh();

  const double response_unit = 1 / system.response_scale();
  fit.scale = scale * response_unit;
  for (int j = 0; j < terms; ++j) {
    fit.coefficients.push_back(coefficients[j] * system.column_scale(j) * response_unit);
  }
  fit.residuals.resize(rows);
  fit.fitted.resize(rows);
  fit.robustness_weights.resize(rows);
  for (int i = 0; i < rows; ++i) {
    const int row = system.original_row(i);
    const double root = problem.weights.empty() ? 1 : std::sqrt(problem.weights[row]);
    fit.residuals[row] = residuals[i] * response_unit / root;
    fit.fitted[row] = problem.response[row] - fit.residuals[row];
    fit.robustness_weights[row] = weights[i];
  }
  for (int row = 0; row < rows; ++row) {
    if (fit.robustness_weights[row] < options.doubtful_below) {
      fit.doubtful_rows.push_back(row);
    }
  }
  ReportCovariance(system, options.loss, tuning, residuals, scale, fit);
  return fit;
}

}  // namespace ratebound::fit
