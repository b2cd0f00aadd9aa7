#include "engine/points/log/stamp_reader.h"

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using ::testing::HasSubstr;
using testing::StatusIs;

StampReader Reader(std::string_view format, std::string_view tested_on = "") {
  return *StampReader::Create(format, tested_on);
}

struct StampCase {
  std::string name;
  std::string format;
  std::string text;
  double seconds;   // since 1970 where there is a year
  std::string day;  // empty without a year
};

class StampTest : public ::testing::TestWithParam<StampCase> {};

TEST_P(StampTest, Reads) {
  const auto stamp = Reader(GetParam().format).Read(GetParam().text);
  ASSERT_TRUE(stamp.has_value());
  EXPECT_DOUBLE_EQ(stamp->seconds, GetParam().seconds);
  EXPECT_EQ(stamp->day ? IsoDate(*stamp->day) : "", GetParam().day);
}

// Seconds of days: RFC 3339, 5.8 (its examples), by `date -u -d ... +%s`.
INSTANTIATE_TEST_SUITE_P(
    Formats, StampTest,
    ::testing::Values(
        StampCase{"Seconds", "s", "12.5", 12.5, ""},
        StampCase{"Minutes", "min", "1.5", 90, ""},
        StampCase{"Hours", "h", "-1", -3600, ""},
        StampCase{"Zulu", "iso8601", "1985-04-12T23:20:50.52Z", 482196050.52,
                  "1985-04-12"},
        StampCase{"WestOfGreenwich", "iso8601", "1996-12-19T16:39:57-08:00", 851042397,
                  "1996-12-19"},
        StampCase{"HalfHourZone", "iso8601", "1937-01-01T12:00:27.87+00:20",
                  -1041337172.13, "1937-01-01"},
        StampCase{"CommaAndShortZone", "iso8601", "1985-04-12 23:20:50,5+01", 482192450.5,
                  "1985-04-12"},
        StampCase{"NoSeconds", "iso8601", "1970-01-02T00:01", 86460, "1970-01-02"},
        StampCase{"EndOfDay", "iso8601", "1970-01-01T24:00:00", 86400, "1970-01-01"},
        StampCase{"LeapDay", "iso8601", "2000-02-29T00:00:00", 951782400, "2000-02-29"},
        StampCase{"Pattern", "%d.%m.%Y %H:%M:%S", "1.3.2000 6:05:04.25", 951890704.25,
                  "2000-03-01"},
        StampCase{"RunOfSpaces", "%Y/%m/%d %H:%M", "1970/01/01    00:02", 120,
                  "1970-01-01"},
        StampCase{"Packed", "%Y%m%d%H%M%S", "19700101000003", 3, "1970-01-01"},
        StampCase{"TimeOfDay", "%H:%M:%S", "01:00:01", 3601, ""},
        StampCase{"Percent", "%H%%%M", "1%30", 5400, ""}),
    [](const auto& each) { return each.param.name; });

TEST(StampReader, RefusesWhatIsNoTimeOfTheCalendar) {
  for (const auto& [format, text] : std::vector<std::pair<std::string, std::string>>{
           {"s", ""},
           {"s", "1 s"},
           {"s", "1e300"},
           {"iso8601", "2001-02-29T00:00"},
           {"iso8601", "1900-02-29T00:00"},
           {"iso8601", "2001-13-01T00:00"},
           {"iso8601", "2001-00-01T00:00"},
           {"iso8601", "0000-01-01T00:00"},
           {"iso8601", "2001-01-01"},
           {"iso8601", "2001-01-01T24:00:01"},
           {"iso8601", "2001-01-01T23:60"},
           {"iso8601", "2001-01-01T23:59:60"},
           {"iso8601", "2001-01-01T23:59:5"},
           {"iso8601", "2001-01-01T23:59:59."},
           {"iso8601", "2001-01-01T23:59:59+"},
           {"iso8601", "2001-01-01T23:59:59+24:00"},
           {"iso8601", "2001-01-01T23:59:59Zulu"},
           {"%m/%d %H:%M", "8/26 1:00 "},
           {"%m/%d %H:%M", "8/261:00"},
           {"%m/%d %H:%M", "8-26 1:00"}}) {
    EXPECT_FALSE(Reader(format).Read(text).has_value()) << format << " of " << text;
  }
}

// Every day of four centuries has its own number, one above that of the day before.
TEST(StampReader, CountsDaysWithoutGapForFourCenturies) {
  const StampReader reader = Reader("iso8601");
  const auto first = reader.Read("1900-01-01T00:00");
  ASSERT_TRUE(first.has_value());
  for (int32_t i = 0; i < 146097; ++i) {
    const std::string text = IsoDate(*first->day + i);
    const auto stamp = reader.Read(text + "T00:00");
    ASSERT_TRUE(stamp.has_value()) << text;
    ASSERT_EQ(*stamp->day, *first->day + i) << text;
  }
  EXPECT_EQ(IsoDate(*first->day + 146097), "2300-01-01");
}

TEST(StampReader, TellsHowFarStampsGoBackOverMidnightAndNewYear) {
  EXPECT_EQ(Reader("s").period_s(), 0);
  EXPECT_EQ(Reader("%Y-%m-%d %H:%M").period_s(), 0);
  EXPECT_EQ(Reader("%H:%M").period_s(), 86400);
  EXPECT_EQ(Reader("%m/%d %H:%M").period_s(), 366 * 86400);
  EXPECT_EQ(Reader("%m/%d %H:%M", "2023-05-01").period_s(), 365 * 86400);
  EXPECT_FALSE(Reader("%m/%d %H:%M", "2023-05-01").Read("02/29 00:00").has_value());
  EXPECT_TRUE(Reader("%m/%d %H:%M").Read("02/29 00:00").has_value());
}

TEST(StampReader, RefusesFormatsThatTellNoTime) {
  for (const char* format : {"", "seconds", "%", "%H:%M:%q", "%H:%M:%M", "%H", "%M:%S",
                             "%m %H:%M", "%Y %H:%M", "%d %H:%M"}) {
    EXPECT_THAT(StampReader::Create(format, ""),
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("iso8601")))
        << format;
  }
}

}  // namespace
}  // namespace ratebound::points
