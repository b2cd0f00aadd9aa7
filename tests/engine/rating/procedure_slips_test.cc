// Slips in a procedure file of one's own: each is refused with file, line and column.
#include <string>

#include "engine/document/text.h"
#include "gtest/gtest.h"

namespace ratebound::rating {
namespace {

// What a person may get wrong in a file of his own, and where he is told.
constexpr char kOwn[] = R"(id: "own"
title: "own"
document: "own rules"
edition: "1"
metric: "OWN"
metric_unit: "W/W"
scope { equipment_classes: "c" citation { source: "s" basis: BASIS_MEMORY } }
mode_kind: "cooling"
capacity_basis { text: "net" citation { source: "s" basis: BASIS_MEMORY } }
capacity_quantity: "total_capacity"
power_quantity: "power_input"
weighted_conditions {
  points {
    id: "A"
    weight { value: 0.4 citation { source: "s" basis: BASIS_MEMORY } }
    conditions {
      quantity: "outdoor_air_db"
      value { value: 30 unit: "degC" citation { source: "s" basis: BASIS_MEMORY } }
    }
  }
  points {
    id: "B"
    weight { value: 0.6 citation { source: "s" basis: BASIS_MEMORY } }
    conditions { quantity: "outdoor_air_db" input: "outdoor" }
  }
  stage_rule: STAGE_RULE_LARGEST_CAPACITY
  citation { source: "s" basis: BASIS_MEMORY }
}
aggregation: AGGREGATION_WEIGHTED_MEAN
aggregation_citation { source: "s" basis: BASIS_MEMORY }
weight_sum: 1
unit_constant { value: 1 unit: "W/W" citation { source: "s" basis: BASIS_MEMORY } }
rounding_step { value: 0.01 unit: "W/W" citation { source: "s" basis: BASIS_MEMORY } }
required_inputs { name: "outdoor" unit: "degC" description: "outdoor air" }
)";

struct Slip {
  const char* text;
  const char* written;
  const char* fault;
};

class AProcedureFileWithASlip : public ::testing::TestWithParam<Slip> {};

TEST_P(AProcedureFileWithASlip, IsRefusedWithItsPlace) {
  ASSERT_TRUE(document::ParseProcedure("own.textproto", kOwn).ok());
  std::string text = kOwn;
  const size_t at = text.find(GetParam().text);
  ASSERT_NE(at, std::string::npos);
  text.replace(at, std::string(GetParam().text).size(), GetParam().written);
  const auto parsed = document::ParseProcedure("own.textproto", text);
  ASSERT_FALSE(parsed.ok());
  const std::string message(parsed.status().message());
  EXPECT_NE(message.find(GetParam().fault), std::string::npos) << message;
}

INSTANTIATE_TEST_SUITE_P(
    Slips, AProcedureFileWithASlip,
    ::testing::Values(
        Slip{"    weight { value: 0.4 citation { source: \"s\" basis: BASIS_MEMORY } }\n",
             "", "own.textproto:13:3: weighted_conditions.points[0].weight"},
        Slip{"value: 0.6", "value: 0.5",
             "own.textproto:31:1: weight_sum: the weights add up to 0.9 and not to 1"},
        Slip{"weight_sum: 1\n", "weight_sum: 2\n", "own.textproto:31:1: weight_sum"},
        Slip{"value: 0.4", "value: -0.4",
             "own.textproto:15:14: weighted_conditions.points[0].weight.value"},
        Slip{"quantity: \"outdoor_air_db\"\n", "quantity: \"outdoor_air_bd\"\n",
             "own.textproto:17:7: weighted_conditions.points[0].conditions[0].quantity"},
        Slip{"capacity_quantity: \"total_capacity\"", "capacity_quantity: \"capacity\"",
             "own.textproto:10:1: capacity_quantity"},
        Slip{"capacity_quantity: \"total_capacity\"", "capacity_quantity: \"air_flow\"",
             "own.textproto:10:1: capacity_quantity"},
        Slip{"value: 30 unit: \"degC\"", "value: 30 unit: \"kW\"",
             "own.textproto:18:25: "
             "weighted_conditions.points[0].conditions[0].value.unit"},
        Slip{"value: 30 unit: \"degC\"", "value: 300 unit: \"degC\"",
             "own.textproto:18:15: "
             "weighted_conditions.points[0].conditions[0].value.value"},
        Slip{"metric_unit: \"W/W\"", "metric_unit: \"W\"",
             "own.textproto:6:1: metric_unit"},
        Slip{"metric_unit: \"W/W\"", "metric_unit: \"lb/kWh\"",
             "own.textproto:6:1: metric_unit"},
        Slip{"value: 0.01 unit: \"W/W\"", "value: 0.01 unit: \"Btu/Wh\"",
             "own.textproto:33:29: rounding_step.unit"},
        Slip{"input: \"outdoor\"", "input: \"outdor\"",
             "own.textproto:24:45: weighted_conditions.points[1].conditions[0].input"},
        Slip{"unit: \"degC\" description", "unit: \"degX\" description",
             "own.textproto:34:35: required_inputs[0].unit"},
        Slip{"equipment_classes: \"c\" ", "",
             "own.textproto:7:1: scope.equipment_classes"},
        Slip{"value: 1 unit: \"W/W\" citation { source: \"s\" basis: BASIS_MEMORY }",
             "value: 1 unit: \"W/W\"", "own.textproto:32:1: unit_constant.citation"},
        Slip{
            "source: \"s\" basis: BASIS_MEMORY } }\n    conditions {\n",
            "source: \"s\" } }\n    conditions {\n",
            "own.textproto:15:25: weighted_conditions.points[0].weight.citation.basis"}));

}  // namespace
}  // namespace ratebound::rating
