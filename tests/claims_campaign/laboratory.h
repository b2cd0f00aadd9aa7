// A laboratory that measures an invented machine, with the noise and bias of a plan.
#ifndef RATEBOUND_TESTS_CLAIMS_CAMPAIGN_LABORATORY_H_
#define RATEBOUND_TESTS_CLAIMS_CAMPAIGN_LABORATORY_H_

#include <string>
#include <vector>

#include "engine/document/line.h"
#include "tests/claims_campaign/campaign.h"
#include "tests/testing/random.h"

namespace ratebound::claim {

inline constexpr double kCapacityBias = 0.012, kPowerBias = 0.005, kConditionBiasC = 0.1;

// Entering water and entering wet bulb, degC.
struct ConditionSpan {
  double low_c = 0;
  double high_c = 0;
};
ConditionSpan WaterOf(Machine machine);
ConditionSpan WetBulbOf(Machine machine);
// The region lies so far inside of what is tested.
double InsetOf(const ConditionSpan& span);

double TrueCapacityW(Machine machine, double water_c, double wet_bulb_c);
double TruePowerW(Machine machine, double water_c, double wet_bulb_c);
double TrueValue(Machine machine, const std::string& quantity, double water_c,
                 double wet_bulb_c);
// The least (at least) or greatest value over the region.
double TrueExtreme(const CampaignPlan& plan);

struct Laboratory {
  std::vector<std::vector<double>> columns{2};
  std::vector<double> capacity_w;
  std::vector<double> power_w;
  // Random standard uncertainties; empty where points carry none.
  std::vector<double> capacity_standard_w;
  std::vector<double> power_standard_w;
  std::vector<int> blocks;
  std::vector<std::string> ids;
};
Laboratory Measure(const CampaignPlan& plan, testing::Random& random);

// What the laboratory's manifest says.
document::LineManifest ManifestOf(const CampaignPlan& plan);

}  // namespace ratebound::claim

#endif  // RATEBOUND_TESTS_CLAIMS_CAMPAIGN_LABORATORY_H_
