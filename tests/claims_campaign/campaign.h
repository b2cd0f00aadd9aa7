// How often verdicts err: simulated laboratory campaigns on a unit whose truth is known,
// each fitted as a line folder would be and asked for a claim at the edge.
//
// The claim's limit is the true minimum (at least) or maximum (at most) over the region
// itself, so by the least change it would be false: PROVEN then is an error at just the
// rate that the level allows, and so is REFUTED, for the claim as it stands is true.
//
// Example:
//   Rates rates = RunCampaign({.name = "days", .days = 24, .points_per_day = 4,
//                              .correlation = 0.6, .campaigns = 2000});
//   rates.proven / 2000.0 <= rates.level ...
#ifndef RATEBOUND_TESTS_CLAIMS_CAMPAIGN_CAMPAIGN_H_
#define RATEBOUND_TESTS_CLAIMS_CAMPAIGN_CAMPAIGN_H_

#include <string>

namespace ratebound::claim {

struct CampaignPlan {
  std::string name;
  std::string quantity = "total_capacity";  // or power_input, coefficient_of_performance
  bool at_least = true;
  int days = 24;
  int points_per_day = 4;
  // Of the noise of two points of a day; the points then carry their day as block. Below
  // 0: independent points without blocks.
  double correlation = -1;
  // Whole days at one level of the first condition, as laboratories like to run them.
  bool day_holds_water = false;
  double noise_fraction = 0.01;
  // Noise in proportion to the response, or of one size.
  bool proportional_noise = true;
  // A laboratory that errs in the direction that helps the claim by all that its manifest
  // allows: capacity 1.2 %, power 0.5 %, conditions 0.1 K.
  bool biased = false;
  int campaigns = 2000;
};

struct Rates {
  int campaigns = 0;
  int proven = 0;
  int refuted = 0;
  int model = 0;  // not shown for the model, as the lack-of-fit test has it
  double level = 0;
};

// The same numbers for the same plan; the seed is its name.
Rates RunCampaign(const CampaignPlan& plan);

}  // namespace ratebound::claim

#endif  // RATEBOUND_TESTS_CLAIMS_CAMPAIGN_CAMPAIGN_H_
