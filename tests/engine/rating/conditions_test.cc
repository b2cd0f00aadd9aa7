// Every condition of the procedure and of the unit is accounted for before anything is
// computed.
#include <algorithm>
#include <cmath>

#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::LoadLine;
using document::Procedure;
using document::Rating;
using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

RatedUnit Good() {
  return Chiller({Constant(25e3, 5e3), Constant(50e3, 10e3), Constant(75e3, 15e3),
                  Constant(100e3, 20e3)});
}

Rating MustRate(const Procedure& procedure, const RatedUnit& unit) {
  absl::StatusOr<Rating> rating = RateUnit(procedure, unit);
  EXPECT_TRUE(rating.ok()) << rating.status();
  return rating.ok() ? *rating : Rating{};
}

TEST(Conditions, AreTurnedIntoSi) {
  Procedure procedure = FourPoints();
  const double water_f[] = {86, 77, 68, 50};
  for (int i = 0; i < 4; ++i) {
    procedure.load_points[i].conditions = {
        At("entering_condenser_water_temp", water_f[i], "degF")};
  }
  std::vector<double> asked_c;
  RatedUnit unit = Good();
  auto evaluate = unit.evaluate;
  unit.evaluate = [&](int stage, std::span<const QuantityValue> conditions) {
    EXPECT_EQ(conditions[0].quantity, "entering_condenser_water_temp");
    if (asked_c.empty() || asked_c.back() != conditions[0].value_si) {
      asked_c.push_back(conditions[0].value_si);
    }
    return evaluate(stage, conditions);
  };
  MustRate(procedure, unit);
  // Asked again for what may be missing.
  asked_c.resize(4);
  EXPECT_THAT(asked_c, ElementsAre(30, 25, 20, 10));
}

TEST(Conditions, ThatTheUnitNeedsAndTheProcedureDoesNotFixAreListed) {
  RatedUnit unit = Good();
  unit.mode.conditions.push_back("leaving_chilled_water_temp");
  unit.mode.conditions.push_back("supply_voltage");
  EXPECT_THAT(
      MustRate(FourPoints(), unit).refusal,
      HasSubstr("does not fix at point A: leaving_chilled_water_temp, supply_voltage"));
}

TEST(Conditions, ThatTheUnitDoesNotKnowAreRefusedUnlessHeldWithinTolerance) {
  Procedure procedure = FourPoints();
  procedure.common_conditions = {At("leaving_chilled_water_temp", 7, "degC")};
  RatedUnit unit = Good();
  EXPECT_THAT(MustRate(procedure, unit).refusal,
              HasSubstr("neither depends on nor holds"));
  unit.mode.held_conditions = {{.quantity = "leaving_chilled_water_temp",
                                .value = 7.4,
                                .tolerance = 0.5,
                                .unit = "degC",
                                .value_si = 7.4,
                                .tolerance_si = 0.5}};
  EXPECT_THAT(MustRate(procedure, unit).refusal, IsEmpty());
  const Rating held = MustRate(procedure, unit);
  const bool in_trace = std::any_of(
      held.trace.begin(), held.trace.end(), [](const document::TraceStep& step) {
        return step.label == "leaving_chilled_water_temp" && step.value == 7 &&
               step.how == "stated by the procedure; tested at 7.4 degC";
      });
  EXPECT_TRUE(in_trace);
  unit.mode.held_conditions[0].value_si = 7.6;
  unit.mode.held_conditions[0].value = 7.6;
  EXPECT_THAT(
      MustRate(procedure, unit).refusal,
      HasSubstr("asks for leaving_chilled_water_temp of 7 degC, but mode cooling of unit "
                "c1 was tested with it held at 7.6 degC (within 0.5)"));
}

TEST(Conditions, WetBulbAndDewPointAreNotTurnedIntoEachOther) {
  Procedure procedure = FourPoints();
  procedure.common_conditions = {At("entering_air_wb", 19, "degC")};
  RatedUnit unit = Good();
  unit.mode.conditions.push_back("entering_air_dew_point");
  EXPECT_THAT(
      MustRate(procedure, unit).refusal,
      HasSubstr("fixes entering_air_wb, but mode cooling of unit c1 is mapped over "
                "entering_air_dew_point"));
}

TEST(Conditions, AskedOnlyWhereMappedAreNotedWhereNot) {
  Procedure procedure = FourPoints();
  procedure.common_conditions = {
      {.quantity = "chilled_water_flow", .input = "rated_flow", .if_mapped = true}};
  procedure.required_inputs = {{"rated_flow", "flow at full load", "m3/h"}};
  RatedUnit unit = Good();
  Rating rating = MustRate(procedure, unit);
  EXPECT_THAT(rating.refusal, IsEmpty());
  EXPECT_THAT(rating.notes, Contains(HasSubstr("depends on chilled_water_flow")));

  unit.mode.conditions.push_back("chilled_water_flow");
  rating = MustRate(procedure, unit);
  EXPECT_THAT(rating.refusal, HasSubstr("rated_flow [m3/h]: flow at full load"));

  unit.unit.procedure_inputs = {{"another", "rated_flow", 7, "L/s"},
                                {"four-points", "rated_flow", 5, "L/s"}};
  auto evaluate = unit.evaluate;
  unit.evaluate = [&](int stage, std::span<const QuantityValue> conditions) {
    EXPECT_DOUBLE_EQ(conditions[1].value_si, 0.005);
    return evaluate(stage, conditions);
  };
  EXPECT_THAT(MustRate(procedure, unit).refusal, IsEmpty());
  unit.unit.procedure_inputs[1].unit = "kW";
  EXPECT_THAT(MustRate(procedure, unit).refusal,
              HasSubstr("input rated_flow of procedure four-points for unit c1"));
}

// Entering condenser water that the stages were asked at, by point, for a design
// temperature.
std::vector<double> WaterFromDesign(double design_c) {
  Procedure procedure = FourPoints();
  const LoadLine line{.percent_low = 50,
                      .constant = 19,
                      .unit = "degC",
                      .citation = Invented(),
                      .full_load_input = "design_water"};
  for (document::LoadPoint& point : procedure.load_points) {
    point.conditions = {{.quantity = "entering_condenser_water_temp", .load_line = line}};
  }
  RatedUnit unit = Good();
  unit.unit.procedure_inputs = {
      {"four-points", "design_water", design_c * 1.8 + 32, "degF"}};
  std::vector<double> water_c;
  for (const document::TraceStep& step : MustRate(procedure, unit).trace) {
    if (step.label == "entering_condenser_water_temp") water_c.push_back(step.value);
  }
  return water_c;
}

TEST(Conditions, ALineFromTheDesignValueReachesItsConstantAndStays) {
  const std::vector<double> water_c = WaterFromDesign(29);
  ASSERT_EQ(water_c.size(), 4);
  const double expected_c[] = {29, 24, 19, 19};
  for (int i = 0; i < 4; ++i) EXPECT_NEAR(water_c[i], expected_c[i], 1e-12) << i;
}

TEST(Conditions, ADesignValueBelowTheConstantHasNoRelief) {
  const std::vector<double> water_c = WaterFromDesign(15);
  ASSERT_EQ(water_c.size(), 4);
  for (double value_c : water_c) EXPECT_NEAR(value_c, 15, 1e-12);
}

}  // namespace
}  // namespace ratebound::rating
