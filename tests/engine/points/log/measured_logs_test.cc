// Logs that others measured and published: what the intake makes of them must be what
// their publications say.
#include <sstream>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_split.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/log/log_files.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::points {
namespace {

using document::LogSpanKind;

document::Column Reading(std::string header, std::string quantity, std::string unit) {
  return {.header = std::move(header),
          .quantity = std::move(quantity),
          .unit = std::move(unit)};
}

// The source's instruments: dry bulb within 0.8 degF, dew point within 0.7 degF.
document::LineManifest ChamberManifest() {
  document::LineManifest manifest = SmallManifest();
  for (const char* air : {"outdoor_air", "entering_air", "leaving_air"}) {
    manifest.systematic_uncertainties.push_back(
        {.quantity = absl::StrCat(air, "_db"), .absolute_si = 0.8 / 1.8});
    manifest.systematic_uncertainties.push_back(
        {.quantity = absl::StrCat(air, "_dew_point"), .absolute_si = 0.7 / 1.8});
  }
  return manifest;
}

// tests/data/nist-raw-minutes: source, licence and the rules of its windows are there.
document::LogFile ChamberDay() {
  document::LogFile log = SecondsLog();
  log.path = "logs/day.csv";
  log.stage.clear();
  log.off_stages = {"0"};
  log.time = {.header = "date_time", .format = "%m/%d %H:%M:%S"};
  log.tested_on = "2022-08-26";  // the source gives no year; any will do
  log.columns = {Reading("id_power", "indoor_fan_power", "W"),
                 Reading("od_power", "outdoor_section_power", "W"),
                 Reading("oa_temp", "outdoor_air_db", "degF"),
                 Reading("oa_temp_dp", "outdoor_air_dew_point", "degF"),
                 Reading("sa_temp", "leaving_air_db", "degF"),
                 Reading("sa_temp_dp", "leaving_air_dew_point", "degF"),
                 Reading("zn_temp", "entering_air_db", "degF"),
                 Reading("zn_temp_dp", "entering_air_dew_point", "degF"),
                 Reading("sa_flow", "standard_air_flow", "cfm"),
                 Reading("local_pres", "barometric_pressure", "inHg"),
                 Reading("ref_flow", "refrigerant_flow", "lb/min"),
                 {.header = "stg", .label = document::ColumnLabel::kStage}};
  document::SteadyWindows& windows = *log.steady_windows;
  windows.delay_after_change_s = 480;
  const auto scatter = [&](std::string quantity, document::ToleranceFigure figure) {
    windows.tolerances.push_back(
        {.quantity = std::move(quantity), .greatest_standard_deviation = figure});
  };
  scatter("outdoor_air_db", Absolute(0.5, "delta_degF"));
  scatter("entering_air_db", Absolute(0.5, "delta_degF"));
  scatter("leaving_air_db", Absolute(0.5, "delta_degF"));
  scatter("outdoor_air_dew_point", Absolute(0.7, "delta_degF"));
  scatter("entering_air_dew_point", Absolute(0.7, "delta_degF"));
  scatter("leaving_air_dew_point", Absolute(0.7, "delta_degF"));
  scatter("outdoor_section_power", Fraction(0.02));
  scatter("standard_air_flow", Fraction(0.02));
  return log;
}

std::vector<std::vector<std::string>> ReadRows(const std::string& path) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream text(ReadData(path));
  for (std::string line; std::getline(text, line);) {
    rows.push_back(absl::StrSplit(line, ','));
  }
  return rows;
}

// (Two published scatters of 8e-15 K are of readings that are all the same: 0 here.)
// All 19 windows of the day, at the very rows, with the published means to the digits
// they are printed with (six significant ones).
TEST(ChamberDay, HasThePublishedWindows) {
  const std::string text = ReadData("nist-raw-minutes/day.csv");
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(ChamberManifest(), ChamberDay(), text));
  const auto published = ReadRows("nist-raw-minutes/published-windows.csv");
  ASSERT_EQ(published.size(), 20u);
  ASSERT_EQ(result.points.size(), 19u);
  EXPECT_EQ(result.report.row_count, 1440);
  EXPECT_EQ(result.report.duration_s, 1439 * 60);
  // Column of the publication, quantity, and whether it is the standard deviation.
  const std::tuple<std::string, std::string, bool> kColumns[] = {
      {"t_odb_c", "outdoor_air_db", false},
      {"t_odp_c", "outdoor_air_dew_point", false},
      {"t_idb_c", "entering_air_db", false},
      {"t_idp_c", "entering_air_dew_point", false},
      {"t_sdb_c", "leaving_air_db", false},
      {"t_sdp_c", "leaving_air_dew_point", false},
      {"airflow_std_m3s", "standard_air_flow", false},
      {"p_baro_pa", "barometric_pressure", false},
      {"m_ref_kgs", "refrigerant_flow", false},
      {"p_indoor_w", "indoor_fan_power", false},
      {"p_outdoor_w", "outdoor_section_power", false},
      {"sd_t_odb_k", "outdoor_air_db", true},
      {"sd_t_idb_k", "entering_air_db", true},
      {"sd_t_sdb_k", "leaving_air_db", true},
      {"sd_p_outdoor_w", "outdoor_section_power", true}};
  testing::OutsideCheck check(
      {.name = "points.steady_windows_of_a_chamber_day",
       .source = "Chen et al., arXiv 2301.13412, data of one day (tests/data/"
                 "nist-raw-minutes); windows and means of a table made from it",
       .tolerance = 6e-6});
  for (size_t i = 0; i < 19; ++i) {
    const document::TestPoint& point = result.points[i];
    const std::vector<std::string>& row = published[i + 1];
    SCOPED_TRACE(point.id);
    EXPECT_EQ(point.line, std::stoi(row[2]) + 2);  // behind the header, from 1
    check.Holds(absl::StrCat(point.id, " start"), point.line == std::stoi(row[2]) + 2);
    EXPECT_EQ(point.last_line, point.line + 9);
    EXPECT_EQ(point.id, absl::StrCat("day.csv:", point.line));
    EXPECT_EQ(point.stage, row[3]);
    EXPECT_EQ(point.block, "logs/day.csv");
    for (const auto& [heading, quantity, is_deviation] : kColumns) {
      const size_t column = static_cast<size_t>(
          std::find(published[0].begin(), published[0].end(), heading) -
          published[0].begin());
      const document::SiValue* value = point.FindValue(quantity);
      ASSERT_NE(value, nullptr) << quantity;
      const double figure =
          is_deviation ? *value->standard_deviation_si : value->value_si;
      const double expected = std::stod(row[column]);
      if (expected < 1e-14) {
        check.Absolute(absl::StrCat(point.id, " ", heading), figure, expected);
      } else {
        check.Relative(absl::StrCat(point.id, " ", heading), figure, expected);
      }
      EXPECT_GE(value->reading_count, 2);
      EXPECT_LE(value->reading_count, 10);
    }
  }
}

TEST(ChamberDay, SaysOfEveryRowWhatBecameOfIt) {
  const std::string text = ReadData("nist-raw-minutes/day.csv");
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(ChamberManifest(), ChamberDay(), text));
  int64_t next_line = 2;
  int windows = 0;
  for (const document::LogSpan& span : result.report.spans) {
    EXPECT_EQ(span.first_line, next_line);
    next_line = span.last_line + 1;
    windows += span.kind == LogSpanKind::kWindow;
    EXPECT_EQ(span.kind == LogSpanKind::kWindow, span.reason.empty());
  }
  EXPECT_EQ(next_line, 1442);
  EXPECT_EQ(windows, 19);
  EXPECT_EQ(SpanTexts(result)[0], "rejected 2-304 the unit is off");
  EXPECT_EQ(SpanTexts(result)[1],
            "rejected 305-305 leaving_air_dew_point above leaving_air_db");
  EXPECT_EQ(SpanTexts(result)[2], "rejected 306-312 within 480 s of a change");
  EXPECT_EQ(SpanTexts(result)[3],
            "rejected 313-317 only 300 s before a change; a window takes 600 s");
}

// tests/data/hp-measured-timeseries; its README: one start, on 56 % of the time, 1.36 to
// 2.31 kW, 1 s for 4 h.
document::LogFile BrineHeatPump() {
  document::LogFile log = SecondsLog();
  log.path = "logs/brine-water-hp-1s.csv";
  log.mode = "heating";
  log.time = {.header = "t_s", .format = "s"};
  log.steady_windows.reset();
  log.on_off_cycles = document::OnOffCycles{.signal = "compressor_on", .threshold = 0.5};
  log.columns = {Reading("t_water_return_k", "entering_hot_water_temp", "K"),
                 Reading("t_water_supply_k", "leaving_hot_water_temp", "K"),
                 Reading("power_w", "power_input", "W"),
                 Reading("t_amb_k", "ambient_air_db", "K"),
                 {.header = "pump_source_on", .unused_reason = "state"},
                 {.header = "compressor_on", .unused_reason = "state"},
                 {.header = "pump_sink_on", .unused_reason = "state"},
                 Reading("t_brine_out_k", "leaving_brine_temp", "K"),
                 Reading("t_brine_in_k", "entering_brine_temp", "K")};
  log.may_stand_still = {"ambient_air_db"};
  return log;
}

TEST(BrineHeatPump, IsOnAsLongAndTakesAsMuchAsPublished) {
  const std::string text = ReadData("hp-measured-timeseries/brine-water-hp-1s.csv");
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(SmallManifest(), BrineHeatPump(), text));
  const auto& figures = result.report.figures;
  EXPECT_EQ(result.report.row_count, 14366);
  EXPECT_EQ(FigureValue(figures, "start_count"), 1);
  EXPECT_EQ(FigureValue(figures, "cycle_count"), 0);
  EXPECT_NEAR(FigureValue(figures, "on_time_fraction"), 0.56, 0.005);
  EXPECT_NEAR(FigureValue(figures, "power_on_least"), 1360, 5);
  EXPECT_NEAR(FigureValue(figures, "power_on_greatest"), 2310, 5);
  // By the rows themselves: ten minutes behind the stop the pumps have stopped, too.
  double sum = 0;
  int count = 0;
  const auto rows = ReadRows("hp-measured-timeseries/brine-water-hp-1s.csv");
  for (size_t i = 1; i < rows.size(); ++i) {
    if (std::stod(rows[i][0]) < 8148 + 600) continue;
    sum += std::stod(rows[i][3]);
    ++count;
  }
  EXPECT_GT(count, 5000);
  EXPECT_NEAR(FigureValue(figures, "standby_power"), sum / count, 0.02);
  EXPECT_LT(FigureValue(figures, "standby_power"), 10);
  EXPECT_EQ(SpanTexts(result),
            (std::vector<std::string>{
                "rejected 2-131 before the first start",
                "rejected 132-14367 incomplete cycle before the end of the log"}));
}

// A heat pump that heats a tank never comes to rest: its water warms all the while, so
// windows pass by a spread that the ramp stays within, and not by half of it.
TEST(BrineHeatPump, IsSteadyOnlyWithinItsRamp) {
  const std::string text = ReadData("hp-measured-timeseries/brine-water-hp-1s.csv");
  document::LogFile log = BrineHeatPump();
  log.on_off_cycles.reset();
  log.steady_windows = document::SteadyWindows{.length_s = 600};
  log.steady_windows->tolerances = {
      {.quantity = "leaving_hot_water_temp", .greatest_spread = Absolute(3.0, "delta_K")},
      {.quantity = "power_input", .greatest_standard_deviation = Fraction(0.05)}};
  ASSERT_OK_AND_ASSIGN(const LogResult wide, Cut(SmallManifest(), log, text));
  ASSERT_FALSE(wide.points.empty());
  for (const document::TestPoint& point : wide.points) {
    EXPECT_EQ(point.last_line - point.line, 599);
    EXPECT_LE(*point.FindValue("leaving_hot_water_temp")->spread_si, 3.0 + 1e-9);
    // A ramp has next to no independent readings.
    EXPECT_LT(point.FindValue("leaving_hot_water_temp")->reading_count, 60);
  }
}

}  // namespace
}  // namespace ratebound::points
