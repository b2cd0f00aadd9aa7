// A short run of what ci/intervals runs in full: 95 % intervals hold in 94 to 96 % of
// campaigns, within what the count tells.
#include <cmath>

#include "gtest/gtest.h"
#include "tests/coverage_campaign/campaign.h"

namespace ratebound::fit {
namespace {

class CoverageTest : public ::testing::TestWithParam<CoveragePlan> {};

TEST_P(CoverageTest, ProposedRuleHoldsWhatItPromises) {
  const Coverage coverage = RunCoverage(GetParam());
  int proposed = 0;
  for (const RuleCoverage& rule : coverage.rules) {
    if (!rule.proposed) continue;
    ++proposed;
    for (const double share : {rule.mean, rule.corner, rule.prediction}) {
      EXPECT_NEAR(share, 0.95, 0.01 + 3 * coverage.standard_error) << rule.rule;
    }
  }
  EXPECT_EQ(proposed, 1);
  EXPECT_EQ(coverage.refused, 0);
}

// The test can tell: points taken for independent fail where days hold a condition.
TEST(CoverageTest, IgnoringDaysIsSeen) {
  const Coverage coverage = RunCoverage({.name = "IgnoringDays",
                                         .correlation = 0.6,
                                         .day_holds_condition = true,
                                         .campaigns = 400});
  EXPECT_EQ(coverage.rules[0].rule, "independent points");
  EXPECT_LT(coverage.rules[0].mean, 0.9);
}

INSTANTIATE_TEST_SUITE_P(
    Plans, CoverageTest,
    ::testing::Values(CoveragePlan{.name = "Independent",
                                   .days = 20,
                                   .points_per_day = 1,
                                   .campaigns = 4000},
                      CoveragePlan{.name = "Weighted",
                                   .days = 40,
                                   .points_per_day = 1,
                                   .weighted = true,
                                   .campaigns = 2000},
                      CoveragePlan{.name = "Days", .correlation = 0.6, .campaigns = 400},
                      CoveragePlan{.name = "FewDaysOfOneLevel",
                                   .days = 12,
                                   .correlation = 0.6,
                                   .day_holds_condition = true,
                                   .campaigns = 800}),
    [](const auto& parameter) { return parameter.param.name; });

}  // namespace
}  // namespace ratebound::fit
