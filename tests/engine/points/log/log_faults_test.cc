// Bad logs: each is named with its line.
#include <string>

#include "absl/strings/str_cat.h"
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
using testing::StatusIs;

constexpr char kHeader[] = "t,outdoor_air_db[degC],power_input[W]\n";

struct FaultCase {
  std::string name;
  std::string text;
  std::string fault;
};

class LogFaultTest : public ::testing::TestWithParam<FaultCase> {};

TEST_P(LogFaultTest, IsToldWithItsPlace) {
  EXPECT_THAT(Cut(SmallManifest(), SecondsLog(), GetParam().text),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(GetParam().fault)));
}

INSTANTIATE_TEST_SUITE_P(
    Texts, LogFaultTest,
    ::testing::Values(
        FaultCase{"Empty", "", "logs/day1.csv: file is empty"},
        FaultCase{"HeaderOnly", kHeader,
                  "logs/day1.csv:2: file has a header and no rows"},
        FaultCase{"NoTime", "x,power_input[W]\n1,2\n",
                  "logs/day1.csv:1: file has no heading 't'"},
        FaultCase{"UnknownHeading", "t,powr_input[W]\n1,2\n",
                  "did you mean 'power_input"},
        FaultCase{"NoStamp", absl::StrCat(kHeader, "0,35,1\nlater,35,1\n"),
                  "logs/day1.csv:3:1: 'later' is no time stamp of the format 's'"},
        FaultCase{"ClockGoesBack", absl::StrCat(kHeader, "0,35,1\n60,35,1\n30,35,1\n"),
                  "logs/day1.csv:4:1: the clock goes back to '30', by 30 s"},
        FaultCase{"StampTwice", absl::StrCat(kHeader, "0,35,1\n60,35,1\n60,35,1\n"),
                  "logs/day1.csv:4:1: time stamp '60' stands twice"},
        FaultCase{"NoNumber", absl::StrCat(kHeader, "0,35,1\n60,x,1\n"),
                  "logs/day1.csv:3:4: 'x' is no number"},
        FaultCase{"Ragged", absl::StrCat(kHeader, "0,35,1\n60,35\n"),
                  "logs/day1.csv:3: row has 2 cells where the header has 3"},
        FaultCase{"PointColumn", "t,point,power_input[W]\n1,a,2\n",
                  "logs/day1.csv:1:3: a log has no column of points"},
        FaultCase{"UnknownStage", "t,stage,power_input[W]\n1,7,2\n",
                  "logs/day1.csv:2: unknown stage '7'"},
        FaultCase{
            "MostlyImplausible", absl::StrCat(kHeader, "0,95,1\n60,96,1\n120,35,1\n"),
            "logs/day1.csv:2: outdoor_air_db is outside what is plausible in 2 of 3 "
            "rows"},
        FaultCase{"MostlyWetBulbAboveDryBulb",
                  "t,entering_air_db[degC],entering_air_wb[degC]\n0,20,25\n60,20,25\n",
                  "logs/day1.csv:2: entering_air_wb is above entering_air_db in 2 of 2 "
                  "rows"}),
    [](const auto& each) { return each.param.name; });

TEST(LogFaults, AreAllTold) {
  const auto result = Cut(SmallManifest(), SecondsLog(),
                          absl::StrCat(kHeader, "0,35,1\nx,35,1\n60,y,1\n60,35,1\n"));
  EXPECT_THAT(result, StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("'x'")));
  EXPECT_THAT(result, StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("'y'")));
  EXPECT_THAT(result, StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("twice")));
}

struct PlanCase {
  std::string name;
  void (*change)(document::LogFile&);
  std::string fault;
};

class LogPlanTest : public ::testing::TestWithParam<PlanCase> {};

TEST_P(LogPlanTest, IsRefusedByItsField) {
  document::LogFile log = SecondsLog();
  GetParam().change(log);
  EXPECT_THAT(Cut(SmallManifest(), log, absl::StrCat(kHeader, "0,35,1\n60,36,1\n")),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(GetParam().fault)));
}

using L = document::LogFile;
INSTANTIATE_TEST_SUITE_P(
    Plans, LogPlanTest,
    ::testing::Values(
        PlanCase{"Unit", [](L& log) { log.unit = "v"; }, "unknown unit 'v'"},
        PlanCase{"Mode", [](L& log) { log.mode = "coling"; }, "did you mean 'cooling'"},
        PlanCase{"NoCut", [](L& log) { log.steady_windows.reset(); },
                 "0 ways of cutting"},
        PlanCase{"TwoCuts",
                 [](L& log) {
                   log.frost_cycles = {
                       .least_cycles = 3, .least_time_s = 10800, .most_time_s = 43200};
                 },
                 "2 ways of cutting"},
        PlanCase{"Length", [](L& log) { log.steady_windows->length_s = 0; },
                 "steady_windows.length_s: is 0"},
        PlanCase{"Format", [](L& log) { log.time.format = "minutes"; }, "time format"},
        PlanCase{"Still", [](L& log) { log.may_stand_still = {"powr"}; },
                 "may_stand_still"},
        PlanCase{"ToleranceWithoutColumn",
                 [](L& log) {
                   log.steady_windows->tolerances = {
                       {.quantity = "air_flow", .greatest_spread = Fraction(0.1)}};
                 },
                 "no column measures air_flow"},
        PlanCase{"ChangeWithoutTolerance",
                 [](L& log) { log.steady_windows->change_on = {"power_input"}; },
                 "change_on names power_input, which has no tolerance"},
        PlanCase{"FrostWithoutSignal",
                 [](L& log) {
                   log.steady_windows.reset();
                   log.frost_cycles = {.signal = "valve",
                                       .threshold = 1,
                                       .least_cycles = 3,
                                       .least_time_s = 10800,
                                       .most_time_s = 43200};
                 },
                 "no column is the signal 'valve'"},
        PlanCase{"FrostWithoutCapacity",
                 [](L& log) {
                   log.steady_windows.reset();
                   log.frost_cycles = {.signal = "power_input",
                                       .threshold = 1,
                                       .least_cycles = 3,
                                       .least_time_s = 10800,
                                       .most_time_s = 43200};
                 },
                 "no column gives total_capacity"},
        PlanCase{
            "OwnColumnMissing",
            [](L& log) { log.columns = {{.header = "x", .unused_reason = "spare"}}; },
            "file has no heading 'x'"}),
    [](const auto& each) { return each.param.name; });

TEST(LogFaults, OfIgnoredRowsAreNone) {
  document::LogFile log = SecondsLog();
  log.ignored_spans = {{.first_line = 3, .last_line = 5, .reason = "power cut"}};
  const std::string text =
      absl::StrCat(kHeader, "0,35,1\n60,x,1\n30\nnever,nan,nan\n120,36,1\n180,35,1\n");
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  EXPECT_EQ(result.report.row_count, 6);
  EXPECT_THAT(SpanTexts(result), ::testing::Contains("ignored 3-5 power cut"));
}

// Found by the fuzzer: the row that is left out ends behind the span that names it.
TEST(LogFaults, AnIgnoredRowMayEndBehindItsSpan) {
  document::LogFile log = SecondsLog();
  log.ignored_spans = {{.first_line = 3, .last_line = 3, .reason = "note"}};
  const std::string text =
      absl::StrCat(kHeader, "0,35,1\n\"a\nb\nc\",x,y\n60,35,2\n120,36,1\n");
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  EXPECT_THAT(SpanTexts(result), ::testing::Contains("ignored 3-3 note"));
}

TEST(LogFaults, AClockSetBackWithinIgnoredRowsGoesOn) {
  document::LogFile log = SecondsLog();
  log.ignored_spans = {{.first_line = 4, .last_line = 4, .reason = "summer time ends"}};
  std::string text = absl::StrCat(kHeader, "0,35,1\n60,36,1\n120,35,1\n");
  for (int i = 0; i < 12; ++i) absl::StrAppend(&text, 60 * i, ",", 35 + i % 2, ",1\n");
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  EXPECT_EQ(result.report.duration_s, 60 + 60 + 11 * 60);
  ASSERT_THAT(result.points, SizeIs(1));
  EXPECT_EQ(result.points[0].line, 5);
}

TEST(LogStamps, PassMidnightAndGiveTheDay) {
  document::LogFile log = SecondsLog();
  log.time.format = "%H:%M:%S";
  log.tested_on = "2026-03-31";
  std::string text = kHeader;
  for (int i = 0; i < 12; ++i) {
    absl::StrAppend(&text, i < 6 ? "23:5" : "00:0", i < 6 ? i + 4 : i - 6, ":00,",
                    35 + i % 2, ",1\n");
  }
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  EXPECT_EQ(result.report.duration_s, 660);
  ASSERT_THAT(result.points, SizeIs(1));
  EXPECT_EQ(result.points[0].tested_on, "2026-03-31");

  log.time.format = "iso8601";
  text = kHeader;
  for (int i = 0; i < 10; ++i) {
    absl::StrAppend(&text, "2026-04-01T00:0", i, ",", 35 + i % 2, ",1\n");
  }
  ASSERT_OK_AND_ASSIGN(const LogResult dated, Cut(SmallManifest(), log, text));
  ASSERT_THAT(dated.points, SizeIs(1));
  EXPECT_EQ(dated.points[0].tested_on, "2026-04-01");
}

// Power moves all the while; the dry bulb freezes from minute 25 to 80. Windows that
// reach into the frozen span go, although they were cut before it showed.
TEST(StuckSensor, WithdrawsWindowsThatRestOnIt) {
  document::LogFile log = SecondsLog();
  std::string text = kHeader;
  for (int i = 0; i < 120; ++i) {
    const bool stuck = i >= 25 && i < 80;
    absl::StrAppend(&text, 60 * i, ",35.", stuck ? 7 : i % 3, ",1000.", i % 2, "\n");
  }
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  EXPECT_THAT(SpanTexts(result),
              ElementsAre("window 2-11 day1.csv:2", "window 12-21 day1.csv:12",
                          "rejected 22-31 outdoor_air_db unchanged for 1800 s",
                          "rejected 32-41 outdoor_air_db unchanged for 1800 s",
                          "rejected 42-51 outdoor_air_db unchanged for 1800 s",
                          "rejected 52-56 outdoor_air_db unchanged for 1800 s",
                          "rejected 57-81 outdoor_air_db unchanged for 1800 s",
                          "window 82-91 day1.csv:82", "window 92-101 day1.csv:92",
                          "window 102-111 day1.csv:102", "window 112-121 day1.csv:112"));
  ASSERT_THAT(result.points, SizeIs(6));
  ASSERT_THAT(result.findings, SizeIs(1));
  EXPECT_EQ(result.findings[0].severity, document::Severity::kWarning);
  EXPECT_EQ(result.findings[0].line, 27);
  EXPECT_THAT(
      result.findings[0].message,
      HasSubstr("outdoor_air_db stands still to the last digit for up to 3240 s"));
  log.may_stand_still = {"outdoor_air_db"};
  ASSERT_OK_AND_ASSIGN(const LogResult allowed, Cut(SmallManifest(), log, text));
  EXPECT_THAT(allowed.points, SizeIs(12));
  EXPECT_THAT(allowed.findings, IsEmpty());
}

TEST(RowScreen, TakesAPowerMetersZeroAsItIs) {
  std::string text = kHeader;
  for (int i = 0; i < 10; ++i) {
    absl::StrAppend(&text, 60 * i, ",35.", i, ",", i % 2 ? "-11\n" : "-9\n");
  }
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), SecondsLog(), text));
  ASSERT_THAT(result.points, SizeIs(1));
  EXPECT_DOUBLE_EQ(*result.points[0].Find("power_input"), -10);
}

TEST(LogIntake, LeavesSpansOutWithANote) {
  document::LogFile log = SecondsLog();
  log.steady_windows->length_s = 5;
  std::string text = kHeader;
  for (int i = 0; i < 36000; ++i) {  // a bad row in each three
    absl::StrAppend(&text, i, ",", i % 3 ? "35" : "-99", ",", i % 7, "\n");
  }
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  EXPECT_THAT(result.report.spans, SizeIs(LogIntake::kMostSpans));
  EXPECT_THAT(result.findings.back().message,
              HasSubstr("the report holds the first 10000 spans; 14000 more"));
}

}  // namespace
}  // namespace ratebound::points
