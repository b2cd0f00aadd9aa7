// Liquid sides, the balance of two sides, corrections for fans and pumps, refrigerant.
#include <cmath>

#include "engine/fluid/liquid.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/reduction/reduction_rig.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using document::CapacityBasis;
using document::FanPumpCase;
using document::LiquidRole;
using document::ModeKind;
using ::testing::HasSubstr;
using testing::StatusIs;

document::LiquidSide Water(LiquidRole role, std::string method = "liquid-heat") {
  return {.method = std::move(method),
          .role = role,
          .liquid = "water",
          .entering = "entering_water_temp",
          .leaving = "leaving_water_temp",
          .flow = "water_flow"};
}

Rig WaterRig(ModeKind kind, document::LiquidSide side, double entering_c,
             double leaving_c, double l_per_s) {
  Rig rig(kind, {.liquid_sides = {std::move(side)}});
  rig.Read("entering_water_temp", entering_c, "degC");
  rig.Read("leaving_water_temp", leaving_c, "degC");
  rig.Read("water_flow", l_per_s, "L/s");
  return rig;
}

TEST(LiquidSide, HeatIsMassFlowTimesEnthalpyDifference) {
  Rig rig = WaterRig(ModeKind::kCooling, Water(LiquidRole::kCapacity), 12, 7, 0.5);
  const double rho = fluid::WaterDensity(12.0, 300e3);
  const double heat =
      0.0005 * rho *
      (fluid::WaterEnthalpy(12.0, 300e3) - fluid::WaterEnthalpy(7.0, 300e3));
  EXPECT_NEAR(rig.In("total_capacity", "W"), heat, 1e-9 * heat);
  // h(12) - h(7) = 20.98 kJ/kg, 999.5 kg/m3: handbook figures.
  EXPECT_NEAR(heat, 0.5 * 0.9995 * 20980, 8);
}

TEST(LiquidSide, TheMetersTemperatureGivesTheDensity) {
  document::LiquidSide side = Water(LiquidRole::kHeatRejection);
  Rig entering = WaterRig(ModeKind::kCooling, side, 20, 60, 0.5);
  side.flow_at_leaving = true;
  Rig leaving = WaterRig(ModeKind::kCooling, side, 20, 60, 0.5);
  EXPECT_NEAR(leaving.In("heat_rejection", "W") / entering.In("heat_rejection", "W"),
              fluid::WaterDensity(60.0, 300e3) / fluid::WaterDensity(20.0, 300e3), 1e-14);
}

TEST(LiquidSide, SignsFollowTheRole) {
  EXPECT_GT(WaterRig(ModeKind::kCooling, Water(LiquidRole::kCapacity), 12, 7, 0.5)
                .In("total_capacity", "W"),
            0);
  EXPECT_GT(WaterRig(ModeKind::kHeating, Water(LiquidRole::kCapacity), 40, 45, 0.5)
                .In("heating_capacity", "W"),
            0);
  EXPECT_GT(WaterRig(ModeKind::kCooling, Water(LiquidRole::kHeatRejection), 30, 35, 0.5)
                .In("heat_rejection", "W"),
            0);
  EXPECT_GT(WaterRig(ModeKind::kHeating, Water(LiquidRole::kHeatAbsorbed), 10, 7, 0.5)
                .In("heat_absorbed", "W"),
            0);
}

TEST(LiquidSide, FormsAgreeAsCloselyAsTheyShould) {
  const auto by = [](const char* method) {
    return WaterRig(ModeKind::kCooling, Water(LiquidRole::kCapacity, method), 12, 7, 0.5)
        .In("total_capacity", "W");
  };
  EXPECT_NEAR(by("liquid-heat-mean-specific-heat") / by("liquid-heat"), 1, 1e-4);
  EXPECT_NEAR(by("liquid-heat-500") / by("liquid-heat"), 1, 6e-3);
}

TEST(LiquidSide, FiveHundredIsFiveHundred) {
  Rig rig(ModeKind::kCooling,
          {.liquid_sides = {Water(LiquidRole::kCapacity, "liquid-heat-500")}});
  rig.Read("entering_water_temp", 54, "degF").Read("leaving_water_temp", 44, "degF");
  rig.Read("water_flow", 24, "gpm");
  EXPECT_NEAR(rig.In("total_capacity", "Btu/h"), 120000, 1e-7);
}

TEST(LiquidSide, AMeasuredDifferenceIsTakenAsMeasured) {
  document::LiquidSide side = Water(LiquidRole::kCapacity);
  side.difference = "water_temperature_difference";
  Rig rig(ModeKind::kCooling, {.liquid_sides = {side}});
  rig.Read("entering_water_temp", 12, "degC").Read("water_flow", 0.5, "L/s");
  rig.Read("water_temperature_difference", -5, "delta_K");
  const double expected =
      WaterRig(ModeKind::kCooling, Water(LiquidRole::kCapacity), 12, 7, 0.5)
          .In("total_capacity", "W");
  EXPECT_NEAR(rig.In("total_capacity", "W"), expected, 1e-9 * expected);
  rig.Forget("entering_water_temp").Read("leaving_water_temp", 7, "degC");
  EXPECT_NEAR(rig.In("total_capacity", "W"), expected, 1e-9 * expected);
}

TEST(LiquidSide, GlycolAsksForItsConcentration) {
  document::LiquidSide side = Water(LiquidRole::kCapacity);
  side.liquid = "propylene_glycol";
  Rig rig = WaterRig(ModeKind::kCooling, side, 12, 7, 0.5);
  EXPECT_THAT(rig.Reduce(), StatusIs(absl::StatusCode::kInvalidArgument,
                                     HasSubstr("fluid_concentration")));
  rig.Read("fluid_concentration", 0.3, "1");
  const double measured = rig.In("total_capacity", "W");
  side.concentration_fraction = 0.3;
  Rig given = WaterRig(ModeKind::kCooling, side, 12, 7, 0.5);
  EXPECT_EQ(given.In("total_capacity", "W"), measured);
  // Density times specific heat of 30 % propylene glycol is 5.5 % below that of water
  // (computed in the rules of thumb of the trade, at 20 degC).
  EXPECT_NEAR(
      measured / WaterRig(ModeKind::kCooling, Water(LiquidRole::kCapacity), 12, 7, 0.5)
                     .In("total_capacity", "W"),
      0.945, 0.01);
}

TEST(LiquidSide, WaterBelowFreezingIsRefusedWithItsLimit) {
  Rig rig = WaterRig(ModeKind::kCooling, Water(LiquidRole::kCapacity), 5, -1, 0.5);
  EXPECT_THAT(rig.Reduce(), StatusIs(absl::StatusCode::kInvalidArgument,
                                     HasSubstr("leaving_water_temp")));
}

// A water-source machine: air side 10 kW, rejection 12.4 kW less 2.3 kW of power.
Rig TwoSides(CapacityBasis basis, double rejection_part = 1) {
  document::Reduction reduction{
      .air_side =
          document::AirSide{.method = kSi, .flow = document::AirFlowSource::kAirMassFlow},
      .liquid_sides = {Water(LiquidRole::kHeatRejection, "liquid-heat-iso-13256-1-1998")},
      .capacity_basis = basis};
  Rig rig(ModeKind::kCooling, reduction);
  rig.Read("entering_air_db", 27, "degC").Read("entering_air_wb", 19, "degC");
  rig.Read("leaving_air_db", 14, "degC").Read("leaving_air_wb", 13, "degC");
  rig.Read("air_mass_flow", 0.6, "kg/s").Read("entering_water_temp", 30, "degC");
  rig.Read("leaving_water_temp", 35, "degC").Read("power_input", 2300, "W");
  rig.Read("water_flow", 0.592 * rejection_part, "L/s");
  rig.Read("indoor_fan_power", 250, "W");
  return rig;
}

TEST(Balance, IsOfTheSecondSideToTheFirst) {
  Rig rig = TwoSides(CapacityBasis::kAirSide);
  const double air = rig.In("total_capacity", "W");
  const double liquid = rig.In("heat_rejection", "W") - 2300;
  EXPECT_NEAR(rig.In("heat_balance", "1"), (liquid - air) / air, 1e-13);
  EXPECT_NEAR(TwoSides(CapacityBasis::kLiquidSide).In("total_capacity", "W"), liquid,
              1e-9);
  EXPECT_NEAR(TwoSides(CapacityBasis::kMean).In("total_capacity", "W"),
              0.5 * (air + liquid), 1e-9);
}

TEST(Balance, OnAnotherBasisPartsKeepTheirShareAndTheFanItsHeat) {
  Rig air = TwoSides(CapacityBasis::kAirSide);
  Rig mean = TwoSides(CapacityBasis::kMean, 1.05);
  EXPECT_NEAR(mean.In("sensible_heat_ratio", "1"), air.In("sensible_heat_ratio", "1"),
              1e-13);
  EXPECT_NEAR(mean.In("sensible_capacity", "W") + mean.In("latent_capacity", "W"),
              mean.In("total_capacity", "W"), 1e-8);
  for (const char* part : {"total_capacity", "sensible_capacity"}) {
    EXPECT_NEAR(mean.In(std::string("gross_") + part, "W") - mean.In(part, "W"), 250,
                1e-8);
  }
}

TEST(Balance, SaysByHowMuchTheSecondSideIsOffAndLeavesJudgingToTheScreen) {
  Rig good = TwoSides(CapacityBasis::kAirSide);
  EXPECT_TRUE(good.Reduce().ok());
  EXPECT_LT(std::fabs(good.In("heat_balance", "1")), 0.05);
  Rig bad = TwoSides(CapacityBasis::kAirSide, 1.1);
  EXPECT_TRUE(bad.Reduce().ok());
  EXPECT_GT(std::fabs(bad.In("heat_balance", "1")), 0.05);
  EXPECT_TRUE(bad.results().warnings.empty());
}

TEST(Balance, AMeanAsksForPower) {
  Rig rig = TwoSides(CapacityBasis::kMean);
  rig.Forget("power_input");
  EXPECT_THAT(rig.Reduce(), StatusIs(absl::StatusCode::kInvalidArgument,
                                     HasSubstr("outdoor_section_power")));
  rig.Read("outdoor_section_power", 2050, "W");
  EXPECT_NEAR(rig.In("power_input", "W"), 2300, 1e-12);
  EXPECT_NEAR(rig.In("total_capacity", "W"),
              TwoSides(CapacityBasis::kMean).In("total_capacity", "W"), 1e-9);
}

Rig CorrectedRig(ModeKind kind, FanPumpCase pump_or_fan, bool on_capacity_side,
                 std::string method) {
  const bool fan =
      pump_or_fan == FanPumpCase::kFanInside || pump_or_fan == FanPumpCase::kFanAbsent;
  document::Reduction reduction{
      .liquid_sides = {Water(LiquidRole::kCapacity)},
      .corrections = {
          {.method = std::move(method),
           .kind = pump_or_fan,
           .flow = fan ? "air_flow" : "water_flow",
           .pressure = fan ? "external_static_pressure" : "water_pressure_drop",
           .on_capacity_side = on_capacity_side}}};
  if (reduction.corrections[0].method == "correction-en-14511-3") {
    reduction.inputs = {{"correction-en-14511-3", "pump_power_limit", 500, "W"},
                        {"correction-en-14511-3", "fan_capacity_share", 0.7, ""}};
  }
  Rig rig(kind, reduction);
  const bool cooling = kind == ModeKind::kCooling;
  rig.Read("entering_water_temp", cooling ? 12 : 40, "degC");
  rig.Read("leaving_water_temp", cooling ? 7 : 45, "degC");
  rig.Read("water_flow", 1.728, "m3/h").Read("power_input", 3000, "W");
  if (fan) {
    rig.Read("air_flow", 1, "m3/s").Read("external_static_pressure", 50, "Pa");
  } else {
    rig.Read("water_pressure_drop", 30, "kPa");
  }
  return rig;
}

struct Sign {
  ModeKind kind;
  FanPumpCase pump_or_fan;
  const char* method;
  double power_w;     // change of power
  double capacity_w;  // change of capacity
};
constexpr char kEn[] = "correction-en-14511-3";
constexpr char kIso[] = "correction-iso-13256-1-1998-si";
// EN pump: hydraulic power 14.4 W, power 85.45 W, loss 71.05 W. Fans: 50 W over 0.3.
const Sign kSigns[] = {
    {ModeKind::kCooling, FanPumpCase::kPumpInside, kEn, -85.45165, 71.05165},
    {ModeKind::kHeating, FanPumpCase::kPumpInside, kEn, -85.45165, -71.05165},
    {ModeKind::kCooling, FanPumpCase::kPumpAbsent, kEn, 85.45165, -71.05165},
    {ModeKind::kHeating, FanPumpCase::kPumpAbsent, kEn, 85.45165, 71.05165},
    {ModeKind::kCooling, FanPumpCase::kFanInside, kEn, -500.0 / 3, 350.0 / 3},
    {ModeKind::kHeating, FanPumpCase::kFanInside, kEn, -500.0 / 3, -350.0 / 3},
    {ModeKind::kCooling, FanPumpCase::kFanAbsent, kIso, 500.0 / 3, -500.0 / 3},
    {ModeKind::kHeating, FanPumpCase::kFanInside, kIso, -500.0 / 3, -500.0 / 3},
    {ModeKind::kCooling, FanPumpCase::kPumpAbsent, kIso, 48, 0},
};

TEST(Corrections, SignsFollowCaseAndMode) {
  for (const Sign& sign : kSigns) {
    const double bare =
        WaterRig(sign.kind, Water(LiquidRole::kCapacity),
                 sign.kind == ModeKind::kCooling ? 12 : 40,
                 sign.kind == ModeKind::kCooling ? 7 : 45, 0.48)
            .In(sign.kind == ModeKind::kCooling ? "total_capacity" : "heating_capacity",
                "W");
    Rig rig = CorrectedRig(sign.kind, sign.pump_or_fan, true, sign.method);
    EXPECT_NEAR(rig.In("power_input", "W"), 3000 + sign.power_w, 1e-5);
    EXPECT_NEAR(
        rig.In(sign.kind == ModeKind::kCooling ? "total_capacity" : "heating_capacity",
               "W"),
        bare + sign.capacity_w, 1e-5);
  }
}

TEST(Corrections, APumpOfTheOtherSideLeavesTheCapacity) {
  Rig on = CorrectedRig(ModeKind::kCooling, FanPumpCase::kPumpInside, true, kEn);
  Rig off = CorrectedRig(ModeKind::kCooling, FanPumpCase::kPumpInside, false, kEn);
  EXPECT_NEAR(on.In("total_capacity", "W") - off.In("total_capacity", "W"), 71.05165,
              1e-5);
  EXPECT_EQ(on.In("power_input", "W"), off.In("power_input", "W"));
}

TEST(Corrections, NoPressureIsNoCorrection) {
  Rig rig = CorrectedRig(ModeKind::kCooling, FanPumpCase::kPumpInside, true, kEn);
  rig.Read("water_pressure_drop", 0, "Pa");
  EXPECT_EQ(rig.In("power_input", "W"), 3000);
}

TEST(Corrections, AskForPower) {
  Rig rig = CorrectedRig(ModeKind::kCooling, FanPumpCase::kPumpInside, true, kEn);
  rig.Forget("power_input");
  EXPECT_THAT(rig.Reduce(), StatusIs(absl::StatusCode::kInvalidArgument,
                                     HasSubstr("power_input was not read")));
}

TEST(Refrigerant, SaturationMeetsTheTableAndIsStraightInBetween) {
  Rig rig = WholeRig(ModeKind::kCooling, kSi);
  for (const auto& [celsius, pascal] : {std::pair(0.0, 8e5), std::pair(20.0, 14.5e5),
                                        std::pair(-20.0, 4e5), std::pair(60.0, 38e5)}) {
    rig.Read("suction_pressure", pascal, "Pa");
    EXPECT_NEAR(rig.In("saturated_suction_temp", "degC"), celsius, 1e-9);
  }
  // Halfway in ln p is halfway in 1/T.
  rig.Read("suction_pressure", std::sqrt(8e5 * 14.5e5), "Pa");
  EXPECT_NEAR(rig.In("saturated_suction_temp", "degC"),
              2 / (1 / 273.15 + 1 / 293.15) - 273.15, 1e-9);
}

TEST(Refrigerant, SuperheatAndSubcoolingAreDistancesToSaturation) {
  Rig rig = WholeRig(ModeKind::kCooling, kSi);
  EXPECT_NEAR(rig.In("superheat", "delta_K"),
              9 - rig.In("saturated_suction_temp", "degC"), 1e-12);
  EXPECT_NEAR(rig.In("subcooling", "delta_K"),
              rig.In("saturated_discharge_temp", "degC") - 31, 1e-12);
  // A gauge reads against the barometer.
  const double gauge = rig.In("saturated_discharge_temp", "degC");
  rig.Forget("discharge_gauge_pressure").Read("discharge_pressure", 22e5 + 99000, "Pa");
  EXPECT_EQ(rig.In("saturated_discharge_temp", "degC"), gauge);
}

TEST(Refrigerant, OutsideTheTableIsAWarningAndNoFigure) {
  Rig rig = WholeRig(ModeKind::kCooling, kSi);
  rig.Read("suction_pressure", 3.9e5, "Pa");
  EXPECT_FALSE(rig.Gives("superheat"));
  EXPECT_THAT(rig.results().warnings,
              ::testing::Contains(HasSubstr("outside the saturation table")));
}

}  // namespace
}  // namespace ratebound::points
