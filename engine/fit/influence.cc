#include "engine/fit/influence.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/number/distribution.h"
#include "engine/number/elementary.h"

namespace ratebound::fit {
namespace {

// Where less than this share of the squares is left, they are summed afresh.
constexpr double kCancels = 1e-3;

absl::Status CheckSizes(const LeastSquaresProblem& problem, const LeastSquaresFit& fit) {
  const size_t rows = static_cast<size_t>(fit.rows);
  if (problem.design.rows != fit.rows || problem.design.columns != fit.terms ||
      problem.response.size() != rows || fit.residuals.size() != rows ||
      (!problem.weights.empty() && problem.weights.size() != rows)) {
    return absl::InvalidArgumentError(
        absl::StrCat("the fit has ", rows, " rows of ", fit.terms, " terms; a design of ",
                     problem.design.rows, " by ", problem.design.columns, ", ",
                     problem.response.size(), " responses and ", problem.weights.size(),
                     " weights given"));
  }
  return absl::OkStatus();
}

double WeightOf(const LeastSquaresProblem& problem, int row) {
  return problem.weights.empty() ? 1 : problem.weights[row];
}

// Weighted sum of squares of the fit without `row`.
double SquaresWithout(const LeastSquaresProblem& problem, const LeastSquaresFit& fit,
                      int row) {
  const DesignMatrix& design = problem.design;
  const double loo = WeightOf(problem, row) * fit.loo_residuals[row];
  // (X'WX)^-1 x_row w_row e_row / (1 - h_row): what the row adds to the coefficients.
  std::vector<double> moved(fit.terms);
  for (int a = 0; a < fit.terms; ++a) {
    for (int b = 0; b < fit.terms; ++b) {
      moved[a] += fit.unscaled_covariance[static_cast<size_t>(a) * fit.terms + b] *
                  design.at(row, b) * loo;
    }
  }
  double sum = 0;
  for (int i = 0; i < fit.rows; ++i) {
    if (i == row) continue;
    double residual = fit.residuals[i];
    for (int a = 0; a < fit.terms; ++a) residual += design.at(i, a) * moved[a];
    sum += WeightOf(problem, i) * residual * residual;
  }
  return sum;
}

// Sum of w (x - mean)^2, or of w x^2.
double SpreadOf(const LeastSquaresProblem& problem, std::span<const double> values,
                bool about_mean) {
  double weight = 0, sum = 0;
  for (size_t i = 0; i < values.size(); ++i) {
    weight += WeightOf(problem, static_cast<int>(i));
    sum += WeightOf(problem, static_cast<int>(i)) * values[i];
  }
  const double mean = about_mean ? sum / weight : 0;
  double spread = 0;
  for (size_t i = 0; i < values.size(); ++i) {
    spread +=
        WeightOf(problem, static_cast<int>(i)) * (values[i] - mean) * (values[i] - mean);
  }
  return spread;
}

void MeasureRows(const LeastSquaresProblem& problem, const LeastSquaresFit& fit,
                 Influence& influence) {
  const size_t rows = static_cast<size_t>(fit.rows);
  influence.internally_studentised.assign(rows, 0.0);
  influence.cooks_distance.assign(rows, 0.0);
  const int left = fit.degrees_of_freedom - 1;
  if (left > 0) {
    influence.externally_studentised.assign(rows, 0.0);
    influence.dffits.assign(rows, 0.0);
    influence.covratio.assign(rows, 0.0);
  }
  const double squares = fit.residual_sum_of_squares;
  for (int i = 0; i < fit.rows; ++i) {
    if (std::binary_search(fit.decisive_points.begin(), fit.decisive_points.end(), i)) {
      continue;
    }
    const double h = fit.leverages[i];
    const double error =
        std::sqrt(WeightOf(problem, i)) * fit.residuals[i] / std::sqrt(1 - h);
    const double internal = squares > 0 ? error / fit.residual_sd : 0;
    influence.internally_studentised[i] = internal;
    influence.cooks_distance[i] = internal * internal * h / ((1 - h) * fit.terms);
    if (left == 0) continue;
    double without = squares - error * error;
    if (without < kCancels * squares) without = SquaresWithout(problem, fit, i);
    const double external = error == 0 ? 0 : error / std::sqrt(without / left);
    influence.externally_studentised[i] = external;
    influence.dffits[i] = external * std::sqrt(h / (1 - h));
    const double ratio =
        squares > 0 ? (without / left) / (squares / fit.degrees_of_freedom) : 1;
    influence.covratio[i] = number::IntegerPower(ratio, fit.terms) / (1 - h);
  }
}

}  // namespace

absl::StatusOr<Influence> MeasureInfluence(const LeastSquaresProblem& problem,
                                           const LeastSquaresFit& fit, bool about_mean) {
  RETURN_IF_ERROR(CheckSizes(problem, fit));
  Influence influence;
  MeasureRows(problem, fit, influence);
  const int mean_terms = about_mean ? 1 : 0;
  influence.adjusted_r_squared =
      1 - (1 - fit.r_squared) * (fit.rows - mean_terms) / fit.degrees_of_freedom;
  const double total = SpreadOf(problem, problem.response, about_mean);
  const int tested = fit.terms - mean_terms;
  if (tested > 0 && fit.residual_sum_of_squares > 0) {
    // The squares that the terms explain, from the fitted values: total less residual
    // would cancel where little is explained.
    const double explained = SpreadOf(problem, fit.fitted, about_mean);
    influence.f = explained / tested / (fit.residual_sd * fit.residual_sd);
    influence.f_p_value =
        number::FUpperTail(*influence.f, tested, fit.degrees_of_freedom);
  }
  if (fit.decisive_points.empty() && total > 0) {
    influence.predicted_r_squared = 1 - fit.press / total;
  }
  return influence;
}

absl::StatusOr<std::vector<double>> InflationOfTerms(const LeastSquaresProblem& problem,
                                                     const LeastSquaresFit& fit) {
  RETURN_IF_ERROR(CheckSizes(problem, fit));
  std::vector<double> inflation(fit.terms);
  for (int j = 0; j < fit.terms; ++j) {
    const std::span<const double> column = problem.design.Column(j);
    const auto [least, most] = std::minmax_element(column.begin(), column.end());
    if (*least == *most) continue;
    inflation[j] = fit.unscaled_covariance[static_cast<size_t>(j) * fit.terms + j] *
                   SpreadOf(problem, column, true);
  }
  return inflation;
}

absl::StatusOr<std::vector<double>> InflationOfConditions(
    Columns columns, std::span<const double> weights) {
  if (columns.empty()) return std::vector<double>();
  const int rows = static_cast<int>(columns[0].size());
  const int count = static_cast<int>(columns.size());
  // The fit of any response, here of zeros, has the covariance that is wanted.
  DesignMatrix design(rows, count + 1);
  std::vector<std::string> names = {"the constant"};
  for (int v = 0; v < count; ++v) {
    if (columns[v].size() != static_cast<size_t>(rows)) {
      return absl::InvalidArgumentError(
          absl::StrCat("condition ", v, " has ", columns[v].size(), " values, condition ",
                       "0 has ", rows));
    }
    names.push_back(absl::StrCat("condition ", v));
    if (rows == 0) continue;
    // About its middle, so that a narrow range far from zero keeps its digits.
    const auto [least, most] = std::minmax_element(columns[v].begin(), columns[v].end());
    const double middle = *least + (*most - *least) / 2;
    for (int i = 0; i < rows; ++i) design.at(i, v + 1) = columns[v][i] - middle;
  }
  for (int i = 0; i < rows; ++i) design.at(i, 0) = 1;
  const std::vector<double> zeros(rows);
  const LeastSquaresProblem problem = {
      .design = design, .response = zeros, .weights = weights};
  ASSIGN_OR_RETURN(const LeastSquaresFit fit,
                   SolveLeastSquares(problem, {.term_names = names}));
  ASSIGN_OR_RETURN(std::vector<double> inflation, InflationOfTerms(problem, fit));
  inflation.erase(inflation.begin());
  return inflation;
}

}  // namespace ratebound::fit
