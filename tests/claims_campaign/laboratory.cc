#include "tests/claims_campaign/laboratory.h"

#include <cmath>

#include "absl/strings/str_cat.h"
#include "tests/coverage_campaign/machine.h"

namespace ratebound::claim {
namespace {

constexpr int kLevels = 4;  // of each condition
// A proof of degree 4 needs one more.
constexpr int kLevelsWhereChosen = 6;
constexpr double kInset = 1.0 / 60;     // of a span
constexpr double kScatter = 1.0 / 600;  // of a span
constexpr double kFahrenheit = 1 / 1.8;

// `error` in standard deviations; the noise of capacity and power is partly the same.
double NoiseOf(double value, double typical, const CampaignPlan& plan) {
  return plan.noise_fraction * (plan.proportional_noise ? value : typical);
}

double At(const ConditionSpan& span, double share) {
  return span.low_c + (span.high_c - span.low_c) * share;
}

}  // namespace

ConditionSpan WaterOf(Machine machine) {
  if (machine == Machine::kQuadratic) return {10, 40};
  return {(50 - 32) * kFahrenheit, (100 - 32) * kFahrenheit};
}

ConditionSpan WetBulbOf(Machine machine) {
  if (machine == Machine::kQuadratic) return {12, 24};
  return {(65 - 32) * kFahrenheit, (73 - 32) * kFahrenheit};
}

double InsetOf(const ConditionSpan& span) { return kInset * (span.high_c - span.low_c); }

double TrueCapacityW(Machine machine, double water_c, double wet_bulb_c) {
  if (machine == Machine::kVapourCompression) {
    return map::CoolingMachine({.wet_bulb_c = wet_bulb_c, .water_c = water_c}).capacity_w;
  }
  const double a = water_c - 25, b = wet_bulb_c - 18;
  return 50e3 - 300 * a + 1000 * b - 4 * a * a + 12 * b * b - 10 * a * b;
}

double TruePowerW(Machine machine, double water_c, double wet_bulb_c) {
  if (machine == Machine::kVapourCompression) {
    return map::CoolingMachine({.wet_bulb_c = wet_bulb_c, .water_c = water_c})
        .compressor_power_w;
  }
  const double a = water_c - 25, b = wet_bulb_c - 18;
  return 10e3 + 200 * a + 50 * b + 3 * a * a + 2 * a * b;
}

double TrueValue(Machine machine, const std::string& quantity, double water_c,
                 double wet_bulb_c) {
  if (quantity == "total_capacity") return TrueCapacityW(machine, water_c, wet_bulb_c);
  if (quantity == "power_input") return TruePowerW(machine, water_c, wet_bulb_c);
  return TrueCapacityW(machine, water_c, wet_bulb_c) /
         TruePowerW(machine, water_c, wet_bulb_c);
}

double TrueExtreme(const CampaignPlan& plan) {
  const ConditionSpan water = WaterOf(plan.machine), wet_bulb = WetBulbOf(plan.machine);
  double extreme = 0;
  constexpr int kSteps = 60;
  for (int i = 0; i <= kSteps; ++i) {
    for (int j = 0; j <= kSteps; ++j) {
      const auto inside = [](const ConditionSpan& span, double share) {
        const double inset = InsetOf(span);
        return span.low_c + inset + (span.high_c - span.low_c - 2 * inset) * share;
      };
      const double value = TrueValue(plan.machine, plan.quantity,
                                     inside(water, static_cast<double>(i) / kSteps),
                                     inside(wet_bulb, static_cast<double>(j) / kSteps));
      const bool first = i == 0 && j == 0;
      if (first || (plan.at_least ? value < extreme : value > extreme)) extreme = value;
    }
  }
  return extreme;
}

Laboratory Measure(const CampaignPlan& plan, testing::Random& random) {
  Laboratory lab;
  const ConditionSpan water = WaterOf(plan.machine), wet_bulb = WetBulbOf(plan.machine);
  const bool chosen = plan.model != ProofModel::kDeclared;
  const int levels = chosen || plan.degree > 3 ? kLevelsWhereChosen : kLevels;
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
  const double middle_water_c = At(water, 0.5), middle_wet_bulb_c = At(wet_bulb, 0.5);
  const double typical_w = TrueCapacityW(plan.machine, middle_water_c, middle_wet_bulb_c);
  const double typical_power_w =
      TruePowerW(plan.machine, middle_water_c, middle_wet_bulb_c);
  for (int day = 0; day < plan.days; ++day) {
    const double day_capacity = std::sqrt(common) * random.Normal();
    const double day_power = std::sqrt(common) * random.Normal();
    const int day_level = random.Integer(0, levels - 1);
    for (int k = 0; k < plan.points_per_day; ++k) {
      // Corners are always run: the region's leverage is then that of the plan.
      const int n = day * plan.points_per_day + k;
      int i = random.Integer(0, levels - 1);
      int j = random.Integer(0, levels - 1);
      if (plan.day_holds_water) i = day_level;
      if (n % 4 == 0) {
        if (!plan.day_holds_water) i = n / 4 % 2 * (levels - 1);
        j = n / 8 % 2 * (levels - 1);
      }
      const double water_c =
          At(water, i / (levels - 1.0) + kScatter * random.Uniform(-1, 1));
      const double wet_bulb_c =
          At(wet_bulb, j / (levels - 1.0) + kScatter * random.Uniform(-1, 1));
      lab.columns[0].push_back(water_c);
      lab.columns[1].push_back(wet_bulb_c);
      const double capacity_error = day_capacity + own * random.Normal();
      const double power_error = day_power + own * random.Normal();
      const double capacity_w =
          TrueCapacityW(plan.machine, water_c - water_bias_c, wet_bulb_c + air_bias_c);
      const double power_w =
          TruePowerW(plan.machine, water_c - water_bias_c, wet_bulb_c + air_bias_c);
      const double capacity_noise_w = NoiseOf(capacity_w, typical_w, plan);
      const double power_noise_w = NoiseOf(power_w, typical_power_w, plan);
      lab.capacity_w.push_back(capacity_factor *
                               (capacity_w + capacity_noise_w * capacity_error));
      lab.power_w.push_back(
          power_factor *
          (power_w + power_noise_w * (0.5 * capacity_error + 0.87 * power_error)));
      if (plan.weighted) {
        lab.capacity_standard_w.push_back(own * capacity_noise_w);
        lab.power_standard_w.push_back(own * power_noise_w);
      }
      lab.blocks.push_back(day);
      lab.ids.push_back(absl::StrCat(n));
    }
  }
  if (plan.correlation < 0) lab.blocks.clear();
  return lab;
}

document::LineManifest ManifestOf(const CampaignPlan& plan) {
  document::LineManifest manifest;
  if (plan.biased) {
    manifest.systematic_uncertainties = {
        {.quantity = "total_capacity", .relative_fraction = kCapacityBias},
        {.quantity = "power_input", .relative_fraction = kPowerBias},
        {.quantity = "entering_water_temp", .absolute_si = kConditionBiasC},
        {.quantity = "entering_air_wb", .absolute_si = kConditionBiasC}};
  }
  return manifest;
}

}  // namespace ratebound::claim
