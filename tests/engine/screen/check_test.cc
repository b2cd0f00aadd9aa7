#include "engine/screen/check.h"

#include <vector>

#include "absl/strings/str_cat.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"

namespace ratebound::screen {
namespace {

using document::Finding;
using document::Severity;
using document::TestPoint;
using ::testing::AllOf;
using ::testing::Contains;
using ::testing::Field;
using ::testing::Not;

TEST(ScreenTest, FindsNothingAgainstGoodPoints) {
  const auto findings = Screen(Manifest(), Grid());
  EXPECT_THAT(findings, AllNotes());
  EXPECT_THAT(findings, Says(Severity::kNote, "u/cooling/low",
                             "9 points, no blocks named: taken as independent; levels: "
                             "entering_air_wb 3, entering_water_temp 3"));
}

TEST(ScreenTest, FailsWhatCannotBeFitted) {
  EXPECT_THAT(Screen(Manifest(), {}),
              Says(Severity::kFailure, "u/cooling/low", "no accepted points"));
  auto points = Grid();
  points.resize(1);
  EXPECT_THAT(Screen(Manifest(), points), Says(Severity::kFailure, "u/cooling/low",
                                               "needs at least 4 points; there are 1"));
  points = Grid();
  points.resize(3);  // one water temperature
  EXPECT_THAT(Screen(Manifest(), points), Says(Severity::kFailure, "u/cooling/low",
                                               "entering_water_temp has 1 level"));
  points = Grid();
  for (TestPoint& point : points) {
    Set(point, "entering_water_temp", 20 + 0.01 * *point.Find("entering_water_temp"));
  }
  EXPECT_THAT(Screen(Manifest(), points), Says(Severity::kWarning, "u/cooling/low",
                                               "entering_water_temp spans 0.20 K only"));
}

TEST(ScreenTest, ListsDroppedPointsWithTheirReasons) {
  auto points = Grid();
  points[4].dropped_reason = "door was open";
  const auto findings = Screen(Manifest(), points);
  EXPECT_THAT(findings, Says(Severity::kNote, "p4", "left out: door was open"));
  EXPECT_THAT(findings,
              Contains(AllOf(Field(&Finding::file, "f.csv"), Field(&Finding::line, 6))));
}

TEST(ScreenTest, SaysHowManyBlocksAProofNeeds) {
  auto points = Grid();
  for (size_t i = 0; i < points.size(); ++i)
    points[i].block = i % 2 ? "monday" : "friday";
  EXPECT_THAT(Screen(Manifest(), points), Says(Severity::kWarning, "u/cooling/low",
                                               "a proof of degree 2 over 2 condition(s) "
                                               "needs at least 7 blocks; there are 2"));
  auto manifest = Manifest();
  manifest.units[0].modes[0].declared_proof_degree = 1;
  EXPECT_THAT(Screen(manifest, points), Says(Severity::kWarning, "u/cooling/low",
                                             "needs at least 4 blocks; there are 2"));
  for (size_t i = 0; i < points.size(); ++i) points[i].block = absl::StrCat("day", i % 4);
  EXPECT_THAT(Screen(manifest, points), AllNotes());
}

TEST(ScreenTest, DoesNotPoolUnlikeSpecimensUnasked) {
  auto points = Grid();
  for (size_t i = 0; i < points.size(); ++i) points[i].specimen = i < 5 ? "one" : "two";
  auto manifest = Manifest();
  EXPECT_THAT(Screen(manifest, points), Says(Severity::kFailure, "u/cooling/low",
                                             "unlike specimens are not pooled"));
  manifest.units[0].pool_specimens = true;
  EXPECT_THAT(Screen(manifest, points),
              Says(Severity::kNote, "u/cooling/low", "2 specimens are fitted together"));
}

TEST(ScreenTest, FindsRepeatsThatDisagree) {
  auto points = Grid();
  TestPoint repeat = points[4];
  repeat.id = "again";
  repeat.line = 20;
  Set(repeat, "total_capacity", 1.04 * *repeat.Find("total_capacity"));
  Set(repeat, "entering_air_wb", 0.05 + *repeat.Find("entering_air_wb"));
  points.push_back(repeat);
  EXPECT_THAT(Screen(Manifest(), points),
              Not(Says(Severity::kWarning, "again", "repeats")));
  Set(points.back(), "power_input", 1.08 * *repeat.Find("power_input"));
  EXPECT_THAT(Screen(Manifest(), points),
              Says(Severity::kWarning, "again",
                   "repeats p4 (f.csv:6); power_input of the 2 spans 7.4 %"));
}

TEST(ScreenTest, FindsEnergyBalancesThatDoNotClose) {
  auto points = Grid();
  const double heat_w =
      *points[4].Find("total_capacity") + *points[4].Find("power_input");
  Set(points[4], "heat_rejection", 1.059 * heat_w);
  EXPECT_THAT(Screen(Manifest(), points), AllNotes());
  Set(points[4], "heat_rejection", 0.93 * heat_w);
  EXPECT_THAT(
      Screen(Manifest(), points),
      Says(Severity::kWarning, "p4", "is 7.0 % below total_capacity plus power_input"));
  // The water side: 998.2 kg/m3 and 4184 J/(kg K) at 20 degC (IAPWS-IF97), a change of 5
  // K.
  points = Grid();
  Set(points[4], "water_flow", heat_w / (998.2 * 4184 * 5));
  Set(points[4], "leaving_water_temp", 30 + 5 + 0.48);  // 6 % and twice 0.1 K are 0.5 K
  EXPECT_THAT(Screen(Manifest(), points), AllNotes());
  Set(points[4], "leaving_water_temp", 30 + 5 - 0.52);
  EXPECT_THAT(Screen(Manifest(), points),
              Says(Severity::kWarning, "p4", "heat given to the water"));
}

TEST(ScreenTest, FindsSensibleAboveTotal) {
  auto points = Grid();
  Set(points[2], "sensible_capacity", 1.01 * *points[2].Find("total_capacity"));
  EXPECT_THAT(Screen(Manifest(), points), AllNotes());
  Set(points[2], "sensible_capacity", 1.03 * *points[2].Find("total_capacity"));
  EXPECT_THAT(Screen(Manifest(), points),
              Says(Severity::kWarning, "p2", "above total_capacity"));
}

// A point that lacks a condition stops the grouping, not the checks of single points.
TEST(ScreenTest, NamesEveryPointThatLacksACondition) {
  auto points = Grid();
  std::erase_if(points[3].values, [](const document::SiValue& value) {
    return value.quantity == "entering_air_wb";
  });
  Set(points[4], "sensible_capacity", 1.5 * *points[4].Find("total_capacity"));
  const auto findings = Screen(Manifest(), points);
  EXPECT_THAT(findings, Says(Severity::kFailure, "line",
                             "point 'p3' has no entering_air_wb, a condition of mode"));
  EXPECT_THAT(findings, Says(Severity::kWarning, "p4", "sensible above total"));
  EXPECT_THAT(findings, Not(Says(Severity::kFailure, "u/cooling/low", "no accepted")));
}

TEST(ScreenTest, SaysWhatItCouldNotJudgeForWantOfAMethod) {
  auto manifest = Manifest();
  OnlyMode(manifest).steadiness_method = "steady-tests";
  EXPECT_THAT(Screen(manifest, {}, Grid()),
              Says(Severity::kNote, "u/cooling/low",
                   "test tolerances not judged: no method 'steady-tests'"));
}

// The same findings in the same order, whatever is screened before.
TEST(ScreenTest, IsStable) {
  auto points = Grid();
  for (TestPoint& point : points) Set(point, "sensible_capacity", 2e4);
  EXPECT_EQ(Screen(Manifest(), points), Screen(Manifest(), points));
}

}  // namespace
}  // namespace ratebound::screen
