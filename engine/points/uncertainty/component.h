// What is known about the inputs of a measurement: components of uncertainty, each of one
// input, and how they go together.
//
// Example, a thermometer (input 0) and a power meter (input 1):
//   std::vector<Component> components = {
//       FromExpanded("thermometer calibration", 0, 0.10, 2),   // U = 0.10 K, k = 2
//       FromResolution("thermometer display", 0, 0.01),
//       FromReadings("scatter of power", 1, 12.0, 30)};        // s = 12 W of 30 readings
//   components[0].systematic = true;
//   components[0].shared = "reference bath";  // the same for every input that names it
//
// A component is *systematic* where repeating the test would repeat its error (a
// calibration) and *random* where it would not (scatter). The two are carried apart, as
// GUM 3.3.3 allows: they are told apart by how they act here, not by how they were
// evaluated.
//
// Source: JCGM 100:2008 (GUM with minor corrections), clauses given beside each formula.
// Thread-safety: plain values.
#ifndef RATEBOUND_ENGINE_POINTS_UNCERTAINTY_COMPONENT_H_
#define RATEBOUND_ENGINE_POINTS_UNCERTAINTY_COMPONENT_H_

#include <limits>
#include <string>

namespace ratebound::points {

inline constexpr double kExactlyKnown = std::numeric_limits<double>::infinity();

// Each symmetric about 0 and scaled to the component's standard uncertainty.
enum class Distribution { kNormal, kRectangular, kTriangular, kArcsine };

struct Component {
  std::string name;  // for messages and the budget
  int input = 0;
  double standard_uncertainty = 0;  // in the input's unit; 0 is allowed
  Distribution distribution = Distribution::kNormal;
  // How well the standard uncertainty itself is known: above 0, fractions allowed.
  double degrees_of_freedom = kExactlyKnown;
  bool systematic = false;
  // Components of equal non-empty `shared` are one cause: fully correlated (+1), whatever
  // their inputs. They agree in distribution, degrees of freedom and `systematic`.
  std::string shared;
};

// The correlation coefficient of the random parts, or of the systematic parts, of two
// inputs' uncertainties; of what is left of them without their shared components. Where
// an input has several components, it is one of their sum.
struct Correlation {
  int first = 0;
  int second = 0;
  double coefficient = 0;
  bool systematic = false;
};

// Limits at -half_width and +half_width (GUM 4.3.7 rectangular, a/sqrt(3); 4.3.9
// triangular, a/sqrt(6); arcsine, a/sqrt(2), as H.1.3.4). For a normal distribution the
// half width is taken as covering it nearly wholly, three standard deviations (GUM
// 4.3.6, 99.73 %).
Component FromHalfWidth(std::string name, int input, double half_width,
                        Distribution distribution = Distribution::kRectangular);

// A certificate's expanded uncertainty and coverage factor (GUM 4.3.3): U/k, normal.
Component FromExpanded(std::string name, int input, double expanded_uncertainty,
                       double coverage_factor, double degrees_of_freedom = kExactlyKnown);

// The display's last digit: rectangular, half a digit either way (GUM F.2.2.1).
Component FromResolution(std::string name, int input, double last_digit);

// The mean of n independent readings of standard deviation s (GUM 4.2.3): s/sqrt(n),
// with n - 1 degrees of freedom. n >= 2; otherwise not-a-number, which the model refuses.
Component FromReadings(std::string name, int input, double standard_deviation, double n);

// The degrees of freedom of a standard uncertainty that is itself known within a
// relative standard uncertainty, such as 0.25 for "within about 25 %" (GUM G.4.2).
double DegreesOfFreedomOf(double relative_uncertainty);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UNCERTAINTY_COMPONENT_H_
