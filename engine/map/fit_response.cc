#include "engine/map/fit_response.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/fit/candidate_choice.h"
#include "engine/map/diagnose.h"
#include "engine/map/model_weights.h"
#include "engine/points/stage_points.h"

namespace ratebound::map {
namespace {

using document::Surface;
using document::SurfacePurpose;

// A gain below this share of the largest response is rounding.
constexpr double kRounding = 1e-12;

absl::Status CheckSizes(const ResponseProblem& problem, int degree) {
  const size_t point_count = problem.values.size();
  bool sizes_match =
      problem.columns.size() == problem.conditions.size() &&
      problem.point_ids.size() == point_count &&
      (problem.blocks.empty() || problem.blocks.size() == point_count) &&
      (problem.standard_si.empty() || problem.standard_si.size() == point_count);
  for (const std::vector<double>& column : problem.columns) {
    sizes_match = sizes_match && column.size() == point_count;
  }
  if (!sizes_match || point_count == 0 || problem.conditions.empty()) {
    return absl::InvalidArgumentError(
        "a fit needs points, conditions, and one value for each point in every "
        "column");
  }
  if (degree < 1 || degree > kGreatestDegree) {
    return absl::InvalidArgumentError(
        absl::StrCat("degree ", degree, " is not among those that can be fitted, 1 to ",
                     kGreatestDegree));
  }
  return absl::OkStatus();
}

CandidateScope ScopeOf(const ResponseProblem& problem, const ModelOptions& options) {
  CandidateScope scope{.conditions = problem.conditions,
                       .quantity = problem.quantity,
                       .is_power = options.is_power,
                       .heating = options.heating};
  for (const std::vector<double>& column : problem.columns) {
    scope.levels.push_back(points::CountLevels(column));
  }
  if (options.joint == nullptr) return scope;
  scope.joint_conditions = options.joint->conditions;
  for (const std::vector<double>& column : options.joint->columns) {
    scope.joint_levels.push_back(points::CountLevels(column));
  }
  return scope;
}

// A candidate and what became of it.
struct Tried {
  ModelCandidate candidate;
  std::optional<ModelFit> fitted;
  std::string refused;  // empty where it can be chosen
  int terms = 0;        // 0 where the levels do not carry it
};

absl::StatusOr<Tried> Try(const ResponseProblem& problem, ModelCandidate candidate,
                          const ModelOptions& options) {
  Tried tried{.candidate = std::move(candidate)};
  const bool joint = tried.candidate.joint;
  const ResponseProblem whole = joint ? options.joint->Problem() : problem;
  tried.refused = LevelRefusal(whole, tried.candidate);
  if (!tried.refused.empty()) return tried;
  const auto fitted = FitModel(whole, tried.candidate, SurfacePurpose::kTable);
  if (!fitted.ok()) {
    if (fitted.status().code() != absl::StatusCode::kFailedPrecondition) {
      return fitted.status();
    }
    tried.refused = std::string(fitted.status().message());
    // For the count of terms alone any range will do.
    const auto form = fit::PolynomialBasis::Create(
        std::vector<fit::ScaledRange>(whole.columns.size()), tried.candidate.degree);
    if (form.ok() && tried.candidate.caps.empty()) tried.terms = form->terms();
    return tried;
  }
  tried.fitted = *fitted;
  tried.terms = tried.fitted->basis.terms();
  tried.refused = tried.fitted->unchecked;
  return tried;
}

// Why a candidate that could be chosen was or was not.
std::string ReasonOf(size_t k, const fit::CandidateChoice& choice,
                     std::span<const Tried> all, bool one_standard_error) {
  const fit::CandidateScore& least = choice.scores[choice.least];
  const auto chosen = static_cast<size_t>(choice.chosen);
  if (k == chosen) {
    if (choice.chosen == choice.least) return "the least error at points left out";
    return absl::StrCat("the fewest terms within one standard error of the least, ",
                        all[choice.least].candidate.name);
  }
  if (k == static_cast<size_t>(choice.least)) {
    return absl::StrCat("the least error, but within one standard error of it ",
                        all[chosen].candidate.name, " has fewer terms");
  }
  const double limit =
      std::sqrt(least.rms * least.rms +
                (one_standard_error ? 2 * least.rms * least.standard_error : 0));
  if (choice.scores[k].rms > limit) {
    return one_standard_error ? "more than one standard error above the least"
                              : "above the least";
  }
  return absl::StrCat("no better than ", all[chosen].candidate.name,
                      one_standard_error ? " by one standard error, and not simpler"
                                         : ", which is simpler");
}

}  // namespace

absl::StatusOr<FittedSurface> FitResponse(const ResponseProblem& problem, int degree,
                                          SurfacePurpose purpose,
                                          const ModelOptions& options) {
  RETURN_IF_ERROR(CheckSizes(problem, degree));
  const ModelCandidate candidate{.degree = degree};
  ASSIGN_OR_RETURN(const ModelFit fitted, FitModel(problem, candidate, purpose));
  FittedSurface made{.surface = SurfaceOf(problem, candidate, fitted, purpose),
                     .no_covariance = fitted.no_covariance,
                     .highest_degree = fitted.HighestDegree()};
  if (options.diagnose) {
    made.surface.diagnostics = Diagnose(problem, candidate, fitted, options.robust);
  }
  return made;
}

absl::StatusOr<FittedSurface> FitBestResponse(const ResponseProblem& problem,
                                              const ModelOptions& options) {
  RETURN_IF_ERROR(CheckSizes(problem, 1));
  const bool named = options.request != nullptr;
  const bool reported = named || options.diagnose;
  std::vector<Tried> all;
  for (ModelCandidate& candidate :
       CandidatesOf(ScopeOf(problem, options), options.request)) {
    ASSIGN_OR_RETURN(Tried tried, Try(problem, std::move(candidate), options));
    all.push_back(std::move(tried));
  }
  std::vector<fit::CandidateErrors> errors;
  for (const Tried& tried : all) {
    fit::CandidateErrors& of = errors.emplace_back();
    of.terms = tried.terms;
    if (!tried.refused.empty()) continue;
    of.left_out = tried.candidate.joint
                      ? OwnErrors(*options.joint, tried.fitted->left_out)
                      : tried.fitted->left_out;
  }
  double largest = 0;
  for (double value : problem.values) largest = std::max(largest, std::fabs(value));
  const bool one_standard_error =
      named && options.request->rule != document::ModelRule::kLeastError;
  const std::vector<double> weights = WeightsOf(problem.standard_si);
  const auto choice = fit::ChooseCandidate(
      {.candidates = errors,
       .weights = weights,
       .blocks = problem.blocks,
       .rule = one_standard_error ? fit::ChoiceRule::kOneStandardError
                                  : fit::ChoiceRule::kLeastError,
       .rounding = kRounding * largest});
  if (!choice.ok()) {
    if (choice.status().code() != absl::StatusCode::kFailedPrecondition) {
      return choice.status();
    }
    if (!named) return absl::FailedPreconditionError(all[0].refused);
    std::vector<std::string> reasons;
    for (const Tried& tried : all) {
      reasons.push_back(absl::StrCat(tried.candidate.name, ": ", tried.refused));
    }
    return absl::FailedPreconditionError(
        reasons.empty() ? "none of the families that the manifest asks for applies here"
                        : absl::StrJoin(reasons, "; "));
  }

  const Tried& taken = all[static_cast<size_t>(choice->chosen)];
  const ModelFit& fitted = *taken.fitted;
  FittedSurface made{
      .no_covariance = fitted.no_covariance,
      .highest_degree =
          std::max(fitted.HighestDegree(),
                   all[static_cast<size_t>(choice->least)].fitted->HighestDegree())};
  if (taken.candidate.joint) {
    ASSIGN_OR_RETURN(made.surface,
                     CutAtStage(*options.joint, taken.candidate, fitted, problem));
  } else {
    made.surface = SurfaceOf(problem, taken.candidate, fitted, SurfacePurpose::kTable);
  }
  if (reported) made.surface.model = taken.candidate.name;
  if (options.diagnose) {
    made.surface.diagnostics =
        Diagnose(taken.candidate.joint ? options.joint->Problem() : problem,
                 taken.candidate, fitted, options.robust);
  }
  for (size_t k = 0; k < all.size(); ++k) {
    const Tried& tried = all[k];
    document::DegreeCandidate candidate{.degree = tried.candidate.degree,
                                        .term_count = tried.terms,
                                        .refusal = tried.refused};
    if (tried.refused.empty()) {
      const ModelFit& fit = *tried.fitted;
      candidate.leave_out_rms_si = choice->scores[k].rms;
      candidate.residual_sd_si = fit.fit.residual_sd;
      // The fits' own figures where they have one, to the last bit.
      if (!tried.candidate.form && !tried.candidate.joint) {
        candidate.leave_out_rms_si =
            fit.fit.clusters ? fit.fit.clusters->leave_block_out_rms : fit.fit.loo_rms;
      } else if (tried.candidate.form) {
        double squares = 0;
        for (double residual : fit.residuals) squares += residual * residual;
        candidate.residual_sd_si = std::sqrt(squares / fit.fit.degrees_of_freedom);
      }
    }
    if (reported) {
      candidate.model = tried.candidate.name;
      candidate.leave_out_standard_error_si = choice->scores[k].standard_error;
      candidate.chosen = static_cast<int>(k) == choice->chosen;
      if (tried.refused.empty()) {
        candidate.reason = ReasonOf(k, *choice, all, one_standard_error);
      }
    }
    made.surface.candidates.push_back(std::move(candidate));
  }
  return made;
}

}  // namespace ratebound::map
