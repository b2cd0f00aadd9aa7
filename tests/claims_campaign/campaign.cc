#include "tests/claims_campaign/campaign.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/claim/decide.h"
#include "engine/map/fit_line.h"
#include "engine/map/fit_response.h"
#include "tests/testing/random.h"

namespace ratebound::claim {
namespace {

constexpr int kDegree = 2;
constexpr int kLevels = 4;  // of each condition
constexpr double kLowWaterC = 10, kHighWaterC = 40;
constexpr double kLowWetBulbC = 12, kHighWetBulbC = 24;
constexpr double kMarginC = 0.5;  // of the region inside the plan
constexpr double kScatterC = 0.05;
constexpr double kCapacityBias = 0.012, kPowerBias = 0.005, kConditionBiasC = 0.1;

double CapacityW(double water_c, double wet_bulb_c) {
  const double a = water_c - 25, b = wet_bulb_c - 18;
  return 50e3 - 300 * a + 1000 * b - 4 * a * a + 12 * b * b - 10 * a * b;
}

double PowerW(double water_c, double wet_bulb_c) {
  const double a = water_c - 25, b = wet_bulb_c - 18;
  return 10e3 + 200 * a + 50 * b + 3 * a * a + 2 * a * b;
}

double TrueValue(const std::string& quantity, double water_c, double wet_bulb_c) {
  const double capacity_w = CapacityW(water_c, wet_bulb_c);
  const double power_w = PowerW(water_c, wet_bulb_c);
  return quantity == "total_capacity" ? capacity_w
         : quantity == "power_input"  ? power_w
                                      : capacity_w / power_w;
}

// The extreme over the region, which for these surfaces stands at a corner.
double TrueExtreme(const CampaignPlan& plan) {
  double extreme = 0;
  constexpr int kSteps = 60;
  for (int i = 0; i <= kSteps; ++i) {
    for (int j = 0; j <= kSteps; ++j) {
      const double water_c =
          kLowWaterC + kMarginC + (kHighWaterC - kLowWaterC - 2 * kMarginC) * i / kSteps;
      const double wet_bulb_c =
          kLowWetBulbC + kMarginC +
          (kHighWetBulbC - kLowWetBulbC - 2 * kMarginC) * j / kSteps;
      const double value = TrueValue(plan.quantity, water_c, wet_bulb_c);
      const bool first = i == 0 && j == 0;
      if (first || (plan.at_least ? value < extreme : value > extreme)) extreme = value;
    }
  }
  return extreme;
}

struct Laboratory {
  std::vector<std::vector<double>> columns{2};
  std::vector<double> capacity_w;
  std::vector<double> power_w;
  std::vector<int> blocks;
  std::vector<std::string> ids;
};

// `error` in standard deviations; the noise of capacity and power is partly the same.
double Measured(double value, double typical, double error, const CampaignPlan& plan) {
  return value +
         plan.noise_fraction * (plan.proportional_noise ? value : typical) * error;
}

Laboratory Measure(const CampaignPlan& plan, testing::Random& random) {
  Laboratory lab;
  const double common = plan.correlation < 0 ? 0 : plan.correlation;
  const double own = std::sqrt(1 - common);
  // What helps "at least": capacity reads high, power low. A claim on power at most is
  // helped by the same.
  const double helps = plan.at_least == (plan.quantity != "power_input") ? 1 : -1;
  const double capacity_factor = plan.biased ? 1 + helps * kCapacityBias : 1;
  const double power_factor = plan.biased ? 1 - helps * kPowerBias : 1;
  // Water that is colder than it reads is kinder to the unit, so the surface over the
  // readings looks better than it is; so is air that is warmer, or, for power, colder.
  const double water_bias_c = plan.biased ? helps * kConditionBiasC : 0;
  const double air_bias_c = plan.quantity == "power_input" ? -water_bias_c : water_bias_c;
  for (int day = 0; day < plan.days; ++day) {
    const double day_capacity = std::sqrt(common) * random.Normal();
    const double day_power = std::sqrt(common) * random.Normal();
    const int day_level = random.Integer(0, kLevels - 1);
    for (int k = 0; k < plan.points_per_day; ++k) {
      // Corners are always run: the region's leverage is then that of the plan.
      const int n = day * plan.points_per_day + k;
      int i = random.Integer(0, kLevels - 1);
      int j = random.Integer(0, kLevels - 1);
      if (plan.day_holds_water) i = day_level;
      if (n % 4 == 0) {
        if (!plan.day_holds_water) i = n / 4 % 2 * (kLevels - 1);
        j = n / 8 % 2 * (kLevels - 1);
      }
      const double water_c = kLowWaterC +
                             (kHighWaterC - kLowWaterC) * i / (kLevels - 1.0) +
                             kScatterC * random.Uniform(-1, 1);
      const double wet_bulb_c = kLowWetBulbC +
                                (kHighWetBulbC - kLowWetBulbC) * j / (kLevels - 1.0) +
                                kScatterC * random.Uniform(-1, 1);
      lab.columns[0].push_back(water_c);
      lab.columns[1].push_back(wet_bulb_c);
      const double true_water_c = water_c - water_bias_c;
      const double true_wet_bulb_c = wet_bulb_c + air_bias_c;
      const double capacity_error = day_capacity + own * random.Normal();
      const double power_error = day_power + own * random.Normal();
      lab.capacity_w.push_back(
          capacity_factor *
          Measured(CapacityW(true_water_c, true_wet_bulb_c), 50e3, capacity_error, plan));
      lab.power_w.push_back(power_factor *
                            Measured(PowerW(true_water_c, true_wet_bulb_c), 10e3,
                                     0.5 * capacity_error + 0.87 * power_error, plan));
      lab.blocks.push_back(day);
      lab.ids.push_back(absl::StrCat(n));
    }
  }
  if (plan.correlation < 0) lab.blocks.clear();
  return lab;
}

absl::StatusOr<document::Surface> Fit(const Laboratory& lab,
                                      const std::vector<std::string>& conditions,
                                      std::span<const CombinationPart> parts,
                                      int degree) {
  std::vector<double> values(lab.capacity_w.size(), 0.0);
  for (const CombinationPart& part : parts) {
    const bool power = part.quantity == "power_input";
    const std::vector<double>& response = power ? lab.power_w : lab.capacity_w;
    for (size_t k = 0; k < values.size(); ++k) values[k] += part.factor * response[k];
  }
  auto fitted = map::FitResponse({.quantity = parts[0].quantity,
                                  .values = values,
                                  .conditions = conditions,
                                  .columns = lab.columns,
                                  .point_ids = lab.ids,
                                  .blocks = lab.blocks},
                                 degree, document::SurfacePurpose::kProof);
  if (!fitted.ok()) return fitted.status();
  return std::move(fitted->surface);
}

document::Claim EdgeClaim(const CampaignPlan& plan) {
  const double limit_si = TrueExtreme(plan);
  const bool ratio = IsEfficiency(plan.quantity);
  return {
      .id = "edge",
      .quantity = plan.quantity,
      .relation =
          plan.at_least ? document::Relation::kAtLeast : document::Relation::kAtMost,
      .limit = limit_si,
      .limit_unit = ratio ? "W/W" : "W",
      .limit_si = limit_si,
      .region = {{"entering_water_temp", kLowWaterC + kMarginC, kHighWaterC - kMarginC,
                  "degC", kLowWaterC + kMarginC, kHighWaterC - kMarginC},
                 {"entering_air_wb", kLowWetBulbC + kMarginC, kHighWetBulbC - kMarginC,
                  "degC", kLowWetBulbC + kMarginC, kHighWetBulbC - kMarginC}},
      .confidence = 0.95};
}

}  // namespace

Rates RunCampaign(const CampaignPlan& plan) {
  document::LineManifest manifest;
  if (plan.biased) {
    manifest.systematic_uncertainties = {
        {.quantity = "total_capacity", .relative_fraction = kCapacityBias},
        {.quantity = "power_input", .relative_fraction = kPowerBias},
        {.quantity = "entering_water_temp", .absolute_si = kConditionBiasC},
        {.quantity = "entering_air_wb", .absolute_si = kConditionBiasC}};
  }
  document::Mode mode;
  mode.capacity_quantity = "total_capacity";
  mode.power_quantity = "power_input";
  const document::Claim claim = EdgeClaim(plan);
  testing::Random random(plan.name);
  Rates rates;
  while (rates.campaigns < plan.campaigns) {
    const Laboratory lab = Measure(plan, random);
    document::StageMap map;
    map.conditions = {"entering_water_temp", "entering_air_wb"};
    for (const std::vector<double>& column : lab.columns) {
      map.tested_low_si.push_back(*std::min_element(column.begin(), column.end()));
      map.tested_high_si.push_back(*std::max_element(column.begin(), column.end()));
    }
    for (size_t k = 0; k < lab.ids.size(); ++k) {
      for (const std::vector<double>& column : lab.columns) {
        map.point_conditions_si.push_back(column[k]);
      }
    }
    const auto fit = [&](std::span<const CombinationPart> parts, int degree) {
      return Fit(lab, map.conditions, parts, degree);
    };
    for (const char* quantity : {"total_capacity", "power_input"}) {
      const CombinationPart part[] = {{quantity, 1}};
      auto surface = fit(part, kDegree);
      if (surface.ok()) map.surfaces.push_back(*std::move(surface));
    }
    const auto verdict =
        DecideClaim(claim, {.manifest = manifest, .mode = mode, .map = map, .fit = fit});
    ++rates.campaigns;
    if (!verdict.ok()) continue;
    rates.level = verdict->level;
    rates.proven += verdict->outcome == document::Outcome::kProven;
    rates.refuted += verdict->outcome == document::Outcome::kRefuted;
    rates.model += verdict->reason == document::NotShownReason::kModel;
  }
  return rates;
}

}  // namespace ratebound::claim
