#include "engine/points/uncertainty/component.h"

#include <cmath>
#include <utility>

namespace ratebound::points {

Component FromHalfWidth(std::string name, int input, double half_width,
                        Distribution distribution) {
  Component component{.name = std::move(name),
                      .input = input,
                      .standard_uncertainty = half_width / 3,
                      .distribution = distribution};
  switch (distribution) {
    case Distribution::kNormal:
      break;
    case Distribution::kRectangular:
      component.standard_uncertainty = half_width / std::sqrt(3.0);
      break;
    case Distribution::kTriangular:
      component.standard_uncertainty = half_width / std::sqrt(6.0);
      break;
    case Distribution::kArcsine:
      component.standard_uncertainty = half_width / std::sqrt(2.0);
      break;
  }
  return component;
}

Component FromExpanded(std::string name, int input, double expanded_uncertainty,
                       double coverage_factor, double degrees_of_freedom) {
  return {.name = std::move(name),
          .input = input,
          .standard_uncertainty = expanded_uncertainty / coverage_factor,
          .degrees_of_freedom = degrees_of_freedom};
}

Component FromResolution(std::string name, int input, double last_digit) {
  return FromHalfWidth(std::move(name), input, last_digit / 2);
}

Component FromReadings(std::string name, int input, double standard_deviation, double n) {
  const double degrees_of_freedom =
      n >= 2 ? n - 1 : std::numeric_limits<double>::quiet_NaN();
  return {.name = std::move(name),
          .input = input,
          .standard_uncertainty = standard_deviation / std::sqrt(n),
          .degrees_of_freedom = degrees_of_freedom};
}

double DegreesOfFreedomOf(double relative_uncertainty) {
  return 0.5 / (relative_uncertainty * relative_uncertainty);
}

}  // namespace ratebound::points
