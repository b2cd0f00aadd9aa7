#include "engine/map/model_fit.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/fit/lack_of_fit.h"
#include "engine/map/model_weights.h"
#include "engine/map/proof_spread.h"
#include "engine/points/stage_points.h"

namespace ratebound::map {
namespace {

using document::Surface;
using document::SurfacePurpose;

std::string Count(size_t n, std::string_view noun) {
  return absl::StrCat(n, " ", std::string(noun), n == 1 ? "" : "s");
}

// For each point the number of the first point that it repeats. Every point of a group is
// near that first one, so a chain of near points cannot grow.
std::vector<int> RepeatGroups(std::span<const std::vector<double>> columns) {
  const size_t point_count = columns[0].size();
  std::vector<double> reach;
  for (const std::vector<double>& column : columns) {
    const auto [low, high] = std::minmax_element(column.begin(), column.end());
    reach.push_back(kRepeatFraction * (*high - *low));
  }
  std::vector<int> groups(point_count);
  std::vector<size_t> firsts;
  for (size_t i = 0; i < point_count; ++i) {
    const auto near = [&](size_t first) {
      for (size_t j = 0; j < columns.size(); ++j) {
        if (std::fabs(columns[j][i] - columns[j][first]) > reach[j]) return false;
      }
      return true;
    };
    const auto found = std::find_if(firsts.begin(), firsts.end(), near);
    groups[i] = static_cast<int>(found == firsts.end() ? i : *found);
    if (found == firsts.end()) firsts.push_back(i);
  }
  return groups;
}

std::string BlockName(const ResponseProblem& problem, int block) {
  const auto index = static_cast<size_t>(block);
  return index < problem.block_names.size() ? problem.block_names[index]
                                            : absl::StrCat(block);
}

// Why a fit by blocks has no covariance; empty where it has one.
std::string CovarianceRefusal(const ResponseProblem& problem,
                              const fit::LeastSquaresFit& fit, int degree) {
  if (!fit.clusters || fit.clusters->refused.empty()) return "";
  const fit::ClusterFit& clusters = *fit.clusters;
  if (clusters.blocks <= fit.terms) {
    return absl::StrCat("degree ", degree, " has ", Count(fit.terms, "term"),
                        " and the points come from ", Count(clusters.blocks, "block"),
                        "; its uncertainty needs at least ", fit.terms + 1, " blocks");
  }
  if (!clusters.decisive_blocks.empty()) {
    const int first = clusters.decisive_blocks[0];
    return absl::StrCat("some term of degree ", degree, " rests on ",
                        problem.blocks.empty()
                            ? absl::StrCat("point ", problem.point_ids[first])
                            : absl::StrCat("block ", BlockName(problem, first)),
                        " alone, so its uncertainty cannot be estimated");
  }
  return clusters.refused;
}

std::vector<double> PointOf(const ResponseProblem& problem, size_t row) {
  std::vector<double> point;
  for (const std::vector<double>& column : problem.columns) point.push_back(column[row]);
  return point;
}

// Conditions and values as the polynomial takes them.
struct Targets {
  std::vector<double> target;
  std::vector<double> weights;
  std::vector<std::vector<double>> turned;  // empty where no condition is turned
};

absl::StatusOr<Targets> TargetsOf(const ResponseProblem& problem, const ModelForm& form) {
  Targets targets;
  targets.target.assign(problem.values.begin(), problem.values.end());
  std::vector<double> random(problem.standard_si.begin(), problem.standard_si.end());
  if (form.turns_response()) {
    for (size_t i = 0; i < targets.target.size(); ++i) {
      const std::vector<double> point = PointOf(problem, i);
      ASSIGN_OR_RETURN(targets.target[i], form.Target(problem.values[i], point));
      if (!random.empty()) random[i] /= std::fabs(form.Slope(targets.target[i], point));
    }
  }
  targets.weights = WeightsOf(random);
  if (!form.turns_conditions()) return targets;
  for (size_t j = 0; j < problem.columns.size(); ++j) {
    std::vector<double>& column = targets.turned.emplace_back();
    for (double x : problem.columns[j]) column.push_back(form.Coordinate(j, x));
  }
  return targets;
}

// Brings residuals back to the quantity.
void LoadErrors(const ResponseProblem& problem, ModelFit& fitted) {
  const std::vector<double>& left_out =
      fitted.fit.clusters ? fitted.fit.clusters->leave_block_out_residuals
                          : fitted.fit.loo_residuals;
  fitted.left_out = left_out;
  fitted.residuals = fitted.fit.residuals;
  if (!fitted.form.turns_response()) return;
  for (size_t i = 0; i < fitted.target.size(); ++i) {
    const std::vector<double> point = PointOf(problem, i);
    fitted.left_out[i] =
        problem.values[i] - fitted.form.Value(fitted.target[i] - left_out[i], point);
    fitted.residuals[i] =
        problem.values[i] -
        fitted.form.Value(fitted.target[i] - fitted.fit.residuals[i], point);
  }
}

// Figures of a fit of something else, in the quantity's own unit.
void SetOwnFigures(const ResponseProblem& problem, const ModelFit& fitted,
                   Surface& surface) {
  const std::vector<double> weights = WeightsOf(problem.standard_si);
  const auto weight = [&](size_t i) { return weights.empty() ? 1 : weights[i]; };
  double sum = 0, count = 0;
  for (size_t i = 0; i < problem.values.size(); ++i) {
    sum += weight(i) * problem.values[i];
    count += weight(i);
  }
  double squares = 0, total = 0, left_out = 0;
  for (size_t i = 0; i < problem.values.size(); ++i) {
    const double apart = problem.values[i] - sum / count;
    total += weight(i) * apart * apart;
    squares += weight(i) * fitted.residuals[i] * fitted.residuals[i];
    left_out += weight(i) * fitted.left_out[i] * fitted.left_out[i];
  }
  surface.residual_sd_si = std::sqrt(squares / fitted.fit.degrees_of_freedom);
  surface.r_squared = total > 0 ? 1 - squares / total : 0;
  surface.leave_out_rms_si = std::sqrt(left_out / count);
}

}  // namespace

std::optional<double> LackOfFitProbability(const ResponseProblem& problem,
                                           const ModelFit& fitted) {
  const auto test =
      fit::TestLackOfFit(fitted.Problem(), fitted.fit, RepeatGroups(problem.columns));
  if (!test.ok()) return {};  // no repeats, or none that differ
  return test->p_value;
}

int ModelFit::HighestDegree() const {
  int highest = 0;
  for (int term : basis.kept()) {
    const std::span<const int> powers = basis.full().exponents(term);
    highest = std::max(highest, std::accumulate(powers.begin(), powers.end(), 0));
  }
  return highest;
}

std::vector<double> LowerTriangle(const std::vector<double>& matrix, size_t size) {
  std::vector<double> triangle;
  triangle.reserve(size * (size + 1) / 2);
  for (size_t i = 0; i < size; ++i) {
    for (size_t j = 0; j <= i; ++j) triangle.push_back(matrix[i * size + j]);
  }
  return triangle;
}

std::string LevelRefusal(const ResponseProblem& problem,
                         const ModelCandidate& candidate) {
  std::vector<std::string> faults;
  for (size_t j = 0; j < problem.columns.size(); ++j) {
    const int degree = candidate.caps.empty()
                           ? candidate.degree
                           : std::min(candidate.caps[j], candidate.degree);
    const int levels = points::CountLevels(problem.columns[j]);
    if (levels > degree) continue;
    faults.push_back(absl::StrCat(
        problem.conditions[j], " has ", Count(levels, "level"), "; a surface ",
        degree == 1 ? "over it" : absl::StrCat("of degree ", degree, " over it"),
        " needs at least ", degree + 1));
  }
  return absl::StrJoin(faults, "; ");
}

absl::StatusOr<ModelFit> FitModel(const ResponseProblem& problem,
                                  const ModelCandidate& candidate,
                                  SurfacePurpose purpose) {
  if (std::string refusal = LevelRefusal(problem, candidate); !refusal.empty()) {
    return absl::FailedPreconditionError(refusal);
  }
  ASSIGN_OR_RETURN(ModelForm form, ModelForm::Create(candidate.form, problem.conditions));
  ASSIGN_OR_RETURN(Targets targets, TargetsOf(problem, form));
  const std::span<const std::vector<double>> columns =
      targets.turned.empty() ? problem.columns : targets.turned;
  ASSIGN_OR_RETURN(
      fit::CandidateBasis basis,
      fit::CandidateBasis::ForPoints(columns, candidate.degree, candidate.caps));
  ModelFit fitted{.basis = std::move(basis),
                  .form = std::move(form),
                  .target = std::move(targets.target),
                  .weights = std::move(targets.weights),
                  .columns = {columns.begin(), columns.end()}};
  const size_t point_count = problem.values.size();
  const auto terms = static_cast<size_t>(fitted.basis.terms());
  if (point_count <= terms) {
    return absl::FailedPreconditionError(absl::StrCat(
        "degree ", candidate.degree, " over ",
        Count(problem.conditions.size(), "condition"), " has ", Count(terms, "term"),
        " and needs at least ", terms + 1, " points; there are ", point_count));
  }
  ASSIGN_OR_RETURN(fitted.design, fitted.basis.Design(columns));
  const std::vector<std::string> names = fitted.basis.TermNames(problem.conditions);
  // A proof presumes no equal scatter: where no point names a block, each is its own.
  fitted.own_blocks = problem.blocks.empty() && purpose == SurfacePurpose::kProof;
  fitted.blocks.assign(problem.blocks.begin(), problem.blocks.end());
  if (fitted.own_blocks) {
    fitted.blocks.resize(point_count);
    std::iota(fitted.blocks.begin(), fitted.blocks.end(), 0);
  }
  ASSIGN_OR_RETURN(fitted.fit,
                   fit::SolveLeastSquares(fitted.Problem(), {.term_names = names}));
  LoadErrors(problem, fitted);
  const bool rests_on_one = fitted.fit.clusters
                                ? !fitted.fit.clusters->decisive_blocks.empty()
                                : !fitted.fit.decisive_points.empty();
  if (rests_on_one) {
    fitted.unchecked =
        absl::StrCat("some term rests on ",
                     problem.blocks.empty() ? "a single point" : "a single block",
                     ", so nothing checks it");
  }
  fitted.no_covariance = CovarianceRefusal(problem, fitted.fit, candidate.degree);
  if (purpose == SurfacePurpose::kProof && fitted.no_covariance.empty()) {
    ASSIGN_OR_RETURN(fitted.of_proof, SpreadForProof(fitted));
  }
  return fitted;
}

Surface SurfaceOf(const ResponseProblem& problem, const ModelCandidate& candidate,
                  const ModelFit& fitted, SurfacePurpose purpose) {
  const fit::LeastSquaresFit& fit = fitted.fit;
  const fit::PolynomialBasis& full = fitted.basis.full();
  const auto all_terms = static_cast<size_t>(full.terms());
  Surface surface;
  surface.quantity = problem.quantity;
  surface.purpose = purpose;
  surface.degree = candidate.degree;
  for (const fit::ScaledRange& range : full.ranges()) {
    surface.centre_si.push_back(range.centre);
    surface.half_range_si.push_back(range.half_range);
  }
  for (int term = 0; term < full.terms(); ++term) {
    const std::span<const int> powers = full.exponents(term);
    surface.exponents.insert(surface.exponents.end(), powers.begin(), powers.end());
  }
  surface.coefficients_si = fitted.basis.ToMonomials(fit.coefficients);
  surface.leverage_matrix = LowerTriangle(
      fitted.basis.CovarianceToMonomials(fit.unscaled_covariance), all_terms);
  // Of a point that counts 1, as whoever asks whether a place was tested has no weight.
  for (size_t i = 0; i < fit.leverages.size(); ++i) {
    const double weight = fitted.weights.empty() ? 1 : fitted.weights[i];
    surface.greatest_leverage =
        std::max(surface.greatest_leverage, fit.leverages[i] / weight);
  }
  surface.point_count = static_cast<int>(problem.values.size());
  surface.residual_sd_si = fit.residual_sd;
  surface.r_squared = fit.r_squared;
  surface.condition_number = fit.condition;
  surface.lack_of_fit_probability = LackOfFitProbability(problem, fitted);
  double sum = 0;
  for (double value : problem.values) sum += value;
  surface.mean_si = sum / static_cast<double>(problem.values.size());
  surface.weighted = !fitted.weights.empty();
  surface.form = candidate.form;
  if (fitted.basis.terms() < full.terms()) {
    surface.condition_degrees = candidate.caps;
    surface.fitted_term_count = fitted.basis.terms();
  }

  const std::vector<double>* covariance = &fit.covariance;
  surface.degrees_of_freedom = fit.degrees_of_freedom;
  surface.leave_out_rms_si = fit.loo_rms;
  if (fit.clusters) {
    surface.block_count = fitted.own_blocks ? 0 : fit.clusters->blocks;
    surface.cluster_robust = true;
    surface.degrees_of_freedom = fit.clusters->degrees_of_freedom;
    surface.leave_out_rms_si = fit.clusters->leave_block_out_rms;
    covariance = &fit.clusters->covariance;
  }
  if (fitted.of_proof) {
    covariance = &fitted.of_proof->covariance;
    surface.degrees_of_freedom = fitted.of_proof->degrees_of_freedom;
  }
  if (fitted.no_covariance.empty()) {
    surface.covariance_si =
        LowerTriangle(fitted.basis.CovarianceToMonomials(*covariance), all_terms);
  }
  if (fitted.form.turns_response()) SetOwnFigures(problem, fitted, surface);
  size_t worst = 0;
  for (size_t i = 1; i < fitted.left_out.size(); ++i) {
    if (std::fabs(fitted.left_out[i]) > std::fabs(fitted.left_out[worst])) worst = i;
  }
  surface.worst_point = problem.point_ids[worst];
  return surface;
}

}  // namespace ratebound::map
