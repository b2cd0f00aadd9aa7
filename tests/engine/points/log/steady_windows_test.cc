// Windows of logs whose truth is known, and against a plain search over all rows.
#include "engine/points/log/steady_windows.h"

#include <cmath>
#include <set>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/log/log_files.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::SizeIs;

// Rows a minute apart: outdoor dry bulb and power by minute.
std::string MinuteLog(int rows, const std::function<double(int)>& outdoor_f,
                      const std::function<double(int)>& power_w,
                      const std::function<std::string(int)>& stage = {}) {
  std::string text = "t,outdoor_air_db[degF],power_input[W]";
  text += stage ? ",stage\n" : "\n";
  for (int i = 0; i < rows; ++i) {
    absl::StrAppend(&text, 60 * i, ",",
                    absl::StrFormat("%.1f,%.1f", outdoor_f(i), power_w(i)),
                    stage ? absl::StrCat(",", stage(i)) : std::string(), "\n");
  }
  return text;
}

double Wiggle(int i) { return i % 2 == 0 ? 0.1 : -0.1; }

document::LogFile SpreadLog(double spread_f) {
  document::LogFile log = SecondsLog();
  log.stuck_after_s = 0;
  log.steady_windows->tolerances = {
      {.quantity = "outdoor_air_db",
       .greatest_spread = Absolute(spread_f, "delta_degF")}};
  return log;
}

TEST(SteadyWindows, CutsALongSteadySpanIntoSeveral) {
  const std::string text = MinuteLog(
      35, [](int i) { return 95 + Wiggle(i); }, [](int i) { return 1000 + Wiggle(i); });
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(SmallManifest(), SpreadLog(0.5), text));
  EXPECT_THAT(SpanTexts(result),
              ElementsAre("window 2-11 day1.csv:2", "window 12-21 day1.csv:12",
                          "window 22-31 day1.csv:22",
                          "rejected 32-36 only 300 s before the end of the log; a window "
                          "takes 600 s"));
  const document::TestPoint& point = result.points[1];
  EXPECT_EQ(point.line, 12);
  EXPECT_EQ(point.last_line, 21);
  EXPECT_EQ(point.stage, "1");
  const document::SiValue* outdoor = point.FindValue("outdoor_air_db");
  EXPECT_NEAR(outdoor->value_si, 35, 1e-12);
  EXPECT_NEAR(*outdoor->spread_si, 0.2 / 1.8, 1e-12);
  EXPECT_NEAR(*outdoor->standard_deviation_si, 0.1 * std::sqrt(10 / 9.0) / 1.8, 1e-12);
  EXPECT_EQ(outdoor->reading_count, 10);  // alternating claims no more than independent
  EXPECT_EQ(result.report.spans[0].start_s, 0);
  EXPECT_EQ(result.report.spans[0].end_s, 600);
}

// A step of 2 degF at minute 15: the window across it fails, rows are passed over until
// the step is behind, and the reason tells the worst.
TEST(SteadyWindows, TellsWhichQuantityMovedByHowMuch) {
  const std::string text = MinuteLog(
      40, [](int i) { return (i < 15 ? 95 : 97) + Wiggle(i); }, [](int) { return 1000; });
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(SmallManifest(), SpreadLog(0.5), text));
  EXPECT_THAT(SpanTexts(result),
              ElementsAre("window 2-11 day1.csv:2",
                          "rejected 12-16 outdoor_air_db spread 2.2 degF, allowed 0.5",
                          "window 17-26 day1.csv:17", "window 27-36 day1.csv:27",
                          "rejected 37-41 only 300 s before the end of the log; a window "
                          "takes 600 s"));
}

TEST(SteadyWindows, AFigureEqualToItsToleranceInDecimalsPasses) {
  // 80.3 - 79.8 is above 0.5 in binary; other decimals fall on either side.
  for (double low = 60; low < 110; low += 0.1) {
    const std::string text = MinuteLog(
        11, [&](int i) { return low + (i % 2) * 0.5; }, [](int) { return 1000; });
    ASSERT_OK_AND_ASSIGN(const LogResult at, Cut(SmallManifest(), SpreadLog(0.5), text));
    EXPECT_THAT(at.points, SizeIs(1)) << low;
    ASSERT_OK_AND_ASSIGN(const LogResult above,
                         Cut(SmallManifest(), SpreadLog(0.499), text));
    EXPECT_THAT(above.points, SizeIs(0)) << low;
  }
}

struct ToleranceCase {
  std::string name;
  document::TestTolerance tolerance;
  std::optional<double> set_point_c;
  double outdoor_f[3];  // in turn
  std::string reason;   // empty where it passes
};

class ToleranceTest : public ::testing::TestWithParam<ToleranceCase> {};

TEST_P(ToleranceTest, Judges) {
  const ToleranceCase& c = GetParam();
  document::LogFile log = SecondsLog();
  log.steady_windows->tolerances = {c.tolerance};
  if (c.set_point_c) {
    log.steady_windows->set_points = {{.quantity = c.tolerance.quantity,
                                       .value = *c.set_point_c,
                                       .unit = "degC",
                                       .value_si = *c.set_point_c}};
  }
  const std::string text = MinuteLog(
      12, [&](int i) { return c.outdoor_f[i % 3]; },
      [&](int i) { return 10 * c.outdoor_f[i % 3]; });
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  if (c.reason.empty()) {
    EXPECT_THAT(result.points, SizeIs(1));
  } else {
    EXPECT_THAT(result.report.spans[0].reason, HasSubstr(c.reason));
  }
}

document::TestTolerance Tolerance(const char* quantity) { return {.quantity = quantity}; }
document::TestTolerance With(
    document::TestTolerance tolerance,
    std::optional<document::ToleranceFigure> document::TestTolerance::*member,
    document::ToleranceFigure figure) {
  tolerance.*member = figure;
  return tolerance;
}

using T = document::TestTolerance;
INSTANTIATE_TEST_SUITE_P(
    Kinds, ToleranceTest,
    ::testing::Values(
        ToleranceCase{"DeviationFromMeanPasses",
                      With(Tolerance("outdoor_air_db"), &T::greatest_deviation,
                           Absolute(1.2, "delta_degF")),
                      {},
                      {94, 95, 96},
                      ""},
        ToleranceCase{"DeviationFromSetPointFails",
                      With(Tolerance("outdoor_air_db"), &T::greatest_deviation,
                           Absolute(1.2, "delta_degF")),
                      36.0,
                      {94, 95, 96},
                      "outdoor_air_db deviation 2.8 degF, allowed 1.2"},
        ToleranceCase{"MeanAgainstSetPoint",
                      With(Tolerance("outdoor_air_db"), &T::mean_deviation,
                           Absolute(0.5, "delta_K")),
                      36.0,
                      {94, 95, 96},
                      "outdoor_air_db mean off its set point by"},
        ToleranceCase{"MeanWithoutSetPointIsNotJudged",
                      With(Tolerance("outdoor_air_db"), &T::mean_deviation,
                           Absolute(0.5, "delta_K")),
                      {},
                      {94, 95, 96},
                      ""},
        ToleranceCase{"RelativeStandardDeviationOfTheMean",
                      With(Tolerance("power_input"), &T::greatest_standard_deviation,
                           Fraction(0.008)),
                      {},
                      {94, 95, 96},
                      "power_input standard deviation 0.923 % of the mean, allowed 0.8"},
        ToleranceCase{"RelativeStandardDeviationPasses",
                      With(Tolerance("power_input"), &T::greatest_standard_deviation,
                           Fraction(0.0093)),
                      {},
                      {94, 95, 96},
                      ""},
        ToleranceCase{"RelativeSpread",
                      With(Tolerance("power_input"), &T::greatest_spread, Fraction(0.02)),
                      {},
                      {94, 95, 96},
                      "power_input spread 2.11 % of the mean, allowed 2"}),
    [](const auto& each) { return each.param.name; });

TEST(SteadyWindows, WaitsAfterAChangeOfStageAndKeepsStagesApart) {
  document::LogFile log = SpreadLog(0.5);
  log.stage.clear();
  log.off_stages = {"0"};
  log.steady_windows->delay_after_change_s = 180;
  const std::string text = MinuteLog(
      45, [](int) { return 95; }, [](int) { return 1000; },
      [](int i) { return i < 2    ? "0"
                         : i < 20 ? "1"
                                  : "2"; });
  log.stuck_after_s = 0;
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  EXPECT_THAT(
      SpanTexts(result),
      ElementsAre("rejected 2-3 the unit is off", "rejected 4-6 within 180 s of a change",
                  "window 7-16 day1.csv:7",
                  "rejected 17-21 only 300 s before a change; a window takes 600 s",
                  "rejected 22-24 within 180 s of a change", "window 25-34 day1.csv:25",
                  "window 35-44 day1.csv:35",
                  "rejected 45-46 only 120 s before the end of the log; a window takes "
                  "600 s"));
  EXPECT_EQ(result.points[0].stage, "1");
  EXPECT_EQ(result.points[1].stage, "2");
}

TEST(SteadyWindows, AStepOfAChangeQuantityStartsTheDelayAnew) {
  document::LogFile log = SpreadLog(0.5);
  log.steady_windows->delay_after_change_s = 120;
  log.steady_windows->change_on = {"outdoor_air_db"};
  log.stuck_after_s = 0;
  const std::string text = MinuteLog(
      24, [](int i) { return i < 8 ? 95 : 97; }, [](int) { return 1000; });
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  EXPECT_THAT(
      SpanTexts(result),
      ElementsAre("rejected 2-3 within 120 s of a change",
                  "rejected 4-9 only 360 s before a change; a window takes 600 s",
                  "rejected 10-11 within 120 s of a change", "window 12-21 day1.csv:12",
                  "rejected 22-25 only 240 s before the end of the log; a window "
                  "takes 600 s"));
}

TEST(SteadyWindows, HoldsNoGapIgnoredOrRejectedRow) {
  document::LogFile log = SpreadLog(0.5);
  log.ignored_spans = {{.first_line = 20, .last_line = 21, .reason = "door open"}};
  std::string text = "t,outdoor_air_db[degF],power_input[W]\n";
  for (int i = 0; i < 60; ++i) {
    const int shift = i >= 40 ? 3600 : 0;  // a gap ahead of line 42
    absl::StrAppend(&text, 60 * i + shift, ",", i == 5 ? "-9999" : "95",
                    i % 2 ? ".1" : "", ",1000.", i, "\n");
  }
  ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
  EXPECT_THAT(
      SpanTexts(result),
      ElementsAre(
          "rejected 2-6 only 300 s before a rejected row; a window takes 600 s",
          "rejected 7-7 outdoor_air_db outside what is physically plausible",
          "window 8-17 day1.csv:8",
          "rejected 18-19 only 120 s before rows left out by decision; a window takes "
          "600 s",
          "ignored 20-21 door open", "window 22-31 day1.csv:22",
          "window 32-41 day1.csv:32", "rejected 41-42 gap of 3660 s between two rows",
          "window 42-51 day1.csv:42", "window 52-61 day1.csv:52"));
  ASSERT_THAT(result.findings, SizeIs(2));
  EXPECT_THAT(result.findings[0].message,
              HasSubstr("outdoor_air_db is outside what is plausible in 1 of 58 rows"));
  EXPECT_EQ(result.findings[0].line, 7);
  EXPECT_THAT(result.findings[1].message, HasSubstr("1 gaps, the longest of 3660 s"));
}

// A random log, and the same windows by trying every start with figures from scratch.
TEST(SteadyWindows, AreThoseOfAPlainSearch) {
  testing::Random random("STEADY_WINDOWS_PLAIN_SEARCH");
  size_t windows = 0;
  for (int run = 0; run < 60; ++run) {
    document::LogFile log = SecondsLog();
    log.stuck_after_s = 0;
    const double length_s = random.Integer(2, 40);
    const double delay_s = random.Integer(0, 10);
    log.steady_windows = {.length_s = length_s, .delay_after_change_s = delay_s};
    const double spread_k = random.Uniform(0.1, 1);
    const double fraction = random.Uniform(0.001, 0.02);
    log.steady_windows->tolerances = {
        {.quantity = "outdoor_air_db", .greatest_spread = Absolute(spread_k, "delta_K")},
        {.quantity = "power_input", .greatest_standard_deviation = Fraction(fraction)}};
    log.time.longest_step_s = 5;
    std::vector<double> t, x, p;
    std::string text = "t,outdoor_air_db[degC],power_input[W]\n";
    double time = 0, level = 30, power = 1000;
    for (int i = 0; i < 600; ++i) {
      time += random.Integer(0, 49) == 0 ? 20 : random.Integer(1, 2);
      if (random.Integer(0, 39) == 0) level = random.Uniform(20, 40);
      if (random.Integer(0, 59) == 0) power = random.Uniform(500, 1500);
      const std::string cells =
          absl::StrFormat("%.2f,%.1f", level + 0.02 * random.Normal(),
                          power * (1 + 0.002 * random.Normal()));
      absl::StrAppend(&text, time, ",", cells, "\n");
      t.push_back(time);
      x.push_back(std::stod(cells));
      p.push_back(std::stod(cells.substr(cells.find(',') + 1)));
    }
    std::vector<int> expected;
    const auto typical = [&] {
      std::vector<double> steps;
      for (int i = 1; i <= 100; ++i) steps.push_back(t[i] - t[i - 1]);
      std::sort(steps.begin(), steps.end());
      return steps[49];
    }();
    double change_s = t[0];
    const int n = static_cast<int>(t.size());
    for (int i = 0; i < n;) {
      if (i > 0 && t[i] - t[i - 1] > 5) change_s = t[i];
      int end = i;  // behind the window's last row
      bool whole = t[i] >= change_s + delay_s;
      while (whole) {
        const double stands_until =
            end + 1 == n || t[end + 1] - t[end] > 5 ? t[end] + typical : t[end + 1];
        ++end;
        if (stands_until >= t[i] + length_s) break;
        whole = end < n && t[end] - t[end - 1] <= 5;
      }
      if (whole && end - i >= 2) {
        double low = x[i], high = x[i], sum = 0, squares = 0;
        for (int k = i; k < end; ++k) {
          low = std::min(low, x[k]);
          high = std::max(high, x[k]);
          sum += p[k];
        }
        const double mean = sum / (end - i);
        for (int k = i; k < end; ++k) squares += (p[k] - mean) * (p[k] - mean);
        whole = high - low <= spread_k &&
                std::sqrt(squares / (end - i - 1)) <= fraction * mean;
      } else {
        whole = false;
      }
      if (whole) expected.push_back(i + 2);
      // A gap inside a window passed over still counts as one.
      const int next = whole ? end : i + 1;
      i = next;
    }
    ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text));
    std::vector<int> found;
    for (const document::TestPoint& point : result.points) found.push_back(point.line);
    ASSERT_EQ(found, expected) << run;
    windows += found.size();
  }
  EXPECT_GT(windows, 200u);
}

// What lies ahead of a window does not move a bit of it.
TEST(SteadyWindows, DoNotDependOnWhatCameBefore) {
  testing::Random random("STEADY_WINDOWS_HISTORY");
  std::string steady;
  for (int i = 0; i < 50; ++i) {
    absl::StrAppendFormat(&steady, "%d,%.3f,%.2f\n", 1000000 + 60 * i,
                          35 + 0.1 * random.Normal(), 1000 + random.Normal());
  }
  std::string wild;
  for (int i = 0; i < 5000; ++i) {
    absl::StrAppendFormat(&wild, "%d,%.3f,%.2f\n", 60 * i, random.Uniform(-60, 70),
                          random.Uniform(0, 1e7));
  }
  const std::string header = "t,outdoor_air_db[degC],power_input[W]\n";
  document::LogFile log = SpreadLog(2);
  log.time.longest_step_s = 900000;  // no gap between the two
  ASSERT_OK_AND_ASSIGN(const LogResult alone, Cut(SmallManifest(), log, header + steady));
  ASSERT_OK_AND_ASSIGN(const LogResult behind,
                       Cut(SmallManifest(), log, header + wild + steady));
  ASSERT_EQ(alone.points.size(), 5u);
  ASSERT_EQ(behind.points.size(), 5u);
  for (size_t i = 0; i < 5; ++i)
    EXPECT_EQ(alone.points[i].values, behind.points[i].values);
}

// A log like a chamber's, with stages, sentinels, quotes and CRLF, in chunks of any size.
TEST(LogIntake, ResultDoesNotDependOnChunks) {
  testing::Random random("LOG_INTAKE_CHUNKS");
  std::string text = "\xEF\xBB\xBFt,outdoor_air_db[degF],\"power_input[W]\",stage\r\n";
  for (int i = 0; i < 3000; ++i) {
    const int stage = i / 200 % 3;
    absl::StrAppendFormat(&text, "%d,%.1f,\"%.1f\",%s%d\r\n", 60 * i,
                          random.Integer(0, 99) == 0 ? -9999 : 95 + 0.1 * random.Normal(),
                          1000 * stage + random.Normal(), stage == 2 ? " " : "", stage);
  }
  document::LogFile log = SpreadLog(0.5);
  log.stage.clear();
  log.off_stages = {"0"};
  ASSERT_OK_AND_ASSIGN(const LogResult whole, Cut(SmallManifest(), log, text));
  EXPECT_GT(whole.points.size(), 30u);
  for (int run = 0; run < 20; ++run) {
    std::vector<size_t> chunks;
    for (int k = 0; k < 5; ++k) {
      chunks.push_back(static_cast<size_t>(random.Integer(1, run < 10 ? 10 : 5000)));
    }
    ASSERT_OK_AND_ASSIGN(const LogResult result, Cut(SmallManifest(), log, text, chunks));
    EXPECT_EQ(result.report, whole.report);
    EXPECT_EQ(result.points, whole.points);
    EXPECT_EQ(result.findings, whole.findings);
  }
}

}  // namespace
}  // namespace ratebound::points
