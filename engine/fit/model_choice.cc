#include "engine/fit/model_choice.h"

#include <algorithm>
#include <cmath>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"

namespace ratebound::fit {
namespace {

// A gain below this share of the largest response is rounding.
constexpr double kRounding = 1e-12;

// Fits one degree. Only INVALID_ARGUMENT is an error; what the points cannot carry is a
// refusal.
absl::StatusOr<DegreeCandidate> Try(const DegreeChoiceProblem& problem, int degree) {
  DegreeCandidate candidate{.degree = degree};
  const auto refuse = [&](const absl::Status& status) -> absl::StatusOr<DegreeCandidate> {
    if (status.code() != absl::StatusCode::kFailedPrecondition) return status;
    candidate.refused = std::string(status.message());
    return candidate;
  };
  // For the count of terms alone any range will do.
  ASSIGN_OR_RETURN(
      const PolynomialBasis form,
      PolynomialBasis::Create(std::vector<ScaledRange>(problem.columns.size()), degree));
  candidate.terms = form.terms();

  const absl::StatusOr<PolynomialBasis> basis =
      PolynomialBasis::ForPoints(problem.columns, degree);
  if (!basis.ok()) return refuse(basis.status());
  ASSIGN_OR_RETURN(const DesignMatrix design, basis->Design(problem.columns));
  const std::vector<std::string> names = basis->TermNames();
  const absl::StatusOr<LeastSquaresFit> fit =
      SolveLeastSquares({.design = design,
                         .response = problem.response,
                         .weights = problem.weights,
                         .blocks = problem.blocks},
                        {.term_names = names});
  if (!fit.ok()) return refuse(fit.status());

  candidate.estimable = true;
  candidate.residual_sd = fit->residual_sd;
  candidate.loo_rms = fit->loo_rms;
  if (fit->clusters.has_value()) {
    candidate.leave_block_out_rms = fit->clusters->leave_block_out_rms;
    if (!fit->clusters->decisive_blocks.empty()) {
      candidate.refused = absl::StrCat("some term rests on block ",
                                       fit->clusters->decisive_blocks.front(),
                                       " alone, so nothing checks it");
    }
  } else if (!fit->decisive_points.empty()) {
    candidate.refused =
        absl::StrCat("some term rests on the point of row ", fit->decisive_points.front(),
                     " alone, so nothing checks it");
  }
  return candidate;
}

double Criterion(const DegreeCandidate& candidate) {
  return candidate.leave_block_out_rms.value_or(candidate.loo_rms);
}

}  // namespace

absl::StatusOr<DegreeChoice> ChooseDegree(const DegreeChoiceProblem& problem) {
  if (problem.least_degree < 0 || problem.greatest_degree < problem.least_degree) {
    return absl::InvalidArgumentError(absl::StrCat("degrees ", problem.least_degree,
                                                   " to ", problem.greatest_degree,
                                                   " leave none to choose from"));
  }
  double largest = 0;
  for (double y : problem.response) largest = std::max(largest, std::fabs(y));

  DegreeChoice choice;
  std::optional<size_t> best;
  for (int degree = problem.least_degree; degree <= problem.greatest_degree; ++degree) {
    ASSIGN_OR_RETURN(DegreeCandidate candidate, Try(problem, degree));
    choice.candidates.push_back(std::move(candidate));
    const DegreeCandidate& last = choice.candidates.back();
    if (last.refused.empty() &&
        (!best.has_value() ||
         Criterion(last) < Criterion(choice.candidates[*best]) - kRounding * largest)) {
      best = choice.candidates.size() - 1;
    }
  }
  if (!best.has_value()) {
    std::vector<std::string> reasons;
    for (const DegreeCandidate& candidate : choice.candidates) {
      reasons.push_back(
          absl::StrCat("degree ", candidate.degree, ": ", candidate.refused));
    }
    return absl::FailedPreconditionError(absl::StrJoin(reasons, "\n"));
  }
  choice.degree = choice.candidates[*best].degree;
  return choice;
}

}  // namespace ratebound::fit
