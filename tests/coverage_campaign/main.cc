// Prints how often 95 % intervals hold, for plans with and without days that err
// together; exits 1 where a proposed rule leaves 94 to 96 % by more than four standard
// deviations of its count.
//
//   coverage_campaign [CAMPAIGNS]     10,000 of each plan where not given
//   coverage_campaign --models [CAMPAIGNS]
//
// The second reports, model by model, how often they hold on a machine whose truth is of
// no form that is fitted; nothing is promised there, and it exits 0. 1,000 campaigns.
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include "absl/strings/numbers.h"
#include "absl/strings/str_format.h"
#include "tests/coverage_campaign/campaign.h"
#include "tests/coverage_campaign/model_campaign.h"

namespace {

void PrintModels(int campaigns) {
  using ratebound::map::MachinePlan;
  for (const int conditions : {2, 3}) {
    for (const bool power : {false, true}) {
      for (const double correlation : {-1.0, 0.6}) {
        ratebound::map::ModelPlan plan = MachinePlan(power, conditions, correlation);
        plan.campaigns = campaigns;
        const ratebound::map::ModelReport report = RunModels(plan);
        absl::PrintF("%s, errors of 1 %% (standard error %.2f)\n", plan.name,
                     100 * report.standard_error);
        absl::PrintF("  %-40s %5s %7s %7s %7s %7s %10s %7s %7s %7s\n", "", "terms",
                     "misses", "mean", "corner", "by map", "prediction", "width -+",
                     "chosen", "refused");
        for (const ratebound::map::ModelCoverage& of : report.models) {
          const bool fixed = of.misses >= 0;
          absl::PrintF("  %-40s %5s %7s %7.2f %7.2f %7.2f %10.2f %8.3f %7s %7d\n",
                       of.model, fixed ? absl::StrFormat("%d", of.terms) : "",
                       fixed ? absl::StrFormat("%.3f", 100 * of.misses) : "",
                       100 * of.mean, 100 * of.corner, 100 * of.map_mean,
                       100 * of.prediction, 100 * of.half_width,
                       fixed ? absl::StrFormat("%.1f", 100 * of.chosen) : "", of.refused);
        }
        std::fflush(stdout);
      }
    }
  }
}

}  // namespace

int main(int argc, char** argv) {
  using ratebound::fit::Coverage;
  using ratebound::fit::CoveragePlan;
  using ratebound::fit::RuleCoverage;
  const bool models = argc > 1 && std::string(argv[1]) == "--models";
  const int first = models ? 2 : 1;
  int campaigns = models ? 1'000 : 10'000;
  if (argc > first + 1 || (argc > first && !absl::SimpleAtoi(argv[first], &campaigns)) ||
      campaigns < 1) {
    absl::FPrintF(stderr, "usage: coverage_campaign [--models] [CAMPAIGNS]\n");
    return 2;
  }
  if (models) {
    PrintModels(campaigns);
    return 0;
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
