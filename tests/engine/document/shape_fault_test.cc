// What a manifest says of shape facts and balances, and each fault of it with its place.
#include <string>
#include <vector>

#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/engine/document/fault_case.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::testing::DoubleEq;
using ::testing::Optional;

constexpr char kShaped[] = R"(id: "a-line"
title: "t"
data_source: "invented"
units {
  id: "u"
  title: "t"
  equipment_class: "unitary_water_cooled"
  phase_count: 1
  nominal_capacity { quantity: "total_capacity" value: 10 unit: "kW" }
  modes {
    id: "cooling"
    kind: MODE_KIND_COOLING
    capacity_quantity: "total_capacity"
    power_quantity: "power_input"
    conditions: "entering_water_temp"
    other_responses: ["sensible_capacity", "heat_rejection", "leaving_air_db"]
    stages { id: "s" }
    shape_facts {
      id: "positive"
      kind: SHAPE_KIND_AT_LEAST
      quantity: "power_input"
      limit: 0.5
      unit: "kW"
      reason: "a compressor runs"
    }
    shape_facts {
      id: "falls"
      kind: SHAPE_KIND_FALLS
      quantity: "total_capacity"
      condition: "entering_water_temp"
      reason: "the lift grows"
    }
    shape_facts {
      id: "sensible"
      kind: SHAPE_KIND_AT_MOST_OTHER
      quantity: "sensible_capacity"
      other_quantity: "total_capacity"
      regime: "wet_coil"
      reason: "what is left is latent"
    }
    constrain_to_shape_facts: true
    energy_balances {
      id: "unit"
      terms { quantity: "heat_rejection" factor: 1 }
      terms { quantity: "total_capacity" factor: -1 }
      terms { quantity: "power_input" factor: -1 }
      tolerance_fraction: 0.04
      fit_jointly: true
    }
  }
}
)";

TEST(ShapeDocument, IsRead) {
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", kShaped));
  const Mode& mode = line.units[0].modes[0];
  ASSERT_EQ(mode.shape_facts.size(), 3u);
  EXPECT_EQ(mode.shape_facts[0].kind, ShapeKind::kAtLeast);
  EXPECT_THAT(mode.shape_facts[0].limit, Optional(0.5));
  EXPECT_THAT(mode.shape_facts[0].limit_si, DoubleEq(500));
  EXPECT_EQ(mode.shape_facts[1].kind, ShapeKind::kFalls);
  EXPECT_EQ(mode.shape_facts[1].condition, "entering_water_temp");
  EXPECT_EQ(mode.shape_facts[2].other_quantity, "total_capacity");
  EXPECT_EQ(mode.shape_facts[2].regime, "wet_coil");
  EXPECT_TRUE(mode.constrain_to_shape_facts);
  ASSERT_EQ(mode.energy_balances.size(), 1u);
  EXPECT_EQ(mode.energy_balances[0].terms[1].factor, -1);
  EXPECT_THAT(mode.energy_balances[0].tolerance_fraction, Optional(0.04));
  EXPECT_TRUE(mode.energy_balances[0].fit_jointly);
}

// The offset of a temperature is a difference: 9 degF of it are 5 K.
TEST(ShapeDocument, AnOffsetIsADifference) {
  std::string text = With(kShaped,
                          "kind: SHAPE_KIND_AT_LEAST\n      quantity: \"power_input\"\n  "
                          "    limit: 0.5\n      unit: \"kW\"",
                          "kind: SHAPE_KIND_AT_LEAST\n      quantity: "
                          "\"leaving_air_db\"\n      limit: 50\n      unit: \"degF\"");
  ASSERT_OK_AND_ASSIGN(const LineManifest line, ParseLineManifest("l", text));
  EXPECT_THAT(line.units[0].modes[0].shape_facts[0].limit_si, DoubleEq(10));
  text = With(kShaped, "other_responses: [\"sensible_capacity\"",
              "other_responses: [\"leaving_air_wb\", \"sensible_capacity\"");
  text = With(text,
              "quantity: \"sensible_capacity\"\n      other_quantity: \"total_capacity\"",
              "quantity: \"leaving_air_wb\"\n      other_quantity: \"leaving_air_db\"\n"
              "      limit: 9\n      unit: \"delta_degF\"");
  ASSERT_OK_AND_ASSIGN(const LineManifest offset, ParseLineManifest("l", text));
  EXPECT_THAT(offset.units[0].modes[0].shape_facts[2].limit_si, DoubleEq(5));
}

class ShapeFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(ShapeFault, IsReportedWithItsPlace) {
  const std::string text = With(kShaped, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseLineManifest("l", text).status()), GetParam().want);
}

INSTANTIATE_TEST_SUITE_P(
    Manifest, ShapeFault,
    ::testing::ValuesIn(std::vector<FaultCase>{
        {"QuantityNotFitted", "quantity: \"power_input\"\n      limit",
         "quantity: \"fan_power\"\n      limit",
         "l:21:7: units[0].modes[0].shape_facts[0].quantity: unknown fitted quantity "
         "'fan_power'; there is total_capacity, power_input, sensible_capacity, "
         "heat_rejection, leaving_air_db"},
        {"NoCondition", "      condition: \"entering_water_temp\"\n", "",
         "l:26:5: units[0].modes[0].shape_facts[1].condition: is missing; write "
         "condition: \"...\""},
        {"OtherCondition", "condition: \"entering_water_temp\"",
         "condition: \"air_flow\"",
         "l:30:7: units[0].modes[0].shape_facts[1].condition: unknown condition of the "
         "mode 'air_flow'; there is entering_water_temp"},
        {"LimitOfASlope", "condition: \"entering_water_temp\"\n      reason",
         "condition: \"entering_water_temp\"\n      limit: 1\n      unit: \"W\"\n      "
         "reason",
         "l:31:7: units[0].modes[0].shape_facts[1].limit: has no meaning for this kind "
         "of fact; leave it out"},
        {"LimitWithoutUnit", "      unit: \"kW\"\n      reason", "      reason",
         "l:18:5: units[0].modes[0].shape_facts[0].unit: is missing; write unit: "
         "\"...\""},
        {"UnitWithoutLimit", "      limit: 0.5\n", "",
         "l:22:7: units[0].modes[0].shape_facts[0].unit: is the unit of no limit; leave "
         "it out"},
        {"UnlikeQuantities", "other_quantity: \"total_capacity\"",
         "other_quantity: \"leaving_air_db\"",
         "l:37:7: units[0].modes[0].shape_facts[2].other_quantity: 'leaving_air_db' "
         "cannot be compared with 'sensible_capacity'; name another quantity in the same "
         "unit"},
        {"NoReason", "      reason: \"the lift grows\"\n", "",
         "l:26:5: units[0].modes[0].shape_facts[1].reason: is missing; write reason: "
         "\"...\""},
        {"IdTwice", "id: \"falls\"", "id: \"positive\"",
         "l:27:7: units[0].modes[0].shape_facts[1].id: the shape fact 'positive' is "
         "given twice; keep one"},
        {"TermNotInWatts", "quantity: \"power_input\" factor",
         "quantity: \"leaving_air_db\" factor",
         "l:46:15: units[0].modes[0].energy_balances[0].terms[2].quantity: "
         "'leaving_air_db' is not in watts"},
        {"TermTwice", "quantity: \"power_input\" factor",
         "quantity: \"total_capacity\" factor",
         "l:46:15: units[0].modes[0].energy_balances[0].terms[2].quantity: the quantity "
         "'total_capacity' is given twice; keep one"},
        {"FactorOfNothing", "\"power_input\" factor: -1", "\"power_input\" factor: 0",
         "l:46:39: units[0].modes[0].energy_balances[0].terms[2].factor: is 0; write 1 "
         "or -1"},
        {"ToleranceAboveOne", "tolerance_fraction: 0.04", "tolerance_fraction: 4",
         "l:47:7: units[0].modes[0].energy_balances[0].tolerance_fraction: 4 is out of "
         "range; write a number from 0 to 1"},
    }),
    NameOf);

TEST(ShapeFaults, ConstrainingToNothing) {
  std::string text = kShaped;
  const size_t from = text.find("    shape_facts");
  text.erase(from, text.find("    constrain_to") - from);
  EXPECT_THAT(FaultsOf(ParseLineManifest("l", text).status()),
              ::testing::HasSubstr("has no facts to constrain to"));
}

TEST(ShapeFaults, ABalanceOfOneTerm) {
  std::string text = kShaped;
  const size_t from = text.find("      terms { quantity: \"total");
  text.erase(from, text.find("      tolerance_fraction") - from);
  EXPECT_THAT(FaultsOf(ParseLineManifest("l", text).status()),
              ::testing::HasSubstr("has one term"));
}

}  // namespace
}  // namespace ratebound::document
