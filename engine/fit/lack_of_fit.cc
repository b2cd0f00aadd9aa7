#include "engine/fit/lack_of_fit.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>
#include <utility>
#include <vector>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/number/distribution.h"

namespace ratebound::fit {
namespace {

// Of the largest response: residuals of repeats that differ by less are rounding.
constexpr double kRounding = 1e-12;

// One observation of a condition: a row, or the mean of a block's rows there.
struct Observations {
  std::vector<int> groups;
  std::vector<int> blocks;  // empty: no blocks
  std::vector<double> residuals;
  std::vector<double> weights;
};

// The means of each group's rows in each block, and their residuals from a surface
// fitted to them.
absl::StatusOr<Observations> MeansOfBlocks(const LeastSquaresProblem& problem,
                                           const LeastSquaresFit& fit,
                                           std::span<const int> groups) {
  std::map<std::pair<int, int>, std::vector<int>> rows_of;
  for (int i = 0; i < fit.rows; ++i) {
    rows_of[{groups[i], problem.blocks[i]}].push_back(i);
  }
  const int count = static_cast<int>(rows_of.size());
  DesignMatrix design(count, fit.terms);
  std::vector<double> response(count, 0.0);
  Observations means;
  means.weights.assign(count, 0.0);
  int cell = 0;
  for (const auto& [key, rows] : rows_of) {
    means.groups.push_back(key.first);
    means.blocks.push_back(key.second);
    const double share = 1.0 / static_cast<double>(rows.size());
    for (int i : rows) {
      response[cell] += share * problem.response[i];
      means.weights[cell] += share * (problem.weights.empty() ? 1 : problem.weights[i]);
      for (int t = 0; t < fit.terms; ++t) {
        design.at(cell, t) += share * problem.design.at(i, t);
      }
    }
    ++cell;
  }
  if (count == fit.rows && problem.design.low.empty()) {
    // Each row stands alone; only the order is another.
    for (const auto& [key, rows] : rows_of)
      means.residuals.push_back(fit.residuals[rows[0]]);
    return means;
  }
  ASSIGN_OR_RETURN(LeastSquaresFit refit, SolveLeastSquares({.design = design,
                                                             .response = response,
                                                             .weights = means.weights}));
  means.residuals = std::move(refit.residuals);
  return means;
}

// d^2 / ||K||^2 of the header; the observations of a group stand together.
double PureErrorDegrees(const Observations& means, int degrees) {
  std::vector<int> ids = means.blocks;
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
  struct Range {
    size_t begin, end;
  };
  std::vector<std::vector<Range>> groups_of(ids.size());
  std::vector<size_t> block(means.blocks.size());
  for (size_t begin = 0; begin < means.groups.size();) {
    size_t end = begin;
    while (end < means.groups.size() && means.groups[end] == means.groups[begin]) {
      block[end] = static_cast<size_t>(
          std::lower_bound(ids.begin(), ids.end(), means.blocks[end]) - ids.begin());
      groups_of[block[end]].push_back({begin, 0});
      ++end;
    }
    for (size_t i = begin; i < end; ++i) groups_of[block[i]].back().end = end;
    begin = end;
  }
  double square = 0;
  std::vector<double> row(ids.size());
  for (size_t b = 0; b < ids.size(); ++b) {
    std::fill(row.begin(), row.end(), 0.0);
    for (const Range& group : groups_of[b]) {
      const double share = 1.0 / static_cast<double>(group.end - group.begin);
      for (size_t i = group.begin; i < group.end; ++i) row[block[i]] -= share;
      row[b] += 1;
    }
    for (double entry : row) square += entry * entry;
  }
  const double d = degrees;
  return std::min(d, d * d / square);
}

}  // namespace

absl::StatusOr<LackOfFit> TestLackOfFit(const LeastSquaresProblem& problem,
                                        const LeastSquaresFit& fit,
                                        std::span<const int> groups) {
  const size_t rows = static_cast<size_t>(fit.rows);
  if (problem.response.size() != rows || groups.size() != rows ||
      fit.residuals.size() != rows || problem.design.columns != fit.terms ||
      (!problem.blocks.empty() && problem.blocks.size() != rows) ||
      (!problem.weights.empty() && problem.weights.size() != rows)) {
    return absl::InvalidArgumentError(absl::StrCat(
        "the fit has ", rows, " rows of ", fit.terms, " terms; ", problem.response.size(),
        " responses, ", problem.weights.size(), " weights, ", problem.blocks.size(),
        " blocks, ", problem.design.columns, " columns and ", groups.size(),
        " group ids given"));
  }
  Observations seen;
  if (problem.blocks.empty()) {
    seen = {.groups = {groups.begin(), groups.end()},
            .residuals = fit.residuals,
            .weights = {problem.weights.begin(), problem.weights.end()}};
    if (seen.weights.empty()) seen.weights.assign(rows, 1.0);
  } else {
    ASSIGN_OR_RETURN(seen, MeansOfBlocks(problem, fit, groups));
  }

  // Means are taken from each group's first residual, so that equal ones differ by
  // nothing.
  struct Group {
    double weight = 0;
    double first = 0;
    double shifted_sum = 0;  // of weight * (residual - first)
  };
  std::map<int, Group> by_id;
  const size_t count = seen.groups.size();
  for (size_t i = 0; i < count; ++i) {
    Group& group = by_id[seen.groups[i]];
    if (group.weight == 0) group.first = seen.residuals[i];
    group.weight += seen.weights[i];
    group.shifted_sum += seen.weights[i] * (seen.residuals[i] - group.first);
  }
  LackOfFit test;
  const int group_count = static_cast<int>(by_id.size());
  test.pure_error_degrees_of_freedom = static_cast<int>(count) - group_count;
  test.lack_degrees_of_freedom = group_count - fit.terms;
  if (test.pure_error_degrees_of_freedom < 1) {
    return absl::FailedPreconditionError(
        absl::StrCat("no condition was tested twice",
                     problem.blocks.empty() ? "" : " in different blocks",
                     ", so lack of fit cannot be told from scatter; repeat some points",
                     problem.blocks.empty() ? "" : " on another day"));
  }
  if (test.lack_degrees_of_freedom < 1) {
    return absl::FailedPreconditionError(
        absl::StrCat(group_count, " distinct conditions leave nothing to check ",
                     fit.terms, " terms by; it takes at least ", fit.terms + 1));
  }
  double residual_sum_of_squares = 0;
  double largest_deviation = 0;
  for (size_t i = 0; i < count; ++i) {
    const Group& group = by_id[seen.groups[i]];
    const double deviation =
        (seen.residuals[i] - group.first) - group.shifted_sum / group.weight;
    test.pure_error_sum_of_squares += seen.weights[i] * deviation * deviation;
    residual_sum_of_squares += seen.weights[i] * seen.residuals[i] * seen.residuals[i];
    largest_deviation = std::max(largest_deviation, std::fabs(deviation));
  }
  double largest_response = 0;
  for (double response : problem.response) {
    largest_response = std::max(largest_response, std::fabs(response));
  }
  if (largest_deviation <= kRounding * largest_response) {
    return absl::FailedPreconditionError(
        "all repeats agree exactly, so their scatter is not known; were values copied?");
  }
  test.lack_of_fit_sum_of_squares =
      std::fmax(0, residual_sum_of_squares - test.pure_error_sum_of_squares);
  const double pure_error_mean_square =
      test.pure_error_sum_of_squares / test.pure_error_degrees_of_freedom;
  test.pure_error_sd = std::sqrt(pure_error_mean_square);
  test.f = test.lack_of_fit_sum_of_squares / test.lack_degrees_of_freedom /
           pure_error_mean_square;
  test.lack_degrees_used = test.lack_degrees_of_freedom;
  test.pure_error_degrees_used = test.pure_error_degrees_of_freedom;
  if (!problem.blocks.empty()) {
    std::vector<int> ids = seen.blocks;
    std::sort(ids.begin(), ids.end());
    const auto blocks = std::unique(ids.begin(), ids.end()) - ids.begin();
    test.lack_degrees_used = static_cast<double>(
        std::min<std::ptrdiff_t>(test.lack_degrees_of_freedom, blocks - 1));
    test.pure_error_degrees_used =
        PureErrorDegrees(seen, test.pure_error_degrees_of_freedom);
  }
  test.p_value =
      number::FUpperTail(test.f, test.lack_degrees_used, test.pure_error_degrees_used);
  return test;
}

}  // namespace ratebound::fit
