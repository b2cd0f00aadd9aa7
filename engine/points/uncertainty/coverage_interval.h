// Coverage intervals read off draws of an output, and whether the linear interval is
// close enough to them.
//
// Example:
//   std::ranges::sort(draws);
//   Interval shortest = ShortestInterval(draws, 0.95);
//   Adequacy a = CheckAdequacy(value, linear_expanded, shortest, linear_standard, 1);
//   if (!a.is_adequate) Print(a.sentence);
//
// Source: JCGM 101:2008 (GUM Supplement 1), clauses given beside each function.
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_POINTS_UNCERTAINTY_COVERAGE_INTERVAL_H_
#define RATEBOUND_ENGINE_POINTS_UNCERTAINTY_COVERAGE_INTERVAL_H_

#include <span>
#include <string>

namespace ratebound::points {

struct Interval {
  double low = 0;
  double high = 0;
  double width() const { return high - low; }
};

// From draws in ascending order, 0 < probability < 1; at least 1 / (1 - probability) of
// them. Symmetric: as much probability above as below (7.7.2, 5.3.3). Shortest: the
// first of the narrowest (7.7.2 note, 5.3.4).
Interval SymmetricInterval(std::span<const double> sorted_draws, double probability);
Interval ShortestInterval(std::span<const double> sorted_draws, double probability);

// SymmetricInterval of draws in any order, which it changes: two order statistics need no
// sort.
Interval SymmetricIntervalOf(std::span<double> draws, double probability);

// Half a unit in the last of `digits` significant digits of a standard uncertainty
// (7.9.2): 0.005 for 0.0754 at 1 digit. 0 for 0. digits >= 1.
double NumericalTolerance(double standard_uncertainty, int digits);

struct Adequacy {
  bool is_adequate = false;
  double low_difference = 0;   // |value - U - interval.low|
  double high_difference = 0;  // |value + U - interval.high|
  double tolerance = 0;
  std::string sentence;  // for people, with the figures; never empty
};

// Clause 8.1: the linear interval value +- expanded serves where both its ends are within
// the numerical tolerance of the Monte Carlo interval's. `standard_uncertainty` is the
// one the tolerance is taken from, by 8.1 that of the linear answer; where that is 0 no
// other interval than a point is within it. The Monte Carlo ends should be stable to a
// fifth of the tolerance (8.2).
Adequacy CheckAdequacy(double value, double expanded, const Interval& interval,
                       double standard_uncertainty, int digits);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UNCERTAINTY_COVERAGE_INTERVAL_H_
