// Faults of claims beyond one number: each is reported at the field that it is about.
#include <string>

#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::testing::HasSubstr;

// A claim over water temperature and wet bulb, with parts of it replaced.
std::string ClaimText(const std::string& limit, const std::string& more,
                      const std::string& stage = "stage: \"high\"") {
  return "claims {\n  id: \"c\"\n  unit: \"u\"\n  mode: \"m\"\n  " + stage +
         "\n  quantity: \"total_capacity\"\n  relation: RELATION_AT_LEAST\n  " + limit +
         "\n  limit_unit: \"kW\"\n"
         "  region { quantity: \"entering_water_temp\" low: 60 high: 95 unit: \"degF\" "
         "}\n"
         "  region { quantity: \"entering_air_wb\" low: 60 high: 72 unit: \"degF\" }\n"
         "  confidence: 0.95\n  allowance { absolute: 0 reason: \"r\" }\n" +
         more + "}\n";
}

struct ClaimFaultCase {
  std::string name;
  std::string text;
  std::string want;
};
void PrintTo(const ClaimFaultCase& c, std::ostream* out) { *out << c.name; }
class PartsOfAClaim : public ::testing::TestWithParam<ClaimFaultCase> {};

TEST_P(PartsOfAClaim, AreFaultedWhereTheyStand) {
  EXPECT_THAT(
      ParseClaims("c", GetParam().text),
      testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(GetParam().want)));
}

const char kTerm[] =
    "terms { quantity: \"entering_water_temp\" factor: 1 unit: \"degF\" }";
const char kPolygon[] =
    "quantity: \"entering_water_temp\" unit: \"degF\" other_quantity: "
    "\"entering_air_wb\" other_unit: \"degF\" ";

INSTANTIATE_TEST_SUITE_P(
    Claims, PartsOfAClaim,
    ::testing::Values(
        ClaimFaultCase{"CutsLeaveNothing",
                       ClaimText("limit: 1", "  cuts { linear { " + std::string(kTerm) +
                                                 " at_most: 50 } }\n"),
                       "c:14:3: claims[0].cuts: leave nothing of the region"},
        ClaimFaultCase{
            "CutsThatTogetherLeaveNothing",
            ClaimText("limit: 1",
                      "  cuts { order { quantity: \"entering_water_temp\" not_above: "
                      "\"entering_air_wb\" } }\n  cuts { linear { terms { quantity: "
                      "\"entering_water_temp\" factor: -1 unit: \"degF\" } at_most: -73 "
                      "} }\n"),
            "claims[0].cuts: leave nothing of the region"},
        ClaimFaultCase{
            "ConditionOfACutUnknown",
            ClaimText("limit: 1",
                      "  cuts { order { quantity: \"entering_air_wbb\" not_above: "
                      "\"entering_water_temp\" } }\n"),
            "claims[0].cuts[0].order.quantity: 'entering_air_wbb' has no range in the "
            "region; did you mean 'entering_air_wb'?"},
        ClaimFaultCase{"NumberOfACutNotFinite",
                       ClaimText("limit: 1", "  cuts { linear { " + std::string(kTerm) +
                                                 " at_most: nan } }\n"),
                       "claims[0].cuts[0].linear.at_most: is not a finite number"},
        ClaimFaultCase{
            "UnitOfACut",
            ClaimText("limit: 1",
                      "  cuts { linear { terms { quantity: \"entering_water_temp\" "
                      "factor: 1 unit: \"kW\" } at_most: 50 } }\n"),
            "claims[0].cuts[0].linear.terms[0].unit: 'kW' is a unit of power"},
        ClaimFaultCase{"CutThatSaysNothing", ClaimText("limit: 1", "  cuts { }\n"),
                       "claims[0].cuts[0].linear: is missing"},
        ClaimFaultCase{
            "PolygonThatCrossesItself",
            ClaimText("limit: 1",
                      "  cuts { polygon { " + std::string(kPolygon) +
                          "vertices { value: 60 other_value: 60 } vertices { value: 90 "
                          "other_value: 72 } vertices { value: 90 other_value: 60 } "
                          "vertices { value: 60 other_value: 72 } } }\n"),
            "claims[0].cuts[0]: the edges after corners 0 and 2 cross or touch"},
        ClaimFaultCase{
            "PolygonOfTwoCorners",
            ClaimText("limit: 1", "  cuts { polygon { " + std::string(kPolygon) +
                                      "vertices { value: 60 other_value: 60 } vertices { "
                                      "value: 90 other_value: 72 } } }\n"),
            "claims[0].cuts[0]: a polygon of 2 corners"},
        ClaimFaultCase{"StageBesideServing",
                       ClaimText("limit: 1", "  serving { rule: SERVING_RULE_SOME }\n"),
                       "claims[0].stage: is given beside 'serving'"},
        ClaimFaultCase{
            "PartsWithAGap",
            ClaimText("limit: 1",
                      "  serving { rule: SERVING_RULE_PER_PART parts { stage: \"high\" "
                      "ranges { quantity: \"entering_water_temp\" low: 60 high: 80 unit: "
                      "\"degF\" } } }\n",
                      ""),
            "claims[0].serving.parts: no part holds entering_water_temp 80 to 95 degF"},
        ClaimFaultCase{
            "RowsWithAGap",
            ClaimText("",
                      "  limit_table { rows { limit: 3 ranges { quantity: "
                      "\"entering_air_wb\" low: 60 high: 70 unit: \"degF\" } } }\n"),
            "claims[0].limit_table.rows: no row holds entering_water_temp 60 to 95 degF, "
            "entering_air_wb 70 to 72 degF"},
        ClaimFaultCase{"WindowWithoutItsUpperEnd",
                       "claims { relation: RELATION_WITHIN limit: 3 limit_unit: \"kW\" "
                       "quantity: \"total_capacity\" }",
                       "claims[0].upper_limit: is missing"},
        ClaimFaultCase{"UpperEndOfOneSide", ClaimText("limit: 1 upper_limit: 2", ""),
                       "claims[0].upper_limit: is given, and the relation has one side"},
        ClaimFaultCase{"LimitBesideAnother",
                       ClaimText("limit: 1", "  against { quantity: \"power_input\" }\n"),
                       "claims[0].limit: is given beside 'against'"},
        ClaimFaultCase{"AgainstAnotherDimension",
                       ClaimText("", "  against { quantity: \"leaving_air_db\" }\n"),
                       "claims[0].against.quantity: 'leaving_air_db' does not measure "
                       "the same as 'total_capacity'"},
        ClaimFaultCase{"TurndownWithALimit",
                       ClaimText("limit: 1", "  turndown { capacity_fraction: 0.3 }\n"),
                       "claims[0].limit: does not go with turndown"},
        ClaimFaultCase{"TurndownInPercent",
                       "claims { turndown { capacity_fraction: 30 } }",
                       "claims[0].turndown.capacity_fraction: 30 is out of range"}),
    [](const auto& test) { return test.param.name; });

TEST(PartsOfAClaim, AreReadWithTheirValuesInSi) {
  ASSERT_OK_AND_ASSIGN(
      const ParsedClaims parsed,
      ParseClaims("c", ClaimText("",
                                 "  limit_line { quantity: \"entering_water_temp\" "
                                 "unit: \"degF\" value: 68 limit: 40 other_value: 86 "
                                 "other_limit: 30 }\n")));
  const LimitLine& line = *parsed.claims[0].limit_line;
  EXPECT_NEAR(line.value_si, 20, 1e-12);
  EXPECT_NEAR(line.other_value_si, 30, 1e-12);
  EXPECT_EQ(line.limit_si, 40e3);
  EXPECT_EQ(line.other_limit_si, 30e3);
}

}  // namespace
}  // namespace ratebound::document
