// A reduction by the shipped method files, with readings in the trade's units.
//
// Example:
//   Rig rig = Cooling({.method = "air-enthalpy-37-2009"});
//   rig.Read("entering_air_db", 80, "degF");
//   EXPECT_NEAR(rig.In("total_capacity", "Btu/h"), 36000, 10);
#ifndef RATEBOUND_TESTS_ENGINE_POINTS_REDUCTION_REDUCTION_RIG_H_
#define RATEBOUND_TESTS_ENGINE_POINTS_REDUCTION_REDUCTION_RIG_H_

#include <cmath>
#include <limits>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "engine/document/text.h"
#include "engine/points/reduction/reduce.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"
#include "gtest/gtest.h"
#include "ratings/procedures.h"

namespace ratebound::points {

inline std::vector<document::MeasurementMethod> ShippedMethods() {
  std::vector<document::MeasurementMethod> methods;
  for (const ratings::EmbeddedFile& file : ratings::EmbeddedMethods()) {
    auto method = document::ParseMethod(file.path, file.bytes);
    EXPECT_TRUE(method.ok()) << method.status();
    if (method.ok()) methods.push_back(*std::move(method));
  }
  return methods;
}

inline double Si(std::string_view quantity, double value, std::string_view unit) {
  const auto found = quantity::FindQuantity(quantity);
  return quantity::ToSi(value, quantity::FindUnit(unit, (*found)->dimension).value());
}
inline double InUnit(double value_si, std::string_view quantity, std::string_view unit) {
  const auto found = quantity::FindQuantity(quantity);
  return quantity::FromSi(value_si,
                          quantity::FindUnit(unit, (*found)->dimension).value());
}

inline document::Mode ModeOf(document::ModeKind kind, document::Reduction reduction) {
  return {.id = "test", .kind = kind, .reduction = std::move(reduction)};
}

class Rig {
 public:
  Rig(document::ModeKind kind, document::Reduction reduction,
      ReductionOptions options = {})
      : plan_(ReductionPlan::Create(ModeOf(kind, std::move(reduction)), ShippedMethods(),
                                    options)
                  .value()),
        readings_(plan_) {}

  Rig& Read(std::string_view quantity, double value, std::string_view unit) {
    EXPECT_TRUE(readings_.Set(plan_, quantity, Si(quantity, value, unit))) << quantity;
    return *this;
  }
  Rig& Forget(std::string_view quantity) {
    readings_.values[static_cast<size_t>(plan_.InputIndex(quantity))].reset();
    return *this;
  }

  absl::Status Reduce() { return points::Reduce(plan_, readings_, results_, &steps_); }

  // A result; not-a-number, and a failure, where there is none.
  double In(std::string_view quantity, std::string_view unit) {
    steps_.Clear();
    const absl::Status status = Reduce();
    EXPECT_TRUE(status.ok()) << status;
    const auto value = results_.Find(plan_, quantity);
    EXPECT_TRUE(value.has_value()) << quantity;
    return InUnit(value.value_or(std::numeric_limits<double>::quiet_NaN()), quantity,
                  unit);
  }
  bool Gives(std::string_view quantity) {
    EXPECT_TRUE(Reduce().ok());
    return results_.Find(plan_, quantity).has_value();
  }
  // The last step whose label ends so.
  double StepValue(std::string_view label) {
    steps_.Clear();
    EXPECT_TRUE(Reduce().ok());
    double value = std::numeric_limits<double>::quiet_NaN();
    for (const document::TraceStep& step : steps_.steps()) {
      if (std::string_view(step.label).ends_with(label)) value = step.value;
    }
    EXPECT_FALSE(std::isnan(value)) << label;
    return value;
  }

  const ReductionPlan& plan() const { return plan_; }
  Readings<double>& readings() { return readings_; }
  const Results<double>& results() const { return results_; }
  const std::vector<document::TraceStep>& steps() const { return steps_.steps(); }

 private:
  ReductionPlan plan_;
  Readings<double> readings_;
  Results<double> results_;
  StepRecorder steps_;
};

inline Rig Cooling(document::AirSide air, ReductionOptions options = {}) {
  return Rig(document::ModeKind::kCooling, {.air_side = std::move(air)}, options);
}
inline Rig Heating(document::AirSide air) {
  return Rig(document::ModeKind::kHeating, {.air_side = std::move(air)});
}

inline constexpr char kIp[] = "air-enthalpy-37-2009";
inline constexpr char kSi[] = "air-enthalpy-si";

// Air at 80/67 degF cooled to 58/56 degF.
inline Rig CoilRig(document::AirSide air, ReductionOptions options = {}) {
  Rig rig = Cooling(std::move(air), options);
  rig.Read("entering_air_db", 80, "degF").Read("entering_air_wb", 67, "degF");
  rig.Read("leaving_air_db", 58, "degF").Read("leaving_air_wb", 56, "degF");
  rig.Read("barometric_pressure", 29.921, "inHg");
  return rig;
}

// An air side with nozzles of a diameter in inches.
inline document::AirSide Nozzles(std::string method, std::vector<double> inches) {
  document::AirSide air{.method = kIp,
                        .flow = document::AirFlowSource::kNozzles,
                        .nozzle_method = std::move(method)};
  for (const double diameter : inches) {
    air.nozzles.push_back(
        {.diameter = diameter, .unit = "in", .diameter_m = diameter * 0.0254});
  }
  return air;
}

// Every kind of readings that a plan can take, near the middle of their ranges.
inline Rig WholeRig(document::ModeKind kind, std::string air_method) {
  const bool inch_pound = air_method == kIp;
  document::AirSide air =
      Nozzles(inch_pound ? "nozzle-flow-reynolds" : "nozzle-flow-reynolds-si", {5, 3});
  air.method = std::move(air_method);
  air.duct_loss_w_per_k = 8;
  const bool cooling = kind == document::ModeKind::kCooling;
  document::Reduction reduction;
  reduction.air_side = air;
  reduction.liquid_sides = {{.method = "liquid-heat-iso-13256-1-1998",
                             .role = cooling ? document::LiquidRole::kHeatRejection
                                             : document::LiquidRole::kHeatAbsorbed,
                             .liquid = "propylene_glycol",
                             .entering = "entering_water_temp",
                             .leaving = "leaving_water_temp",
                             .flow = "water_flow"}};
  reduction.capacity_basis = document::CapacityBasis::kMean;
  reduction.corrections = {{.method = "correction-en-14511-3",
                            .kind = document::FanPumpCase::kFanInside,
                            .flow = "air_flow",
                            .pressure = "external_static_pressure"},
                           {.method = "correction-en-14511-3",
                            .kind = document::FanPumpCase::kPumpAbsent,
                            .flow = "water_flow",
                            .pressure = "water_pressure_drop",
                            .on_capacity_side = true}};
  reduction.inputs = {{"correction-en-14511-3", "pump_power_limit", 500, "W"},
                      {"correction-en-14511-3", "fan_capacity_share", 1, ""}};
  reduction.refrigerant_saturation = document::SaturationTable{
      "R-invented", "invented", {{-20, 4e5}, {0, 8e5}, {20, 14.5e5}, {60, 38e5}}};
  Rig rig(kind, reduction);
  rig.Read("entering_air_db", 26.5, "degC").Read("entering_air_wb", 19.2, "degC");
  rig.Read("leaving_air_db", cooling ? 13.5 : 41, "degC");
  rig.Read("leaving_air_wb", cooling ? 12.6 : 23.9, "degC");
  rig.Read("nozzle_pressure_drop", 400, "Pa");
  rig.Read("nozzle_air_db", cooling ? 14.5 : 40, "degC");
  rig.Read("barometric_pressure", 99000, "Pa").Read("ambient_air_db", 25, "degC");
  rig.Read("indoor_fan_power", 310, "W").Read("outdoor_section_power", 2100, "W");
  rig.Read("entering_water_temp", 20, "degC");
  rig.Read("leaving_water_temp", cooling ? 27 : 15, "degC");
  rig.Read("water_flow", cooling ? 0.40 : 0.46, "L/s");
  rig.Read("fluid_concentration", 0.21, "1");
  rig.Read("external_static_pressure", 40, "Pa");
  rig.Read("water_pressure_drop", 20, "kPa");
  rig.Read("suction_pressure", 8.5, "bar").Read("discharge_gauge_pressure", 22, "bar");
  rig.Read("suction_temp", 9, "degC").Read("liquid_line_temp", 31, "degC");
  return rig;
}

}  // namespace ratebound::points

#endif  // RATEBOUND_TESTS_ENGINE_POINTS_REDUCTION_REDUCTION_RIG_H_
