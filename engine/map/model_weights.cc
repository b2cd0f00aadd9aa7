#include "engine/map/model_weights.h"

#include <algorithm>
#include <cmath>

#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"

namespace ratebound::map {
namespace {

double Median(std::vector<double> values) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
}

// Residual standard deviation of the unweighted polynomial; below 0 where there is none.
double ResidualOf(std::span<const std::vector<double>> columns,
                  std::span<const double> values, int degree) {
  const auto basis = fit::PolynomialBasis::ForPoints(columns, degree);
  if (!basis.ok()) return -1;
  const auto design = basis->Design(columns);
  if (!design.ok()) return -1;
  const auto fit = fit::SolveLeastSquares({.design = *design, .response = values});
  return fit.ok() ? fit->residual_sd : -1;
}

}  // namespace

std::vector<double> RandomStandardOf(std::span<const document::TestPoint* const> points,
                                     std::string_view quantity) {
  std::vector<double> standard;
  standard.reserve(points.size());
  for (const document::TestPoint* point : points) {
    const document::SiValue* const value = point->FindValue(quantity);
    if (value == nullptr || !value->uncertainty) return {};
    standard.push_back(value->uncertainty->random_standard_si);
  }
  if (!(Median(standard) > 0)) return {};
  return standard;
}

std::vector<double> CountingStandard(std::span<const std::vector<double>> columns,
                                     std::span<const double> values,
                                     std::span<const double> random_standard) {
  if (!(Median({random_standard.begin(), random_standard.end()}) > 0)) return {};
  double residual = ResidualOf(columns, values, 2);
  if (residual < 0) residual = ResidualOf(columns, values, 1);
  if (residual < 0) return {};
  double squares = 0;
  for (double standard : random_standard) squares += standard * standard;
  const double common = std::max(
      0.0, residual * residual - squares / static_cast<double>(random_standard.size()));
  std::vector<double> counting;
  counting.reserve(random_standard.size());
  for (double standard : random_standard) {
    counting.push_back(std::sqrt(standard * standard + common));
  }
  return counting;
}

std::vector<double> WeightsOf(std::span<const double> standard) {
  const double median = Median({standard.begin(), standard.end()});
  std::vector<double> weights;
  if (!(median > 0)) return weights;
  weights.reserve(standard.size());
  for (double of_point : standard) {
    const double ratio = median / std::max(of_point, kLeastOfMedian * median);
    weights.push_back(ratio * ratio);
  }
  return weights;
}

}  // namespace ratebound::map
