// Trials of weighted load points: every cycling rule, powers that go on, a power that the
// procedure adds, a design load.
#ifndef RATEBOUND_TESTS_ENGINE_RATING_LOAD_POINTS_TRIAL_H_
#define RATEBOUND_TESTS_ENGINE_RATING_LOAD_POINTS_TRIAL_H_

#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "tests/engine/rating/form_trial.h"

namespace ratebound::rating {

// Load points of a unit with a fan that goes on and a tower that the procedure adds,
// at its own full load or at a design load that the user gives.
class LoadPointsTrial : public Trial {
 public:
  explicit LoadPointsTrial(testing::Random& random)
      : stages_(random.Integer(1, 4)),
        fan_is_input_(random.Integer(0, 1) == 1),
        has_design_load_(random.Integer(0, 2) == 0),
        tower_part_(random.Uniform(0, 1)),
        window_percent_(random.Integer(0, 2) == 0 ? 2 : 0) {
    procedure_ = FourPoints();
    document::PartLoad& rule = *procedure_.part_load;
    rule.window_percent.value = window_percent_;
    at_own_load_ = random.Integer(0, 2) == 0;
    if (at_own_load_) rule.bracket_condition = document::BracketCondition::kOwnLoad;
    if (random.Integer(0, 1) == 1) {
      rule.interpolated = document::InterpolatedFigure::kSpecificPower;
    }
    if (random.Integer(0, 1) == 1) {
      procedure_.aggregation = document::Aggregation::kWeightedHarmonic;
    }
    const int cycling = random.Integer(0, 3);
    if (cycling == 1) {
      rule.cycling_powers = {"compressor_power", "tower"};
      rule.continuous_powers = {"indoor_fan_power"};
    } else if (cycling > 1) {
      rule.cycling_rule =
          cycling == 2 ? document::CyclingRule::kLinear : document::CyclingRule::kRatio;
      rule.cycling_coefficient = Constant(random.Uniform(0.1, 0.9));
    }
    if (random.Integer(0, 3) == 0) rule.minimum_load = document::MinimumLoad::kAsItIs;
    if (has_design_load_) rule.full_load_input = "design";
    procedure_.added_powers = {{"tower", "tower_power", "tower_part", Invented()}};
  }

  bool at_own_load() const { return at_own_load_; }

  Numbers Draw(testing::Random& random) const override {
    Numbers unit = {{0, Kind::kDesignLoad},
                    {random.Uniform(0, 0.05), Kind::kPowerOfCapacity},  // tower
                    {random.Uniform(0, 0.015), Kind::kIntensive}};      // per K
    double capacity_w = random.Uniform(10e3, 60e3);
    for (int i = 0; i < stages_; ++i) {
      if (i > 0) capacity_w *= random.Uniform(1.05, 2);
      const double power_w = capacity_w / random.Uniform(3, 8);
      unit.push_back({capacity_w, Kind::kCapacity});
      unit.push_back({power_w, Kind::kPower});
      unit.push_back({power_w * random.Uniform(0.02, 0.2), Kind::kPower});  // fan
    }
    unit[0].value = capacity_w * random.Uniform(0.7, 1);
    return unit;
  }

  document::Rating Rate(const Numbers& unit) const override {
    std::vector<std::string> quantities = {"total_capacity", "power_input"};
    if (!fan_is_input_) quantities.push_back("indoor_fan_power");
    SourceDescription description = Described(std::move(quantities), stages_);
    description.unit.procedure_inputs = {
        {"four-points", "tower_power", unit[1].value, ""},
        {"four-points", "tower_part", tower_part_, ""},
        {"four-points", "design", unit[0].value, "W"}};
    if (fan_is_input_) {
      description.unit.procedure_inputs.push_back(
          {"four-points", "indoor_fan_power", unit[5].value, "W"});
    }
    return RateFigures(procedure_, std::move(description),
                       [&](int stage, std::span<const double> conditions_si,
                           std::vector<double>& figures) {
                         const double water_c = conditions_si[0];
                         figures[0] = CapacityW(unit, stage, water_c);
                         figures[1] = PowerW(unit, stage, water_c);
                         if (!fan_is_input_) figures[2] = unit[3 * stage + 5].value;
                       });
  }

  bool AtNamedEdge(const Numbers& unit) const override {
    if (window_percent_ == 0) return false;
    for (const auto& [target, water_c] : kTargets) {
      if (target == 100 && !has_design_load_) continue;
      double last = 1e300;
      for (int i = 0; i < stages_; ++i) {
        const double off =
            std::fabs(100 * CapacityW(unit, i, water_c) / FullLoadW(unit) - target);
        if (std::fabs(off - window_percent_) < 1e-6) return true;
        // Two stages within the window: from the nearer one to the other.
        if (off < window_percent_ && std::fabs(off - last) < 1e-6) return true;
        last = off;
      }
    }
    return false;
  }

  std::optional<Range> OfStages(const Numbers& unit) const override {
    if (CapacityW(unit, 0, 20) > 0.25 * FullLoadW(unit)) return {};
    Range range;
    for (int i = 0; i < stages_; ++i) {
      // Best with the coldest water, worst with the warmest.
      for (double water_c : {20.0, 30.0}) {
        const double capacity_w = CapacityW(unit, i, water_c);
        range.See(capacity_w / (PowerW(unit, i, water_c) + unit[1].value * capacity_w));
      }
    }
    return range;
  }

  // The same efficiency of every stage, everything cycled, nothing lost by it.
  Numbers MakeConstant(Numbers unit, double efficiency) override {
    document::PartLoad& rule = *procedure_.part_load;
    rule.degradation_slope.value = 0;
    rule.degradation_intercept.value = 1;
    if (rule.cycling_rule) {
      rule.cycling_coefficient =
          Constant(*rule.cycling_rule == document::CyclingRule::kRatio);
    }
    follows_capacity_ = true;
    tower_part_ = 1;
    for (int i = 0; i < stages_; ++i) {
      unit[3 * i + 4].value = unit[3 * i + 3].value * (1 / efficiency - unit[1].value);
      unit[3 * i + 5].value = 0;
    }
    return unit;
  }

 private:
  struct Target {
    double percent;
    double water_c;
  };
  static constexpr Target kTargets[] = {{100, 30}, {75, 25}, {50, 20}, {25, 20}};

  static double CapacityW(const Numbers& unit, int stage, double water_c) {
    return unit[3 * stage + 3].value * (1 - unit[2].value * (water_c - 30));
  }
  double PowerW(const Numbers& unit, int stage, double water_c) const {
    const double power_w = unit[3 * stage + 4].value;
    return follows_capacity_ ? power_w * (1 - unit[2].value * (water_c - 30))
                             : power_w * (1 + unit[2].value * (water_c - 30));
  }
  double FullLoadW(const Numbers& unit) const {
    return has_design_load_ ? unit[0].value : CapacityW(unit, stages_ - 1, 30);
  }

  int stages_;
  bool fan_is_input_;
  bool has_design_load_;
  double tower_part_;
  double window_percent_;
  bool at_own_load_ = false;
  bool follows_capacity_ = false;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_TESTS_ENGINE_RATING_LOAD_POINTS_TRIAL_H_
