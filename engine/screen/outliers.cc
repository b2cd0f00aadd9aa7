#include "engine/screen/outliers.h"

#include <algorithm>
#include <cmath>

#include "engine/fit/least_squares.h"
#include "engine/fit/model_choice.h"
#include "engine/fit/polynomial_basis.h"
#include "engine/number/distribution.h"
#include "engine/points/stage_points.h"
#include "engine/screen/check.h"

namespace ratebound::screen {

std::vector<Outlier> FindOutliers(std::span<const std::vector<double>> columns,
                                  std::span<const double> response) {
  int greatest = 3;
  for (const std::vector<double>& column : columns) {
    greatest = std::min(greatest, points::CountLevels(column) - 1);
  }
  if (greatest < 1) return {};
  const auto choice = fit::ChooseDegree(
      {.columns = columns, .response = response, .greatest_degree = greatest});
  if (!choice.ok()) return {};
  const auto basis = fit::PolynomialBasis::ForPoints(columns, choice->degree);
  if (!basis.ok()) return {};
  const auto design = basis->Design(columns);
  if (!design.ok()) return {};
  const auto fitted = fit::SolveLeastSquares({.design = *design, .response = response});
  if (!fitted.ok() || fitted->degrees_of_freedom < 2) return {};

  const double freedom = fitted->degrees_of_freedom - 1;
  const auto rows = static_cast<double>(response.size());
  const double limit =
      -number::StudentTQuantile(kOutlierProbability / (2 * rows), freedom);
  std::vector<Outlier> outliers;
  for (int i = 0; i < fitted->rows; ++i) {
    const double left_out = fitted->loo_residuals[i];
    const double residual = fitted->residuals[i];
    // Variance of the fit without the row: RSS - e^2 / (1 - h) over one degree of freedom
    // less.
    const double variance =
        (fitted->residual_sum_of_squares - residual * left_out) / freedom;
    const double scale = std::fabs(left_out * residual);  // e^2 / (1 - h)
    if (!(variance > 0) || scale == 0) continue;
    const double studentised = std::copysign(std::sqrt(scale / variance), residual);
    if (std::fabs(studentised) > limit) outliers.push_back({i, left_out, studentised});
  }
  return outliers;
}

}  // namespace ratebound::screen
