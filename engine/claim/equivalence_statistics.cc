#include "engine/claim/equivalence_statistics.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/number/distribution.h"

namespace ratebound::claim {
namespace {

absl::Status Refuse(const char* what, double value, const char* expected) {
  return absl::InvalidArgumentError(
      absl::StrCat(what, " is ", base::ShortestText(value), "; expected ", expected));
}

absl::Status CheckLevel(double level, double degrees_of_freedom) {
  if (!(level > 0 && level < 0.5)) {
    return Refuse("the level", level, "a share such as 0.05");
  }
  if (!(degrees_of_freedom > 0)) {
    return Refuse("the number of degrees of freedom", degrees_of_freedom,
                  "a number above 0");
  }
  return absl::OkStatus();
}

bool NotNegative(double value) { return value >= 0 && std::isfinite(value); }

// What is left of a side after its systematic part, against its standard error.
OneSidedTest TestSide(double left, double standard_error, double degrees_of_freedom) {
  constexpr double kInfinity = std::numeric_limits<double>::infinity();
  OneSidedTest side;
  side.statistic = standard_error > 0 ? left / standard_error
                   : left > 0         ? kInfinity
                                      : -kInfinity;
  side.p_value = standard_error > 0
                     ? number::StudentTCdf(-side.statistic, degrees_of_freedom)
                     : (left > 0 ? 0 : 1);
  return side;
}

// The margin of a ratio, by one of the two sides: factors[0] first + factors[1] second.
OneSidedTest TestRatioSide(const SpecimenPair& pair, const std::array<double, 2>& factors,
                           double* bound, double critical) {
  const double value = factors[0] * pair.first + factors[1] * pair.second;
  const double variance = factors[0] * factors[0] * pair.first_variance +
                          2 * factors[0] * factors[1] * pair.covariance +
                          factors[1] * factors[1] * pair.second_variance;
  const double standard_error = std::sqrt(std::max(0.0, variance));
  const double systematic =
      pair.systematic_fraction *
      (std::fabs(factors[0] * pair.first) + std::fabs(factors[1] * pair.second));
  *bound = value - systematic - critical * standard_error;
  return TestSide(value - systematic, standard_error, pair.degrees_of_freedom);
}

bool RatioShown(const SpecimenPair& pair, double fraction, double critical) {
  for (const std::array<double, 2>& factors : RatioMargins(fraction)) {
    double bound;
    TestRatioSide(pair, factors, &bound, critical);
    if (!(bound > 0)) return false;
  }
  return true;
}

}  // namespace

absl::StatusOr<EquivalenceTest> TestEquivalence(const EquivalenceProblem& problem,
                                                double level) {
  RETURN_IF_ERROR(CheckLevel(level, problem.degrees_of_freedom));
  if (!std::isfinite(problem.difference)) {
    return Refuse("the difference", problem.difference, "a finite number");
  }
  if (!NotNegative(problem.standard_error)) {
    return Refuse("the standard error", problem.standard_error, "a number from 0");
  }
  if (!NotNegative(problem.systematic)) {
    return Refuse("the systematic part", problem.systematic, "a number from 0");
  }
  if (!(problem.margin > 0 && std::isfinite(problem.margin))) {
    return Refuse("the margin", problem.margin, "a number above 0");
  }
  EquivalenceTest test;
  test.critical = -number::StudentTQuantile(level, problem.degrees_of_freedom);
  const double left = problem.margin - problem.systematic;
  test.above = TestSide(left + problem.difference, problem.standard_error,
                        problem.degrees_of_freedom);
  test.below = TestSide(left - problem.difference, problem.standard_error,
                        problem.degrees_of_freedom);
  test.p_value = std::max(test.above.p_value, test.below.p_value);
  test.equivalent =
      test.above.statistic > test.critical && test.below.statistic > test.critical;
  test.least_margin = std::fabs(problem.difference) + problem.systematic +
                      test.critical * problem.standard_error;
  return test;
}

absl::StatusOr<RatioEquivalence> TestRatioEquivalence(const SpecimenPair& pair,
                                                      double fraction, double level) {
  RETURN_IF_ERROR(CheckLevel(level, pair.degrees_of_freedom));
  if (!(fraction > 0 && fraction < 1)) {
    return Refuse("the fraction", fraction, "a share such as 0.04");
  }
  if (!std::isfinite(pair.first) || !std::isfinite(pair.second)) {
    return Refuse("a specimen's value",
                  std::isfinite(pair.first) ? pair.second : pair.first,
                  "a finite number");
  }
  for (const double variance : {pair.first_variance, pair.second_variance}) {
    if (!NotNegative(variance)) return Refuse("a variance", variance, "a number from 0");
  }
  const double most = std::sqrt(pair.first_variance) * std::sqrt(pair.second_variance);
  // A covariance computed from the two variances may come out a rounding above them.
  if (!(std::fabs(pair.covariance) <= most * (1 + 1e-9))) {
    return Refuse("the covariance", pair.covariance, "one that the two variances allow");
  }
  if (!(pair.systematic_fraction >= 0 && pair.systematic_fraction < 1)) {
    return Refuse("the systematic part", pair.systematic_fraction, "a share from 0");
  }
  RatioEquivalence test;
  test.critical = -number::StudentTQuantile(level, pair.degrees_of_freedom);
  const auto margins = RatioMargins(fraction);
  double above, below;
  test.above = TestRatioSide(pair, margins[0], &above, test.critical);
  test.below = TestRatioSide(pair, margins[1], &below, test.critical);
  test.p_value = std::max(test.above.p_value, test.below.p_value);
  // A ratio to what may be 0 or below says nothing.
  const double least_second = pair.second * (1 - pair.systematic_fraction) -
                              test.critical * std::sqrt(pair.second_variance);
  if (!(least_second > 0)) {
    test.p_value = 1;
    return test;
  }
  test.equivalent = above > 0 && below > 0;
  // What is shown for a fraction is shown for a greater one: second is shown above 0.
  double no = 0, yes = 1;
  if (RatioShown(pair, std::nextafter(1.0, 0.0), test.critical)) {
    for (int i = 0; i < 60; ++i) {
      const double middle = (no + yes) / 2;
      (RatioShown(pair, middle, test.critical) ? yes : no) = middle;
    }
    if (yes < 1) test.least_fraction = yes;
  }
  return test;
}

std::array<std::array<double, 2>, 2> RatioMargins(double fraction) {
  return {{{1, -(1 - fraction)}, {-1, 1 + fraction}}};
}

double SatterthwaiteDegrees(double first_variance, double first_degrees,
                            double second_variance, double second_degrees) {
  const double sum = first_variance + second_variance;
  // Neither varies: the surer of nothing is as good as either.
  if (!(sum > 0)) return std::min(first_degrees, second_degrees);
  return sum * sum /
         (first_variance * first_variance / first_degrees +
          second_variance * second_variance / second_degrees);
}

}  // namespace ratebound::claim
