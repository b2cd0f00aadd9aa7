// Faults of minimum levels, each with its place as a person would count it.
#include <ostream>
#include <string>
#include <vector>

#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/document/text.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/engine/document/fault_case.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::ratebound::testing::IsOk;

constexpr char kMinimums[] = R"(id: "levels"
title: "Levels"
document: "own rules"
edition: "1"
levels {
  procedure_families: "ieer"
  metric_unit: "Btu/Wh"
  equipment_classes: "unitary_air_cooled"
  capacity_low { value: 65 unit: "kBtu/h" citation { source: "s" basis: BASIS_MEMORY } }
  capacity_high { value: 135 unit: "kBtu/h" citation { source: "s" basis: BASIS_MEMORY } }
  phase_counts: 3
  keys { name: "heating_section" value: "electric" }
  keys { name: "layout" value: "split" }
  valid_from: "2023-01-01"
  valid_until: "2029-01-01"
  value: 14.8
  citation { source: "s" basis: BASIS_MEMORY }
}
)";

class MinimumFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(MinimumFault, IsReportedWithItsPlace) {
  const std::string text = With(kMinimums, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseMinimumLevels("m.textproto", text).status()), GetParam().want);
}

TEST(MinimumLevelFault, SoundLevelsHaveNone) {
  EXPECT_THAT(ParseMinimumLevels("m.textproto", kMinimums), IsOk());
}

INSTANTIATE_TEST_SUITE_P(
    Faults, MinimumFault,
    ::testing::Values(
        FaultCase{"BothValueAndNotKnown", "value: 14.8",
                  "value: 14.8 not_known: \"not printed\"",
                  "m.textproto:16:24: syntax: Field \"not_known\" is specified along "
                  "with field \"value\", another member of oneof \"level\"; mend it: "
                  "what follows has not been read"},
        FaultCase{"Neither", "  value: 14.8\n", "",
                  "m.textproto:5:1: levels[0].value: the level is missing; write value, "
                  "or not_known with the reason"},
        FaultCase{
            "NotKnownWithoutReason", "value: 14.8", "not_known: \"\"",
            "m.textproto:16:3: levels[0].not_known: is empty; write not_known: \"...\""},
        FaultCase{"ValueZero", "value: 14.8", "value: 0",
                  "m.textproto:16:3: levels[0].value: 0 is out of range; write a number "
                  "above 0"},
        FaultCase{"ValueNotFinite", "value: 14.8", "value: inf",
                  "m.textproto:16:3: levels[0].value: is not a finite number; write a "
                  "decimal such as 85.0"},
        FaultCase{"DatesReversed", "valid_until: \"2029-01-01\"",
                  "valid_until: \"2022-12-31\"",
                  "m.textproto:15:3: levels[0].valid_until: is not after valid_from"},
        FaultCase{"DatesEqual", "valid_until: \"2029-01-01\"",
                  "valid_until: \"2023-01-01\"",
                  "m.textproto:15:3: levels[0].valid_until: is not after valid_from"},
        FaultCase{"NoDay", "valid_from: \"2023-01-01\"", "valid_from: \"2023-02-29\"",
                  "m.textproto:14:3: levels[0].valid_from: '2023-02-29' is no day; write "
                  "it as 2026-03-31"},
        FaultCase{"DayMissing", "  valid_from: \"2023-01-01\"\n", "",
                  "m.textproto:5:1: levels[0].valid_from: is missing; write valid_from: "
                  "\"...\""},
        FaultCase{"RangeReversed", "value: 135", "value: 13.5",
                  "m.textproto:10:3: levels[0].capacity_high: the range is reversed: it "
                  "is not above capacity_low"},
        FaultCase{"RangeReversedAcrossUnits", "value: 135 unit: \"kBtu/h\"",
                  "value: 5 unit: \"ton\"",
                  "m.textproto:10:3: levels[0].capacity_high: the range is reversed: it "
                  "is not above capacity_low"},
        FaultCase{"CapacityUnitThatDoesNotFit", "value: 65 unit: \"kBtu/h\"",
                  "value: 65 unit: \"degC\"",
                  "m.textproto:9:28: levels[0].capacity_low.unit: 'degC' is a unit of "
                  "temperature; units of power: W, kW, MW, Btu/h, kBtu/h, ton, hp"},
        FaultCase{"CapacityUnitMissing", "value: 65 unit: \"kBtu/h\"", "value: 65",
                  "m.textproto:9:3: levels[0].capacity_low.unit: is missing; write unit: "
                  "\"...\""},
        FaultCase{"CapacityWithoutSource",
                  "capacity_low { value: 65 unit: \"kBtu/h\" citation { source: \"s\" "
                  "basis: BASIS_MEMORY } }",
                  "capacity_low { value: 65 unit: \"kBtu/h\" }",
                  "m.textproto:9:3: levels[0].capacity_low.citation: is missing; write "
                  "citation { ... }"},
        FaultCase{"MetricUnitMissing", "  metric_unit: \"Btu/Wh\"\n", "",
                  "m.textproto:5:1: levels[0].metric_unit: is missing; write "
                  "metric_unit: \"...\""},
        FaultCase{"MetricUnitUnknown", "metric_unit: \"Btu/Wh\"", "metric_unit: \"EER\"",
                  "m.textproto:7:3: levels[0].metric_unit: unknown unit 'EER'; write "
                  "Btu/Wh; units of energy ratio: W/W, Btu/Wh, kW/ton"},
        FaultCase{"MetricUnitThatDoesNotFit", "metric_unit: \"Btu/Wh\"",
                  "metric_unit: \"kW\"",
                  "m.textproto:7:3: levels[0].metric_unit: 'kW' is a unit of power; "
                  "units of energy ratio: W/W, Btu/Wh, kW/ton"},
        FaultCase{"PhaseCount", "phase_counts: 3", "phase_counts: 2",
                  "m.textproto:11:3: levels[0].phase_counts[0]: 2 is no number of "
                  "phases; write 1 or 3"},
        FaultCase{"FamilyThatIsNoId", "procedure_families: \"ieer\"",
                  "procedure_families: \"IEER\"",
                  "m.textproto:6:3: levels[0].procedure_families[0]: 'IEER' is no id; "
                  "write at most 64 lower-case letters, digits and hyphens"},
        FaultCase{"FamilyMissing", "  procedure_families: \"ieer\"\n", "",
                  "m.textproto:5:1: levels[0].procedure_families: is missing; write "
                  "procedure_families: \"...\""},
        FaultCase{"ClassMissing", "  equipment_classes: \"unitary_air_cooled\"\n", "",
                  "m.textproto:5:1: levels[0].equipment_classes: is missing; write "
                  "equipment_classes: \"...\""},
        FaultCase{
            "ClassEmpty", "equipment_classes: \"unitary_air_cooled\"",
            "equipment_classes: \"\"",
            "m.textproto:8:3: levels[0].equipment_classes[0]: is empty; name a class"},
        FaultCase{"KeyTwice", "name: \"layout\"", "name: \"heating_section\"",
                  "m.textproto:13:10: levels[0].keys[1].name: the key 'heating_section' "
                  "is given twice; keep one"},
        FaultCase{"KeyWithoutValue", "name: \"layout\" value: \"split\"",
                  "name: \"layout\"",
                  "m.textproto:13:3: levels[0].keys[1].value: is missing; write value: "
                  "\"...\""},
        FaultCase{
            "CitationMissing",
            "  value: 14.8\n  citation { source: \"s\" basis: BASIS_MEMORY }\n",
            "  value: 14.8\n",
            "m.textproto:5:1: levels[0].citation: is missing; write citation { ... }"},
        FaultCase{"ClassTwice", "equipment_classes: \"unitary_air_cooled\"",
                  "equipment_classes: [\"unitary_air_cooled\", \"unitary_air_cooled\"]",
                  "m.textproto:8:45: levels[0].equipment_classes[1]: the class "
                  "'unitary_air_cooled' is given twice; keep one"}),
    NameOf);

}  // namespace
}  // namespace ratebound::document
