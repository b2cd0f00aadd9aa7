// Trials of the forms whose points are conditions: one point with corrections, moisture
// removal, and supply air brought to a limit.
#ifndef RATEBOUND_TESTS_ENGINE_RATING_CONDITION_TRIALS_H_
#define RATEBOUND_TESTS_ENGINE_RATING_CONDITION_TRIALS_H_

#include <cmath>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/rating/units.h"
#include "tests/engine/rating/form_trial.h"

namespace ratebound::rating {

// Capacity and power with a fan's and a pump's corrections, in Btu/Wh or in kW/ton.
class OnePointTrial : public Trial {
 public:
  explicit OnePointTrial(testing::Random& random) {
    procedure_ = FourPoints();
    procedure_.load_points.clear();
    procedure_.part_load.reset();
    procedure_.common_conditions = {At("entering_condenser_water_temp", 30, "degC")};
    const bool specific = random.Integer(0, 1) == 1;
    procedure_.metric_unit = specific ? "kW/ton" : "Btu/Wh";
    procedure_.unit_constant = Stated(1, procedure_.metric_unit);
    procedure_.capacity_unit = specific ? "ton" : "Btu/h";
    procedure_.power_unit = specific ? "kW" : "W";
    const double divisor = specific ? 300e3 : 300;
    const double capacity_factor = specific ? 0.2843 : 3.412;
    procedure_.form = document::OnePoint{
        .corrections =
            {{.name = "fan",
              .flow = {.quantity = "standard_air_flow",
                       .unit = "cfm",
                       .factor = Constant(0.472)},
              .pressure = {.quantity = "external_static_pressure",
                           .unit = "in_wg_4c",
                           .factor = Constant(249)},
              .divisor = Constant(divisor),
              .in_power = RandomSign(random),
              .in_capacity = RandomSign(random),
              .capacity_factor = Constant(capacity_factor),
              .citation = Invented()},
             {.name = "pump",
              .flow = {.quantity = "water_flow",
                       .unit = "gpm",
                       .factor = Constant(0.0631)},
              .pressure = {.input = "drop", .unit = "ft_wg_4c", .factor = Constant(2990)},
              .divisor = Constant(divisor),
              .in_power = RandomSign(random),
              .in_capacity = RandomSign(random),
              .capacity_factor = Constant(capacity_factor),
              .citation = Invented()}},
        .citation = Invented()};
    procedure_.required_inputs = {{"drop", "pressure drop", "ft_wg_4c"}};
  }

  Numbers Draw(testing::Random& random) const override {
    const double capacity_w = random.Uniform(5e3, 30e3);
    return {{capacity_w, Kind::kCapacity},
            {capacity_w / random.Uniform(2.5, 6), Kind::kPower},
            {capacity_w * random.Uniform(4e-5, 6e-5), Kind::kFlow},  // air, m3/s
            {random.Uniform(0, 150), Kind::kIntensive},              // Pa
            {capacity_w * random.Uniform(4e-8, 6e-8), Kind::kFlow},  // water, m3/s
            {random.Uniform(0, 20), Kind::kIntensive}};              // ft
  }

  document::Rating Rate(const Numbers& unit) const override {
    SourceDescription description =
        Described({"total_capacity", "power_input", "standard_air_flow",
                   "external_static_pressure", "water_flow"},
                  1);
    description.unit.procedure_inputs = {
        {"four-points", "drop", unit[5].value, "ft_wg_4c"}};
    return RateFigures(procedure_, std::move(description),
                       [&](int, std::span<const double>, std::vector<double>& figures) {
                         for (size_t i = 0; i < figures.size(); ++i)
                           figures[i] = unit[i].value;
                       });
  }

  bool AtNamedEdge(const Numbers&) const override { return false; }
  std::optional<Range> OfStages(const Numbers&) const override { return {}; }

  // At no pressure there is nothing to correct.
  Numbers MakeConstant(Numbers unit, double efficiency) override {
    const double per_watt = IsSpecificPower(procedure_)
                                ? FromSi("total_capacity", 1, "ton").value() * 1e3
                                : FromSi("total_capacity", 1, "Btu/h").value();
    unit[1].value = unit[0].value * per_watt / efficiency;
    unit[3].value = unit[5].value = 0;
    return unit;
  }
};

inline constexpr double kTargetDewPointC = 12.8;
inline constexpr double kOutdoorDbC[] = {35, 27, 20, 16};
inline constexpr double kOutdoorWbC[] = {25.6, 21, 18, 15};

// Moisture removal, as measured or by the air side; stages mixed to a supply dew point.
class MoistureTrial : public Trial {
 public:
  explicit MoistureTrial(testing::Random& random)
      : by_air_side_(random.Integer(0, 1) == 1),
        stages_(random.Integer(1, 3)),
        cycling_factor_(random.Uniform(0.6, 1)),
        tolerance_k_(random.Integer(0, 1) * 0.15) {
    procedure_ = FourPoints();
    procedure_.metric_unit = "lb/kWh";
    procedure_.unit_constant = Stated(1, "lb/kWh");
    procedure_.capacity_quantity = "moisture_removal";
    procedure_.capacity_unit = "lb/h";
    procedure_.power_unit = "kW";
    procedure_.load_points.clear();
    procedure_.part_load.reset();
    document::WeightedConditions form{.citation = Invented()};
    const double weights[] = {0.15, 0.35, 0.4, 0.1};
    for (int i = 0; i < 4; ++i) {
      form.points.push_back({absl::StrCat("p", i),
                             Stated(weights[i]),
                             {At("outdoor_air_db", kOutdoorDbC[i], "degC"),
                              At("outdoor_air_wb", kOutdoorWbC[i], "degC")}});
    }
    form.stage_rule = document::StageRule::kMixedToTarget;
    form.target = document::MixtureTarget{
        .quantity = "leaving_air_dew_point",
        .target = Constant(kTargetDewPointC, "degC"),
        .unit = "degC",
        .tolerance = Constant(tolerance_k_),
        .mixed = random.Integer(0, 1) == 1 ? document::MixedFigure::kEfficiency
                                           : document::MixedFigure::kCapacityAndPower,
        .cycling_factor_input = "factor",
        .citation = Invented()};
    procedure_.required_inputs = {{"factor", "of a unit that cycles", ""}};
    constexpr document::FlowMass kMasses[] = {document::FlowMass::kDryAir,
                                              document::FlowMass::kMoistEntering,
                                              document::FlowMass::kMoistLeaving};
    form.air_side_moisture = document::AirSideMoisture{
        .flow = {.quantity = "standard_air_flow", .unit = "cfm", .factor = Constant(4.5)},
        .mass = kMasses[random.Integer(0, 2)],
        .entering = {"outdoor_air_wb", "outdoor_air_db"},
        .leaving = {"leaving_air_dew_point", ""},
        .barometric_pressure = Constant(101325, "Pa"),
        .barometric_pressure_unit = "Pa",
        .citation = Invented()};
    procedure_.form = std::move(form);
  }

  // Later stages do less and leave the air wetter.
  Numbers Draw(testing::Random& random) const override {
    Numbers unit;
    double dew_point_c = random.Uniform(10.5, 12.7);
    double flow = random.Uniform(0.5, 3);  // m3/s
    for (int i = 0; i < stages_; ++i) {
      const double removal = flow * random.Uniform(0.008, 0.01);  // kg/s
      unit.push_back(by_air_side_ ? Number{flow, Kind::kFlow}
                                  : Number{removal, Kind::kCapacity});
      unit.push_back({removal * random.Uniform(1e6, 2e6), Kind::kPower});
      unit.push_back({dew_point_c, Kind::kIntensive});
      dew_point_c += random.Uniform(0.3, 0.6);
      flow *= random.Uniform(0.6, 0.9);
    }
    return unit;
  }

  document::Rating Rate(const Numbers& unit) const override {
    SourceDescription description =
        Described({by_air_side_ ? "standard_air_flow" : "moisture_removal", "power_input",
                   "leaving_air_dew_point"},
                  stages_);
    description.mode.conditions = {"outdoor_air_db", "outdoor_air_wb"};
    description.unit.procedure_inputs = {{"four-points", "factor", cycling_factor_, ""}};
    return RateFigures(procedure_, std::move(description),
                       [&](int stage, std::span<const double> conditions_si,
                           std::vector<double>& figures) {
                         for (size_t i = 0; i < 3; ++i) {
                           figures[i] = unit[3 * stage + i].value;
                         }
                         figures[1] *= PowerFactor(conditions_si[0]);
                       });
  }

  bool AtNamedEdge(const Numbers& unit) const override {
    constexpr double kRoundingK = 1e-6;
    const double wettest_c = unit[3 * (stages_ - 1) + 2].value;
    // From a mixture to a unit that cycles.
    if (std::fabs(wettest_c + tolerance_k_ - kTargetDewPointC) < kRoundingK) return true;
    if (tolerance_k_ == 0) return false;
    double nearest = 1e300;
    for (int i = 0; i < stages_; ++i) {
      const double off = std::fabs(unit[3 * i + 2].value - kTargetDewPointC);
      if (std::fabs(off - tolerance_k_) < kRoundingK) return true;
      // Two stages on target: from the nearer one to the other.
      if (off < tolerance_k_ && std::fabs(off - nearest) < kRoundingK) return true;
      nearest = off;
    }
    return false;
  }

  std::optional<Range> OfStages(const Numbers& unit) const override {
    const bool cycles =
        unit[3 * (stages_ - 1) + 2].value < kTargetDewPointC - tolerance_k_;
    if (by_air_side_ || cycles) return {};
    Range range;
    for (int i = 0; i < stages_; ++i) {
      for (double outdoor_c : kOutdoorDbC) {
        range.See(PoundsPerHour(unit[3 * i].value) /
                  (unit[3 * i + 1].value * PowerFactor(outdoor_c) / 1e3));
      }
    }
    return range;
  }

  Numbers MakeConstant(Numbers unit, double efficiency) override {
    same_power_everywhere_ = true;
    cycling_factor_ = 1;
    by_air_side_ = false;
    for (int i = 0; i < stages_; ++i) {
      unit[3 * i].kind = Kind::kCapacity;
      unit[3 * i + 1].value = 1e3 * PoundsPerHour(unit[3 * i].value) / efficiency;
    }
    return unit;
  }

 private:
  double PowerFactor(double outdoor_c) const {
    return same_power_everywhere_ ? 1 : 1 + 0.01 * (outdoor_c - 20);
  }
  static double PoundsPerHour(double removal_si) {
    return FromSi("moisture_removal", removal_si, "lb/h").value();
  }

  bool by_air_side_;
  int stages_;
  double cycling_factor_;
  double tolerance_k_;
  bool same_power_everywhere_ = false;
};

// Heating or cooling at two conditions, the largest stage, supply air brought to a limit.
class SupplyAirTrial : public Trial {
 public:
  explicit SupplyAirTrial(testing::Random& random) {
    procedure_ = FourPoints();
    procedure_.load_points.clear();
    procedure_.part_load.reset();
    if (random.Integer(0, 1) == 1) {
      procedure_.aggregation = document::Aggregation::kWeightedHarmonic;
    }
    addition_cop_ = random.Uniform(0.9, 3);
    procedure_.form = document::WeightedConditions{
        .points = {{"a", Stated(0.7), {At("outdoor_air_db", 8.3, "degC")}},
                   {"b", Stated(0.3), {At("outdoor_air_db", -8.3, "degC")}}},
        .supply_air_additions = {{.name = "reheat",
                                  .quantity = "leaving_air_db",
                                  .wrong_side = document::LimitSide::kBelow,
                                  .limit = Constant(21, "degC"),
                                  .limit_unit = "degC",
                                  .flow = {.quantity = "standard_air_flow",
                                           .unit = "m3/s",
                                           .factor = Constant(1200)},
                                  .heat_unit = "W",
                                  .coefficient_of_performance = Constant(addition_cop_),
                                  .in_capacity = RandomSign(random),
                                  .citation = Invented()}},
        .citation = Invented()};
  }

  // Of two stages, the second one larger.
  Numbers Draw(testing::Random& random) const override {
    Numbers unit;
    double capacity_w = random.Uniform(10e3, 40e3);
    for (int i = 0; i < 2; ++i) {
      unit.push_back({capacity_w, Kind::kCapacity});
      unit.push_back({capacity_w / random.Uniform(2, 4), Kind::kPower});
      unit.push_back({random.Uniform(19, 24), Kind::kIntensive});  // supply, degC
      unit.push_back({capacity_w * random.Uniform(4e-5, 6e-5), Kind::kFlow});
      capacity_w *= random.Uniform(3, 4);
    }
    return unit;
  }

  document::Rating Rate(const Numbers& unit) const override {
    SourceDescription description = Described(
        {"total_capacity", "power_input", "leaving_air_db", "standard_air_flow"}, 2);
    description.mode.conditions = {"outdoor_air_db"};
    return RateFigures(procedure_, std::move(description),
                       [&](int stage, std::span<const double> conditions_si,
                           std::vector<double>& figures) {
                         for (size_t i = 0; i < 4; ++i) {
                           figures[i] = unit[4 * stage + i].value;
                         }
                         if (!same_everywhere_ && conditions_si[0] < 0) {
                           figures[0] *= 0.7;
                           figures[2] -= 1;
                         }
                       });
  }

  bool AtNamedEdge(const Numbers&) const override { return false; }
  std::optional<Range> OfStages(const Numbers&) const override { return {}; }

  // Nothing to add where the supply air is warm.
  Numbers MakeConstant(Numbers unit, double efficiency) override {
    same_everywhere_ = true;
    for (int i = 0; i < 2; ++i) {
      unit[4 * i + 1].value = unit[4 * i].value / efficiency;
      unit[4 * i + 2].value = 25;
    }
    return unit;
  }

 private:
  double addition_cop_ = 1;
  bool same_everywhere_ = false;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_TESTS_ENGINE_RATING_CONDITION_TRIALS_H_
