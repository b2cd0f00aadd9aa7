// How often confidence and prediction intervals hold what they promise: simulated test
// campaigns on a surface whose truth is known.
//
// Each campaign draws its points, days and errors anew, fits the true form, and asks for
// 95 % intervals at conditions drawn from the same range: of the surface there, and of
// one more measurement there on another day.
//
// Example:
//   Coverage coverage = RunCoverage({.name = "days", .days = 12, .correlation = 0.6,
//                                    .campaigns = 10'000});
//   coverage.rules[0].mean  ...     // share of intervals that hold the truth
#ifndef RATEBOUND_TESTS_COVERAGE_CAMPAIGN_CAMPAIGN_H_
#define RATEBOUND_TESTS_COVERAGE_CAMPAIGN_CAMPAIGN_H_

#include <string>
#include <vector>

namespace ratebound::fit {

struct CoveragePlan {
  std::string name;
  int conditions = 2;
  int degree = 2;
  int days = 24;
  int points_per_day = 4;
  // Days of one, two and three times points_per_day in turn.
  bool uneven_days = false;
  // Of the errors of two points of a day. Below 0: independent points without blocks.
  double correlation = -1;
  // Whole days at one value of the first condition.
  bool day_holds_condition = false;
  // Error variances that vary eightfold and weights that know it.
  bool weighted = false;
  int campaigns = 10'000;
};

struct RuleCoverage {
  std::string rule;
  bool proposed = false;  // what this project would promise
  double mean = 0;        // share of intervals that hold the surface
  double corner = 0;      // the same at one corner of the range
  double one_sided = 0;   // share of 95 % lower bounds at that corner above the truth
  double prediction = 0;  // intervals that hold a new measurement
  double mean_width = 0;  // median width over that of the first rule
  double mean_degrees = 0;
};

struct Coverage {
  std::vector<RuleCoverage> rules;
  int intervals = 0;  // of each kind and rule
  // Standard deviation of a share of 95 % as if intervals of one campaign were one.
  double standard_error = 0;
  int refused = 0;  // campaigns whose blocks carry no covariance
};

// The same numbers for the same plan; the seed is its name.
Coverage RunCoverage(const CoveragePlan& plan);

}  // namespace ratebound::fit

#endif  // RATEBOUND_TESTS_COVERAGE_CAMPAIGN_CAMPAIGN_H_
