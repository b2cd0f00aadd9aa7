// A unit that lacks data is told exactly which test points and inputs.
#include "engine/rating/missing.h"

#include "engine/rating/declared_figure_source.h"
#include "engine/rating/metric.h"
#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::MissingPoint;
using document::Rating;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

// "A s1 entering_condenser_water_temp=30 degC".
std::vector<std::string> Listed(const Rating& rating) {
  std::vector<std::string> lines;
  for (const MissingPoint& point : rating.missing_points) {
    std::string line = absl::StrCat(point.point, " ", point.stage);
    for (const document::Measure& condition : point.conditions) {
      absl::StrAppend(&line, " ", condition.quantity, "=", condition.value, " ",
                      condition.unit);
    }
    lines.push_back(line);
  }
  return lines;
}

DeclaredFigureSource Declared(std::vector<DeclaredFigures> points) {
  const RatedUnit unit = Chiller({Constant(50e3, 10e3), Constant(100e3, 20e3)});
  return DeclaredFigureSource::Create({.unit = unit.unit,
                                       .mode = unit.mode,
                                       .quantities = QuantitiesOf(FourPoints())},
                                      std::move(points), {0.1})
      .value();
}

TEST(Missing, ListsTheStageAndConditionsOfEveryPointThatIsNotThere) {
  const DeclaredFigureSource source = Declared(
      {{.id = "t1", .stage = 0, .conditions_si = {30}, .figures_si = {5e4, 1e4}},
       {.id = "t2", .stage = 1, .conditions_si = {30}, .figures_si = {1e5, 2e4}},
       {.id = "t3", .stage = 0, .conditions_si = {20}, .figures_si = {5e4, 1e4}},
       {.id = "t4", .stage = 1, .conditions_si = {25}, .figures_si = {1e5, 2e4}}});
  const Rating rating = RateSource(FourPoints(), source).value();
  EXPECT_FALSE(rating.value.has_value());
  EXPECT_THAT(rating.refusal, HasSubstr("no figures of stage s1"));
  // C and D ask for the same run of stage s2, which is listed once.
  EXPECT_THAT(Listed(rating), ElementsAre("B s1 entering_condenser_water_temp=25 degC",
                                          "C s2 entering_condenser_water_temp=20 degC"));
  EXPECT_THAT(rating.missing_points[0].quantities,
              ElementsAre("total_capacity", "power_input"));
  EXPECT_TRUE(rating.missing_points[0].blocking);
  EXPECT_THAT(rating.missing_points[0].reason, HasSubstr("only points t1, t3"));
}

TEST(Missing, WithThoseTestedTheUnitIsRatedAndNothingIsMissing) {
  std::vector<DeclaredFigures> points;
  for (double water_c : {30.0, 25.0, 20.0}) {
    points.push_back({.id = absl::StrCat("lo-", water_c),
                      .stage = 0,
                      .conditions_si = {water_c},
                      .figures_si = {5e4, 1e4}});
    points.push_back({.id = absl::StrCat("hi-", water_c),
                      .stage = 1,
                      .conditions_si = {water_c + 0.05},
                      .figures_si = {1e5, 2e4}});
  }
  const Rating rating = RateSource(FourPoints(), Declared(points)).value();
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  EXPECT_THAT(rating.missing_points, IsEmpty());
  for (const document::TraceStep& step : rating.trace) {
    if (step.label == "stage s2") {
      EXPECT_THAT(step.test_points, ElementsAre(HasSubstr("hi-")));
    }
  }
}

TEST(Missing, AQuantityThatWasNotMeasuredIsNamedAlone) {
  std::vector<DeclaredFigures> points;
  for (int stage = 0; stage < 2; ++stage) {
    for (double water_c : {30.0, 25.0, 20.0}) {
      points.push_back({.id = absl::StrCat("p", points.size()),
                        .stage = stage,
                        .conditions_si = {water_c},
                        .figures_si = {5e4 * (stage + 1), stage == 0 ? 1e4 : NAN}});
    }
  }
  const Rating rating = RateSource(FourPoints(), Declared(points)).value();
  EXPECT_FALSE(rating.value.has_value());
  ASSERT_EQ(rating.missing_points.size(), 3);
  for (const MissingPoint& point : rating.missing_points) {
    EXPECT_EQ(point.stage, "s2");
    EXPECT_THAT(point.quantities, ElementsAre("power_input"));
  }
}

TEST(Missing, ExtrapolatedRunsAreListedAndDoNotBlock) {
  const ChillerStage half = [](double water_c) {
    return Figures(
        50e3, 10e3,
        water_c < 22 ? document::Footing::kExtrapolated : document::Footing::kTested);
  };
  const Rating rating =
      RateUnit(FourPoints(), Chiller({half, Constant(75e3, 15e3), Constant(1e5, 2e4)}))
          .value();
  ASSERT_TRUE(rating.value.has_value());
  EXPECT_THAT(Listed(rating), ElementsAre("C s1 entering_condenser_water_temp=20 degC"));
  EXPECT_FALSE(rating.missing_points[0].blocking);
}

TEST(Missing, WhereConditionsDoNotFitEveryPointIs) {
  RatedUnit unit = Chiller({Constant(1e5, 2e4)});
  unit.mode.conditions = {"outdoor_air_db"};
  const Rating rating = RateUnit(FourPoints(), unit).value();
  EXPECT_THAT(Listed(rating), ElementsAre("A  entering_condenser_water_temp=30 degC",
                                          "B  entering_condenser_water_temp=25 degC",
                                          "C  entering_condenser_water_temp=20 degC",
                                          "D  entering_condenser_water_temp=20 degC"));
}

TEST(Missing, OutsideTheScopeNothingIs) {
  RatedUnit unit = Chiller({});
  unit.unit.equipment_class = "residential_split";
  EXPECT_THAT(RateUnit(FourPoints(), unit)->missing_points, IsEmpty());
}

TEST(Missing, PowersOfACyclingStageCanBeMeasuredOrGiven) {
  document::Procedure procedure = FourPoints();
  procedure.part_load->cycling_powers = {"compressor_power"};
  procedure.part_load->continuous_powers = {"indoor_fan_power"};
  const Rating rating =
      RateUnit(procedure,
               Chiller({Constant(40e3, 8e3), Constant(75e3, 15e3), Constant(1e5, 2e4)}))
          .value();
  ASSERT_EQ(rating.missing_inputs.size(), 1);
  EXPECT_EQ(rating.missing_inputs[0].input, "indoor_fan_power");
  ASSERT_EQ(rating.missing_points.size(), 1);
  EXPECT_EQ(rating.missing_points[0].point, "D");
  EXPECT_EQ(rating.missing_points[0].stage, "s1");
  EXPECT_THAT(rating.missing_points[0].quantities, ElementsAre("indoor_fan_power"));
}

}  // namespace
}  // namespace ratebound::rating
