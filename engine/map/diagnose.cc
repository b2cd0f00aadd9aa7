#include "engine/map/diagnose.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "engine/fit/advice.h"
#include "engine/fit/influence.h"
#include "engine/fit/intervals.h"
#include "engine/fit/lack_of_fit.h"
#include "engine/fit/normality.h"
#include "engine/fit/robust.h"
#include "engine/number/error_free.h"

namespace ratebound::map {
namespace {

using document::FitConcern;
using document::PointDiagnostics;
using document::SurfaceDiagnostics;
using number::DoubleDouble;

void Remark(const fit::Advice& advice, std::string diagnostic, std::string subject,
            SurfaceDiagnostics& result) {
  if (advice.concern == fit::Concern::kNone) return;
  result.remarks.push_back({.concern = advice.concern == fit::Concern::kAct
                                           ? FitConcern::kAct
                                           : FitConcern::kLook,
                            .diagnostic = std::move(diagnostic),
                            .subject = std::move(subject),
                            .text = advice.text});
}

size_t Greatest(const std::vector<double>& values) {
  size_t greatest = 0;
  for (size_t i = 1; i < values.size(); ++i) {
    if (std::fabs(values[i]) > std::fabs(values[greatest])) greatest = i;
  }
  return greatest;
}

// Documents hold finite numbers: an infinite figure, where all other points lie exactly
// on one surface, is left out.
std::optional<double> Finite(const std::vector<double>& values, size_t i) {
  if (i >= values.size() || !std::isfinite(values[i])) return {};
  return values[i];
}

void AddPoints(const ResponseProblem& problem, const ModelFit& fitted,
               const fit::Influence& influence, SurfaceDiagnostics& result) {
  for (size_t i = 0; i < problem.values.size(); ++i) {
    result.points.push_back(
        {.point = problem.point_ids[i],
         .residual = fitted.fit.residuals[i],
         .leverage = fitted.fit.leverages[i],
         .internally_studentised = influence.internally_studentised[i],
         .externally_studentised = Finite(influence.externally_studentised, i),
         .cooks_distance = influence.cooks_distance[i],
         .dffits = Finite(influence.dffits, i),
         .weight = fitted.weights.empty() ? 1 : fitted.weights[i]});
  }
}

void AddInfluence(const ResponseProblem& problem, const ModelFit& fitted,
                  SurfaceDiagnostics& result) {
  const fit::LeastSquaresFit& fit = fitted.fit;
  const size_t leverage = Greatest(fit.leverages);
  result.leverage_point = problem.point_ids[leverage];
  Remark(fit::AdviseOnLeverage(fit.leverages[leverage], fit.rows, fit.terms), "leverage",
         result.leverage_point, result);
  result.press = fit.press;
  const auto influence = fit::MeasureInfluence(fitted.Problem(), fit);
  if (!influence.ok()) return;
  AddPoints(problem, fitted, *influence, result);
  result.adjusted_r_squared = influence->adjusted_r_squared;

  if (!influence->externally_studentised.empty()) {
    const size_t i = Greatest(influence->externally_studentised);
    result.greatest_studentised = Finite(influence->externally_studentised, i);
    result.studentised_point = problem.point_ids[i];
    if (result.greatest_studentised) {
      Remark(fit::AdviseOnStudentisedResidual(*result.greatest_studentised, fit.rows,
                                              fit.terms),
             "studentised residual", result.studentised_point, result);
    }
  }
  const size_t cook = Greatest(influence->cooks_distance);
  result.greatest_cooks_distance = influence->cooks_distance[cook];
  result.cooks_point = problem.point_ids[cook];
  Remark(fit::AdviseOnCooksDistance(result.greatest_cooks_distance, fit.rows, fit.terms),
         "Cook's distance", result.cooks_point, result);
  if (!influence->dffits.empty()) {
    const size_t i = Greatest(influence->dffits);
    result.greatest_dffits = Finite(influence->dffits, i);
    result.dffits_point = problem.point_ids[i];
    if (result.greatest_dffits) {
      Remark(fit::AdviseOnDffits(*result.greatest_dffits, fit.rows, fit.terms), "DFFITS",
             result.dffits_point, result);
    }
  }
  if (influence->predicted_r_squared) {
    result.predicted_r_squared = influence->predicted_r_squared;
    Remark(fit::AdviseOnPredictedRSquared(*influence->predicted_r_squared, fit.r_squared),
           "predicted R squared", "", result);
  }
}

void AddInflation(const ResponseProblem& problem, const ModelFit& fitted,
                  SurfaceDiagnostics& result) {
  auto inflation = fit::InflationOfConditions(problem.columns, fitted.weights);
  if (!inflation.ok() || inflation->empty()) return;
  if (!std::all_of(inflation->begin(), inflation->end(),
                   [](double x) { return std::isfinite(x); })) {
    return;
  }
  const size_t greatest = Greatest(*inflation);
  result.most_inflated_condition = problem.conditions[greatest];
  Remark(fit::AdviseOnInflation((*inflation)[greatest]), "variance inflation",
         result.most_inflated_condition, result);
  result.condition_inflation = *std::move(inflation);
}

void AddWholeFit(const ModelFit& fitted, SurfaceDiagnostics& result) {
  const fit::LeastSquaresFit& fit = fitted.fit;
  std::vector<double> residuals = fit.residuals;
  for (size_t i = 0; i < fitted.weights.size(); ++i) {
    residuals[i] *= std::sqrt(fitted.weights[i]);
  }
  // Residuals that are rounding say nothing of how errors are distributed.
  const auto normality = fit::TestNormality(residuals);
  const bool has_scatter = fit.r_squared < 1 - 1e-12;
  if (normality.ok() && has_scatter) {
    result.normality_probability = normality->p_value;
    Remark(fit::AdviseOnNormality(normality->p_value, fit.rows, fit.terms), "normality",
           "", result);
  }
  if (fitted.own_blocks) return;
  const std::vector<double> ratios = fit::BlockErrorRatios(fit);
  if (ratios.empty()) return;
  const double ratio = *std::max_element(ratios.begin(), ratios.end());
  if (!std::isfinite(ratio)) return;
  result.block_error_ratio = ratio;
  Remark(fit::AdviseOnBlockRatio(ratio, fit.clusters->blocks, fit.terms), "blocks", "",
         result);
}

std::vector<double> PointOf(const ResponseProblem& problem, size_t row) {
  std::vector<double> point;
  for (const std::vector<double>& column : problem.columns) point.push_back(column[row]);
  return point;
}

void AddRobust(const ResponseProblem& problem, const ModelFit& fitted,
               SurfaceDiagnostics& result) {
  const std::vector<std::string> names = fitted.basis.TermNames(problem.conditions);
  fit::LeastSquaresProblem least_squares = fitted.Problem();
  least_squares.blocks = {};
  const auto robust = fit::FitRobust(least_squares, {.term_names = names});
  if (!robust.ok()) {
    result.no_robust_fit = std::string(robust.status().message());
    return;
  }
  double greatest = -1;
  for (size_t i = 0; i < problem.values.size(); ++i) {
    const std::vector<double> point = PointOf(problem, i);
    const double plain = fitted.form.Value(fitted.fit.fitted[i], point);
    const double other = fitted.form.Value(robust->fitted[i], point);
    const double apart = plain == 0 ? 0 : std::fabs(other / plain - 1);
    if (apart > greatest) {
      greatest = apart;
      result.robust_point = problem.point_ids[i];
    }
    if (i < result.points.size()) {
      result.points[i].robustness_weight = robust->robustness_weights[i];
    }
  }
  result.robust_difference_fraction = greatest;
  size_t least = 0;
  for (size_t i = 1; i < robust->robustness_weights.size(); ++i) {
    if (robust->robustness_weights[i] < robust->robustness_weights[least]) least = i;
  }
  Remark(fit::AdviseOnRobustnessWeight(robust->robustness_weights[least]), "robust fit",
         problem.point_ids[least], result);
}

}  // namespace

SurfaceDiagnostics Diagnose(const ResponseProblem& problem,
                            const ModelCandidate& candidate, const ModelFit& fitted,
                            bool robust) {
  SurfaceDiagnostics result;
  AddInfluence(problem, fitted, result);
  AddInflation(problem, fitted, result);
  if (const auto lack = LackOfFitProbability(problem, fitted)) {
    Remark(fit::AdviseOnLackOfFit(*lack), "lack of fit", "", result);
  }
  AddWholeFit(fitted, result);
  if (robust) AddRobust(problem, fitted, result);
  if (IsTenCoefficientForm(problem.conditions, candidate)) {
    result.ten_coefficients_si = UnscaledCoefficients(
        fitted.basis.full(), fitted.basis.ToMonomials(fitted.fit.coefficients));
  }
  // What asks for something to be done first, as found within each.
  std::stable_sort(result.remarks.begin(), result.remarks.end(),
                   [](const document::FitRemark& a, const document::FitRemark& b) {
                     return a.concern == FitConcern::kAct &&
                            b.concern != FitConcern::kAct;
                   });
  return result;
}

std::vector<double> UnscaledCoefficients(const fit::PolynomialBasis& basis,
                                         std::span<const double> monomials) {
  const int degree = basis.degree();
  // powers[v][k][i]: coefficient of x^i in z^k.
  std::vector<std::vector<std::vector<DoubleDouble>>> powers;
  for (const fit::ScaledRange& range : basis.ranges()) {
    const DoubleDouble half_range(range.half_range);
    const DoubleDouble slope = DoubleDouble(1) / half_range;
    const DoubleDouble offset = DoubleDouble(-range.centre) / half_range;
    auto& of = powers.emplace_back(
        degree + 1, std::vector<DoubleDouble>(static_cast<size_t>(degree) + 1));
    of[0][0] = DoubleDouble(1);
    for (int k = 1; k <= degree; ++k) {
      for (int i = 0; i <= k; ++i) {
        of[k][i] = offset * of[k - 1][i];
        if (i > 0) of[k][i] = of[k][i] + slope * of[k - 1][i - 1];
      }
    }
  }
  std::vector<double> unscaled;
  for (int t = 0; t < basis.terms(); ++t) {
    const std::span<const int> wanted = basis.exponents(t);
    DoubleDouble sum;
    for (int s = 0; s < basis.terms(); ++s) {
      const std::span<const int> from = basis.exponents(s);
      DoubleDouble part(monomials[s]);
      bool reaches = true;
      for (size_t v = 0; v < from.size() && reaches; ++v) {
        reaches = from[v] >= wanted[v];
        if (reaches) part = part * powers[v][from[v]][wanted[v]];
      }
      if (reaches) sum = sum + part;
    }
    unscaled.push_back(sum.ToDouble());
  }
  return unscaled;
}

}  // namespace ratebound::map
