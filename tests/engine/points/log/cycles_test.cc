// Cycles of frost and of on and off with integrals that are known exactly.
#include <cmath>
#include <string>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/log/log_files.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

constexpr int kCycleS = 3000;
constexpr int kDefrostS = 300;

document::LogFile FrostLog() {
  document::LogFile log = SecondsLog();
  log.mode = "heating";
  log.regime = "frosting";
  log.steady_windows.reset();
  log.frost_cycles = {.signal = "reversing_valve",
                      .threshold = 0.5,
                      .least_cycles = 3,
                      .least_time_s = 9000,
                      .most_time_s = 12000};
  log.columns = {{.header = "reversing_valve", .unused_reason = "state"}};
  log.may_stand_still = {"power_input"};
  return log;
}

// Rows 10 s apart; each cycle of 3000 s ends in a defrost of 300 s. Capacity falls in a
// straight line from 8000 W to 6000 W and is -1000 W in the defrost, with ramps of one
// step between; power is 2000 W and 500 W.
double CapacityAt(int of_cycle_s) {
  return of_cycle_s < kCycleS - kDefrostS ? 8000 - 2000.0 * of_cycle_s / 2690 : -1000;
}
double PowerAt(int of_cycle_s) { return of_cycle_s < kCycleS - kDefrostS ? 2000 : 500; }

std::string FrostText(int duration_s, int start_s = 0, bool with_capacity = true) {
  std::string text = "t,reversing_valve,outdoor_air_db[degC],power_input[kW]";
  text += with_capacity ? ",heating_capacity[W]\n" : ",supply_voltage[V]\n";
  for (int s = start_s; s <= duration_s; s += 10) {
    const int of_cycle_s = s % kCycleS;
    absl::StrAppendFormat(&text, "%d,%d,%.2f,%.3f,%s\n", s,
                          of_cycle_s >= kCycleS - kDefrostS ? 1 : 0,
                          1 + 0.01 * (s / 10 % 2), PowerAt(of_cycle_s) / 1000,
                          with_capacity ? absl::StrFormat("%.10f", CapacityAt(of_cycle_s))
                                        : absl::StrFormat("%.10f", 230 + s % 7 * 0.1));
  }
  return text;
}

// By hand: 2690 s of the line (mean 7000), a ramp of 10 s from 6000 to -1000 (mean 2500),
// 290 s at -1000, a ramp of 10 s from -1000 to 8000 (mean 3500).
constexpr double kHeatJ = 2690 * 7000.0 + 10 * 2500.0 - 290 * 1000.0 + 10 * 3500.0;
constexpr double kEnergyJ = 2690 * 2000.0 + 10 * 1250.0 + 290 * 500.0 + 10 * 1250.0;

TEST(FrostCycles, IntegrateWholeCyclesExactly) {
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(SmallManifest(), FrostLog(), FrostText(14000, 500)));
  ASSERT_THAT(result.points, SizeIs(1));
  const document::TestPoint& point = result.points[0];
  EXPECT_NEAR(*point.Find("integrated_heating_capacity"), kHeatJ / kCycleS, 1e-9 * 7000);
  EXPECT_NEAR(*point.Find("power_input"), kEnergyJ / kCycleS, 1e-9 * 2000);
  EXPECT_NEAR(*point.Find("outdoor_air_db"), 1.005, 1e-12);
  EXPECT_FALSE(point.Find("heating_capacity").has_value());
  EXPECT_NEAR(*point.FindValue("integrated_heating_capacity")->standard_deviation_si, 0,
              1e-6);
  EXPECT_EQ(point.FindValue("integrated_heating_capacity")->reading_count, 3);
  EXPECT_EQ(point.regime, "frosting");
  // The first row behind the first defrost is at 3000 s: line 2 + (3000 - 500) / 10.
  EXPECT_EQ(point.line, 252);
  EXPECT_EQ(point.last_line, 252 + 3 * 300 - 1);
  ASSERT_THAT(result.report.cycles, SizeIs(3));
  for (const document::CycleSummary& cycle : result.report.cycles) {
    EXPECT_EQ(FigureValue(cycle.figures, "duration"), kCycleS);
    EXPECT_EQ(FigureValue(cycle.figures, "defrost_time"), kDefrostS);
    EXPECT_NEAR(FigureValue(cycle.figures, "delivered_heat"), kHeatJ, 1e-9 * kHeatJ);
    EXPECT_NEAR(FigureValue(cycle.figures, "electric_energy"), kEnergyJ, 1e-9 * kEnergyJ);
  }
  EXPECT_EQ(FigureValue(result.report.figures, "duration"), 9000);
  EXPECT_THAT(SpanTexts(result),
              ElementsAre("rejected 2-251 before the end of the first defrost",
                          "cycle 252-551 day1.csv:252", "cycle 552-851 day1.csv:252",
                          "cycle 852-1151 day1.csv:252",
                          "rejected 1152-1352 behind the cycles of the point"));
}

TEST(FrostCycles, ReduceRowsWhereNoColumnGivesCapacity) {
  int calls = 0;
  const RowReducer reducer = [&](std::span<const RowReading> readings) {
    ++calls;
    RowFigures figures;
    for (const RowReading& reading : readings) {
      if (reading.quantity == "power_input") figures.capacity_w = 3 * reading.value_si;
    }
    return figures;
  };
  ASSERT_OK_AND_ASSIGN(
      const LogResult result,
      Cut(SmallManifest(), FrostLog(), FrostText(14000, 0, false), {}, reducer));
  ASSERT_THAT(result.points, SizeIs(1));
  EXPECT_EQ(calls, 1401);
  EXPECT_NEAR(*result.points[0].Find("integrated_heating_capacity"),
              3 * kEnergyJ / kCycleS, 1e-6);
}

TEST(FrostCycles, TooFewMakeNoPoint) {
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(SmallManifest(), FrostLog(), FrostText(11000)));
  EXPECT_THAT(result.points, IsEmpty());
  EXPECT_THAT(result.report.cycles, IsEmpty());
  ASSERT_THAT(result.findings, SizeIs(1));
  EXPECT_THAT(result.findings[0].message,
              HasSubstr("2 whole cycles of frost and defrost in a row, and 3 of them and "
                        "9000 s"));
  EXPECT_THAT(
      SpanTexts(result),
      ElementsAre("rejected 2-301 before the end of the first defrost",
                  "rejected 302-601 2 whole cycles, 6000 s, before the end of the "
                  "log; 3 and 9000 s are asked for",
                  "rejected 602-901 2 whole cycles, 6000 s, before the end of the "
                  "log; 3 and 9000 s are asked for",
                  "rejected 902-1102 incomplete cycle before the end of the log"));
}

TEST(FrostCycles, StopAtTheMostTime) {
  document::LogFile log = FrostLog();
  log.frost_cycles->least_cycles = 9;
  log.frost_cycles->most_time_s = 10000;
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(SmallManifest(), log, FrostText(30000)));
  ASSERT_THAT(result.points, SizeIs(1));
  EXPECT_THAT(result.report.cycles, SizeIs(3));
  EXPECT_THAT(result.findings[0].message,
              HasSubstr("the point is of 3 cycles in 9000 s"));
  EXPECT_EQ(result.findings[0].severity, document::Severity::kNote);
}

TEST(FrostCycles, DoNotReachOverAGap) {
  std::string text = FrostText(8000);
  // The same again an hour later.
  const std::string more = FrostText(30000, 12000);
  text += more.substr(more.find('\n') + 1);
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), FrostLog(), text));
  ASSERT_THAT(result.points, SizeIs(1));
  EXPECT_EQ(result.points[0].line, 2 + 801 + 300);
  EXPECT_THAT(SpanTexts(result)[1],
              "rejected 302-601 1 whole cycles, 3000 s, before a gap; 3 and 9000 s are "
              "asked for");
}

// Capacity and power jump at start and stop; on 360 s, off 1440 s. The delivered heat and
// energy are set so that the degradation is known.
std::string OnOffText(int cycles, double on_w, double power_on_w, double power_off_w,
                      int first_off_rows) {
  std::string text = "t,compressor_state,total_capacity[W],power_input[W]\n";
  int s = 0;
  const auto add = [&](int rows, bool on) {
    for (int i = 0; i < rows; ++i, s += 10) {
      absl::StrAppendFormat(&text, "%d,%d,%.6f,%.6f\n", s, on ? 1 : 0, on ? on_w : 0.0,
                            on ? power_on_w : power_off_w);
    }
  };
  add(first_off_rows, false);
  for (int k = 0; k < cycles; ++k) {
    add(36, true);
    add(144, false);
  }
  add(1, true);
  return text;
}

document::LogFile OnOffLog() {
  document::LogFile log = SecondsLog();
  log.steady_windows.reset();
  log.on_off_cycles = document::OnOffCycles{
      .signal = "compressor_state", .threshold = 0.5, .warm_up_cycles = 2};
  log.columns = {{.header = "compressor_state", .unused_reason = "state"}};
  return log;
}

// The form of 10 CFR 430 Subpart B Appendix M1, 3.5.3 (from memory), worked by hand: Q_ss
// 10000 W, P_ss 2500 W (efficiency 4). While on 9000 W and 2400 W, while off 40 W. The
// trapezoid gives each jump half a step on either side, so a cycle has 360 s of either
// state: q = 3.24 MJ, E = 0.864 MJ + 57.6 kJ = 0.9216 MJ, cyclic efficiency 3.515625; CLF
// = 3.24e6 / (1e4 * 1800) = 0.18; C_D = (1 - 3.515625 / 4) / 0.82.
TEST(OnOffCycles, GiveTheDegradationWorkedByHand) {
  const std::string text = OnOffText(5, 9000, 2400, 40, 100);
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(SmallManifest(), OnOffLog(), text, {}, {},
                           SteadyReference{.capacity_w = 10000, .power_w = 2500}));
  ASSERT_THAT(result.report.cycles, SizeIs(3));
  for (const document::CycleSummary& cycle : result.report.cycles) {
    EXPECT_EQ(FigureValue(cycle.figures, "duration"), 1800);
    EXPECT_EQ(FigureValue(cycle.figures, "on_time"), 360);
    EXPECT_EQ(FigureValue(cycle.figures, "off_time"), 1440);
    EXPECT_NEAR(FigureValue(cycle.figures, "delivered_heat"), 3.24e6, 1e-3);
    EXPECT_NEAR(FigureValue(cycle.figures, "electric_energy"), 0.9216e6, 1e-3);
    EXPECT_NEAR(FigureValue(cycle.figures, "load_factor"), 0.18, 1e-12);
    EXPECT_NEAR(FigureValue(cycle.figures, "degradation_coefficient"),
                (1 - 3.515625 / 4) / 0.82, 1e-12);
  }
  const auto& figures = result.report.figures;
  EXPECT_NEAR(FigureValue(figures, "degradation_coefficient"), (1 - 3.515625 / 4) / 0.82,
              1e-12);
  EXPECT_NEAR(FigureValue(figures, "cyclic_efficiency_repeatability"), 0, 1e-12);
  EXPECT_NEAR(FigureValue(figures, "standby_power"), 40, 1e-9);
  EXPECT_NEAR(FigureValue(figures, "standby_share_coefficient"), 1 - 40 / 2500.0, 1e-12);
  EXPECT_EQ(FigureValue(figures, "start_count"), 6);
  EXPECT_EQ(FigureValue(figures, "cycle_count"), 3);
  EXPECT_EQ(SpanTexts(result)[1], "rejected 102-281 warm-up cycle 1 of 2");
  EXPECT_EQ(SpanTexts(result)[3], "cycle 462-641 ");
  EXPECT_EQ(SpanTexts(result).back(),
            "rejected 1002-1002 incomplete cycle before the end of the log");
}

TEST(OnOffCycles, GiveOnlyPowersWithoutCapacity) {
  std::string text = "t,compressor_state,power_input[W]\n";
  for (int s = 0; s < 20000; s += 10) {
    const bool on = s % 2000 >= 1000;
    absl::StrAppend(&text, s, ",", on ? 1 : 0, ",", on ? 2000 : 30, "\n");
  }
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), OnOffLog(), text));
  EXPECT_THAT(result.report.cycles, SizeIs(7));
  EXPECT_EQ(FindFigure(result.report.figures, "delivered_heat"), nullptr);
  EXPECT_EQ(FindFigure(result.report.figures, "degradation_coefficient"), nullptr);
  EXPECT_NEAR(FigureValue(result.report.figures, "on_time_fraction"), 0.5, 1e-3);
  EXPECT_NEAR(FigureValue(result.report.figures, "standby_power"), 30, 1e-9);
}

TEST(OnOffCycles, AGapEndsTheCycleAtHand) {
  std::string text = OnOffText(4, 9000, 2400, 40, 10);
  std::string behind = OnOffText(6, 9000, 2400, 40, 10);
  const int shift = 20000;
  size_t at = behind.find('\n') + 1;
  while (at < behind.size()) {
    const size_t comma = behind.find(',', at);
    const size_t end = behind.find('\n', at);
    absl::StrAppend(&text, std::stoi(behind.substr(at, comma - at)) + shift,
                    behind.substr(comma, end - comma), "\n");
    at = end + 1;
  }
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), OnOffLog(), text));
  EXPECT_THAT(result.report.cycles, SizeIs(2 + 6));
  for (const document::CycleSummary& cycle : result.report.cycles) {
    EXPECT_EQ(FigureValue(cycle.figures, "duration"), 1800);
  }
}

}  // namespace
}  // namespace ratebound::points
