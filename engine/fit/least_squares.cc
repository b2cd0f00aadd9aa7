#include "engine/fit/least_squares.h"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/number/error_free.h"

namespace ratebound::fit {
namespace {

constexpr double kLargest = 1e150;
// A leverage within this of 1 leaves nothing to check the point against.
constexpr double kDecisive = 1e-10;
// Coefficients below this share of a dependency's largest are rounding.
constexpr double kPartOfDependency = 1e-6;

// The power of two that brings `largest` into [0.5, 1); 1 for zero.
double ScaleOf(double largest) {
  if (largest == 0) return 1;
  int exponent = 0;
  std::frexp(largest, &exponent);
  return std::ldexp(1.0, -exponent);
}

// Finite and of magnitude below kLargest throughout; `largest` takes the greatest
// magnitude.
bool Measure(std::span<const double> values, double& largest) {
  double greatest = 0;
  bool good = true;
  for (double x : values) {
    const double magnitude = std::fabs(x);
    good &= magnitude < kLargest;
    greatest = magnitude > greatest ? magnitude : greatest;
  }
  largest = greatest;
  return good;
}

std::string TermText(const LeastSquaresOptions& options, int term) {
  if (term < static_cast<int>(options.term_names.size())) return options.term_names[term];
  return absl::StrCat("term ", term);
}

// One line for each dependent column: "x1^2 is a combination of 1, x1 at these points".
absl::Status RankError(const PivotedQr& qr, const LeastSquaresOptions& options) {
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
    for (int part : parts) names.push_back(TermText(options, part));
    const std::string own = TermText(options, qr.permutation(j));
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

absl::Status ValueError(const char* what, std::span<const double> values,
                        const char* wanted) {
  for (size_t i = 0; i < values.size(); ++i) {
    if (!(std::fabs(values[i]) < kLargest)) {
      return absl::InvalidArgumentError(absl::StrCat(what, " of row ", i, " is ",
                                                     base::ShortestText(values[i]),
                                                     "; expected ", wanted));
    }
  }
  return absl::OkStatus();
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
  const DesignMatrix& design = problem.design;
  const int rows = design.rows, terms = design.columns;
  const bool weighted = !problem.weights.empty();
  PivotedQr& qr = workspace.qr_;
  AugmentedSystem& system = workspace.system_;

  // The scaled system: rows by the roots of the weights, columns and response by powers
  // of two.
  std::vector<double>& row_scale = workspace.row_scale_;
  row_scale.assign(rows, 1.0);
  if (weighted) {
    for (int i = 0; i < rows; ++i) {
      const double weight = problem.weights[i];
      if (!(weight > 0 && weight < kLargest)) {
        return absl::InvalidArgumentError(
            absl::StrCat("the weight of row ", i, " is ", base::ShortestText(weight),
                         "; expected a finite number above 0"));
      }
      row_scale[i] = std::sqrt(weight);
    }
  }
  qr.Reset(rows, terms);
  const bool has_low = weighted || !design.low.empty();
  if (has_low)
    workspace.matrix_low_.assign(static_cast<size_t>(qr.stride()) * terms, 0.0);
  system.matrix_low = has_low ? &workspace.matrix_low_ : nullptr;
  workspace.column_scale_.resize(terms);
  for (int j = 0; j < terms; ++j) {
    double* column = qr.column(j);
    const double* values = &design.values[static_cast<size_t>(j) * rows];
    double largest = 0;
    if (!Measure({values, static_cast<size_t>(rows)}, largest)) {
      return ValueError(absl::StrCat(TermText(options, j)).c_str(), design.Column(j),
                        "a finite number below 1e150");
    }
    if (weighted) {
      for (int i = 0; i < rows; ++i) column[i] = row_scale[i] * values[i];
      Measure({column, static_cast<size_t>(rows)}, largest);
    }
    const double scale = ScaleOf(largest);
    workspace.column_scale_[j] = scale;
    if (has_low) {
      double* low = &workspace.matrix_low_[static_cast<size_t>(j) * qr.stride()];
      for (int i = 0; i < rows; ++i) {
        low[i] = number::TwoProduct(row_scale[i], values[i]).error * scale;
        if (!design.low.empty()) {
          low[i] += design.low[static_cast<size_t>(j) * rows + i] * row_scale[i] * scale;
        }
      }
    }
    const double* source = weighted ? column : values;
    for (int i = 0; i < rows; ++i) column[i] = source[i] * scale;
  }

  double largest_response = 0;
  if (!Measure(problem.response, largest_response)) {
    return ValueError("the response", problem.response, "a finite number below 1e150");
  }
  system.b_high.assign(qr.stride(), 0.0);
  system.b_low.assign(weighted ? qr.stride() : 0, 0.0);
  for (int i = 0; i < rows; ++i) system.b_high[i] = row_scale[i] * problem.response[i];
  Measure(system.b_high, largest_response);
  const double response_scale = ScaleOf(largest_response);
  const double response_unit = 1 / response_scale;
  for (int i = 0; i < rows; ++i) {
    system.b_high[i] *= response_scale;
    if (weighted) {
      system.b_low[i] =
          number::TwoProduct(row_scale[i], problem.response[i]).error * response_scale;
    }
  }

  qr.Factor(options.rank_tolerance);
  if (qr.rank() < terms) return RankError(qr, options);
  qr.FormQ();
  qr.InvertR();
  system.Solve(qr);
  for (int step = 0; step < options.refinement_steps; ++step) system.Refine(qr);

  fit.rows = rows;
  fit.terms = terms;
  fit.coefficients.resize(terms);
  fit.coefficients_low.resize(terms);
  for (int j = 0; j < terms; ++j) {
    const double unit = workspace.column_scale_[j] * response_unit;
    fit.coefficients[j] = system.x_high[j] * unit;
    fit.coefficients_low[j] = system.x_low[j] * unit;
  }

  // Leverages, in the padded rows of Q.
  std::vector<double>& leverage = workspace.leverage_;
  leverage.assign(qr.stride(), 0.0);
  for (int k = 0; k < terms; ++k) {
    const double* q = qr.q(k);
    for (int i = 0; i < qr.stride(); ++i) leverage[i] += q[i] * q[i];
  }

  fit.residuals.resize(rows);
  fit.fitted.resize(rows);
  fit.leverages.resize(rows);
  fit.loo_residuals.resize(rows);
  fit.decisive_points.clear();
  double sum_of_squares = 0, press = 0, weight_sum = 0, checked_weight = 0;
  double weighted_response = 0;
  for (int i = 0; i < rows; ++i) {
    const double scaled = system.r_high[i];
    const double unit = weighted ? response_unit / row_scale[i] : response_unit;
    const double weight = weighted ? problem.weights[i] : 1;
    fit.residuals[i] = scaled * unit;
    fit.fitted[i] = problem.response[i] - fit.residuals[i];
    fit.leverages[i] = std::min(leverage[i], 1.0);
    sum_of_squares += scaled * scaled;
    weight_sum += weight;
    weighted_response += weight * problem.response[i];
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
  fit.degrees_of_freedom = rows - terms;
  fit.residual_sum_of_squares = sum_of_squares * square_unit;
  fit.residual_sd = std::sqrt(sum_of_squares / fit.degrees_of_freedom) * response_unit;
  fit.press = press * square_unit;
  fit.loo_rms =
      checked_weight > 0 ? std::sqrt(press / checked_weight) * response_unit : 0;

  const double mean = options.r_squared_about_mean ? weighted_response / weight_sum : 0;
  double total = 0;
  for (int i = 0; i < rows; ++i) {
    const double scaled = row_scale[i] * (problem.response[i] - mean) * response_scale;
    total += scaled * scaled;
  }
  fit.r_squared = total > 0 ? 1 - sum_of_squares / total : (sum_of_squares == 0 ? 1 : 0);

  // R^-1 R^-T, back in the order and units of the design's columns.
  const size_t square = static_cast<size_t>(terms) * terms;
  fit.unscaled_covariance.resize(square);
  fit.covariance.resize(square);
  const double variance = fit.residual_sd * fit.residual_sd;
  double r_norm = 0, inverse_norm = 0;
  for (int a = 0; a < terms; ++a) {
    const int row = qr.permutation(a);
    for (int b = a; b < terms; ++b) {
      r_norm += qr.r(a, b) * qr.r(a, b);
      inverse_norm += qr.r_inverse(a, b) * qr.r_inverse(a, b);
      double sum = 0;
      for (int k = b; k < terms; ++k) sum += qr.r_inverse(a, k) * qr.r_inverse(b, k);
      const int column = qr.permutation(b);
      sum *= workspace.column_scale_[row] * workspace.column_scale_[column];
      const size_t upper = static_cast<size_t>(row) * terms + column;
      const size_t lower = static_cast<size_t>(column) * terms + row;
      fit.unscaled_covariance[upper] = fit.unscaled_covariance[lower] = sum;
      fit.covariance[upper] = fit.covariance[lower] = sum * variance;
    }
  }
  fit.condition = std::sqrt(r_norm) * std::sqrt(inverse_norm);

  fit.clusters.reset();
  if (!problem.blocks.empty()) {
    ClusterFit clusters = LeaveBlocksOut(qr, system.r_high, problem.blocks);
    double squares = 0, weights = 0;
    for (int i = 0; i < rows; ++i) {
      if (std::find(clusters.decisive_blocks.begin(), clusters.decisive_blocks.end(),
                    problem.blocks[i]) != clusters.decisive_blocks.end()) {
        continue;
      }
      double& residual = clusters.leave_block_out_residuals[i];
      squares += residual * residual;
      weights += weighted ? problem.weights[i] : 1;
      residual *= response_unit / row_scale[i];
    }
    clusters.leave_block_out_rms =
        weights > 0 ? std::sqrt(squares / weights) * response_unit : 0;
    for (int a = 0; a < terms && !clusters.covariance.empty(); ++a) {
      for (int b = 0; b < terms; ++b) {
        clusters.covariance[static_cast<size_t>(a) * terms + b] *=
            workspace.column_scale_[a] * workspace.column_scale_[b] * square_unit;
      }
    }
    fit.clusters = std::move(clusters);
  }
  return absl::OkStatus();
}

}  // namespace ratebound::fit
