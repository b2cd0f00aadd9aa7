#include "engine/screen/repeats.h"

#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/screen/check.h"
#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"
#include "tests/testing/random.h"

namespace ratebound::screen {
namespace {

using document::TestPoint;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

// The grid and `count` repeats of its middle.
std::vector<TestPoint> GridWithRepeats(int count) {
  std::vector<TestPoint> points = Grid();
  for (int k = 0; k < count; ++k) {
    TestPoint repeat = points[4];
    repeat.id = absl::StrCat("again", k);
    repeat.line = 20 + k;
    points.push_back(repeat);
  }
  return points;
}

points::StagePoints GroupOf(const document::LineManifest& manifest,
                            const std::vector<TestPoint>& points) {
  const auto groups = points::GroupPoints(manifest, points, "");
  EXPECT_TRUE(groups.ok()) << groups.status();
  return groups->at(0);
}

TEST(RepeatsTest, GroupsPointsOfLikeConditions) {
  document::LineManifest manifest = Manifest();
  OnlyMode(manifest).held_conditions = {
      {.quantity = "entering_air_db", .value_si = 26, .tolerance_si = 2}};
  std::vector<TestPoint> points = GridWithRepeats(3);
  for (TestPoint& point : points) Set(point, "entering_air_db", 26);
  Set(points[9], "entering_air_wb", 0.05 + *points[4].Find("entering_air_wb"));
  Set(points[10], "entering_air_wb", 0.07 + *points[4].Find("entering_air_wb"));
  EXPECT_THAT(GroupsOfRepeats(GroupOf(manifest, points)),
              ElementsAre(ElementsAre(4, 9, 11)));
  // A quarter of the tolerance of what is held.
  Set(points[11], "entering_air_db", 26.6);
  EXPECT_THAT(GroupsOfRepeats(GroupOf(manifest, points)), ElementsAre(ElementsAre(4, 9)));
}

TEST(RepeatsTest, OneFindingAGroupNamesTheWorst) {
  document::LineManifest manifest = Manifest();
  std::vector<TestPoint> points = GridWithRepeats(4);
  EXPECT_TRUE(CheckRepeats(GroupOf(manifest, points)).empty());
  Set(points[10], "power_input", 0.9 * *points[4].Find("power_input"));
  const std::vector<Doubt> doubts = CheckRepeats(GroupOf(manifest, points));
  ASSERT_EQ(doubts.size(), 1u);
  EXPECT_EQ(doubts[0].point->id, "again1");
  EXPECT_THAT(doubts[0].message,
              HasSubstr("repeats p4 (f.csv:6), again0 (f.csv:20), again2 (f.csv:22), "
                        "again3 (f.csv:23); power_input of the 5 spans 10.0 %, more than "
                        "5 %, and this one is furthest off"));
}

// Where the random uncertainty is known it decides: 3 % apart is much at 0.5 % and little
// at 3 %. The systematic part is the same for all and explains nothing.
TEST(RepeatsTest, JudgesByRandomUncertaintyWhereItIsKnown) {
  document::LineManifest manifest = Manifest();
  std::vector<TestPoint> points = GridWithRepeats(1);
  const double capacity_w = *points[4].Find("total_capacity");
  Set(points[9], "total_capacity", 1.03 * capacity_w);
  EXPECT_TRUE(CheckRepeats(GroupOf(manifest, points)).empty());
  const auto know = [&](double random_fraction) {
    for (TestPoint& point : points) {
      ValueOf(point, "total_capacity").uncertainty = {
          .random_standard_si = random_fraction * capacity_w,
          .systematic_standard_si = 0.05 * capacity_w};
    }
  };
  know(0.005);
  ASSERT_EQ(CheckRepeats(GroupOf(manifest, points)).size(), 1u);
  EXPECT_THAT(CheckRepeats(GroupOf(manifest, points))[0].message,
              HasSubstr("more than what their random uncertainty explains"));
  know(0.03);
  EXPECT_TRUE(CheckRepeats(GroupOf(manifest, points)).empty());
  // Under 1 % is what like conditions explain, whatever the meters read.
  know(0.0001);
  Set(points[9], "total_capacity", 1.009 * capacity_w);
  EXPECT_TRUE(CheckRepeats(GroupOf(manifest, points)).empty());
}

// Twenty groups of repeats that scatter as their uncertainty says are all left alone in
// about 99 of 100 lines.
TEST(RepeatsTest, RaisesFewFalseAlarms) {
  testing::Random random("REPEATS_RAISE_FEW_FALSE_ALARMS");
  int alarms = 0;
  const document::LineManifest manifest = Manifest();
  for (int set = 0; set < 200; ++set) {
    std::vector<TestPoint> points;
    for (int k = 0; k < 60; ++k) {
      TestPoint point = Grid()[0];
      Set(point, "entering_air_wb", k / 3);
      Set(point, "total_capacity", 10000 * (1 + 0.01 * random.Normal()));
      ValueOf(point, "total_capacity").uncertainty = {.random_standard_si = 100};
      points.push_back(point);
    }
    alarms += CheckRepeats(GroupOf(manifest, points)).empty() ? 0 : 1;
  }
  EXPECT_LE(alarms, 7);
}

}  // namespace
}  // namespace ratebound::screen
