#include "engine/screen/impossibilities.h"

#include <ostream>
#include <string>
#include <utility>
#include <vector>

#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"

namespace ratebound::screen {
namespace {

using document::ModeKind;
using Values = std::vector<std::pair<std::string, double>>;

struct ImpossibilityCase {
  std::string name;
  std::string kind;
  ModeKind mode = ModeKind::kCooling;
  std::string regime;
  Values impossible;
  Values possible;  // just inside of what the readings allow

  friend void PrintTo(const ImpossibilityCase& c, std::ostream* out) { *out << c.name; }
};

class ImpossibilityTest : public ::testing::TestWithParam<ImpossibilityCase> {
 protected:
  // The kinds of all doubts about a point of these values.
  static std::vector<std::string> Kinds(const Values& values) {
    document::LineManifest manifest = Manifest();
    document::Mode& mode = OnlyMode(manifest);
    mode.kind = GetParam().mode;
    if (mode.kind == ModeKind::kHeating) mode.capacity_quantity = "heating_capacity";
    document::TestPoint point{.id = "p", .regime = GetParam().regime};
    for (const auto& [quantity, value_si] : values) Set(point, quantity, value_si);
    std::vector<std::string> kinds;
    for (const Doubt& doubt : CheckOrders(manifest, mode, point)) {
      EXPECT_EQ(doubt.point, &point);
      EXPECT_FALSE(doubt.message.empty());
      kinds.push_back(doubt.kind);
    }
    for (const Doubt& doubt : CheckHeat(manifest, mode, point)) {
      kinds.push_back(doubt.kind);
    }
    return kinds;
  }
};

TEST_P(ImpossibilityTest, IsFlaggedOnceAndOnlyWhereItIs) {
  EXPECT_THAT(Kinds(GetParam().impossible), ::testing::ElementsAre(GetParam().kind));
  EXPECT_THAT(Kinds(GetParam().possible), ::testing::IsEmpty());
}

constexpr ModeKind kHeat = ModeKind::kHeating;
constexpr ModeKind kCool = ModeKind::kCooling;

INSTANTIATE_TEST_SUITE_P(
    Rules, ImpossibilityTest,
    ::testing::Values(
        ImpossibilityCase{"Sensible",
                          "sensible above total",
                          kCool,
                          "",
                          {{"sensible_capacity", 10300}, {"total_capacity", 10000}},
                          {{"sensible_capacity", 10100}, {"total_capacity", 10000}}},
        ImpossibilityCase{
            "GrossSensible",
            "sensible above total",
            kCool,
            "",
            {{"gross_sensible_capacity", 10300}, {"gross_total_capacity", 10000}},
            {{"gross_sensible_capacity", 10100}, {"gross_total_capacity", 10000}}},
        ImpossibilityCase{"LeavingDewPoint",
                          "more than saturated",
                          kCool,
                          "",
                          {{"leaving_air_dew_point", 13}, {"leaving_air_db", 12}},
                          {{"leaving_air_dew_point", 12.5}, {"leaving_air_db", 12}}},
        ImpossibilityCase{"LeavingWetBulb",
                          "more than saturated",
                          kCool,
                          "",
                          {{"leaving_air_wb", 13}, {"leaving_air_db", 12}},
                          {{"leaving_air_wb", 12.5}, {"leaving_air_db", 12}}},
        ImpossibilityCase{"EnteringDewPoint",
                          "more than saturated",
                          kHeat,
                          "",
                          {{"entering_air_dew_point", 21}, {"entering_air_db", 20}},
                          {{"entering_air_dew_point", 20.5}, {"entering_air_db", 20}}},
        ImpossibilityCase{"EnteringWetBulb",
                          "more than saturated",
                          kCool,
                          "",
                          {{"entering_air_wb", 27}, {"entering_air_db", 26}},
                          {{"entering_air_wb", 26.5}, {"entering_air_db", 26}}},
        ImpossibilityCase{"AirCooledByHeating",
                          "leaving air on the wrong side",
                          kHeat,
                          "",
                          {{"entering_air_db", 20}, {"leaving_air_db", 19}},
                          {{"entering_air_db", 20}, {"leaving_air_db", 19.5}}},
        ImpossibilityCase{
            "AirWarmedByCooling",
            "leaving air on the wrong side",
            kCool,
            "",
            {{"entering_air_db", 20}, {"leaving_air_db", 21}, {"sensible_capacity", 500}},
            {{"entering_air_db", 20},  // the fan's heat alone
             {"leaving_air_db", 21},
             {"sensible_capacity", -500}}},
        ImpossibilityCase{"WaterInCooling",
                          "leaving water on the wrong side",
                          kCool,
                          "",
                          {{"entering_water_temp", 30}, {"leaving_water_temp", 29.7}},
                          {{"entering_water_temp", 30}, {"leaving_water_temp", 29.9}}},
        ImpossibilityCase{"WaterInHeating",
                          "leaving water on the wrong side",
                          kHeat,
                          "",
                          {{"entering_water_temp", 10}, {"leaving_water_temp", 10.3}},
                          {{"entering_water_temp", 10}, {"leaving_water_temp", 7}}},
        ImpossibilityCase{
            "ChilledWater",
            "leaving water on the wrong side",
            kCool,
            "",
            {{"entering_chilled_water_temp", 7}, {"leaving_chilled_water_temp", 12}},
            {{"entering_chilled_water_temp", 12}, {"leaving_chilled_water_temp", 7}}},
        ImpossibilityCase{
            "CondenserWater",
            "leaving water on the wrong side",
            kHeat,
            "",
            {{"entering_condenser_water_temp", 40}, {"leaving_condenser_water_temp", 35}},
            {{"entering_condenser_water_temp", 35},
             {"leaving_condenser_water_temp", 40}}},
        ImpossibilityCase{
            "HotWater",
            "leaving water on the wrong side",
            kHeat,
            "",
            {{"entering_hot_water_temp", 45}, {"leaving_hot_water_temp", 40}},
            {{"entering_hot_water_temp", 40}, {"leaving_hot_water_temp", 45}}},
        ImpossibilityCase{"Brine",
                          "leaving water on the wrong side",
                          kHeat,
                          "",
                          {{"entering_brine_temp", 0}, {"leaving_brine_temp", 3}},
                          {{"entering_brine_temp", 0}, {"leaving_brine_temp", -3}}},
        ImpossibilityCase{"AirBelowRefrigerant",
                          "leaving side colder than the refrigerant",
                          kCool,
                          "",
                          {{"leaving_air_db", 8}, {"saturated_suction_temp", 10.5}},
                          {{"leaving_air_db", 9}, {"saturated_suction_temp", 10.5}}},
        ImpossibilityCase{
            "WaterBelowRefrigerant",
            "leaving side colder than the refrigerant",
            kCool,
            "",
            {{"leaving_chilled_water_temp", 4}, {"saturated_suction_temp", 7}},
            {{"leaving_chilled_water_temp", 6}, {"saturated_suction_temp", 7}}},
        ImpossibilityCase{"Superheat",
                          "negative superheat",
                          kCool,
                          "",
                          {{"superheat", -3}},
                          {{"superheat", -1}}},
        ImpossibilityCase{"SuctionBelowSaturation",
                          "negative superheat",
                          kHeat,
                          "",
                          {{"suction_temp", 0}, {"saturated_suction_temp", 3}},
                          {{"suction_temp", 2}, {"saturated_suction_temp", 3}}},
        ImpossibilityCase{"Subcooling",
                          "negative subcooling",
                          kCool,
                          "",
                          {{"subcooling", -3}},
                          {{"subcooling", -1}}},
        ImpossibilityCase{"DischargeGas",
                          "discharge gas below saturation",
                          kCool,
                          "",
                          {{"discharge_temp", 40}, {"saturated_discharge_temp", 45}},
                          {{"discharge_temp", 70}, {"saturated_discharge_temp", 45}}},
        ImpossibilityCase{"LiquidLine",
                          "liquid line above saturation",
                          kCool,
                          "",
                          {{"liquid_line_temp", 48}, {"saturated_discharge_temp", 45}},
                          {{"liquid_line_temp", 46}, {"saturated_discharge_temp", 45}}},
        ImpossibilityCase{"Pressures",
                          "discharge below suction",
                          kCool,
                          "",
                          {{"suction_pressure", 9e5}, {"discharge_pressure", 8.5e5}},
                          {{"suction_pressure", 9e5}, {"discharge_pressure", 8.9e5}}},
        ImpossibilityCase{
            "GaugePressures",
            "discharge below suction",
            kCool,
            "",
            {{"suction_gauge_pressure", 9e5}, {"discharge_gauge_pressure", 8.5e5}},
            {{"suction_gauge_pressure", 9e5}, {"discharge_gauge_pressure", 2.5e6}}},
        ImpossibilityCase{
            "Saturations",
            "discharge below suction",
            kCool,
            "",
            {{"saturated_suction_temp", 10}, {"saturated_discharge_temp", 5}},
            {{"saturated_suction_temp", 10}, {"saturated_discharge_temp", 45}}},
        ImpossibilityCase{"GasTemperatures",
                          "discharge below suction",
                          kCool,
                          "",
                          {{"suction_temp", 15}, {"discharge_temp", 10}},
                          {{"suction_temp", 15}, {"discharge_temp", 70}}},
        // Between 280.15 K (mean of 12 and 2 degC) and 318.15 K: Tc/(Th - Tc) is 7.37;
        // with 0.1 K of each reading in favour 7.42, and 5 % on it 7.79.
        ImpossibilityCase{"CarnotOfAChiller",
                          "COP above Carnot",
                          kCool,
                          "",
                          {{"total_capacity", 80e3},
                           {"power_input", 10e3},
                           {"entering_chilled_water_temp", 12},
                           {"leaving_chilled_water_temp", 2},
                           {"entering_condenser_water_temp", 40},
                           {"leaving_condenser_water_temp", 50}},
                          {{"total_capacity", 76e3},
                           {"power_input", 10e3},
                           {"entering_chilled_water_temp", 12},
                           {"leaving_chilled_water_temp", 2},
                           {"entering_condenser_water_temp", 40},
                           {"leaving_condenser_water_temp", 50}}},
        // Outdoor air of 266.15 K to room air of 303.15 K (mean of 20 and 40 degC):
        // Th/(Th - Tc) is 8.19; with 0.3 K of each reading 8.32, and 5 % on it 8.74.
        ImpossibilityCase{"CarnotOfAHeatPump",
                          "COP above Carnot",
                          kHeat,
                          "",
                          {{"heating_capacity", 9000},
                           {"power_input", 1000},
                           {"outdoor_air_db", -7},
                           {"entering_air_db", 20},
                           {"leaving_air_db", 40}},
                          {{"heating_capacity", 8500},
                           {"power_input", 1000},
                           {"outdoor_air_db", -7},
                           {"entering_air_db", 20},
                           {"leaving_air_db", 40}}},
        // Heat that runs downhill has no bound.
        ImpossibilityCase{"CarnotDownhill",
                          "COP above Carnot",
                          kCool,
                          "",
                          {{"total_capacity", 50e3},
                           {"power_input", 1000},
                           {"outdoor_air_db", 35},
                           {"entering_air_db", 27}},
                          {{"total_capacity", 50e3},
                           {"power_input", 1000},
                           {"outdoor_air_db", 15},
                           {"entering_air_db", 27}}},
        ImpossibilityCase{"PowerParts",
                          "power below its parts",
                          kCool,
                          "",
                          {{"power_input", 3000},
                           {"compressor_power", 2500},
                           {"indoor_fan_power", 400},
                           {"outdoor_fan_power", 200}},
                          {{"power_input", 3100},
                           {"compressor_power", 2500},
                           {"indoor_fan_power", 400},
                           {"outdoor_fan_power", 200}}},
        ImpossibilityCase{"OutdoorSection",
                          "power below its parts",
                          kHeat,
                          "",
                          {{"power_input", 3000},
                           {"outdoor_section_power", 2800},
                           {"indoor_fan_power", 300}},
                          {{"power_input", 3000},
                           {"outdoor_section_power", 2700},
                           {"indoor_fan_power", 300}}},
        // fan_power holds both fans, so that they do not count twice.
        ImpossibilityCase{"FansOnce",
                          "power below its parts",
                          kCool,
                          "",
                          {{"power_input", 3000},
                           {"compressor_power", 2500},
                           {"fan_power", 600},
                           {"indoor_fan_power", 400}},
                          {{"power_input", 3000},
                           {"compressor_power", 2400},
                           {"fan_power", 600},
                           {"indoor_fan_power", 400}}},
        ImpossibilityCase{"Parts",
                          "total is not sensible plus latent",
                          kCool,
                          "",
                          {{"total_capacity", 10000},
                           {"sensible_capacity", 7000},
                           {"latent_capacity", 2500}},
                          {{"total_capacity", 10000},
                           {"sensible_capacity", 7000},
                           {"latent_capacity", 2850}}},
        ImpossibilityCase{"LatentInWet",
                          "latent negative in a wet regime",
                          kCool,
                          "wet_coil",
                          {{"latent_capacity", -100}},
                          {{"latent_capacity", 100}}},
        ImpossibilityCase{"MoistureInWet",
                          "latent negative in a wet regime",
                          kCool,
                          "wet_coil",
                          {{"moisture_removal", -1e-4}},
                          {{"moisture_removal", 1e-4}}},
        ImpossibilityCase{"Damper",
                          "water removed from air that grows damper",
                          kCool,
                          "",
                          {{"moisture_removal", 1e-3},
                           {"entering_air_dew_point", 10},
                           {"leaving_air_dew_point", 11}},
                          {{"moisture_removal", 1e-3},
                           {"entering_air_dew_point", 10},
                           {"leaving_air_dew_point", 10.5}}},
        ImpossibilityCase{"Cop",
                          "ratio is not that of its figures",
                          kCool,
                          "",
                          {{"coefficient_of_performance", 4},
                           {"total_capacity", 10000},
                           {"power_input", 2400}},
                          {{"coefficient_of_performance", 4.1},
                           {"total_capacity", 10000},
                           {"power_input", 2400}}},
        ImpossibilityCase{"SensibleRatio",
                          "ratio is not that of its figures",
                          kCool,
                          "",
                          {{"sensible_heat_ratio", 0.8},
                           {"total_capacity", 10000},
                           {"sensible_capacity", 7000}},
                          {{"sensible_heat_ratio", 0.71},
                           {"total_capacity", 10000},
                           {"sensible_capacity", 7000}}}),
    [](const auto& the_case) { return the_case.param.name; });

// What is known of the readings takes the place of the usual slack.
TEST(ImpossibilitiesTest, AllowsTheUncertaintyThatIsKnown) {
  document::LineManifest manifest = Manifest();
  const document::Mode& mode = OnlyMode(manifest);
  document::TestPoint point{.id = "p"};
  Set(point, "entering_water_temp", 30);
  Set(point, "leaving_water_temp", 29.5);
  EXPECT_EQ(CheckOrders(manifest, mode, point).size(), 1u);
  manifest.systematic_uncertainties = {
      {.quantity = "entering_water_temp", .absolute_si = 0.45}};
  EXPECT_TRUE(CheckOrders(manifest, mode, point).empty());
  ValueOf(point, "entering_water_temp").uncertainty = {.expanded_si = 0.05};
  ASSERT_EQ(CheckOrders(manifest, mode, point).size(), 1u);
  EXPECT_EQ(
      CheckOrders(manifest, mode, point)[0].message,
      "entering_water_temp of 30.00 degC is above leaving_water_temp, 29.50 degC, by "
      "0.50 K, and its readings allow 0.15 K; look whether the two readings are "
      "swapped, or one of them is off");
}

// A reduction may say that the water is the side that capacity is delivered to.
TEST(ImpossibilitiesTest, TakesTheRoleThatTheReductionGivesTheWater) {
  document::LineManifest manifest = Manifest();
  document::Mode& mode = OnlyMode(manifest);
  document::TestPoint point{.id = "p"};
  Set(point, "entering_water_temp", 12);
  Set(point, "leaving_water_temp", 7);
  EXPECT_EQ(CheckOrders(manifest, mode, point).size(), 1u);
  mode.reduction =
      document::Reduction{.liquid_sides = {{.role = document::LiquidRole::kCapacity,
                                            .entering = "entering_water_temp",
                                            .leaving = "leaving_water_temp",
                                            .flow = "water_flow"}}};
  EXPECT_TRUE(CheckOrders(manifest, mode, point).empty());
}

}  // namespace
}  // namespace ratebound::screen
