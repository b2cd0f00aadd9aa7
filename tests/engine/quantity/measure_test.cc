#include "engine/quantity/measure.h"

#include <cmath>
#include <string>
#include <string_view>

#include "engine/base/fault.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::quantity {
namespace {

using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::AllOf;
using ::testing::HasSubstr;

constexpr auto kInvalid = absl::StatusCode::kInvalidArgument;

TEST(ParseMeasure, ReadsNumberAndUnitWithOrWithoutBlanks) {
  const struct {
    std::string_view text;
    Dimension dimension;
    double value_si;
  } kCases[] = {{"95degF", Dimension::kTemperature, 35},
                {" 95  degF ", Dimension::kTemperature, 35},
                {"-40degF", Dimension::kTemperature, -40},
                {"-15.2degC", Dimension::kTemperature, -15.2},
                {".5kW", Dimension::kPower, 500},
                {"1.2e1kW", Dimension::kPower, 12000},
                {"50%", Dimension::kFraction, 0.5},
                {"0.5 1", Dimension::kFraction, 0.5},
                {"0m3/s", Dimension::kVolumeFlow, 0}};
  for (const auto& c : kCases) {
    ASSERT_OK_AND_ASSIGN(const Measure measure, ParseMeasure(c.text, c.dimension));
    EXPECT_EQ(measure.value_si, c.value_si) << c.text;
  }
}

TEST(ParseMeasure, SaysWhatIsMissing) {
  EXPECT_THAT(ParseMeasure("85", Dimension::kTemperature),
              StatusIs(kInvalid, "'85' has no unit; write one of degC, degF, K, degR"));
  for (std::string_view text :
       {"", "degF", "+5degF", "infW", "nanW", "1e999W", "--5W", "x"}) {
    EXPECT_THAT(ParseMeasure(text, Dimension::kPower),
                StatusIs(kInvalid, HasSubstr("does not begin with a number")))
        << text;
  }
  EXPECT_THAT(ParseMeasure("5cfm", Dimension::kPower),
              StatusIs(kInvalid, AllOf(HasSubstr("'cfm' is a unit of volume flow"),
                                       HasSubstr("units of power: W, kW"))));
  EXPECT_THAT(ParseMeasure("0x10W", Dimension::kPower),
              StatusIs(kInvalid, HasSubstr("unknown unit 'x10W'")));
  EXPECT_THAT(ParseMeasure("5 W W", Dimension::kPower),
              StatusIs(kInvalid, HasSubstr("'W W'")));
}

TEST(ParseAssignments, ReadsAListInItsOrder) {
  ASSERT_OK_AND_ASSIGN(
      const auto at,
      ParseAssignments(
          "entering_water_temp=95degF, air_flow = 1200 cfm,supply_voltage=460V"));
  ASSERT_EQ(at.size(), 3);
  EXPECT_EQ(at[0].quantity->name, "entering_water_temp");
  EXPECT_EQ(at[0].value_si, 35);
  EXPECT_EQ(at[0].unit.name, "degF");
  EXPECT_EQ(at[1].quantity->name, "air_flow");
  EXPECT_DOUBLE_EQ(at[1].value_si, 1200 * 0.028316846592 / 60);
  EXPECT_EQ(at[2].value_si, 460);
  ASSERT_OK_AND_ASSIGN(const auto none, ParseAssignments("  "));
  EXPECT_TRUE(none.empty());
}

TEST(ParseAssignments, ReportsAllFaultsTogether) {
  const auto parsed = ParseAssignments(
      "entering_water_tmp=90degF,air_flow=1200,outdoor_air_db=95psi,air_flow=2L/s,"
      "outdoor_air_wb=300degC,outdoor_air_db=35degC,outdoor_air_db=36degC,45");
  ASSERT_FALSE(parsed.ok());
  const auto faults = base::FaultsOf(parsed.status());
  ASSERT_EQ(faults.size(), 6);
  EXPECT_THAT(faults[0].message, HasSubstr("did you mean 'entering_water_temp'?"));
  EXPECT_THAT(faults[1].message,
              HasSubstr("air_flow: '1200' has no unit; write one of m3/s"));
  EXPECT_THAT(faults[2].message, HasSubstr("units of temperature: degC, degF, K, degR"));
  EXPECT_THAT(faults[3].message, HasSubstr("outdoor_air_wb of 300 degC is outside"));
  EXPECT_THAT(faults[4].message, HasSubstr("outdoor_air_db is given twice"));
  EXPECT_THAT(faults[5].message, HasSubstr("'45' is no assignment"));
}

TEST(ParseAssignments, ThousandsSeparatorsAreExplained) {
  EXPECT_THAT(ParseAssignments("total_capacity=12,000Btu/h"),
              StatusIs(kInvalid, AllOf(HasSubstr("'12' has no unit"),
                                       HasSubstr("no separators of thousands"))));
}

TEST(ParseAssignments, TrailingAndDoubledCommasAreFaults) {
  EXPECT_FALSE(ParseAssignments("air_flow=1cfm,").ok());
  EXPECT_FALSE(ParseAssignments(",").ok());
}

TEST(ParseHeaderCell, ReadsQuantityAndUnit) {
  for (std::string_view text :
       {"total_capacity[kBtu/h]", " total_capacity [ kBtu/h ] "}) {
    ASSERT_OK_AND_ASSIGN(const Column column, ParseHeaderCell(text));
    EXPECT_EQ(column.quantity->name, "total_capacity");
    EXPECT_EQ(column.unit.name, "kBtu/h");
  }
}

TEST(ParseHeaderCell, SaysWhatIsWrong) {
  EXPECT_THAT(ParseHeaderCell("total_capacity"),
              StatusIs(kInvalid,
                       AllOf(HasSubstr("has no unit"),
                             HasSubstr("write total_capacity[unit] with one of W, kW"))));
  EXPECT_THAT(ParseHeaderCell("total_capacity[kBtu/h"),
              StatusIs(kInvalid, HasSubstr("does not end with ]")));
  EXPECT_THAT(ParseHeaderCell("total_capacity[]"),
              StatusIs(kInvalid, HasSubstr("unknown unit ''")));
  EXPECT_THAT(ParseHeaderCell("external_static_pressure[inwg]"),
              StatusIs(kInvalid, HasSubstr("in_wg_4c (249.089 Pa) or in_wg_60f")));
  EXPECT_THAT(ParseHeaderCell("power[kW]"),
              StatusIs(kInvalid, HasSubstr("unknown quantity")));
  EXPECT_THAT(ParseHeaderCell("air_flow[cfm]]"),
              StatusIs(kInvalid, HasSubstr("unknown unit")));
}

TEST(ParseMeasure, AnyBytesAreAnsweredWithAStatus) {
  Random random("PARSE_ANY_BYTES");
  const std::string_view kPieces[] = {"air_flow", "=",    "[", "]",   ",",
                                      "9",        "-",    ".", "e",   "cfm",
                                      "\xC2\xB0", "\xFF", " ", "degF"};
  for (int i = 0; i < 2000; ++i) {
    std::string text;
    for (int k = random.Integer(0, 8); k > 0; --k) text += kPieces[random.Integer(0, 13)];
    text += static_cast<char>(random.Integer(0, 255));
    const auto measure = ParseMeasure(text, Dimension::kVolumeFlow);
    if (measure.ok()) {
      EXPECT_TRUE(std::isfinite(measure->value_si));
    }
    const auto assignments = ParseAssignments(text);
    if (assignments.ok() && !assignments->empty()) {
      EXPECT_EQ(assignments->front().quantity->name, "air_flow");
    }
    const auto column = ParseHeaderCell(text);
    if (column.ok()) {
      EXPECT_EQ(column->unit.name, "cfm");
    }
  }
}

TEST(FormatIn, PrintsWithDecimalsAndUnit) {
  const Unit degf = *FindUnit("degF");
  EXPECT_EQ(FormatIn(32, degf, 1), "89.6 degF");
  EXPECT_EQ(FormatIn(32, degf), "89.6 degF");
  EXPECT_EQ(FormatIn(35, degf, 0), "95 degF");
  EXPECT_EQ(FormatIn(-17.8, degf, 0), "0 degF");  // -0.04 degF, with no minus
  EXPECT_EQ(FormatIn(ToSi(12, *FindUnit("kBtu/h")), *FindUnit("ton"), 3), "1.000 ton");
  EXPECT_EQ(FormatIn(-0.0, *FindUnit("W")), "0 W");
}

TEST(FormatIn, ShortestTextReadsBack) {
  Random random("FORMAT_READS_BACK");
  const Unit btu = *FindUnit("kBtu/h");
  for (int i = 0; i < 2000; ++i) {
    const double value_w = random.Uniform(-1e6, 1e6);
    ASSERT_OK_AND_ASSIGN(const Measure back,
                         ParseMeasure(FormatIn(value_w, btu), Dimension::kPower));
    ASSERT_DOUBLE_EQ(back.value_si, value_w);
  }
}

}  // namespace
}  // namespace ratebound::quantity
