#include "engine/points/ingest.h"

#include <algorithm>
#include <string>
#include <vector>

#include "absl/strings/str_format.h"
#include "engine/base/fault.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

using document::ColumnLabel;
using document::LineManifest;
using document::TestPoint;
using ::testing::AllOf;
using ::testing::HasSubstr;

// One unit, two modes; cooling over wet bulb and water temperature with dry bulb held.
LineManifest Manifest() {
  document::Mode cooling{.id = "cooling",
                         .capacity_quantity = "total_capacity",
                         .power_quantity = "power_input",
                         .conditions = {"entering_air_wb", "entering_water_temp"}};
  cooling.held_conditions = {{.quantity = "entering_air_db",
                              .value = 80,
                              .tolerance = 1,
                              .unit = "degF",
                              .value_si = 80 / 1.8 - 32 / 1.8,
                              .tolerance_si = 1 / 1.8}};
  cooling.stages = {{.id = "low"}, {.id = "high"}};
  document::Mode heating{.id = "heating",
                         .kind = document::ModeKind::kHeating,
                         .capacity_quantity = "heating_capacity",
                         .power_quantity = "power_input",
                         .conditions = {"entering_water_temp"},
                         .stages = {{.id = "only"}}};
  LineManifest manifest{.id = "line"};
  manifest.specimens = {{.id = "proto-1"}, {.id = "proto-2"}};
  manifest.units = {{.id = "unit-a", .modes = {cooling, heating}}};
  manifest.point_files = {{.path = "points/a.csv", .unit = "unit-a", .mode = "cooling"}};
  return manifest;
}

constexpr char kHeader[] =
    "point,stage,entering_air_db[degF],entering_air_wb[degF],entering_water_temp[degF],"
    "total_capacity[kBtu/h],power_input[kW]\n";

absl::StatusOr<std::vector<TestPoint>> Read(const LineManifest& manifest,
                                            const std::string& bytes) {
  const PointSource files[] = {{"points/a.csv", bytes}};
  return ReadAllPoints(manifest, files);
}

TEST(ReadPointsTest, ReadsValuesInSi) {
  ASSERT_OK_AND_ASSIGN(
      const auto points,
      Read(Manifest(),
           std::string(kHeader) + "p1,low,80,67,86,12,3.5\np2,high,80,67,85,,2\n"));
  ASSERT_EQ(points.size(), 2u);
  const TestPoint& p = points[0];
  EXPECT_EQ(p.id, "p1");
  EXPECT_EQ(p.file, "points/a.csv");
  EXPECT_EQ(p.line, 2);
  EXPECT_EQ(p.unit, "unit-a");
  EXPECT_EQ(p.mode, "cooling");
  EXPECT_EQ(p.stage, "low");
  EXPECT_EQ(p.Find("entering_water_temp"), 30);
  // 12,000 Btu/h is 1 ton of refrigeration, 3516.85 W (NIST SP 811 (2008), appendix B).
  EXPECT_NEAR(p.Find("total_capacity").value(), 3516.85, 0.005);
  EXPECT_EQ(p.Find("power_input"), 3500);
  EXPECT_FALSE(points[1].Find("total_capacity"));  // empty: not measured
  EXPECT_TRUE(std::is_sorted(
      p.values.begin(), p.values.end(),
      [](const auto& a, const auto& b) { return a.quantity < b.quantity; }));
}

// The headings of an open laboratory file (22 columns, cut down), left as they are and
// mapped in the manifest; two rows of it. Source: ZhelunChen/HILFT-ASHP-DEMO, MIT
// licence, test days of a two-stage heat pump.
TEST(ReadPointsTest, ReadsALabsOwnHeadingsThroughTheManifest) {
  const std::string bytes =
      "series,site,stage,t_odb_c,t_idp_c,p_total_w,q_air_total_w,cop\n"
      "b4fec947,Atlanta,1,27.3222,13.3222,1596.6,6375.5,3.99317\n"
      "b4fec947,Atlanta,1,28.0556,13.2056,1621.9,6298.49,3.8834\n";
  LineManifest manifest{.id = "line"};
  document::Mode mode{.id = "cooling",
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"outdoor_air_db", "entering_air_dew_point"},
                      .stages = {{.id = "1"}}};
  manifest.units = {{.id = "split", .modes = {mode}}};
  manifest.columns = {
      {.header = "series", .label = ColumnLabel::kBlock},
      {.header = "site", .unused_reason = "weather"},
      {.header = "t_odb_c", .quantity = "outdoor_air_db", .unit = "degF"},
      {.header = "t_idp_c", .quantity = "entering_air_dew_point", .unit = "degC"},
      {.header = "p_total_w", .quantity = "power_input", .unit = "W"},
      {.header = "q_air_total_w", .quantity = "total_capacity", .unit = "W"},
      {.header = "cop", .unused_reason = "computed"}};
  // The file's own mapping is ahead of the manifest's, which is wrong here.
  manifest.point_files = {
      {.path = "points/a.csv",
       .unit = "split",
       .mode = "cooling",
       .columns = {{.header = "t_odb_c", .quantity = "outdoor_air_db", .unit = "degC"}}}};
  ASSERT_OK_AND_ASSIGN(const auto points, Read(manifest, bytes));
  ASSERT_EQ(points.size(), 2u);
  EXPECT_EQ(points[0].id, "a.csv:2");
  EXPECT_EQ(points[0].block, "b4fec947");
  EXPECT_EQ(points[0].Find("outdoor_air_db"), 27.3222);
  EXPECT_EQ(points[1].Find("total_capacity"), 6298.49);
}

struct BadInput {
  const char* what;
  std::string bytes;
  std::vector<std::string> faults;  // a part of each, in order
};

TEST(ReadPointsTest, ReportsEveryFaultWithItsPlace) {
  const std::string header = kHeader;
  const std::string good = "p0,low,80,67,85,12,3\n";
  const BadInput cases[] = {
      {"unknown heading",
       "point,stage,entering_air_db[degF],entering_air_wb[degF],entering_water_tmp[degF]"
       "\n"
       "p,low,80,67,85\n",
       {"a.csv:1:57: heading 'entering_water_tmp[degF]' has no meaning; did you mean "
        "'entering_water_temp[unit]'?"}},
      {"heading near a label",
       "pont,stage\n",
       {"a.csv:1:1: heading 'pont' has no meaning; did you mean 'point'?"}},
      {"semicolons", "point;stage\np;low\n", {"seems to part them otherwise"}},
      {"no unit",
       "point,stage,power_input\np,low,3\n",
       {"a.csv:1:13: column 'power_input' has "
        "no unit"}},
      {"ambiguous or unknown unit",
       "point,stage,power_input[tons]\np,low,3\n",
       {"a.csv:1:13:"}},
      {"unit of another dimension",
       "point,stage,power_input[degF]\np,low,3\n",
       {"a.csv:1:13:"}},
      {"heading twice",
       "point,stage,stage\np,low,low\n",
       {"a.csv:1:13: heading 'stage' stands twice, first in column 7"}},
      {"quantity twice",
       "point,stage,power_input[W],power_input[kW]\np,low,3000,3\n",
       {"a.csv:1:28: headings 'power_input[W]' and 'power_input[kW]' both give "
        "power_input"}},
      {"empty heading", "point,stage,\np,low,3\n", {"a.csv:1:13: heading is empty"}},
      {"text in a number",
       header + "p,low,80,67,warm,12,3\n",
       {"a.csv:2:13: 'warm' is no number"}},
      {"NaN",
       header + "p,low,80,67,85,NaN,3\n",
       {"a.csv:2:16: 'NaN' is no measured value"}},
      {"out of the plausible range",
       header + "p,low,80,67,850,12,3\n",
       {"a.csv:2:13: entering_water_temp of"}},
      {"condition empty",
       header + "p,low,80,67,,12,3\n",
       {"a.csv:2:13: entering_water_temp, a condition of mode cooling, was not "
        "measured"}},
      {"condition without a column",
       "point,stage,entering_air_db[degF],entering_air_wb[degF]\np,low,80,67\nq,low,80,"
       "67\n",
       {"a.csv:1: file has no column for entering_water_temp, a condition of mode "
        "cooling"}},
      {"held condition away",
       header + "p,low,82,67,85,12,3\n",
       {"a.csv:2:7: entering_air_db of 82 degF is further than 1 from 80 degF"}},
      {"wet bulb above dry bulb",
       header + "p,low,80,80.6,85,12,3\n",
       {"a.csv:2:10: entering_air_wb is 0.33 K above entering_air_db, more than the 0.30 "
        "K"}},
      {"unknown stage",
       header + "p,hihgh,80,67,85,12,3\n",
       {"a.csv:2:3: unknown stage 'hihgh'; did you mean 'high'?; the manifest lists low, "
        "high"}},
      {"no stage", header + "p,,80,67,85,12,3\n", {"a.csv:2:3: point has no stage"}},
      {"no id", header + ",low,80,67,85,12,3\n", {"a.csv:2:1: point has no id"}},
      {"id twice",
       header + good + good,
       {"a.csv:3: point 'p0' stands already at points/a.csv:2"}},
      {"two faults in one row and one in another",
       header + "p,low,80,67,85,x,y\nq,low,80,67,85,12\n",
       {"a.csv:2:16: 'x'", "a.csv:2:18: 'y'", "a.csv:3: row has 6 cells"}},
  };
  for (const BadInput& c : cases) {
    SCOPED_TRACE(c.what);
    const auto points = Read(Manifest(), c.bytes);
    ASSERT_FALSE(points.ok());
    EXPECT_EQ(points.status().code(), absl::StatusCode::kInvalidArgument);
    std::vector<std::string> faults;
    for (const base::Fault& fault : base::FaultsOf(points.status())) {
      faults.push_back(fault.ToString());
    }
    ASSERT_EQ(faults.size(), c.faults.size()) << points.status();
    for (const std::string& expected : c.faults) {
      EXPECT_THAT(faults, ::testing::Contains(HasSubstr(expected)));
    }
  }
}

TEST(ReadPointsTest, ReportsUnknownLabelsOfTheManifest) {
  LineManifest manifest = Manifest();
  manifest.point_files[0].mode = "coolin";
  const std::string rows =
      std::string(kHeader) + "p,low,80,67,85,12,3\nq,low,80,67,85,12,3\n";
  // Once for the file: no column could have said it.
  EXPECT_THAT(
      Read(manifest, rows),
      ratebound::testing::StatusIs(
          absl::StatusCode::kInvalidArgument,
          AllOf(HasSubstr("a.csv:2: unknown mode 'coolin'; did you mean 'cooling'?"),
                ::testing::Not(HasSubstr("a.csv:3")))));
  manifest = Manifest();
  manifest.point_files[0].specimen = "proto-3";
  EXPECT_THAT(Read(manifest, rows),
              ratebound::testing::StatusIs(
                  absl::StatusCode::kInvalidArgument,
                  HasSubstr("unknown specimen 'proto-3'; did you mean")));
  manifest = Manifest();
  manifest.dropped_points = {{.point = "r", .reason = "spilt"}};
  manifest.point_files.push_back({.path = "points/b.csv"});
  manifest.point_files[0].columns = {
      {.header = "TT-1", .quantity = "power_input", .unit = "W"}};
  EXPECT_THAT(Read(manifest, rows),
              ratebound::testing::StatusIs(
                  absl::StatusCode::kInvalidArgument,
                  AllOf(HasSubstr("dropped_points[0].point: no file has a point 'r'"),
                        HasSubstr("the line has no file 'points/b.csv'"),
                        HasSubstr("file has no heading 'TT-1'"))));
}

TEST(ReadPointsTest, ReportsTheFaultsOfAllFilesTogether) {
  LineManifest manifest = Manifest();
  manifest.point_files.push_back(
      {.path = "points/b.csv", .unit = "unit-a", .mode = "heating"});
  const std::string rows = std::string(kHeader) + "p,nowhere,80,67,85,12,3\n";
  const PointSource files[] = {
      {"points/b.csv", "point,stage,entering_water_temp[degF]\nq,only,abc\n"},
      {"points/a.csv", rows}};
  EXPECT_THAT(
      ReadAllPoints(manifest, files),
      ratebound::testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                   AllOf(HasSubstr("points/a.csv:2:3: unknown stage"),
                                         HasSubstr("points/b.csv:2:8: 'abc'"))));
}

TEST(ReadPointsTest, AllowsHumidityReadingsTheirUncertainty) {
  LineManifest manifest = Manifest();
  const std::string rows =
      std::string(kHeader) + "p,low,80,80.5,85,12,3\n";  // 0.28 K above
  EXPECT_THAT(Read(manifest, rows), ratebound::testing::IsOk());
  manifest.systematic_uncertainties = {
      {.quantity = "entering_air_wb", .absolute_si = 0.1},
      {.quantity = "entering_air_db", .absolute_si = 0.15}};
  EXPECT_FALSE(Read(manifest, rows).ok());
  manifest.systematic_uncertainties[0].absolute_si = 0.15;
  EXPECT_THAT(Read(manifest, rows), ratebound::testing::IsOk());
}

TEST(ReadPointsTest, KeepsADroppedPointWhateverItsValues) {
  LineManifest manifest = Manifest();
  manifest.dropped_points = {{.point = "p", .reason = "the wick was dry"}};
  ASSERT_OK_AND_ASSIGN(const auto points,
                       Read(manifest, std::string(kHeader) + "p,low,95,99,,12,3\n"));
  ASSERT_EQ(points.size(), 1u);
  EXPECT_EQ(points[0].dropped_reason, "the wick was dry");
}

TEST(ReadPointsTest, OrderDoesNotDependOnRowsOrFiles) {
  ratebound::testing::Random random("ORDER_DOES_NOT_DEPEND_ON_ROWS_OR_FILES");
  LineManifest manifest = Manifest();
  manifest.point_files.push_back(
      {.path = "points/b.csv", .unit = "unit-a", .mode = "cooling"});
  std::vector<std::string> rows;
  for (int i = 0; i < 40; ++i) {
    rows.push_back(absl::StrFormat(
        "p%d,%s,80,%d,%d,%.4f,3\n", i, random.Integer(0, 1) ? "low" : "high",
        random.Integer(60, 70), random.Integer(60, 90), random.Uniform(10, 20)));
  }
  const auto read = [&](const std::vector<std::string>& order, size_t cut) {
    std::string a = kHeader;
    std::string b = kHeader;
    for (size_t i = 0; i < order.size(); ++i) (i < cut ? a : b) += order[i];
    std::vector<PointSource> files = {{"points/b.csv", b}, {"points/a.csv", a}};
    if (cut % 2) std::swap(files[0], files[1]);
    const auto points = ReadAllPoints(manifest, files);
    EXPECT_TRUE(points.ok()) << points.status();
    std::vector<std::string> ids;
    for (const TestPoint& point : *points) ids.push_back(point.id);
    return ids;
  };
  const std::vector<std::string> expected = read(rows, 20);
  for (int trial = 0; trial < 20; ++trial) {
    for (size_t i = rows.size(); i > 1; --i) {
      std::swap(rows[i - 1], rows[random.Integer(0, static_cast<int>(i) - 1)]);
    }
    EXPECT_EQ(read(rows, 5 + trial), expected);
  }
}

// One unit whose files give spreads of their readings.
LineManifest WithSpreads() {
  using document::ReadingStatistic;
  LineManifest manifest = Manifest();
  manifest.columns = {{.header = "sd water",
                       .quantity = "entering_water_temp",
                       .unit = "degF",
                       .statistic = ReadingStatistic::kStandardDeviation},
                      {.header = "span water",
                       .quantity = "entering_water_temp",
                       .unit = "delta_degF",
                       .statistic = ReadingStatistic::kSpread}};
  manifest.point_files = {{.path = "points/a.csv",
                           .unit = "unit-a",
                           .mode = "heating",
                           .stage = "only",
                           .reading_count = 30}};
  return manifest;
}

TEST(ReadPointsTest, SpreadsOfReadingsGoWithTheirMeansAsDifferences) {
  ASSERT_OK_AND_ASSIGN(
      const std::vector<TestPoint> points,
      Read(WithSpreads(),
           "point,sd water,entering_water_temp[degF],span water\np1,0.18,50,0.9\n"
           "p2,,50,\n"));
  const document::SiValue* const value = points[0].FindValue("entering_water_temp");
  ASSERT_NE(value, nullptr);
  EXPECT_DOUBLE_EQ(value->value_si, 10);
  ASSERT_TRUE(value->standard_deviation_si && value->spread_si);
  EXPECT_DOUBLE_EQ(*value->standard_deviation_si, 0.1);
  EXPECT_DOUBLE_EQ(*value->spread_si, 0.5);
  EXPECT_EQ(value->reading_count, 30);
  EXPECT_FALSE(points[1].values[0].standard_deviation_si);
  EXPECT_FALSE(points[1].values[0].spread_si);
}

TEST(ReadPointsTest, SpreadWithoutItsMeanOrBelowZeroIsAFault) {
  EXPECT_THAT(Read(WithSpreads(), "point,sd water\np1,0.2\n").status().message(),
              HasSubstr("heading 'sd water' gives the standard deviation of "
                        "entering_water_temp, whose mean no column gives"));
  EXPECT_THAT(Read(WithSpreads(), "point,sd water,entering_water_temp[degF]\np1,-1,50\n")
                  .status()
                  .message(),
              HasSubstr("a spread of entering_water_temp is negative"));
}

TEST(ReadPointsTest, DayOfTheTestIsADay) {
  const std::string header = "point,tested_on,entering_water_temp[degF]\n";
  ASSERT_OK_AND_ASSIGN(const std::vector<TestPoint> points,
                       Read(WithSpreads(), header + "p1,2026-03-31,50\n"));
  EXPECT_EQ(points[0].tested_on, "2026-03-31");
  EXPECT_THAT(Read(WithSpreads(), header + "p1,31.3.2026,50\n").status().message(),
              HasSubstr("'31.3.2026' is no day"));
}

TEST(ReadPointsTest, PointsOfACurveNeedNoModeAndAKnownCurve) {
  LineManifest manifest = Manifest();
  manifest.units[0].curves = {{.id = "source-water"}};
  manifest.point_files = {
      {.path = "points/a.csv", .unit = "unit-a", .curve = "source-water"}};
  const std::string bytes = "point,water_flow[gpm],water_pressure_drop[kPa]\np1,10,20\n";
  ASSERT_OK_AND_ASSIGN(const std::vector<TestPoint> points, Read(manifest, bytes));
  EXPECT_EQ(points[0].curve, "source-water");
  EXPECT_EQ(points[0].mode, "");
  manifest.point_files[0].curve = "source-watr";
  EXPECT_THAT(Read(manifest, bytes).status().message(),
              HasSubstr("unit unit-a has no curve 'source-watr'; did you mean "
                        "'source-water'?"));
}

}  // namespace
}  // namespace ratebound::points
