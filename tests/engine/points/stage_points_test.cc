#include "engine/points/stage_points.h"

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using document::TestPoint;
using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

document::LineManifest Manifest() {
  document::Mode mode{.id = "cooling",
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"entering_water_temp"},
                      .stages = {{.id = "low"}, {.id = "high"}}};
  document::LineManifest manifest;
  manifest.units = {{.id = "a", .modes = {mode}}, {.id = "b", .modes = {mode}}};
  return manifest;
}

TestPoint Point(const char* id, const char* unit, const char* stage, const char* regime,
                const char* block, const char* specimen = "s1") {
  TestPoint point{.id = id, .file = "f.csv", .line = 3, .unit = unit, .mode = "cooling"};
  point.stage = stage;
  point.regime = regime;
  point.block = block;
  point.specimen = specimen;
  point.values = {{"entering_water_temp", 20}, {"power_input", 1}, {"total_capacity", 3}};
  return point;
}

TEST(GroupPointsTest, KeepsApartWhatMustNotBeFittedTogether) {
  const auto manifest = Manifest();
  std::vector<TestPoint> points = {
      Point("1", "b", "low", "", ""),      Point("2", "a", "low", "wet", "d2"),
      Point("3", "a", "high", "wet", ""),  Point("4", "a", "low", "dry", ""),
      Point("5", "a", "low", "wet", "d1"), Point("6", "a", "low", "wet", "d2"),
      Point("7", "a", "low", "wet", "d1")};
  points[6].dropped_reason = "leak";
  points.push_back(Point("8", "a", "low", "wet", "d1"));
  points.back().values.pop_back();  // no capacity
  ASSERT_OK_AND_ASSIGN(const auto groups, GroupPoints(manifest, points, ""));
  std::vector<std::string> names;
  for (const StagePoints& group : groups) names.push_back(NameOf(group));
  EXPECT_THAT(names, ElementsAre("a/cooling/low/dry", "a/cooling/low/wet",
                                 "a/cooling/high/wet", "b/cooling/low"));
  EXPECT_EQ(groups[1].points.size(), 3u);
  EXPECT_THAT(groups[1].blocks, ElementsAre(0, 1, 0));
  EXPECT_THAT(groups[1].block_names, ElementsAre("d2", "d1"));
  EXPECT_THAT(groups[1].incomplete_point_ids, ElementsAre("8"));
  EXPECT_TRUE(groups[0].blocks.empty());
  ASSERT_OK_AND_ASSIGN(const auto only, GroupPoints(manifest, points, "b"));
  EXPECT_EQ(only.size(), 1u);
}

TEST(GroupPointsTest, RefusesUnknownUnitsAndMissingConditions) {
  const auto manifest = Manifest();
  std::vector<TestPoint> points = {Point("1", "a", "low", "", "")};
  points[0].values.erase(points[0].values.begin());
  EXPECT_THAT(GroupPoints(manifest, points, "a"),
              ratebound::testing::StatusIs(
                  absl::StatusCode::kInvalidArgument,
                  HasSubstr("f.csv:3: point '1' has no entering_water_temp")));
  EXPECT_THAT(GroupPoints(manifest, points, "c"),
              ratebound::testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                           HasSubstr("unknown unit 'c'")));
}

TEST(CheckPoolingTest, NamesBothSpecimens) {
  auto manifest = Manifest();
  const std::vector<TestPoint> points = {Point("1", "a", "low", "", "", "s1"),
                                         Point("2", "a", "low", "", "", "s2")};
  ASSERT_OK_AND_ASSIGN(auto groups, GroupPoints(manifest, points, ""));
  EXPECT_THAT(
      CheckPooling(groups[0]),
      ratebound::testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                   AllOf(HasSubstr("point '2' is of specimen 's2'"),
                                         HasSubstr("point '1' is of specimen 's1'"))));
  manifest.units[0].pool_specimens = true;
  EXPECT_THAT(CheckPooling(groups[0]), ratebound::testing::IsOk());
}

TEST(CountLevelsTest, TakesSetPointScatterAsOneLevel) {
  EXPECT_EQ(CountLevels(std::vector<double>{}), 0);
  EXPECT_EQ(CountLevels(std::vector<double>{7, 7, 7}), 1);
  EXPECT_EQ(CountLevels(std::vector<double>{20, 30}), 2);
  EXPECT_EQ(CountLevels(std::vector<double>{30.2, 20, 20.1, 29.9, 19.9}), 2);
  EXPECT_EQ(CountLevels(std::vector<double>{10, 20, 30, 10.3, 20.3}), 3);
  std::vector<double> spread;
  for (int i = 0; i <= 100; ++i) spread.push_back(0.01 * i);
  EXPECT_GE(CountLevels(spread), 17);  // a continuous design has many
}

}  // namespace
}  // namespace ratebound::points
