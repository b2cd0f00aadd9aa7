#include "engine/fit/robust_loss.h"

#include <algorithm>
#include <cmath>

namespace ratebound::fit {
namespace {

constexpr double kUpperQuartile = 0.6745;
constexpr int kMostScaleSteps = 200;
constexpr double kScaleTolerance = 1e-15;

}  // namespace

double RobustnessWeight(RobustLoss loss, double tuning, double u) {
  const double size = std::fabs(u);
  if (loss == RobustLoss::kHuber) return size <= tuning ? 1 : tuning / size;
  if (size >= tuning) return 0;
  const double t = (u / tuning) * (u / tuning);
  return (1 - t) * (1 - t);
}

double PsiDerivative(RobustLoss loss, double tuning, double u) {
  const double size = std::fabs(u);
  if (loss == RobustLoss::kHuber) return size <= tuning ? 1 : 0;
  if (size >= tuning) return 0;
  const double t = (u / tuning) * (u / tuning);
  return (1 - t) * (1 - 5 * t);
}

double BiweightRho(double u, double c) {
  if (std::fabs(u) >= c) return 1;
  const double t = (u / c) * (u / c);
  return t * (3 - t * (3 - t));
}

double MedianScale(std::span<const double> residuals, std::vector<double>& memory) {
  memory.clear();
  for (const double residual : residuals) memory.push_back(std::fabs(residual));
  const auto middle = memory.begin() + static_cast<std::ptrdiff_t>(memory.size() / 2);
  std::nth_element(memory.begin(), middle, memory.end());
  double median = *middle;
  if (memory.size() % 2 == 0) {
    median = (median + *std::max_element(memory.begin(), middle)) / 2;
  }
  return median / kUpperQuartile;
}

double BiweightScale(std::span<const double> residuals, int degrees_of_freedom,
                     double start) {
  const double half = 0.5 * degrees_of_freedom;
  int nonzero = 0;
  double largest = 0;
  for (const double residual : residuals) {
    nonzero += residual != 0;
    largest = std::max(largest, std::fabs(residual));
  }
  if (nonzero <= half) return 0;
  double scale = start > 0 ? start : largest / kHalfBreakdownTuning;
  for (int step = 0; step < kMostScaleSteps; ++step) {
    double sum = 0, slope = 0;  // of the sum by log(scale), negative
    for (const double residual : residuals) {
      const double u = residual / scale;
      sum += BiweightRho(u, kHalfBreakdownTuning);
      if (std::fabs(u) < kHalfBreakdownTuning) {
        const double t = (u / kHalfBreakdownTuning) * (u / kHalfBreakdownTuning);
        slope -= 6 * t * (1 - t) * (1 - t);
      }
    }
    double next = scale * std::sqrt(sum / half);
    if (slope < 0) {
      const double newton = scale * (1 - (sum - half) / slope);
      if (newton > 0.5 * scale && newton < 2 * scale) next = newton;
    }
    const double change = std::fabs(next - scale);
    scale = next;
    if (change <= kScaleTolerance * scale) break;
  }
  return scale;
}

}  // namespace ratebound::fit
