// The air side: enthalpy differences, flows, fans, ducts and condensate.
#include <cmath>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/reduction/reduction_rig.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using document::AirFlowSource;
using testing::IsOk;

constexpr double kBtuPerHourW = 1055.05585262 / 3600;

// Written out by hand, with the constants as numbers.
TEST(AirSideInchPound, CapacityIsFlowTimesEnthalpyDifference) {
  Rig rig = CoilRig({.method = kIp, .flow = AirFlowSource::kAirMassFlow});
  rig.Read("air_mass_flow", 5400, "lb/h").Read("indoor_fan_power", 400, "W");
  const double w1 = rig.In("entering_air_humidity_ratio", "lb/lb");
  const double w2 = rig.In("leaving_air_humidity_ratio", "lb/lb");
  // The Handbook's chart: 80/67 degF holds 0.0112 lb/lb, 58/56 degF 0.0092.
  EXPECT_NEAR(w1, 0.0112, 0.00005);
  EXPECT_NEAR(w2, 0.0091, 0.00005);
  const double h1 = 0.24 * 80 + w1 * (1061 + 0.444 * 80);
  const double h2 = 0.24 * 58 + w2 * (1061 + 0.444 * 58);
  const double total = 5400 * (h1 - h2);
  EXPECT_NEAR(rig.In("total_capacity", "Btu/h"), total, 1e-9 * total);
  EXPECT_NEAR(rig.In("latent_capacity", "Btu/h"), 5400 * 1061 * (w1 - w2), 1e-7);
  EXPECT_NEAR(rig.In("sensible_capacity", "Btu/h"),
              5400 * ((0.24 + 0.444 * w1) * 80 - (0.24 + 0.444 * w2) * 58), 1e-6);
  EXPECT_NEAR(rig.In("moisture_removal", "lb/h"), 5400 * (w1 - w2), 1e-9);
  // 3.41, not 3.412: the method's own.
  EXPECT_NEAR(rig.In("gross_total_capacity", "Btu/h"), total + 3.41 * 400, 1e-6);
  EXPECT_NEAR(rig.In("sensible_heat_ratio", "1"),
              rig.In("sensible_capacity", "W") / rig.In("total_capacity", "W"), 1e-15);
}

TEST(AirSideSi, SensibleHeatIsAtTheMeanHumidity) {
  Rig rig = Cooling({.method = kSi, .flow = AirFlowSource::kAirMassFlow});
  rig.Read("entering_air_db", 27, "degC")
      .Read("entering_air_humidity_ratio", 0.0105, "kg/kg");
  rig.Read("leaving_air_db", 14, "degC")
      .Read("leaving_air_humidity_ratio", 0.0091, "kg/kg");
  rig.Read("air_mass_flow", 0.7, "kg/s");
  const double total = 0.7 * (1006 * 27 + 0.0105 * (2501000 + 1860 * 27) - 1006 * 14 -
                              0.0091 * (2501000 + 1860 * 14));
  const double sensible = 0.7 * (1006 + 1860 * 0.0098) * 13;
  EXPECT_NEAR(rig.In("total_capacity", "W"), total, 1e-9 * total);
  EXPECT_NEAR(rig.In("sensible_capacity", "W"), sensible, 1e-9 * sensible);
  EXPECT_NEAR(rig.In("latent_capacity", "W"), total - sensible, 1e-8);
}

// The same humidity told in four ways gives the same capacity.
TEST(AirSide, EveryHumidityReadingServes) {
  for (const char* method : {kIp, kSi}) {
    Rig first = CoilRig({.method = method, .flow = AirFlowSource::kStandardAirFlow});
    first.Read("standard_air_flow", 1200, "cfm");
    const double total = first.In("total_capacity", "W");
    for (const char* kind : {"dew_point", "relative_humidity", "humidity_ratio"}) {
      Rig rig = CoilRig({.method = method, .flow = AirFlowSource::kStandardAirFlow});
      rig.Read("standard_air_flow", 1200, "cfm");
      for (const std::string side : {"entering_air_", "leaving_air_"}) {
        const auto value = first.results().Find(first.plan(), side + kind);
        ASSERT_TRUE(value.has_value()) << side << kind;
        rig.Forget(side + "wb").readings().Set(rig.plan(), side + kind, *value);
      }
      EXPECT_NEAR(rig.In("total_capacity", "W"), total, 1e-9 * total)
          << method << " " << kind;
      EXPECT_NEAR(rig.In("entering_air_wb", "degF"), 67, 1e-9) << method << " " << kind;
    }
  }
}

TEST(AirSide, EveryFlowReadingServes) {
  for (const char* method : {kIp, kSi}) {
    Rig first = CoilRig({.method = method, .flow = AirFlowSource::kAirMassFlow});
    first.Read("air_mass_flow", 5400, "lb/h");
    const double total = first.In("total_capacity", "W");
    Rig standard = CoilRig({.method = method, .flow = AirFlowSource::kStandardAirFlow});
    standard.Read("standard_air_flow", first.In("standard_air_flow", "cfm"), "cfm");
    EXPECT_NEAR(standard.In("total_capacity", "W"), total, 1e-12 * total);
    Rig entering = CoilRig({.method = method, .flow = AirFlowSource::kEnteringAirFlow});
    entering.Read("air_flow", first.In("air_flow", "cfm"), "cfm");
    EXPECT_NEAR(entering.In("total_capacity", "W"), total, 1e-12 * total);
    EXPECT_NEAR(entering.In("air_mass_flow", "lb/h"), 5400, 1e-9);
    // Colder air is denser: the same volume flow of leaving air is more.
    Rig leaving = CoilRig({.method = method, .flow = AirFlowSource::kLeavingAirFlow});
    leaving.Read("air_flow", first.In("air_flow", "cfm"), "cfm");
    const double ratio = leaving.In("total_capacity", "W") / total;
    EXPECT_NEAR(ratio, (80 + 459.67) / (58 + 459.67), 0.004);
  }
}

TEST(AirSide, StandardAirOfTheMixtureIsMoreThanThatOfDryAir) {
  Rig rig = CoilRig({.method = kIp, .flow = AirFlowSource::kStandardAirFlow});
  rig.Read("standard_air_flow", 1000, "cfm");
  const double w2 = rig.In("leaving_air_humidity_ratio", "kg/kg");
  EXPECT_NEAR(rig.In("air_mass_flow", "lb/h"), 4500 / (1 + w2), 1e-9);
  Rig dry = CoilRig({.method = kSi, .flow = AirFlowSource::kStandardAirFlow});
  dry.Read("standard_air_flow", 1000, "cfm");
  EXPECT_NEAR(dry.In("air_mass_flow", "lb/h"), 4500, 1e-3);
}

TEST(AirSide, FanHeatIsTakenOffWhereAirIsReadAheadOfIt) {
  for (const char* method : {kIp, kSi}) {
    Rig behind = CoilRig({.method = method, .flow = AirFlowSource::kStandardAirFlow});
    behind.Read("standard_air_flow", 1200, "cfm").Read("indoor_fan_power", 500, "W");
    Rig ahead = CoilRig({.method = method,
                         .flow = AirFlowSource::kStandardAirFlow,
                         .leaving_air_ahead_of_fan = true});
    ahead.Read("standard_air_flow", 1200, "cfm").Read("indoor_fan_power", 500, "W");
    const double heat = method == kIp ? 500 * 3.41 * kBtuPerHourW : 500;
    for (const char* part : {"total_capacity", "sensible_capacity"}) {
      const double air = behind.In(part, "W");
      EXPECT_NEAR(ahead.In(part, "W"), air - heat, 1e-9 * air);
      EXPECT_NEAR(ahead.In(std::string("gross_") + part, "W"), air, 1e-9 * air);
      EXPECT_NEAR(behind.In(std::string("gross_") + part, "W"), air + heat, 1e-9 * air);
    }
    // The fan's heat is sensible.
    EXPECT_EQ(ahead.In("latent_capacity", "W"), behind.In("latent_capacity", "W"));
  }
}

TEST(AirSide, HeatingGivesTheFansHeatToTheAir) {
  Rig rig = Heating({.method = kIp, .flow = AirFlowSource::kAirMassFlow});
  rig.Read("entering_air_db", 70, "degF").Read("entering_air_wb", 60, "degF");
  rig.Read("leaving_air_db", 100, "degF").Read("air_mass_flow", 4000, "lb/h");
  rig.Read("indoor_fan_power", 300, "W");
  const double w = rig.In("entering_air_humidity_ratio", "kg/kg");
  const double heat = 4000 * (0.24 + 0.444 * w) * 30;
  EXPECT_NEAR(rig.In("heating_capacity", "Btu/h"), heat, 1e-9 * heat);
  EXPECT_NEAR(rig.In("gross_heating_capacity", "Btu/h"), heat - 300 * 3.41, 1e-6);
  EXPECT_EQ(rig.plan().OutputIndex("total_capacity"), -1);
  // Heated air keeps its water, so that no leaving humidity need be read; that it is
  // read as the same changes nothing.
  rig.Read("leaving_air_humidity_ratio", w, "kg/kg");
  EXPECT_NEAR(rig.In("heating_capacity", "Btu/h"), heat, 1e-9 * heat);
}

TEST(AirSide, DuctsLoseOnTheWayToTheStation) {
  document::AirSide air{.method = kSi, .flow = AirFlowSource::kAirMassFlow};
  Rig tight = CoilRig(air);
  tight.Read("air_mass_flow", 0.7, "kg/s");
  air.duct_loss_w_per_k = 12;
  Rig leaky = CoilRig(air);
  leaky.Read("air_mass_flow", 0.7, "kg/s").Read("ambient_air_db", 80, "degF");
  const double more = 12 * (80 - 58) / 1.8;
  for (const char* part : {"total_capacity", "sensible_capacity"}) {
    EXPECT_NEAR(leaky.In(part, "W"), tight.In(part, "W") + more, 1e-8);
  }
  EXPECT_NEAR(leaky.In("latent_capacity", "W"), tight.In("latent_capacity", "W"), 1e-8);
  leaky.Forget("ambient_air_db");
  EXPECT_THAT(leaky.Reduce(), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                                ::testing::HasSubstr("ambient_air_db")));
}

TEST(AirSide, CondensateGivesLatentCapacity) {
  Rig rig = CoilRig({.method = kIp,
                     .flow = AirFlowSource::kAirMassFlow,
                     .moisture = document::MoistureSource::kCondensate});
  rig.Read("air_mass_flow", 5400, "lb/h").Read("condensate_flow", 10, "lb/h");
  EXPECT_NEAR(rig.In("latent_capacity", "Btu/h"), 10610, 1e-8);
  EXPECT_NEAR(rig.In("moisture_removal", "lb/h"), 10, 1e-12);
  EXPECT_NEAR(rig.In("total_capacity", "W"),
              rig.In("sensible_capacity", "W") + rig.In("latent_capacity", "W"), 1e-9);
}

TEST(AirSide, CapacityGoesWithFlow) {
  for (const AirFlowSource flow :
       {AirFlowSource::kStandardAirFlow, AirFlowSource::kEnteringAirFlow,
        AirFlowSource::kLeavingAirFlow}) {
    const char* name =
        flow == AirFlowSource::kStandardAirFlow ? "standard_air_flow" : "air_flow";
    Rig rig = CoilRig({.method = kIp, .flow = flow});
    const double one = rig.Read(name, 0.4, "m3/s").In("total_capacity", "W");
    const double two = rig.Read(name, 0.8, "m3/s").In("total_capacity", "W");
    EXPECT_EQ(two, 2 * one);
  }
}

TEST(AirSide, BarometerIsReadOrFollowsFromAltitudeOrIsStandard) {
  Rig rig = CoilRig({.method = kSi, .flow = AirFlowSource::kEnteringAirFlow});
  rig.Read("air_flow", 0.5, "m3/s").Forget("barometric_pressure");
  EXPECT_NEAR(rig.StepValue("barometric pressure"), 101325, 0);
  EXPECT_THAT(rig.steps().front().how, ::testing::HasSubstr("standard atmosphere"));
  rig.Read("altitude", 1000, "m");
  // Handbook, table 1: 89.875 kPa.
  EXPECT_NEAR(rig.StepValue("barometric pressure"), 89875, 1);
  rig.Read("barometric_pressure", 95000, "Pa");
  EXPECT_EQ(rig.StepValue("barometric pressure"), 95000);
}

// At 17/15 degF an iced wick means 0.00128, a wet one 0.00140 (9 %).
TEST(AirSide, TheWicksPhaseIsTheManifests) {
  const auto humidity = [](document::WaterPhase phase) {
    Rig rig = Heating(
        {.method = kSi, .flow = AirFlowSource::kAirMassFlow, .entering_phase = phase});
    rig.Read("entering_air_db", 17, "degF").Read("entering_air_wb", 15, "degF");
    rig.Read("leaving_air_db", 20, "degC").Read("air_mass_flow", 0.5, "kg/s");
    return rig.In("entering_air_humidity_ratio", "kg/kg");
  };
  EXPECT_NEAR(humidity(document::WaterPhase::kByTemperature), 0.00128, 0.00001);
  EXPECT_NEAR(humidity(document::WaterPhase::kIce), 0.00128, 0.00001);
  EXPECT_NEAR(humidity(document::WaterPhase::kWater), 0.00140, 0.00001);
}

TEST(AirSide, AWetBulbWithinTheSlackIsTheDryBulb) {
  const auto rig = [](double slack) {
    Rig made = CoilRig({.method = kIp, .flow = AirFlowSource::kAirMassFlow},
                       {.wet_bulb_slack_k = slack});
    made.Read("air_mass_flow", 5400, "lb/h").Read("leaving_air_wb", 58.3, "degF");
    return made;
  };
  Rig allowed = rig(0.2);
  Rig saturated = rig(0.2);
  saturated.Read("leaving_air_wb", 58, "degF");
  EXPECT_EQ(allowed.In("total_capacity", "W"), saturated.In("total_capacity", "W"));
  bool said = false;
  for (const document::TraceStep& step : allowed.steps()) {
    said = said || step.how.find("within the slack") != std::string::npos;
  }
  EXPECT_TRUE(said);
  EXPECT_THAT(rig(0.1).Reduce(),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                ::testing::HasSubstr("above the dry bulb")));
}

}  // namespace
}  // namespace ratebound::points
