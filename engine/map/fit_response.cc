#include "engine/map/fit_response.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/fit/lack_of_fit.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/model_choice.h"
#include "engine/fit/polynomial_basis.h"
#include "engine/points/stage_points.h"

namespace ratebound::map {
namespace {

using document::Surface;
using document::SurfacePurpose;

std::string Count(size_t n, std::string_view noun) {
  return absl::StrCat(n, " ", std::string(noun), n == 1 ? "" : "s");
}

// Names the conditions with too few levels for a degree; empty where all have enough.
std::string LevelRefusal(const ResponseProblem& problem, int degree) {
  std::vector<std::string> faults;
  for (size_t j = 0; j < problem.columns.size(); ++j) {
    const int levels = points::CountLevels(problem.columns[j]);
    if (levels > degree) continue;
    faults.push_back(absl::StrCat(
        problem.conditions[j], " has ", Count(levels, "level"), "; a surface ",
        degree == 1 ? "over it" : absl::StrCat("of degree ", degree, " over it"),
        " needs at least ", degree + 1));
  }
  return absl::StrJoin(faults, "; ");
}

std::vector<double> LowerTriangle(const std::vector<double>& matrix, size_t size) {
  std::vector<double> triangle;
  triangle.reserve(size * (size + 1) / 2);
  for (size_t i = 0; i < size; ++i) {
    for (size_t j = 0; j <= i; ++j) triangle.push_back(matrix[i * size + j]);
  }
  return triangle;
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

std::optional<double> LackOfFitProbability(const ResponseProblem& problem,
                                           const fit::LeastSquaresProblem& least_squares,
                                           const fit::LeastSquaresFit& fitted) {
  const auto test =
      fit::TestLackOfFit(least_squares, fitted, RepeatGroups(problem.columns));
  if (!test.ok()) return {};  // no repeats, or none that differ
  return test->p_value;
}

absl::Status CheckSizes(const ResponseProblem& problem, int degree) {
  const size_t point_count = problem.values.size();
  bool sizes_match = problem.columns.size() == problem.conditions.size() &&
                     problem.point_ids.size() == point_count &&
                     (problem.blocks.empty() || problem.blocks.size() == point_count);
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

// The sentence for a degree that model choice refused, with the names of this problem.
std::string CandidateRefusal(const ResponseProblem& problem, int degree) {
  const auto tried = FitResponse(problem, degree, SurfacePurpose::kTable);
  if (!tried.ok()) return std::string(tried.status().message());
  return absl::StrCat("some term rests on ",
                      problem.blocks.empty() ? "a single point" : "a single block",
                      ", so nothing checks it");
}

}  // namespace

absl::StatusOr<FittedSurface> FitResponse(const ResponseProblem& problem, int degree,
                                          SurfacePurpose purpose) {
  RETURN_IF_ERROR(CheckSizes(problem, degree));
  if (std::string refusal = LevelRefusal(problem, degree); !refusal.empty()) {
    return absl::FailedPreconditionError(refusal);
  }
  ASSIGN_OR_RETURN(const fit::PolynomialBasis basis,
                   fit::PolynomialBasis::ForPoints(problem.columns, degree));
  const size_t point_count = problem.values.size();
  const auto terms = static_cast<size_t>(basis.terms());
  if (point_count <= terms) {
    return absl::FailedPreconditionError(absl::StrCat(
        "degree ", degree, " over ", Count(problem.conditions.size(), "condition"),
        " has ", Count(terms, "term"), " and needs at least ", terms + 1,
        " points; there are ", point_count));
  }
  ASSIGN_OR_RETURN(const fit::DesignMatrix design, basis.Design(problem.columns));
  const std::vector<std::string> term_names = basis.TermNames(problem.conditions);
  // A proof presumes no equal scatter: where no point names a block, each is its own.
  const bool own_blocks = problem.blocks.empty() && purpose == SurfacePurpose::kProof;
  std::vector<int> each(own_blocks ? point_count : 0);
  std::iota(each.begin(), each.end(), 0);
  const fit::LeastSquaresProblem least_squares{
      .design = design,
      .response = problem.values,
      .blocks = own_blocks ? std::span<const int>(each) : problem.blocks};
  ASSIGN_OR_RETURN(const fit::LeastSquaresFit fit,
                   fit::SolveLeastSquares(least_squares, {.term_names = term_names}));

  FittedSurface fitted;
  Surface& surface = fitted.surface;
  surface.quantity = problem.quantity;
  surface.purpose = purpose;
  surface.degree = degree;
  for (const fit::ScaledRange& range : basis.ranges()) {
    surface.centre_si.push_back(range.centre);
    surface.half_range_si.push_back(range.half_range);
  }
  for (int term = 0; term < basis.terms(); ++term) {
    const std::span<const int> powers = basis.exponents(term);
    surface.exponents.insert(surface.exponents.end(), powers.begin(), powers.end());
  }
  surface.coefficients_si = basis.ToMonomials(fit.coefficients);
  surface.leverage_matrix =
      LowerTriangle(basis.CovarianceToMonomials(fit.unscaled_covariance), terms);
  surface.greatest_leverage =
      *std::max_element(fit.leverages.begin(), fit.leverages.end());
  surface.point_count = static_cast<int>(point_count);
  surface.residual_sd_si = fit.residual_sd;
  surface.r_squared = fit.r_squared;
  surface.condition_number = fit.condition;
  surface.lack_of_fit_probability = LackOfFitProbability(problem, least_squares, fit);
  double sum = 0;
  for (double value : problem.values) sum += value;
  surface.mean_si = sum / static_cast<double>(point_count);

  const std::vector<double>* covariance = &fit.covariance;
  const std::vector<double>* left_out = &fit.loo_residuals;
  surface.degrees_of_freedom = fit.degrees_of_freedom;
  surface.leave_out_rms_si = fit.loo_rms;
  if (fit.clusters) {
    surface.block_count = own_blocks ? 0 : fit.clusters->blocks;
    surface.cluster_robust = true;
    surface.degrees_of_freedom = fit.clusters->degrees_of_freedom;
    surface.leave_out_rms_si = fit.clusters->leave_block_out_rms;
    covariance = &fit.clusters->covariance;
    left_out = &fit.clusters->leave_block_out_residuals;
    fitted.no_covariance = CovarianceRefusal(problem, fit, degree);
  }
  if (fitted.no_covariance.empty()) {
    surface.covariance_si =
        LowerTriangle(basis.CovarianceToMonomials(*covariance), terms);
  }
  size_t worst = 0;
  for (size_t i = 1; i < point_count; ++i) {
    if (std::fabs((*left_out)[i]) > std::fabs((*left_out)[worst])) worst = i;
  }
  surface.worst_point = problem.point_ids[worst];
  return fitted;
}

absl::StatusOr<FittedSurface> FitBestResponse(const ResponseProblem& problem) {
  RETURN_IF_ERROR(CheckSizes(problem, 1));
  int greatest = kGreatestTableDegree;
  while (greatest > 0 && !LevelRefusal(problem, greatest).empty()) --greatest;
  if (greatest == 0) return absl::FailedPreconditionError(LevelRefusal(problem, 1));

  // Names of points and blocks are not the fit room's business, so its refusals are
  // put again in this problem's words.
  const auto choice = fit::ChooseDegree({.columns = problem.columns,
                                         .response = problem.values,
                                         .blocks = problem.blocks,
                                         .least_degree = 1,
                                         .greatest_degree = greatest});
  if (!choice.ok()) {
    if (choice.status().code() != absl::StatusCode::kFailedPrecondition) {
      return choice.status();
    }
    return absl::FailedPreconditionError(CandidateRefusal(problem, 1));
  }
  ASSIGN_OR_RETURN(FittedSurface fitted,
                   FitResponse(problem, choice->degree, SurfacePurpose::kTable));
  for (const fit::DegreeCandidate& tried : choice->candidates) {
    document::DegreeCandidate candidate{.degree = tried.degree,
                                        .term_count = tried.terms};
    if (tried.refused.empty()) {
      candidate.leave_out_rms_si = tried.leave_block_out_rms.value_or(tried.loo_rms);
      candidate.residual_sd_si = tried.residual_sd;
    } else {
      candidate.refusal = CandidateRefusal(problem, tried.degree);
    }
    fitted.surface.candidates.push_back(std::move(candidate));
  }
  for (int degree = greatest + 1; degree <= kGreatestTableDegree; ++degree) {
    fitted.surface.candidates.push_back(
        {.degree = degree, .refusal = LevelRefusal(problem, degree)});
  }
  return fitted;
}

}  // namespace ratebound::map
