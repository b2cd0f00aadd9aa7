// How a load point is reached: on a stage, between stages, below the lowest.
#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::BracketCondition;
using document::InterpolatedFigure;
using document::Procedure;
using document::Rating;
using ::testing::HasSubstr;

Rating MustRate(const Procedure& procedure, const RatedUnit& unit) {
  absl::StatusOr<Rating> rating = RateUnit(procedure, unit);
  EXPECT_TRUE(rating.ok()) << rating.status();
  return rating.ok() ? *rating : Rating{};
}

// The figure of one point, by its letter.
double PointValue(const Rating& rating, const std::string& letter) {
  for (const document::TraceStep& step : rating.trace) {
    if (step.depth == 1 && step.label.starts_with(absl::StrCat("point ", letter, ",")))
      return step.value;
  }
  ADD_FAILURE() << "no point " << letter << "; " << rating.refusal;
  return 0;
}

TEST(PartLoad, StagesOnEveryPointAreWeightedAsTheyAre) {
  const Rating rating =
      MustRate(FourPoints(), Chiller({Constant(25e3, 5e3), Constant(50e3, 8e3),
                                      Constant(75e3, 15e3), Constant(100e3, 25e3)}));
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  EXPECT_DOUBLE_EQ(*rating.value, 0.1 * 4 + 0.4 * 5 + 0.3 * 6.25 + 0.2 * 5);
  EXPECT_EQ(rating.rounded, "5.28");  // 5.275
}

TEST(PartLoad, FullLoadIsTheStageOfTheLargestCapacityWhereverItStands) {
  const Rating rating =
      MustRate(FourPoints(), Chiller({Constant(100e3, 20e3), Constant(50e3, 10e3),
                                      Constant(25e3, 5e3), Constant(75e3, 15e3)}));
  EXPECT_DOUBLE_EQ(PointValue(rating, "A"), 5);
  EXPECT_NEAR(*rating.value, 5, 1e-12);
}

TEST(PartLoad, TheWindowIncludesItsEdgeAndNothingBeyond) {
  // 77 % of full load is on the edge of 75 % +- 2 %; just outside, the point is
  // interpolated between this stage's COP of 4 and the half-load stage's COP of 8.
  auto b = [](double capacity_w) {
    return PointValue(
        MustRate(FourPoints(),
                 Chiller({Constant(25e3, 5e3), Constant(50e3, 50e3 / 8),
                          Constant(capacity_w, capacity_w / 4), Constant(100e3, 20e3)})),
        "B");
  };
  EXPECT_DOUBLE_EQ(b(77e3), 4);
  EXPECT_DOUBLE_EQ(b(73e3), 4);
  EXPECT_NEAR(b(77.001e3), 8 - 4 * 25 / 27.001, 1e-9);
}

TEST(PartLoad, OfSeveralStagesInTheWindowTheNearestWinsAndOfEqualsTheLarger) {
  auto b = [](double first_w, double second_w) {
    return PointValue(
        MustRate(FourPoints(),
                 Chiller({Constant(25e3, 5e3), Constant(50e3, 10e3),
                          Constant(first_w, first_w / 3),
                          Constant(second_w, second_w / 4), Constant(100e3, 20e3)})),
        "B");
  };
  EXPECT_DOUBLE_EQ(b(74.5e3, 76e3), 3);
  EXPECT_DOUBLE_EQ(b(74e3, 75.5e3), 4);
  EXPECT_DOUBLE_EQ(b(74e3, 76e3), 4);
  EXPECT_DOUBLE_EQ(b(76e3, 74e3), 3);
}

TEST(PartLoad, InterpolationIsStraightInTheFigureThatTheProcedureNames) {
  const RatedUnit unit =
      Chiller({Constant(25e3, 5e3), Constant(50e3, 10e3), Constant(100e3, 25e3)});
  Procedure procedure = FourPoints();
  EXPECT_DOUBLE_EQ(PointValue(MustRate(procedure, unit), "B"), 4.5);  // of 5 and 4
  procedure.part_load->interpolated = InterpolatedFigure::kSpecificPower;
  EXPECT_DOUBLE_EQ(PointValue(MustRate(procedure, unit), "B"), 1 / 0.225);  // of 1/5, 1/4
  // The same line in a metric of power over capacity.
  procedure.aggregation = document::Aggregation::kWeightedHarmonic;
  EXPECT_DOUBLE_EQ(PointValue(MustRate(procedure, unit), "B"), 0.225);
}

// Capacity 1 % a degree down from 20 degC, COP 10 less 0.1 a degree.
ChillerStage Sloping(double capacity_w) {
  return [=](double water_c) {
    const double capacity = capacity_w * (1.2 - 0.01 * water_c);
    return Figures(capacity, capacity / (10 - 0.1 * water_c));
  };
}

TEST(PartLoad, BracketingStagesRunAtTheTargetsConditions) {
  // Full load at 30 degC: 90 kW. At 25 degC the stages give 0.95 * 60 and 0.95 * 100 kW
  // and both have a COP of 7.5.
  Procedure procedure = FourPoints();
  const RatedUnit unit = Chiller({Sloping(22.5e3), Sloping(60e3), Sloping(100e3)});
  EXPECT_NEAR(PointValue(MustRate(procedure, unit), "B"), 7.5, 1e-12);
}

TEST(PartLoad, BracketingStagesRunAtTheConditionsOfTheirOwnLoads) {
  // In percent of 90 kW: 60 kW * (1.2 - 0.01 T) = L * 0.9 with T = 0.2 L + 10 gives
  // L = 66 / (0.9 + 0.12) = 64.70588 and T = 22.94118, COP 7.705882. The largest stage is
  // at 100 % and 30 degC, COP 7. At 75 %: 7.705882 - 0.705882 * (75 - L) / (100 - L)
  // = 7.5.
  Procedure procedure = FourPoints();
  procedure.part_load->bracket_condition = BracketCondition::kOwnLoad;
  const RatedUnit unit = Chiller({Sloping(22.5e3), Sloping(60e3), Sloping(100e3)});
  const Rating rating = MustRate(procedure, unit);
  const double load = 66 / 1.02;
  const double below = 10 - 0.1 * (0.2 * load + 10);
  EXPECT_NEAR(PointValue(rating, "B"), below + (7 - below) * (75 - load) / (100 - load),
              1e-9);
  bool saw_balance = false;
  for (const document::TraceStep& step : rating.trace) {
    saw_balance |= step.label == "percent load" && std::abs(step.value - load) < 1e-8;
  }
  EXPECT_TRUE(saw_balance);
}

TEST(PartLoad, WhatCannotUnloadIsDegraded) {
  // 40 kW of 100 kW at 25 %: LF 0.625, CD 1.04875.
  const RatedUnit unit = Chiller({Constant(40e3, 8e3), Constant(50e3, 10e3),
                                  Constant(75e3, 15e3), Constant(100e3, 20e3)});
  Procedure procedure = FourPoints();
  EXPECT_DOUBLE_EQ(PointValue(MustRate(procedure, unit), "D"), 5 / 1.04875);
  procedure.aggregation = document::Aggregation::kWeightedHarmonic;
  EXPECT_DOUBLE_EQ(PointValue(MustRate(procedure, unit), "D"), 0.2 * 1.04875);
}

TEST(PartLoad, ALoadAboveTheLargestStageIsRefused) {
  // Full load at 30 degC, 70 % of it at 25 degC: a machine that collapses off its design
  // point.
  const ChillerStage collapsing = [](double water_c) {
    return water_c > 29 ? Figures(100e3, 20e3) : Figures(70e3, 14e3);
  };
  const Rating rating = MustRate(FourPoints(), Chiller({collapsing}));
  EXPECT_FALSE(rating.value.has_value());
  EXPECT_THAT(rating.refusal, HasSubstr("point B is at 75 % load"));
  EXPECT_THAT(rating.refusal, HasSubstr("not extrapolated"));
}

// By powers: EER = LF Q / (LF CD cycling + continuous).
Procedure ByPowers() {
  Procedure procedure = FourPoints();
  procedure.part_load->cycling_powers = {"compressor_power", "condenser_section_power"};
  procedure.part_load->continuous_powers = {"indoor_fan_power", "control_power"};
  return procedure;
}

ChillerStage WithFan(double capacity_w, double total_w, double fan_w, double control_w) {
  return [=](double) {
    StageFigures figures = Figures(capacity_w, total_w);
    figures.quantities.push_back({"indoor_fan_power", fan_w});
    figures.quantities.push_back({"control_power", control_w});
    return figures;
  };
}

TEST(PartLoad, OnlyTheCyclingPowersAreDegraded) {
  // At 25 % of 100 kW, a stage of 40 kW and 10 kW of which 2 kW go on: LF 0.625,
  // CD 1.04875.
  const Rating rating = MustRate(
      ByPowers(),
      Chiller({WithFan(40e3, 10e3, 1.5e3, 0.5e3), WithFan(75e3, 15e3, 1.5e3, 0.5e3),
               WithFan(100e3, 20e3, 1.5e3, 0.5e3)}));
  EXPECT_NEAR(PointValue(rating, "D"), 25e3 / (0.625 * 1.04875 * 8e3 + 2e3), 1e-12);
}

TEST(PartLoad, DeclaredPowersStandForThoseThatWereNotMeasured) {
  RatedUnit unit =
      Chiller({Constant(40e3, 10e3), Constant(75e3, 15e3), Constant(100e3, 20e3)});
  Rating rating = MustRate(ByPowers(), unit);
  EXPECT_THAT(rating.refusal, HasSubstr("indoor_fan_power, control_power"));
  unit.unit.procedure_inputs = {{"four-points", "indoor_fan_power", 1.5, "kW"},
                                {"four-points", "control_power", 500, "W"}};
  rating = MustRate(ByPowers(), unit);
  EXPECT_NEAR(PointValue(rating, "D"), 25e3 / (0.625 * 1.04875 * 8e3 + 2e3), 1e-12);
}

TEST(PartLoad, PowersThatGoOnCannotExceedTheTotal) {
  const Rating rating = MustRate(
      ByPowers(),
      Chiller({WithFan(40e3, 1.9e3, 1.5e3, 0.5e3), WithFan(75e3, 15e3, 1.5e3, 0.5e3),
               WithFan(100e3, 20e3, 1.5e3, 0.5e3)}));
  EXPECT_THAT(rating.refusal, HasSubstr("exceed its total of 1900 W"));
}

TEST(PartLoad, AStageThatRunsAllTheTimeKeepsItsMeasuredEfficiency) {
  // The degraded figure goes into the measured one as the load factor goes to 1: no
  // window, and a lowest stage just above the target.
  Procedure procedure = ByPowers();
  procedure.part_load->window_percent.value = 0;
  const Rating rating = MustRate(
      procedure,
      Chiller({WithFan(25.00001e3, 5e3, 1e3, 0.2e3), WithFan(50e3, 10e3, 1e3, 0.2e3),
               WithFan(75e3, 15e3, 1e3, 0.2e3), WithFan(100e3, 20e3, 1e3, 0.2e3)}));
  EXPECT_NEAR(PointValue(rating, "D"), 5, 1e-5);
}

TEST(PartLoad, AddedPowersFollowCapacityAndAreSplitBetweenCyclingAndGoingOn) {
  Procedure procedure = ByPowers();
  procedure.added_powers = {
      {"heat_rejection_power", "per_capacity", "cycling", Invented()}};
  RatedUnit unit =
      Chiller({WithFan(40e3, 10e3, 1.5e3, 0.5e3), WithFan(75e3, 15e3, 1.5e3, 0.5e3),
               WithFan(100e3, 20e3, 1.5e3, 0.5e3)});
  Rating rating = MustRate(procedure, unit);
  EXPECT_THAT(rating.refusal, HasSubstr("per_capacity"));
  EXPECT_THAT(rating.refusal, HasSubstr("cycling"));
  unit.unit.procedure_inputs = {{"four-points", "per_capacity", 0.05, ""},
                                {"four-points", "cycling", 0.25, ""}};
  rating = MustRate(procedure, unit);
  EXPECT_NEAR(PointValue(rating, "A"), 100e3 / (20e3 + 5e3), 1e-12);
  // 2 kW are added to the stage of 40 kW: a quarter to the 8 kW that cycle.
  EXPECT_NEAR(PointValue(rating, "D"), 25e3 / (0.625 * 1.04875 * 8.5e3 + 3.5e3), 1e-12);
  unit.unit.procedure_inputs[1].value = 1.5;
  EXPECT_THAT(MustRate(procedure, unit).refusal, HasSubstr("between 0 and 1"));
}

}  // namespace
}  // namespace ratebound::rating
