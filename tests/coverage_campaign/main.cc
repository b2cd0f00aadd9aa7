// Prints how often 95 % intervals hold, for plans with and without days that err
// together; exits 1 where a proposed rule leaves 94 to 96 % by more than four standard
// deviations of its count.
//
//   coverage_campaign [CAMPAIGNS]     10,000 of each plan where not given
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "absl/strings/numbers.h"
#include "absl/strings/str_format.h"
#include "tests/coverage_campaign/campaign.h"

int main(int argc, char** argv) {
  using ratebound::fit::Coverage;
  using ratebound::fit::CoveragePlan;
  using ratebound::fit::RuleCoverage;
  int campaigns = 10'000;
  if (argc > 2 || (argc == 2 && !absl::SimpleAtoi(argv[1], &campaigns)) ||
      campaigns < 1) {
    absl::FPrintF(stderr, "usage: coverage_campaign [CAMPAIGNS]\n");
    return 2;
  }
  const std::vector<CoveragePlan> plans = {
      {.name = "60 independent points, 6 terms", .days = 60, .points_per_day = 1},
      {.name = "9 independent points, 6 terms", .days = 9, .points_per_day = 1},
      {.name = "60 weighted points, 6 terms",
       .days = 60,
       .points_per_day = 1,
       .weighted = true},
      {.name = "24 days of 4, correlation 0", .correlation = 0},
      {.name = "24 days of 4, correlation 0.6", .correlation = 0.6},
      {.name = "24 days of 4, correlation 0.9", .correlation = 0.9},
      {.name = "24 days of 4 at one level, correlation 0.6",
       .correlation = 0.6,
       .day_holds_condition = true},
      {.name = "24 days of 4, correlation 0.6, weighted",
       .correlation = 0.6,
       .weighted = true},
      {.name = "24 uneven days, correlation 0.6",
       .points_per_day = 2,
       .uneven_days = true,
       .correlation = 0.6},
      {.name = "12 days of 4, correlation 0", .days = 12, .correlation = 0},
      {.name = "12 days of 4, correlation 0.6", .days = 12, .correlation = 0.6},
      {.name = "12 days of 4 at one level, correlation 0.6",
       .days = 12,
       .correlation = 0.6,
       .day_holds_condition = true},
      {.name = "8 days of 6, correlation 0.6",
       .days = 8,
       .points_per_day = 6,
       .correlation = 0.6},
      {.name = "6 days of 6, 3 terms of 1 condition, correlation 0.6",
       .conditions = 1,
       .days = 6,
       .points_per_day = 6,
       .correlation = 0.6},
      {.name = "16 days of 5, 10 terms of 3 conditions, correlation 0.6",
       .conditions = 3,
       .days = 16,
       .points_per_day = 5,
       .correlation = 0.6},
  };
  bool sound = true;
  for (CoveragePlan plan : plans) {
    plan.campaigns = campaigns;
    const Coverage coverage = RunCoverage(plan);
    absl::PrintF("%s (standard error %.2f, %d refused)\n", plan.name,
                 100 * coverage.standard_error, coverage.refused);
    for (const RuleCoverage& rule : coverage.rules) {
      const double slack = 4 * coverage.standard_error;
      bool ok = true;
      for (const double share : {rule.mean, rule.corner, rule.prediction}) {
        ok = ok && share >= 0.94 - slack && share <= 0.96 + slack;
      }
      sound = sound && (ok || !rule.proposed);
      absl::PrintF(
          "  %-24s %s mean %6.2f  corner %6.2f  one-sided error %5.2f  prediction %6.2f  "
          "width %5.2f  degrees %5.1f%s\n",
          rule.rule, rule.proposed ? "*" : " ", 100 * rule.mean, 100 * rule.corner,
          100 * rule.one_sided, 100 * rule.prediction, rule.mean_width, rule.mean_degrees,
          rule.proposed && !ok ? "  OUTSIDE" : "");
    }
    std::fflush(stdout);
  }
  return sound ? 0 : 1;
}
