#include "engine/fit/least_squares.h"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/number/error_free.h"

namespace ratebound::fit {
namespace {

// A leverage within this of 1 leaves nothing to check the point against.
constexpr double kDecisive = 1e-10;
// Coefficients below this share of a dependency's largest are rounding.
constexpr double kPartOfDependency = 1e-6;

// One line for each dependent column: "x1^2 is a combination of 1, x1 at these points".
absl::Status RankError(const PivotedQr& qr, std::span<const std::string> term_names) {
  const int rank = qr.rank(), terms = qr.columns();
  std::vector<std::string> lines;
  for (int j = rank; j < terms; ++j) {
    std::vector<double> share(rank);  // R11 share = R12's column
    double largest = 0;
    for (int k = rank - 1; k >= 0; --k) {
      double sum = qr.r(k, j);
      for (int m = k + 1; m < rank; ++m) sum -= qr.r(k, m) * share[m];
      share[k] = sum / qr.r(k, k);
      largest = std::max(largest, std::fabs(share[k]));
    }
    std::vector<int> parts;
    for (int k = 0; k < rank; ++k) {
      if (std::fabs(share[k]) > kPartOfDependency * largest)
        parts.push_back(qr.permutation(k));
    }
    std::sort(parts.begin(), parts.end());
    std::vector<std::string> names;
    names.reserve(parts.size());
    for (int part : parts) names.push_back(TermText(term_names, part));
    const std::string own = TermText(term_names, qr.permutation(j));
    lines.push_back(names.empty() ? absl::StrCat(own, " is zero at every point")
                                  : absl::StrCat(own, " is a combination of ",
                                                 absl::StrJoin(names, ", ")));
  }
  return absl::FailedPreconditionError(
      absl::StrCat("the points tell apart only ", rank, " of ", terms,
                   " terms: ", absl::StrJoin(lines, "; "),
                   "; test more levels of these conditions, or leave these terms out"));
}

absl::Status CheckSizes(const LeastSquaresProblem& problem) {
  const DesignMatrix& design = problem.design;
  const size_t rows = static_cast<size_t>(std::max(design.rows, 0));
  const size_t size = rows * static_cast<size_t>(std::max(design.columns, 0));
  if (design.columns < 1 || design.values.size() != size ||
      (!design.low.empty() && design.low.size() != size)) {
    return absl::InvalidArgumentError(
        absl::StrCat("a design of ", design.rows, " rows and ", design.columns,
                     " columns holds ", design.values.size(), " values"));
  }
  for (const auto& [name, count, may_be_empty] :
       {std::tuple("responses", problem.response.size(), false),
        std::tuple("weights", problem.weights.size(), true),
        std::tuple("block ids", problem.blocks.size(), true)}) {
    if (count != rows && !(may_be_empty && count == 0)) {
      return absl::InvalidArgumentError(absl::StrCat(
          "there are ", count, " ", name, " for ", rows, " rows of the design"));
    }
  }
  if (design.rows <= design.columns) {
    return absl::FailedPreconditionError(
        absl::StrCat(design.rows, " points cannot determine ", design.columns,
                     " terms and their uncertainty; it takes at least ",
                     design.columns + 1, " points, or a lower degree"));
  }
  return absl::OkStatus();
}

// The parts of a fit, from the solved system. Each brings its figures back to the
// caller's units.

void ReportCoefficients(const ScaledSystem& system, LeastSquaresFit& fit) {
  fit.coefficients.resize(fit.terms);
  fit.coefficients_low.resize(fit.terms);
  for (int j = 0; j < fit.terms; ++j) {
    const double unit = system.column_scale[j] / system.response_scale;
    fit.coefficients[j] = system.augmented.x_high[j] * unit;
    fit.coefficients_low[j] = system.augmented.x_low[j] * unit;
  }
}

void ReportResiduals(const LeastSquaresProblem& problem, bool about_mean,
                     ScaledSystem& system, LeastSquaresFit& fit) {
  const PivotedQr& qr = system.qr;
  std::vector<double>& leverage = system.leverage;
  leverage.assign(qr.stride(), 0.0);
  for (int k = 0; k < fit.terms; ++k) {
    const double* q = qr.q(k);
    for (int i = 0; i < qr.stride(); ++i) leverage[i] += q[i] * q[i];
  }

  fit.residuals.resize(fit.rows);
  fit.fitted.resize(fit.rows);
  fit.leverages.resize(fit.rows);
  fit.loo_residuals.resize(fit.rows);
  fit.decisive_points.clear();
  const double response_unit = 1 / system.response_scale;
  double sum_of_squares = 0, press = 0, weight_sum = 0, checked_weight = 0,
         response_sum = 0;
  for (int i = 0; i < fit.rows; ++i) {
    const double scaled = system.augmented.r_high[i];
    const double unit =
        system.weighted ? response_unit / system.row_scale[i] : response_unit;
    const double weight = system.weighted ? problem.weights[i] : 1;
    fit.residuals[i] = scaled * unit;
    fit.fitted[i] = problem.response[i] - fit.residuals[i];
    fit.leverages[i] = std::min(leverage[i], 1.0);
    sum_of_squares += scaled * scaled;
    weight_sum += weight;
    response_sum += weight * problem.response[i];
    const double left = 1 - leverage[i];
    if (left > kDecisive) {
      const double loo = scaled / left;
      fit.loo_residuals[i] = loo * unit;
      press += loo * loo;
      checked_weight += weight;
    } else {
      fit.loo_residuals[i] = 0;
      fit.decisive_points.push_back(i);
    }
  }
  const double square_unit = response_unit * response_unit;
  fit.degrees_of_freedom = fit.rows - fit.terms;
  fit.residual_sum_of_squares = sum_of_squares * square_unit;
  fit.residual_sd = std::sqrt(sum_of_squares / fit.degrees_of_freedom) * response_unit;
  fit.press = press * square_unit;
  fit.loo_rms =
      checked_weight > 0 ? std::sqrt(press / checked_weight) * response_unit : 0;

  const double mean = about_mean ? response_sum / weight_sum : 0;
  double total = 0;
  for (int i = 0; i < fit.rows; ++i) {
    const double scaled =
        system.row_scale[i] * (problem.response[i] - mean) * system.response_scale;
    total += scaled * scaled;
  }
  fit.r_squared = total > 0 ? 1 - sum_of_squares / total : (sum_of_squares == 0 ? 1 : 0);
}

// R^-1 R^-T, back in the order of the design's columns.
void ReportCovariance(const ScaledSystem& system, LeastSquaresFit& fit) {
  const PivotedQr& qr = system.qr;
  const int terms = fit.terms;
  fit.unscaled_covariance.resize(static_cast<size_t>(terms) * terms);
  fit.covariance.resize(fit.unscaled_covariance.size());
  const double variance = fit.residual_sd * fit.residual_sd;
  double r_squares = 0, inverse_squares = 0;
  for (int a = 0; a < terms; ++a) {
    const int row = qr.permutation(a);
    for (int b = a; b < terms; ++b) {
      const int column = qr.permutation(b);
      r_squares += qr.r(a, b) * qr.r(a, b);
      inverse_squares += qr.r_inverse(a, b) * qr.r_inverse(a, b);
      double sum = 0;
      for (int k = b; k < terms; ++k) sum += qr.r_inverse(a, k) * qr.r_inverse(b, k);
      sum *= system.column_scale[row] * system.column_scale[column];
      const size_t upper = static_cast<size_t>(row) * terms + column;
      const size_t lower = static_cast<size_t>(column) * terms + row;
      fit.unscaled_covariance[upper] = fit.unscaled_covariance[lower] = sum;
      fit.covariance[upper] = fit.covariance[lower] = sum * variance;
    }
  }
  fit.condition = std::sqrt(r_squares) * std::sqrt(inverse_squares);
}

void ReportClusters(const LeastSquaresProblem& problem, const ScaledSystem& system,
                    LeastSquaresFit& fit) {
  fit.clusters.reset();
  if (problem.blocks.empty()) return;
  const double response_unit = 1 / system.response_scale;
  ClusterFit clusters =
      LeaveBlocksOut(system.qr, system.augmented.r_high, problem.blocks);
  double squares = 0, weights = 0;
  for (int i = 0; i < fit.rows; ++i) {
    if (std::binary_search(clusters.decisive_blocks.begin(),
                           clusters.decisive_blocks.end(), problem.blocks[i])) {
      continue;
    }
    double& residual = clusters.leave_block_out_residuals[i];
    squares += residual * residual;
    weights += system.weighted ? problem.weights[i] : 1;
    residual *= response_unit / system.row_scale[i];
  }
  clusters.leave_block_out_rms =
      weights > 0 ? std::sqrt(squares / weights) * response_unit : 0;
  if (!clusters.covariance.empty()) {
    for (int a = 0; a < fit.terms; ++a) {
      for (int b = 0; b < fit.terms; ++b) {
        clusters.covariance[static_cast<size_t>(a) * fit.terms + b] *=
            system.column_scale[a] * system.column_scale[b] * response_unit *
            response_unit;
      }
    }
  }
  fit.clusters = std::move(clusters);
}

}  // namespace

double StandardError(std::span<const double> covariance, std::span<const double> row) {
  double sum = 0;
  for (size_t i = 0; i < row.size(); ++i) {
    double inner = 0;
    for (size_t j = 0; j < row.size(); ++j)
      inner += covariance[i * row.size() + j] * row[j];
    sum += row[i] * inner;
  }
  return sum > 0 ? std::sqrt(sum) : 0;
}

double LeastSquaresFit::StandardErrorOf(int term) const {
  return std::sqrt(covariance[static_cast<size_t>(term) * terms + term]);
}

double LeastSquaresFit::StandardError(std::span<const double> row) const {
  return fit::StandardError(covariance, row);
}

absl::StatusOr<std::vector<double>> CombineResponses(
    std::span<const std::vector<double>> responses, std::span<const double> factors) {
  if (responses.empty() || responses.size() != factors.size()) {
    return absl::InvalidArgumentError(absl::StrCat(responses.size(), " responses and ",
                                                   factors.size(),
                                                   " factors; expected one for each"));
  }
  std::vector<double> combined(responses[0].size());
  for (const std::vector<double>& response : responses) {
    if (response.size() == combined.size()) continue;
    return absl::InvalidArgumentError(absl::StrCat("responses of ", combined.size(),
                                                   " and ", response.size(),
                                                   " rows do not combine"));
  }
  for (size_t i = 0; i < combined.size(); ++i) {
    number::DoubleDouble sum;
    for (size_t k = 0; k < responses.size(); ++k) {
      sum = sum + number::DoubleDouble::Product(factors[k], responses[k][i]);
    }
    combined[i] = sum.ToDouble();
  }
  return combined;
}

absl::StatusOr<LeastSquaresFit> SolveLeastSquares(const LeastSquaresProblem& problem,
                                                  const LeastSquaresOptions& options) {
  LeastSquaresWorkspace workspace;
  LeastSquaresFit fit;
  RETURN_IF_ERROR(SolveLeastSquares(problem, options, workspace, fit));
  return fit;
}

absl::Status SolveLeastSquares(const LeastSquaresProblem& problem,
                               const LeastSquaresOptions& options,
                               LeastSquaresWorkspace& workspace, LeastSquaresFit& fit) {
  RETURN_IF_ERROR(CheckSizes(problem));
  ScaledSystem& system = workspace.system_;
  RETURN_IF_ERROR(system.LoadWeights(problem.weights, problem.design.rows));
  RETURN_IF_ERROR(system.LoadDesign(problem.design, options.term_names));
  RETURN_IF_ERROR(system.LoadResponse(problem.response));

  PivotedQr& qr = system.qr;
  qr.Factor(options.rank_tolerance);
  if (qr.rank() < qr.columns()) return RankError(qr, options.term_names);
  qr.FormQ();
  qr.InvertR();
  system.augmented.Solve(qr);
  for (int step = 0; step < options.refinement_steps; ++step) system.augmented.Refine(qr);

  fit.rows = problem.design.rows;
  fit.terms = problem.design.columns;
  ReportCoefficients(system, fit);
  ReportResiduals(problem, options.r_squared_about_mean, system, fit);
  ReportCovariance(system, fit);
  ReportClusters(problem, system, fit);
  return absl::OkStatus();
}

}  // namespace ratebound::fit
