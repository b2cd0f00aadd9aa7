#include "engine/screen/balances.h"

#include <string>
#include <vector>

#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"

namespace ratebound::screen {
namespace {

using document::MeasurementMethod;
using document::ModeKind;
using ::testing::HasSubstr;

document::TestPoint CoolingPoint() {
  document::TestPoint point{.id = "p"};
  Set(point, "total_capacity", 40e3);
  Set(point, "power_input", 10e3);
  return point;
}

std::vector<Doubt> Check(const document::TestPoint& point,
                         const document::LineManifest& manifest = Manifest(),
                         const std::vector<MeasurementMethod>& methods = {}) {
  return CheckBalances(manifest, methods, manifest.units[0].modes[0], point);
}

// Heat of 50 kW to water: density and specific heat at 20 degC, 0.3 MPa are 998.3 kg/m3
// and 4184 J/(kg K) (IAPWS R7-97(2012), rounded); 50e3 / (998.3 * 4184 * 5) m3/s for 5 K.
constexpr double kFlow = 2.394e-3;

TEST(BalancesTest, TakesTheHeatOfWaterAtItsTemperature) {
  document::TestPoint point = CoolingPoint();
  Set(point, "entering_water_temp", 17.5);
  Set(point, "leaving_water_temp", 22.5);
  Set(point, "water_flow", 1.015 * kFlow);
  EXPECT_TRUE(Check(point).empty());
  Set(point, "water_flow", 1.11 * kFlow);  // 6 %, and 0.2 K of 5 K
  ASSERT_EQ(Check(point).size(), 1u);
  EXPECT_EQ(Check(point)[0].kind, "energy balance");
  EXPECT_THAT(Check(point)[0].message,
              HasSubstr("heat given to the water of entering_water_temp of 555"));
  EXPECT_THAT(Check(point)[0].message,
              HasSubstr("% above total_capacity plus power_input, 50000 W"));
  // At 80 degC a litre of water is 2.7 % less: what was too much no longer is.
  Set(point, "entering_water_temp", 77.5);
  Set(point, "leaving_water_temp", 82.5);
  EXPECT_TRUE(Check(point).empty());
}

// 30 % propylene glycol holds 5.5 % less heat by volume than water, 30 % ethylene glycol
// 7.6 %: the same flow that closes for them is too much for water.
TEST(BalancesTest, TakesGlycolWhereItsConcentrationIsMeasured) {
  document::TestPoint point = CoolingPoint();
  Set(point, "entering_water_temp", 17.5);
  Set(point, "leaving_water_temp", 22.5);
  Set(point, "water_flow", 1.13 * kFlow);
  EXPECT_EQ(Check(point).size(), 1u);
  Set(point, "fluid_concentration", 0.3);
  EXPECT_TRUE(Check(point).empty());
  Set(point, "fluid_concentration", 0.0);
  EXPECT_EQ(Check(point).size(), 1u);
}

TEST(BalancesTest, AllowsTheUncertaintyOfFlowAndTemperatures) {
  document::TestPoint point = CoolingPoint();
  Set(point, "entering_water_temp", 17.5);
  Set(point, "leaving_water_temp", 22.5);
  Set(point, "water_flow", 1.11 * kFlow);
  ASSERT_EQ(Check(point).size(), 1u);
  document::LineManifest manifest = Manifest();
  manifest.systematic_uncertainties = {
      {.quantity = "water_flow", .relative_fraction = 0.02}};
  EXPECT_TRUE(Check(point, manifest).empty());
  // Known to be good, the temperatures allow less than the usual 0.1 K.
  ValueOf(point, "entering_water_temp").uncertainty = {.expanded_si = 0.02};
  ValueOf(point, "leaving_water_temp").uncertainty = {.expanded_si = 0.02};
  EXPECT_EQ(Check(point, manifest).size(), 1u);
}

TEST(BalancesTest, SaysThatPlainWaterDoesNotGoBelowFreezing) {
  document::TestPoint point = CoolingPoint();
  Set(point, "entering_water_temp", -5);
  Set(point, "leaving_water_temp", -1);
  Set(point, "water_flow", kFlow);
  ASSERT_EQ(Check(point).size(), 1u);
  EXPECT_EQ(Check(point)[0].kind, "liquid out of range");
  Set(point, "fluid_concentration", 0.3);
  for (const Doubt& doubt : Check(point)) EXPECT_EQ(doubt.kind, "energy balance");
}

TEST(BalancesTest, TakesChilledWaterAsTheCapacityItself) {
  document::TestPoint point = CoolingPoint();
  Set(point, "entering_chilled_water_temp", 22.5);
  Set(point, "leaving_chilled_water_temp", 17.5);
  Set(point, "chilled_water_flow", 0.8 * kFlow);
  EXPECT_TRUE(Check(point).empty());
  Set(point, "chilled_water_flow", kFlow);
  ASSERT_EQ(Check(point).size(), 1u);
  EXPECT_THAT(Check(point)[0].message, HasSubstr("taken from the water"));
  EXPECT_THAT(Check(point)[0].message, HasSubstr("above total_capacity, 40000 W"));
}

TEST(BalancesTest, TakesHeatAbsorbedInHeating) {
  document::LineManifest manifest = Manifest();
  OnlyMode(manifest).kind = ModeKind::kHeating;
  document::TestPoint point{.id = "p"};
  Set(point, "heating_capacity", 40e3);
  Set(point, "power_input", 10e3);
  Set(point, "heat_absorbed", 31e3);
  EXPECT_TRUE(Check(point, manifest).empty());
  Set(point, "heat_absorbed", 27e3);
  ASSERT_EQ(Check(point, manifest).size(), 1u);
  EXPECT_THAT(Check(point, manifest)[0].message,
              HasSubstr("10.0 % below heating_capacity less power_input, 30000 W"));
}

// The limit of the line before that of the method before the usual one.
TEST(BalancesTest, JudgesTheBalanceThatTheReductionComputed) {
  document::LineManifest manifest = Manifest();
  document::Mode& mode = OnlyMode(manifest);
  mode.reduction = document::Reduction{.air_side = document::AirSide{.method = "air"}};
  document::TestPoint point = CoolingPoint();
  Set(point, "heat_rejection", 90e3);  // not asked: the balance is
  ValueOf(point, "heat_balance").computed = true;
  Set(point, "heat_balance", -0.055);
  EXPECT_TRUE(Check(point, manifest).empty());
  Set(point, "heat_balance", -0.065);
  ASSERT_EQ(Check(point, manifest).size(), 1u);
  EXPECT_THAT(Check(point, manifest)[0].message,
              HasSubstr("6.5 % below that by the first; the usual limit is 6 %"));
  MeasurementMethod method{.id = "air"};
  method.numbers = {
      {"balance_limit",
       {5, "%", {"invented standard, 4.1", document::Basis::kPublishedText}}}};
  Set(point, "heat_balance", 0.055);
  ASSERT_EQ(Check(point, manifest, {method}).size(), 1u);
  EXPECT_THAT(Check(point, manifest, {method})[0].message,
              HasSubstr("the limit by invented standard, 4.1 (PUBLISHED_TEXT) is 5 %"));
  mode.reduction->balance_limit_fraction = 0.06;
  EXPECT_TRUE(Check(point, manifest, {method}).empty());
}

}  // namespace
}  // namespace ratebound::screen
