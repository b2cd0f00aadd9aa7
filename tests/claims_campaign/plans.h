// The plans that ci/campaign runs.
#ifndef RATEBOUND_TESTS_CLAIMS_CAMPAIGN_PLANS_H_
#define RATEBOUND_TESTS_CLAIMS_CAMPAIGN_PLANS_H_

#include <vector>

#include "tests/claims_campaign/campaign.h"

namespace ratebound::claim {

std::vector<CampaignPlan> AllPlans();

}  // namespace ratebound::claim

#endif  // RATEBOUND_TESTS_CLAIMS_CAMPAIGN_PLANS_H_
