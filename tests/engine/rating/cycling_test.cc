// What cycling costs, rule by rule, and what is done below the lowest stage.
#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::BracketCondition;
using document::CyclingRule;
using document::MinimumLoad;
using document::Procedure;
using document::Rating;
using ::testing::HasSubstr;

// 40 kW of 100 kW at 25 %: load factor 0.625. COP 5 throughout.
RatedUnit Unit() {
  return Chiller({Constant(40e3, 8e3), Constant(50e3, 10e3), Constant(75e3, 15e3),
                  Constant(100e3, 20e3)});
}

double PointD(const Procedure& procedure, const RatedUnit& unit = Unit()) {
  const absl::StatusOr<Rating> rating = RateUnit(procedure, unit);
  EXPECT_TRUE(rating.ok()) << rating.status();
  for (const document::TraceStep& step : rating->trace) {
    if (step.label == "point D, 25 % load") return step.value;
  }
  ADD_FAILURE() << rating->refusal;
  return 0;
}

Procedure With(CyclingRule rule, double coefficient) {
  Procedure procedure = FourPoints();
  procedure.part_load->cycling_rule = rule;
  procedure.part_load->cycling_coefficient =
      document::CitedNumber{.value = Stated(coefficient)};
  return procedure;
}

TEST(Cycling, EachRuleIsItsEquation) {
  EXPECT_DOUBLE_EQ(PointD(FourPoints()), 5 / (1.13 - 0.13 * 0.625));
  EXPECT_DOUBLE_EQ(PointD(With(CyclingRule::kLinear, 0.25)), 5 * (1 - 0.25 * 0.375));
  EXPECT_DOUBLE_EQ(PointD(With(CyclingRule::kRatio, 0.9)),
                   5 * 0.625 / (0.9 * 0.625 + 0.1));
}

TEST(Cycling, WithoutDegradationOrAtFullLoadFactorNothingIsLost) {
  EXPECT_DOUBLE_EQ(PointD(With(CyclingRule::kLinear, 0)), 5);
  // CR / (CR + 0) with Cc of 1: water units that lose nothing.
  EXPECT_DOUBLE_EQ(PointD(With(CyclingRule::kRatio, 1)), 5);
  for (CyclingRule rule : {CyclingRule::kLinear, CyclingRule::kRatio}) {
    Procedure procedure = With(rule, 0.7);
    procedure.part_load->window_percent.value = 0;
    EXPECT_NEAR(PointD(procedure, Chiller({Constant(25.00001e3, 5.000002e3),
                                           Constant(100e3, 20e3)})),
                5, 1e-5);
  }
}

TEST(Cycling, TheCoefficientIsAskedForWhereTheFileDoesNotKnowIt) {
  Procedure procedure = FourPoints();
  procedure.part_load->cycling_rule = CyclingRule::kLinear;
  procedure.part_load->cycling_coefficient = document::CitedNumber{.input = "cd"};
  procedure.required_inputs = {{"cd", "tested or default coefficient", ""}};
  RatedUnit unit = Unit();
  const Rating rating = RateUnit(procedure, unit).value();
  EXPECT_THAT(rating.refusal, HasSubstr("cd: tested or default coefficient"));
  ASSERT_EQ(rating.missing_inputs.size(), 1);
  EXPECT_EQ(rating.missing_inputs[0].input, "cd");
  unit.unit.procedure_inputs = {{"four-points", "cd", 0.25, ""}};
  EXPECT_DOUBLE_EQ(PointD(procedure, unit), 5 * (1 - 0.25 * 0.375));
  unit.unit.procedure_inputs = {{"four-points", "cd", 1.25, ""}};
  EXPECT_THAT(RateUnit(procedure, unit)->refusal, HasSubstr("between 0 and 1"));
}

TEST(Cycling, AFanOfWhichAPartIsCycledGoesOnByTheRest) {
  Procedure procedure = FourPoints();
  procedure.part_load->cycling_powers = {"compressor_power"};
  procedure.part_load->continuous_powers = {"indoor_fan_power"};
  procedure.part_load->cycling_parts = {{"indoor_fan_power", "fan_cycles"}};
  RatedUnit unit = Unit();
  unit.unit.procedure_inputs = {{"four-points", "indoor_fan_power", 2, "kW"}};
  EXPECT_THAT(RateUnit(procedure, unit)->refusal, HasSubstr("fan_cycles"));
  auto with_part = [&](double part) {
    RatedUnit asked = unit;
    asked.unit.procedure_inputs.push_back({"four-points", "fan_cycles", part, ""});
    return PointD(procedure, asked);
  };
  const double coefficient = 1.13 - 0.13 * 0.625;
  EXPECT_NEAR(with_part(0), 25e3 / (0.625 * coefficient * 6e3 + 2e3), 1e-12);
  EXPECT_NEAR(with_part(0.5), 25e3 / (0.625 * coefficient * 7e3 + 1e3), 1e-12);
  // Nothing goes on: as the whole efficiency.
  EXPECT_NEAR(with_part(1), 5 / coefficient, 1e-12);
}

TEST(MinimumLoadCase, TheLowestStageCountsAsItIsOrNotAtAll) {
  Procedure procedure = FourPoints();
  procedure.part_load->minimum_load = MinimumLoad::kAsItIs;
  EXPECT_DOUBLE_EQ(PointD(procedure), 5);
  procedure.part_load->minimum_load = MinimumLoad::kRefused;
  EXPECT_THAT(RateUnit(procedure, Unit())->refusal,
              HasSubstr("no figure below the lowest stage"));
}

TEST(MinimumLoadCase, RunsAtItsOwnLoadWhereTheProcedureSaysSo) {
  // Capacity and COP both fall with warmer water; the line gives 20 degC up to 50 % and
  // 0.2 degC a percent above. The lowest stage gives 60 % at about 22 degC.
  const ChillerStage lowest = [](double water_c) {
    return Figures(60e3 * (1.2 - 0.01 * water_c),
                   60e3 * (1.2 - 0.01 * water_c) / (10 - 0.1 * water_c));
  };
  Procedure procedure = FourPoints();
  procedure.part_load->minimum_load = MinimumLoad::kAsItIs;
  procedure.load_points[3].conditions = {At("entering_condenser_water_temp", 18, "degC")};
  const RatedUnit unit = Chiller({lowest, Constant(75e3, 15e3), Constant(100e3, 20e3)});
  EXPECT_DOUBLE_EQ(PointD(procedure, unit), 10 - 0.1 * 18);
  procedure.part_load->minimum_load_condition = BracketCondition::kOwnLoad;
  // L = 60 (1.2 - 0.01 T), T = 0.2 L + 10.
  const double load = 66 / 1.12;
  EXPECT_NEAR(PointD(procedure, unit), 10 - 0.1 * (0.2 * load + 10), 1e-9);
}

TEST(FullLoad, MayBeADesignLoadThatTheUserGives) {
  Procedure procedure = FourPoints();
  procedure.part_load->full_load_input = "design_load";
  procedure.required_inputs = {{"design_load", "load at design conditions", "kW"}};
  RatedUnit unit = Unit();
  EXPECT_THAT(RateUnit(procedure, unit)->refusal, HasSubstr("design_load"));
  // 25 % of 200 kW is the second stage.
  unit.unit.procedure_inputs = {{"four-points", "design_load", 200, "kW"}};
  const Rating above = RateUnit(procedure, unit).value();
  EXPECT_THAT(above.refusal, HasSubstr("point A is at 100 % load"));
  unit.unit.procedure_inputs = {{"four-points", "design_load", 80, "kW"}};
  // 25 % of 80 kW: 20 kW of the 40 kW stage.
  EXPECT_DOUBLE_EQ(PointD(procedure, unit), 5 / (1.13 - 0.13 * 0.5));
}

}  // namespace
}  // namespace ratebound::rating
