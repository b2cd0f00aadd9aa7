#include "engine/claim/regional_constant.h"

#include <cmath>

#include "engine/number/distribution.h"

namespace ratebound::claim {
namespace {

constexpr double kGreatestFactor = 1e3;
constexpr double kPrecision = 1e-4;

double UpperTail(double square, int terms, double degrees_of_freedom) {
  if (std::isinf(degrees_of_freedom)) return number::ChiSquareUpperTail(square, terms);
  return number::FUpperTail(square / terms, terms, degrees_of_freedom);
}

}  // namespace

ExceedanceEstimate ExceedanceOf(std::span<const double> ratios, int terms,
                                double degrees_of_freedom, double factor) {
  // The two ratios of a draw depend on each other, so draws are the sample.
  double sum = 0, squares = 0;
  const size_t draws = ratios.size() / 2;
  for (size_t draw = 0; draw < draws; ++draw) {
    double of_draw = 0;
    for (size_t side = 0; side < 2; ++side) {
      const double ratio = ratios[2 * draw + side];
      if (!(ratio > 0)) continue;  // nowhere above its truth
      const double length = factor / ratio;
      of_draw += 0.5 * UpperTail(length * length, terms, degrees_of_freedom);
    }
    sum += of_draw;
    squares += of_draw * of_draw;
  }
  const double count = static_cast<double>(draws);
  const double mean = sum / count;
  const double variance = squares / count - mean * mean;
  return {mean, std::sqrt((variance > 0 ? variance : 0) / count)};
}

double RegionalFactor(std::span<const double> ratios, int terms,
                      double degrees_of_freedom, double level) {
  const auto holds = [&](double factor) {
    const ExceedanceEstimate estimate =
        ExceedanceOf(ratios, terms, degrees_of_freedom, factor);
    return estimate.probability + kSureness * estimate.standard_error <= level;
  };
  double no = 0, yes = 1;
  while (!holds(yes)) {
    no = yes;
    yes *= 2;
    if (yes > kGreatestFactor) return std::numeric_limits<double>::infinity();
  }
  while (yes - no > kPrecision * yes) {
    const double middle = (no + yes) / 2;
    (holds(middle) ? yes : no) = middle;
  }
  return yes;
}

std::optional<double> LesserRefutingFactor(std::optional<double> everywhere,
                                           std::span<const double> ratios, int terms,
                                           double level) {
  if (ratios.empty()) return everywhere;
  const double regional = RegionalFactor(ratios, terms, kDrawnError, level);
  if (everywhere && *everywhere <= regional) return everywhere;
  if (std::isinf(regional)) return {};
  return regional;
}

}  // namespace ratebound::claim
