#include "engine/screen/check.h"

#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/screen/outliers.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::screen {
namespace {

using document::Finding;
using document::Severity;
using document::TestPoint;
using ::testing::AllOf;
using ::testing::Contains;
using ::testing::Each;
using ::testing::Field;
using ::testing::HasSubstr;
using ::testing::Not;

document::LineManifest Manifest() {
  document::Mode mode{.id = "cooling",
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"entering_air_wb", "entering_water_temp"},
                      .stages = {{.id = "low"}}};
  document::LineManifest manifest{.id = "line"};
  manifest.units = {{.id = "u", .modes = {mode}}};
  return manifest;
}

// Nine points on a 3 x 3 grid, on a plane.
std::vector<TestPoint> Grid() {
  std::vector<TestPoint> points;
  for (int i = 0; i < 9; ++i) {
    TestPoint point{.id = absl::StrCat("p", i), .file = "f.csv", .line = i + 2};
    point.unit = "u";
    point.mode = "cooling";
    point.stage = "low";
    const double wb_c = 15 + 3 * (i % 3);
    const double water_c = 20 + 10 * (i / 3);
    const double capacity_w = 10000 + 200 * wb_c - 50 * water_c;
    const double power_w = 2000 + 5 * wb_c + 40 * water_c;
    point.values = {{"entering_air_wb", wb_c},
                    {"entering_water_temp", water_c},
                    {"power_input", power_w},
                    {"total_capacity", capacity_w}};
    points.push_back(point);
  }
  return points;
}

void Set(TestPoint& point, std::string_view quantity, double value_si) {
  for (auto& value : point.values) {
    if (value.quantity == quantity) {
      value.value_si = value_si;
      return;
    }
  }
  point.values.push_back({std::string(quantity), value_si});
}

auto Says(Severity severity, const std::string& subject, const std::string& part) {
  return Contains(AllOf(Field(&Finding::severity, severity),
                        Field(&Finding::subject, subject),
                        Field(&Finding::message, HasSubstr(part))));
}

TEST(ScreenTest, FindsNothingAgainstGoodPoints) {
  const auto findings = Screen(Manifest(), Grid());
  EXPECT_THAT(findings, Each(Field(&Finding::severity, Severity::kNote)));
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
  EXPECT_THAT(Screen(manifest, points), Each(Field(&Finding::severity, Severity::kNote)));
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
  EXPECT_THAT(Screen(Manifest(), points),
              Each(Field(&Finding::severity, Severity::kNote)));
  Set(points[4], "heat_rejection", 0.93 * heat_w);
  EXPECT_THAT(
      Screen(Manifest(), points),
      Says(Severity::kWarning, "p4", "is 7.0 % below total_capacity plus power_input"));
  // The water side: 998.2 kg/m3 and 4184 J/(kg K) at 20 degC (IAPWS-IF97), a change of 5
  // K.
  points = Grid();
  Set(points[4], "water_flow", heat_w / (998.2 * 4184 * 5));
  Set(points[4], "leaving_water_temp", 30 + 5 + 0.48);  // 6 % and twice 0.1 K are 0.5 K
  EXPECT_THAT(Screen(Manifest(), points),
              Each(Field(&Finding::severity, Severity::kNote)));
  Set(points[4], "leaving_water_temp", 30 + 5 - 0.52);
  EXPECT_THAT(Screen(Manifest(), points),
              Says(Severity::kWarning, "p4", "heat given to the water"));
}

TEST(ScreenTest, FindsSensibleAboveTotal) {
  auto points = Grid();
  Set(points[2], "sensible_capacity", 1.01 * *points[2].Find("total_capacity"));
  EXPECT_THAT(Screen(Manifest(), points),
              Each(Field(&Finding::severity, Severity::kNote)));
  Set(points[2], "sensible_capacity", 1.03 * *points[2].Find("total_capacity"));
  EXPECT_THAT(Screen(Manifest(), points),
              Says(Severity::kWarning, "p2", "above total_capacity"));
}

TEST(FindOutliersTest, FindsTheSpoiltRowAndNoOther) {
  testing::Random random("FIND_OUTLIERS_FINDS_THE_SPOILT_ROW");
  std::vector<std::vector<double>> columns(2);
  std::vector<double> response;
  for (int i = 0; i < 30; ++i) {
    columns[0].push_back(random.Uniform(0, 1));
    columns[1].push_back(random.Uniform(0, 1));
    response.push_back(100 + 10 * columns[0][i] - 5 * columns[1][i] +
                       0.1 * random.Normal());
  }
  EXPECT_TRUE(FindOutliers(columns, response).empty());
  response[17] += 1;
  const auto outliers = FindOutliers(columns, response);
  ASSERT_EQ(outliers.size(), 1u);
  EXPECT_EQ(outliers[0].row, 17);
  EXPECT_NEAR(outliers[0].miss_si, 1, 0.3);
}

// Gaussian responses raise an outlier in about one of a hundred sets, as the limit says.
TEST(FindOutliersTest, RaisesFewFalseAlarms) {
  testing::Random random("FIND_OUTLIERS_RAISES_FEW_FALSE_ALARMS");
  int alarms = 0;
  for (int set = 0; set < 1000; ++set) {
    std::vector<std::vector<double>> columns(1);
    std::vector<double> response;
    for (int i = 0; i < 20; ++i) {
      columns[0].push_back(i);
      response.push_back(random.Normal());
    }
    if (!FindOutliers(columns, response).empty()) ++alarms;
  }
  EXPECT_LE(alarms, 25);
}

}  // namespace
}  // namespace ratebound::screen
