// Metrics against dated minimum levels. The levels are invented.
#include "engine/rating/minimum.h"

#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::MinimumLevel;
using document::MinimumLevels;
using document::MinimumOutcome;
using document::MinimumVerdict;
using ratebound::testing::StatusIs;
using ::testing::HasSubstr;

MinimumLevel Level(std::optional<double> value, std::string from, std::string until = "",
                   std::string heating = "") {
  MinimumLevel level{.procedure_families = {"four-points"},
                     .metric_unit = "W/W",
                     .equipment_classes = {"chiller_water_cooled"},
                     .capacity_low = Stated(50, "kW"),
                     .capacity_high = Stated(200, "kW"),
                     .valid_from = from,
                     .valid_until = until,
                     .value = value,
                     .not_known = value ? "" : "the table was not read",
                     .citation = Invented()};
  if (!heating.empty()) level.keys = {{"heating_section", heating}};
  return level;
}

MinimumVerdict Judge(std::vector<MinimumLevel> levels, double metric,
                     MinimumQuestion question = {.day = "2026-03-31"},
                     double nominal_w = 100e3) {
  document::Unit unit = Chiller({}).unit;
  unit.nominal_capacity.value_si = nominal_w;
  const auto verdict =
      JudgeMinimum({.id = "invented", .document = "Invented", .levels = levels},
                   FourPoints(), unit, question, metric);
  EXPECT_TRUE(verdict.ok() && verdict->has_value()) << verdict.status();
  return verdict->value_or(MinimumVerdict{});
}

TEST(Minimum, IsMetAtTheLevelAndBeyond) {
  EXPECT_EQ(Judge({Level(5, "2020-01-01")}, 5).outcome, MinimumOutcome::kMeets);
  EXPECT_EQ(Judge({Level(5, "2020-01-01")}, 4.999).outcome, MinimumOutcome::kDoesNotMeet);
  MinimumLevel at_most = Level(0.6, "2020-01-01");
  at_most.at_most = true;
  EXPECT_EQ(Judge({at_most}, 0.6).outcome, MinimumOutcome::kMeets);
  EXPECT_EQ(Judge({at_most}, 0.61).outcome, MinimumOutcome::kDoesNotMeet);
  EXPECT_EQ(Judge({Level(5, "2020-01-01")}, 5.1).reason,
            "IPLV of 5.1 W/W meets 5, the level since 2020-01-01");
}

TEST(Minimum, IsThatOfTheDay) {
  const std::vector<MinimumLevel> levels = {Level(5, "2018-01-01", "2023-01-01"),
                                            Level(6, "2023-01-01")};
  EXPECT_EQ(Judge(levels, 5.5, {.day = "2022-12-31"}).outcome, MinimumOutcome::kMeets);
  const MinimumVerdict later = Judge(levels, 5.5, {.day = "2023-01-01"});
  EXPECT_EQ(later.outcome, MinimumOutcome::kDoesNotMeet);
  EXPECT_EQ(later.level, 6);
  EXPECT_EQ(later.day, "2023-01-01");
  EXPECT_EQ(Judge(levels, 9, {.day = "2017-12-31"}).outcome, MinimumOutcome::kNotKnown);
}

TEST(Minimum, IsOfTheUnitsClassCapacityAndPhases) {
  EXPECT_EQ(Judge({Level(5, "2020-01-01")}, 9, {.day = "2026-03-31"}, 50e3).outcome,
            MinimumOutcome::kMeets);
  const MinimumVerdict large =
      Judge({Level(5, "2020-01-01")}, 9, {.day = "2026-03-31"}, 200e3);
  EXPECT_EQ(large.outcome, MinimumOutcome::kNotKnown);
  EXPECT_THAT(large.reason, HasSubstr("no level for such a unit"));
}

TEST(Minimum, DependsOnKeysThatOnlyTheCallerKnows) {
  const std::vector<MinimumLevel> levels = {
      Level(6, "2020-01-01", "", "electric_or_none"),
      Level(5, "2020-01-01", "", "other")};
  const MinimumVerdict open = Judge(levels, 5.5);
  EXPECT_EQ(open.outcome, MinimumOutcome::kNotKnown);
  EXPECT_THAT(open.reason, HasSubstr("heating_section (electric_or_none or other)"));
  EXPECT_FALSE(open.level.has_value());
  // Where the key does not matter it is not asked.
  EXPECT_EQ(Judge(levels, 6.5).outcome, MinimumOutcome::kMeets);
  EXPECT_EQ(Judge(levels, 6.5).level, 6);
  EXPECT_EQ(Judge(levels, 4.5).outcome, MinimumOutcome::kDoesNotMeet);
  EXPECT_EQ(Judge(levels, 4.5).level, 5);
  MinimumQuestion question{.day = "2026-03-31", .keys = {{"heating_section", "other"}}};
  EXPECT_EQ(Judge(levels, 5.5, question).outcome, MinimumOutcome::kMeets);
  question.keys[0].value = "electric_or_none";
  EXPECT_EQ(Judge(levels, 5.5, question).outcome, MinimumOutcome::kDoesNotMeet);
}

TEST(Minimum, ThatNobodyCouldReadIsNotGuessed) {
  const MinimumVerdict verdict = Judge({Level({}, "2020-01-01")}, 5);
  EXPECT_EQ(verdict.outcome, MinimumOutcome::kNotKnown);
  EXPECT_THAT(verdict.reason, HasSubstr("the table was not read"));
}

TEST(Minimum, OfAnotherFamilyHasNothingToSay) {
  MinimumLevel other = Level(5, "2020-01-01");
  other.procedure_families = {"another"};
  const auto verdict = JudgeMinimum({.id = "invented", .levels = {other}}, FourPoints(),
                                    Chiller({}).unit, {.day = "2026-03-31"}, 5);
  ASSERT_THAT(verdict, ratebound::testing::IsOk());
  EXPECT_FALSE(verdict->has_value());
  EXPECT_THAT(JudgeMinimum({}, FourPoints(), Chiller({}).unit, {.day = "today"}, 5),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("is no day")));
}

TEST(Minimum, EditionsOfOneFamilyShareIt) {
  document::Procedure edition = FourPoints();
  edition.id = "four-points-2030";
  edition.edition_of = "four-points";
  const auto verdict =
      JudgeMinimum({.id = "invented", .levels = {Level(5, "2020-01-01")}}, edition,
                   Chiller({}).unit, {.day = "2026-03-31"}, std::nullopt);
  ASSERT_TRUE(verdict.ok() && verdict->has_value());
  EXPECT_EQ((*verdict)->outcome, MinimumOutcome::kNotKnown);
  EXPECT_EQ((*verdict)->reason, "the metric has no value");
}

}  // namespace
}  // namespace ratebound::rating
