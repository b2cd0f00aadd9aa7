// A few hundred campaigns of some plans, so that a rule that errs far too often fails a
// build; ci/campaign tells 5 from 5.7 %.
#include "tests/claims_campaign/campaign.h"

#include <cctype>
#include <cmath>
#include <string>

#include "gtest/gtest.h"
#include "tests/claims_campaign/plans.h"

namespace ratebound::claim {
namespace {

constexpr int kCampaigns = 250;
constexpr double kTolerated = 0.057;  // at a first look of 5 %

CampaignPlan PlanOf(const std::string& name) {
  for (const CampaignPlan& plan : AllPlans()) {
    if (plan.name == name) return plan;
  }
  ADD_FAILURE() << "no plan " << name;
  return {};
}

class CampaignSmokeTest : public ::testing::TestWithParam<std::string> {};

TEST_P(CampaignSmokeTest, ErrsNoMoreOftenThanTolerated) {
  CampaignPlan plan = PlanOf(GetParam());
  plan.campaigns = kCampaigns;
  const Rates rates = RunCampaign(plan);
  ASSERT_EQ(rates.campaigns, kCampaigns);
  EXPECT_EQ(rates.undecided, 0);
  const double most =
      kCampaigns * kTolerated + 3 * std::sqrt(kCampaigns * kTolerated * (1 - kTolerated));
  EXPECT_LE(rates.nominal_proven, most);
  EXPECT_LE(rates.nominal_refuted, most);
  EXPECT_LE(rates.nominal_refuted_regional, most);
  EXPECT_LE(rates.proven, rates.nominal_proven);
  EXPECT_LE(rates.refuted, rates.nominal_refuted);
  // A rule that never errs at the edge would be far wider than its level.
  EXPECT_GE(rates.nominal_proven + rates.power_proven, 1);
}

INSTANTIATE_TEST_SUITE_P(
    Plans, CampaignSmokeTest,
    ::testing::Values("20 points, power at most", "40 points, power at most",
                      "96 points, weighted, power at most", "12 days",
                      "24 days of one water level", "24 days, biased laboratory, ratio",
                      "24 days, one above, power at most", "24 days, some of 3 stages"),
    [](const auto& test) {
      std::string name;
      for (const char c : test.param) {
        if (std::isalnum(static_cast<unsigned char>(c))) name += c;
      }
      return name;
    });

TEST(Campaign, RepeatsItselfAndEveryPlanHasItsOwnName) {
  CampaignPlan plan = PlanOf("12 days");
  plan.campaigns = 20;
  const Rates first = RunCampaign(plan), second = RunCampaign(plan);
  EXPECT_EQ(first.nominal_proven, second.nominal_proven);
  EXPECT_EQ(first.power_proven, second.power_proven);
  const std::vector<CampaignPlan> plans = AllPlans();
  for (size_t i = 0; i < plans.size(); ++i) {
    for (size_t j = i + 1; j < plans.size(); ++j) {
      EXPECT_NE(plans[i].name, plans[j].name);
    }
  }
}

}  // namespace
}  // namespace ratebound::claim
