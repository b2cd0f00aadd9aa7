// Mean and extremes of each quantity over a log, against a plain pass over its rows.
#include <algorithm>
#include <cmath>
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

using ::testing::SizeIs;

constexpr char kHeader[] = "t,outdoor_air_db[degF],power_input[W],stage\n";

document::LogFile StagedLog() {
  document::LogFile log = SecondsLog();
  log.stuck_after_s = 0;
  log.off_stages = {"off"};
  return log;
}

TEST(ReadingStatistics, CountsWhatWasTakenInOperationAndCanBeBelieved) {
  document::LogFile log = StagedLog();
  log.ignored_spans = {{.first_line = 5, .last_line = 5, .reason = "door open"}};
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(SmallManifest(), log,
                           absl::StrCat(kHeader,
                                        "0,95.0,1000,1\n"
                                        "60,96.5,1001,1\n"
                                        "120,94.0,1000,1\n"
                                        "180,50.0,1000,1\n"    // ignored
                                        "240,20.0,1000,off\n"  // off
                                        "300,,1003,1\n"        // not measured
                                        "360,-9999,1000,1\n"   // rejected, whole row
                                        "420,96.5,1000,1\n")));
  ASSERT_THAT(result.statistics, SizeIs(2));
  const document::ReadingStatistics& air = result.statistics[0];
  EXPECT_EQ(air.quantity, "outdoor_air_db");
  EXPECT_EQ(air.count, 4);
  const double mean_f = (95.0 + 96.5 + 94.0 + 96.5) / 4;
  EXPECT_NEAR(air.mean_si, (mean_f - 32) / 1.8, 1e-12);
  EXPECT_NEAR(air.least_si, (94.0 - 32) / 1.8, 1e-12);
  EXPECT_EQ(air.least_line, 4);
  EXPECT_NEAR(air.greatest_si, (96.5 - 32) / 1.8, 1e-12);
  EXPECT_EQ(air.greatest_line, 3);  // the first of two
  EXPECT_EQ(result.statistics[1].quantity, "power_input");
  EXPECT_EQ(result.statistics[1].count, 5);
}

TEST(ReadingStatistics, WithoutRowsInOperationThereAreNone) {
  ASSERT_OK_AND_ASSIGN(const LogResult result,
                       Cut(SmallManifest(), StagedLog(),
                           absl::StrCat(kHeader, "0,95,1000,off\n60,95,1000,off\n")));
  ASSERT_THAT(result.statistics, SizeIs(2));
  EXPECT_EQ(result.statistics[0].count, 0);
}

// More rows than are held back before the typical step is known, in chunks of any size.
TEST(ReadingStatistics, AreThoseOfAPlainPassForAnyChunks) {
  testing::Random random("READING_STATISTICS");
  std::string text = kHeader;
  std::vector<double> readings;
  for (int i = 0; i < 1000; ++i) {
    const double reading_f = std::round(10 * random.Uniform(90, 100)) / 10;
    readings.push_back(reading_f);
    absl::StrAppendFormat(&text, "%d,%.1f,1000,1\n", 60 * i, reading_f);
  }
  double sum = 0;
  for (const double reading : readings) sum += reading;
  for (const std::vector<size_t>& chunks :
       {std::vector<size_t>(), std::vector<size_t>{1}, std::vector<size_t>{7, 300}}) {
    ASSERT_OK_AND_ASSIGN(const LogResult result,
                         Cut(SmallManifest(), StagedLog(), text, chunks));
    const document::ReadingStatistics& air = result.statistics.at(0);
    EXPECT_EQ(air.count, 1000);
    EXPECT_NEAR(air.mean_si, (sum / 1000 - 32) / 1.8, 1e-11);
    const auto greatest = std::max_element(readings.begin(), readings.end());
    EXPECT_NEAR(air.greatest_si, (*greatest - 32) / 1.8, 1e-12);
    EXPECT_EQ(air.greatest_line, 2 + (greatest - readings.begin()));
  }
}

}  // namespace
}  // namespace ratebound::points
