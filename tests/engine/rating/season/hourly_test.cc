#include "engine/rating/season/hourly.h"

#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/season/seasons.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::IsOk;
using testing::StatusIs;

std::string Epw(const std::vector<std::string>& dry_bulbs) {
  std::string text =
      "LOCATION,Place,Region,XXX,Invented,000000,50.0,8.0,1.0,100.0\r\n"
      "DESIGN CONDITIONS,0\r\nTYPICAL/EXTREME PERIODS,0\r\nGROUND TEMPERATURES,0\r\n"
      "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\r\nCOMMENTS 1,invented\r\nCOMMENTS 2,\r\n"
      "DATA PERIODS,1,1,Data,Sunday,1/1,12/31\r\n";
  int hour = 0;
  for (const std::string& dry_bulb : dry_bulbs) {
    absl::StrAppend(&text, "2001,1,1,", ++hour, ",60,?9?9?9?9,", dry_bulb,
                    ",3.0,80,101325,0\r\n");
  }
  return text;
}

TEST(Epw, DryBulbIsTheSeventhFieldBehindEightLines) {
  ASSERT_OK_AND_ASSIGN(const std::vector<double> hours,
                       ReadEpwTemperatures("a.epw", Epw({"-3.5", "0.0", " 12.25"})));
  EXPECT_THAT(hours, ElementsAre(-3.5, 0, 12.25));
}

TEST(Epw, EveryBadHourIsToldWithItsLine) {
  const auto read = ReadEpwTemperatures("a.epw", Epw({"1.0", "99.9", "x", "300"}));
  EXPECT_THAT(read, StatusIs(absl::StatusCode::kInvalidArgument,
                             AllOf(HasSubstr("a.epw:10:1"), HasSubstr("is missing"),
                                   HasSubstr("a.epw:11:1"), HasSubstr("'x'"),
                                   HasSubstr("a.epw:12:1"), HasSubstr("outdoors"))));
}

TEST(Epw, AnotherFileIsNotTakenForOne) {
  EXPECT_THAT(ReadEpwTemperatures("a.epw", "time,temperature\n1,2\n"),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("LOCATION")));
  EXPECT_THAT(ReadEpwTemperatures("a.epw", ""),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("header")));
  EXPECT_THAT(ReadEpwTemperatures("a.epw", Epw({})),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("no hours")));
}

TEST(Csv, ColumnIsFoundByItsHeading) {
  ASSERT_OK_AND_ASSIGN(
      const std::vector<double> hours,
      ReadCsvTemperatures("t.csv", "time,\"out, dry\",rh\n1,5.5,80\n2,\"-2\",81\n",
                          "out, dry"));
  EXPECT_THAT(hours, ElementsAre(5.5, -2));
}

TEST(Csv, UnknownColumnAndEmptyHourAreFaults) {
  EXPECT_THAT(ReadCsvTemperatures("t.csv", "a,b\n1,2\n", "c"),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("no column 'c'")));
  EXPECT_THAT(ReadCsvTemperatures("t.csv", "a,b\n1,2\n1,\n", "b"),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("t.csv:3:1")));
}

TEST(BinHours, HoursGatherAroundMultiplesOfTheStepHalvesUp) {
  const std::vector<double> hours = {-0.6, -0.5, 0.49, 0.5, 2.2};
  EXPECT_THAT(BinHours(hours, 1), ElementsAre(document::Bin{-1, 1}, document::Bin{0, 2},
                                              document::Bin{1, 1}, document::Bin{2, 1}));
}

TEST(BinHours, NoHourIsLost) {
  std::vector<double> hours;
  for (int i = 0; i < 8760; ++i) hours.push_back(-20 + (i * 37 % 601) * 0.1);
  for (const double step : {0.5, 1.0, 2.8, 5.0}) {
    double sum = 0;
    for (const document::Bin& bin : BinHours(hours, step)) sum += bin.weight;
    EXPECT_EQ(sum, 8760) << step;
  }
}

TEST(BinHours, WithoutAStepEachHourStandsByItself) {
  const std::vector<double> hours = {3, 1, 3};
  EXPECT_THAT(BinHours(hours, 0),
              ElementsAre(document::Bin{3, 1}, document::Bin{1, 1}, document::Bin{3, 1}));
}

TEST(ReadSeasonFiles, TableOfBinsTakesThePlaceOfTheFile) {
  document::Procedure procedure = Iso(false);
  document::Climate& climate = SeasonOf(procedure).climates[0];
  climate.bins.reset();
  climate.hourly = document::HourlyTemperatures{.path = "weather/site.csv",
                                                .kind = document::HourlyFileKind::kCsv,
                                                .column = "t",
                                                .unit = "degF",
                                                .step = 1};
  ASSERT_THAT(ReadSeasonFiles(
                  [](const std::string& path) -> absl::StatusOr<std::string_view> {
                    EXPECT_EQ(path, "weather/site.csv");
                    return "t\n77\n77\n95\n";
                  },
                  procedure),
              IsOk());
  ASSERT_TRUE(climate.bins.has_value());
  EXPECT_EQ(climate.bins->bins.front(), (document::Bin{25, 2}));
  EXPECT_EQ(climate.bins->bins.back(), (document::Bin{35, 1}));
  EXPECT_EQ(climate.bins->sum, 3);
  EXPECT_FALSE(climate.hourly.has_value());
}

}  // namespace
}  // namespace ratebound::rating
