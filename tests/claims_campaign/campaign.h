// How often verdicts err: simulated laboratory campaigns on a unit whose truth is known,
// each fitted as a line folder would be and asked for a claim at the edge.
//
// The claim's limit is the true minimum (at least) or maximum (at most) over the region
// itself, so by the least change it would be false: PROVEN then is an error at just the
// rate that the level allows, and so is REFUTED, for the claim as it stands is true.
//
// Each campaign decides the same claim twice: with the plan's confidence, which the first
// look halves ("as shipped"), and with the confidence whose first look has the nominal
// level of 5 %.
//
// Example:
//   Rates rates = RunCampaign({.name = "days", .days = 24, .points_per_day = 4,
//                              .correlation = 0.6, .campaigns = 2000});
//   rates.proven / 2000.0 <= rates.level ...
#ifndef RATEBOUND_TESTS_CLAIMS_CAMPAIGN_CAMPAIGN_H_
#define RATEBOUND_TESTS_CLAIMS_CAMPAIGN_CAMPAIGN_H_

#include <string>

namespace ratebound::claim {

// What the proof stands on.
enum class ProofModel {
  kDeclared,      // of the plan's degree
  kOneAbove,      // one degree above the chosen, of degrees 1 to 3 by least error
  kOneAboveRule,  // the same, of all families by the one-standard-error rule
};

enum class Machine {
  kQuadratic,          // capacity and power are polynomials of degree 2
  kVapourCompression,  // tests/coverage_campaign/machine.h: no polynomials
};

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
  // Every point carries its random uncertainty, and counts by it.
  bool weighted = false;
  ProofModel model = ProofModel::kDeclared;
  int degree = 2;  // declared
  Machine machine = Machine::kQuadratic;
  double allowance_fraction = 0;  // of the limit
  // Above 1: some stage serves; all of them are at the limit in the one worst place, each
  // measured by itself.
  int stages = 1;
  // How far, of the limit, a claim is moved to see how often a true one is proven and a
  // false one is refuted; 0: not asked. In every tenth campaign.
  double power_distance = 0;
  int campaigns = 2000;
};

struct Rates {
  int campaigns = 0;
  int proven = 0;
  int refuted = 0;
  int model = 0;      // not shown for the model, as the lack-of-fit test has it
  int undecided = 0;  // an error in place of a verdict
  double level = 0;
  // With a first look at the nominal 5 %.
  int nominal_proven = 0;
  int nominal_refuted = 0;
  // The same with the constant for the region (regional_constant.h) in place of the band
  // over all conditions, on a grid; without systematic uncertainty.
  int nominal_refuted_regional = 0;
  // At power_distance, as shipped.
  int power_asked = 0;
  int power_proven = 0;
  int power_refuted = 0;
  int power_refuted_regional = 0;

  void Add(const Rates& other);
};

// The same numbers for the same plan; the seed is its name. In parts of
// kCampaignsOfAPart, one after the other; part `p` alone:
Rates RunCampaign(const CampaignPlan& plan);
inline constexpr int kCampaignsOfAPart = 250;
Rates RunPart(const CampaignPlan& plan, int part, int campaigns);

}  // namespace ratebound::claim

#endif  // RATEBOUND_TESTS_CLAIMS_CAMPAIGN_CAMPAIGN_H_
