#include "engine/fit/candidate_choice.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::fit {
namespace {

struct MeanSquare {
  double value = 0;
  double standard_error = 0;
};

// Rows of one number in `group` are a block.
MeanSquare MeasureErrors(std::span<const double> errors, std::span<const double> weights,
                         std::span<const int> group, size_t groups) {
  std::vector<double> squares(groups), counts(groups);
  for (size_t i = 0; i < errors.size(); ++i) {
    const double weight = weights.empty() ? 1 : weights[i];
    const size_t g = group.empty() ? i : static_cast<size_t>(group[i]);
    squares[g] += weight * errors[i] * errors[i];
    counts[g] += weight;
  }
  double sum = 0, count = 0;
  for (size_t g = 0; g < groups; ++g) {
    sum += squares[g];
    count += counts[g];
  }
  MeanSquare mean{.value = sum / count};
  if (groups < 2) return mean;
  double spread = 0;
  for (size_t g = 0; g < groups; ++g) {
    const double apart = squares[g] - mean.value * counts[g];
    spread += apart * apart;
  }
  const double many = static_cast<double>(groups);
  mean.standard_error = std::sqrt(many / (many - 1) * spread) / count;
  return mean;
}

// Blocks numbered from 0 without gaps, in the order of their first rows.
std::vector<int> Renumber(std::span<const int> blocks, size_t* count) {
  std::vector<int> ids(blocks.begin(), blocks.end());
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
  std::vector<int> numbers;
  numbers.reserve(blocks.size());
  for (int block : blocks) {
    numbers.push_back(
        static_cast<int>(std::lower_bound(ids.begin(), ids.end(), block) - ids.begin()));
  }
  *count = ids.size();
  return numbers;
}

}  // namespace

absl::StatusOr<CandidateChoice> ChooseCandidate(const CandidateChoiceProblem& problem) {
  size_t rows = 0;
  for (const CandidateErrors& candidate : problem.candidates) {
    rows = std::max(rows, candidate.left_out.size());
  }
  if (rows == 0) return absl::FailedPreconditionError("no candidate can be chosen");
  const auto fits = [&](size_t size) { return size == 0 || size == rows; };
  if (!fits(problem.weights.size()) || !fits(problem.blocks.size())) {
    return absl::InvalidArgumentError(absl::StrCat(problem.weights.size(),
                                                   " weights and ", problem.blocks.size(),
                                                   " block ids for ", rows, " rows"));
  }
  size_t groups = rows;
  std::vector<int> group;
  if (!problem.blocks.empty()) group = Renumber(problem.blocks, &groups);

  CandidateChoice choice;
  std::vector<MeanSquare> means(problem.candidates.size());
  std::optional<size_t> smallest;
  for (size_t k = 0; k < means.size(); ++k) {
    const std::vector<double>& errors = problem.candidates[k].left_out;
    choice.scores.emplace_back();
    if (errors.empty()) continue;
    if (errors.size() != rows) {
      return absl::InvalidArgumentError(absl::StrCat(
          "candidate ", k, " has ", errors.size(), " errors; others ", rows));
    }
    means[k] = MeasureErrors(errors, problem.weights, group, groups);
    const double rms = std::sqrt(means[k].value);
    choice.scores[k] = {
        .rms = rms, .standard_error = rms > 0 ? means[k].standard_error / (2 * rms) : 0};
    if (!smallest || rms < choice.scores[*smallest].rms) smallest = k;
  }
  const auto simplest = [&](double greatest_rms) {
    std::optional<size_t> found;
    for (size_t k = 0; k < means.size(); ++k) {
      const CandidateErrors& candidate = problem.candidates[k];
      if (candidate.left_out.empty() || choice.scores[k].rms > greatest_rms) continue;
      if (!found || candidate.terms < problem.candidates[*found].terms) found = k;
    }
    return static_cast<int>(*found);
  };
  const double least_rms = choice.scores[*smallest].rms + problem.rounding;
  choice.least = simplest(least_rms);
  choice.chosen =
      problem.rule == ChoiceRule::kLeastError
          ? choice.least
          : simplest(std::max(least_rms, std::sqrt(means[*smallest].value +
                                                   means[*smallest].standard_error)));
  return choice;
}

}  // namespace ratebound::fit
