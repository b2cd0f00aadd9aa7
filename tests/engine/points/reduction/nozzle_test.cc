// Air flow by nozzles.
#include <cmath>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/reduction/reduction_rig.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

Rig NozzleRig(std::string method, std::vector<double> inches, double in_wg) {
  Rig rig = CoilRig(Nozzles(std::move(method), std::move(inches)));
  rig.Read("nozzle_pressure_drop", in_wg, "in_wg_60f");
  rig.Read("nozzle_air_db", 60, "degF");
  return rig;
}

TEST(Nozzles, TheCoefficientSolvesItsEquation) {
  testing::Random random("NOZZLE_COEFFICIENT_SOLVES_ITS_EQUATION");
  for (int i = 0; i < 300; ++i) {
    // From 10 Pa over half an inch: Reynolds numbers from 3,000 on.
    Rig rig = NozzleRig("nozzle-flow-reynolds", {random.Uniform(0.5, 12)},
                        random.Uniform(0.04, 4));
    const double re = rig.StepValue("Reynolds number");
    const double c = rig.StepValue("discharge coefficient");
    EXPECT_NEAR(c, 0.9986 - 7.006 / std::sqrt(re) + 134.6 / re, 4e-16 * 4);
    EXPECT_GT(re, 1000);
  }
}

TEST(Nozzles, ThoseOfSeveralSizesAddUp) {
  Rig five = NozzleRig("nozzle-flow-reynolds", {5}, 1.5);
  Rig three = NozzleRig("nozzle-flow-reynolds", {3}, 1.5);
  Rig both = NozzleRig("nozzle-flow-reynolds", {5, 3}, 1.5);
  const double sum = five.In("air_mass_flow", "kg/s") + three.In("air_mass_flow", "kg/s");
  EXPECT_NEAR(both.In("air_mass_flow", "kg/s"), sum, 1e-14);
  // The larger nozzle loses less, and is the faster.
  EXPECT_EQ(both.In("nozzle_throat_velocity", "ft/min"),
            five.In("nozzle_throat_velocity", "ft/min"));
  EXPECT_GT(five.In("nozzle_throat_velocity", "m/s"),
            three.In("nozzle_throat_velocity", "m/s"));
}

TEST(Nozzles, CountIsOfOneDiameter) {
  document::AirSide air = Nozzles("nozzle-flow-reynolds", {5});
  air.nozzles[0].count = 3;
  Rig three = CoilRig(air);
  three.Read("nozzle_pressure_drop", 1.5, "in_wg_60f").Read("nozzle_air_db", 60, "degF");
  Rig apart = NozzleRig("nozzle-flow-reynolds", {5, 5, 5}, 1.5);
  EXPECT_NEAR(three.In("air_mass_flow", "kg/s"), apart.In("air_mass_flow", "kg/s"),
              1e-14);
}

TEST(Nozzles, TheFixedCoefficientHoldsFromItsDiameterOn) {
  EXPECT_EQ(NozzleRig("nozzle-flow-fixed", {5}, 1.5).StepValue("discharge coefficient"),
            0.99);
  Rig small = NozzleRig("nozzle-flow-fixed", {4.99}, 1.5);
  EXPECT_LT(small.StepValue("discharge coefficient"), 0.985);
  // 0.6 % apart at 5 in.
  EXPECT_NEAR(NozzleRig("nozzle-flow-fixed", {5}, 1.5).In("air_mass_flow", "kg/s") /
                  NozzleRig("nozzle-flow-reynolds", {5}, 1.5).In("air_mass_flow", "kg/s"),
              1.006, 0.0005);
}

TEST(Nozzles, InchPoundAndSiFormsAreClose) {
  Rig ip = NozzleRig("nozzle-flow-reynolds", {5, 3}, 1.5);
  document::AirSide air = Nozzles("nozzle-flow-reynolds-si", {5, 3});
  air.method = kSi;
  Rig si = CoilRig(air);
  si.Read("nozzle_pressure_drop", 1.5, "in_wg_60f").Read("nozzle_air_db", 60, "degF");
  EXPECT_NEAR(si.In("air_mass_flow", "kg/s") / ip.In("air_mass_flow", "kg/s"), 1, 3e-4);
}

TEST(Nozzles, ThroatVelocityOutOfRangeIsAWarningWithTheFigures) {
  Rig slow = NozzleRig("nozzle-flow-reynolds", {5}, 0.4);
  EXPECT_LT(slow.In("nozzle_throat_velocity", "ft/min"), 3000);
  ASSERT_EQ(slow.results().warnings.size(), 1);
  EXPECT_THAT(slow.results().warnings[0],
              ::testing::AllOf(::testing::HasSubstr("ft/min"),
                               ::testing::HasSubstr("3000 to 7000")));
  Rig right = NozzleRig("nozzle-flow-reynolds", {5}, 1.5);
  EXPECT_TRUE(right.Reduce().ok());
  EXPECT_TRUE(right.results().warnings.empty());
}

TEST(Nozzles, FlowGoesWithTheRootOfThePressureDifference) {
  const double one = NozzleRig("nozzle-flow-fixed", {6}, 0.8).In("air_mass_flow", "kg/s");
  const double four =
      NozzleRig("nozzle-flow-fixed", {6}, 3.2).In("air_mass_flow", "kg/s");
  EXPECT_NEAR(four / one, 2, 1e-14);
}

TEST(Nozzles, LeavingAirServesWhereTheNozzlesWasNotRead) {
  Rig rig = NozzleRig("nozzle-flow-reynolds", {5}, 1.5);
  rig.Read("nozzle_air_db", 58, "degF");
  const double read = rig.In("air_mass_flow", "kg/s");
  rig.Forget("nozzle_air_db");
  EXPECT_EQ(rig.In("air_mass_flow", "kg/s"), read);
}

TEST(Nozzles, NoPressureDifferenceIsNoFlow) {
  EXPECT_THAT(NozzleRig("nozzle-flow-reynolds", {5}, 0).Reduce(),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                ::testing::HasSubstr("nozzle_pressure_drop")));
}

}  // namespace
}  // namespace ratebound::points
