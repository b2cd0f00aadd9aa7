// Each fault that a manifest, claims, or claims on a line can have, with its place as a
// person would count it.
#include <string>
#include <vector>

#include "engine/document/text.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/engine/document/fault_case.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::ratebound::testing::IsOk;

class ManifestFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(ManifestFault, IsReportedWithItsPlace) {
  const std::string text = With(kManifest, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseLineManifest("line.textproto", text).status()),
            GetParam().want);
}

class ClaimFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(ClaimFault, IsReportedWithItsPlace) {
  const std::string text = With(kClaims, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseClaims("claims.textproto", text).status()), GetParam().want);
}

class CrossFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(CrossFault, IsReportedWithItsPlace) {
  ASSERT_OK_AND_ASSIGN(const LineManifest manifest,
                       ParseLineManifest("line.textproto", kManifest));
  const std::string text = With(kClaims, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  ASSERT_OK_AND_ASSIGN(const ParsedClaims claims, ParseClaims("claims.textproto", text));
  EXPECT_EQ(FaultsOf(CheckClaims(manifest, claims)), GetParam().want);
}

INSTANTIATE_TEST_SUITE_P(
    LineManifest, ManifestFault,
    ::testing::Values(
        FaultCase{"MissingId", "id: \"canal\"\n", "",
                  "line.textproto: id: is missing; write id: \"...\""},
        FaultCase{"EmptyTitle", "title: \"Canal\"", "title: \"\"",
                  "line.textproto:2:1: title: is empty; write title: \"...\""},
        FaultCase{"IdWithCapital", "id: \"canal\"", "id: \"Canal\"",
                  "line.textproto:1:1: id: 'Canal' is no id; write at most 64 lower-case "
                  "letters, digits and hyphens"},
        FaultCase{
            "UnknownField", "title: \"Five tons\"", "titel: \"Five tons\"",
            "line.textproto:26:1: units[0].title: is missing; write title: \"...\"\n"
            "line.textproto:28:3: unknown field 'titel' in Unit; did you mean 'title'?"},
        FaultCase{"UnknownMessageField", "machines { id: \"b\" }",
                  "machine { id: \"b\" }\n  machines { id: \"b\" }",
                  "line.textproto:33:3: unknown field 'machine' in Unit; did you mean "
                  "'machines'?"},
        FaultCase{
            "UnknownEnumerationValue", "kind: MODE_KIND_COOLING",
            "kind: MODE_KIND_COOLIN",
            "line.textproto:36:11: kind: unknown value 'MODE_KIND_COOLIN'; did you mean "
            "'MODE_KIND_COOLING'?; write one of MODE_KIND_COOLING, MODE_KIND_HEATING"},
        FaultCase{"EnumerationNumber", "kind: MODE_KIND_COOLING", "kind: 7",
                  "line.textproto:36:5: units[0].modes[0].kind: unknown value '7'; write "
                  "one of MODE_KIND_COOLING, MODE_KIND_HEATING"},
        FaultCase{"EnumerationUnspecified", "kind: MODE_KIND_COOLING",
                  "kind: MODE_KIND_UNSPECIFIED",
                  "line.textproto:36:5: units[0].modes[0].kind: is empty; write kind: "
                  "and one of MODE_KIND_COOLING, MODE_KIND_HEATING"},
        FaultCase{
            "SyntaxError", "equipment_class: \"unitary_water_cooled\"",
            "equipment_class \"unitary_water_cooled\"",
            "line.textproto:29:19: syntax: Expected \":\", found "
            "\"\"unitary_water_cooled\"\"; mend it: what follows has not been read"},
        FaultCase{"FieldGivenTwice", "phase_count: 3", "phase_count: 3 phase_count: 1",
                  "line.textproto:30:18: phase_count: is given more than once; keep one: "
                  "what follows has not been read"},
        FaultCase{"UnclosedText", "source: \"certificate\"", "source: \"certificate",
                  "line.textproto:23:23: syntax: String literals cannot cross line "
                  "boundaries; mend it: what follows has not been read"},
        FaultCase{"UnknownQuantity", "quantity: \"entering_water_temp\" unit: \"degF\" }",
                  "quantity: \"entering_water_tmp\" unit: \"degF\" }",
                  "line.textproto:5:25: columns[0].quantity: unknown quantity "
                  "'entering_water_tmp'; did you mean 'entering_water_temp'?"},
        FaultCase{
            "UnknownUnit", "quantity: \"total_capacity\" unit: \"kBtu/h\" }\n}",
            "quantity: \"total_capacity\" unit: \"MBH\" }\n}",
            "line.textproto:16:52: point_files[0].columns[0].unit: unknown unit 'MBH'; M "
            "is a thousand to some and a million to others: write kBtu/h for a thousand "
            "Btu/h; units of power: W, kW, MW, Btu/h, kBtu/h, ton, hp"},
        FaultCase{"UnitOfAnotherDimension", "value: 60 unit: \"kBtu/h\"",
                  "value: 60 unit: \"gpm\"",
                  "line.textproto:31:59: units[0].nominal_capacity.unit: 'gpm' is a unit "
                  "of volume flow; units of power: W, kW, MW, Btu/h, kBtu/h, ton, hp"},
        FaultCase{"ColumnWithoutUnit",
                  "quantity: \"entering_water_temp\" unit: \"degF\" }",
                  "quantity: \"entering_water_temp\" }",
                  "line.textproto:5:1: columns[0].unit: is missing; write unit: \"...\""},
        FaultCase{"ColumnWithoutMeaning", "header: \"No\" label: COLUMN_LABEL_POINT",
                  "header: \"No\"",
                  "line.textproto:6:11: columns[1].header: the column has no meaning; "
                  "write quantity and unit, or label, or unused with a reason"},
        FaultCase{"ColumnLabelUnspecified", "label: COLUMN_LABEL_POINT",
                  "label: COLUMN_LABEL_UNSPECIFIED",
                  "line.textproto:6:24: columns[1].label: is empty; write label: and one "
                  "of COLUMN_LABEL_POINT, COLUMN_LABEL_UNIT, COLUMN_LABEL_MODE, "
                  "COLUMN_LABEL_STAGE, COLUMN_LABEL_BLOCK, COLUMN_LABEL_SPECIMEN, "
                  "COLUMN_LABEL_REGIME, COLUMN_LABEL_TESTED_ON"},
        FaultCase{
            "ColumnUnusedWithoutReason", "unused: \"initials\"", "unused: \"\"",
            "line.textproto:7:28: columns[2].unused: is empty; write unused: \"...\""},
        FaultCase{"LabelWithUnit", "label: COLUMN_LABEL_POINT",
                  "label: COLUMN_LABEL_POINT unit: \"degF\"",
                  "line.textproto:6:50: columns[1].unit: a column that is no quantity "
                  "has no unit; leave it out"},
        FaultCase{"HeaderGivenTwice", "header: \"No\"", "header: \"EWT\"",
                  "line.textproto:6:11: columns[1].header: the header 'EWT' is given "
                  "twice; keep one"},
        FaultCase{
            "PathOutside", "path: \"points/day1.csv\"", "path: \"../day1.csv\"",
            "line.textproto:9:3: point_files[0].path: '../day1.csv' is no path below the "
            "line folder; write it with forward slashes, such as points/day1.csv"},
        FaultCase{"PathAbsolute", "path: \"points/day1.csv\"",
                  "path: \"/points/day1.csv\"",
                  "line.textproto:9:3: point_files[0].path: '/points/day1.csv' is no "
                  "path below the line folder; write it with forward slashes, such as "
                  "points/day1.csv"},
        FaultCase{"FileOfUnknownUnit",
                  "  unit: \"w60\"\n  mode: \"cooling\"\n  stage: \"high\"\n  block",
                  "  unit: \"w6\"\n  mode: \"cooling\"\n  stage: \"high\"\n  block",
                  "line.textproto:10:3: point_files[0].unit: unknown unit 'w6'; did you "
                  "mean 'w60'?; there is w60"},
        FaultCase{"FileOfUnknownMode", "mode: \"cooling\"\n  stage: \"high\"\n  block",
                  "mode: \"heating\"\n  stage: \"high\"\n  block",
                  "line.textproto:11:3: point_files[0].mode: unknown mode 'heating'; "
                  "there is cooling"},
        FaultCase{"FileOfUnknownStage", "stage: \"high\"\n  block",
                  "stage: \"hihg\"\n  block",
                  "line.textproto:12:3: point_files[0].stage: unknown stage 'hihg'; did "
                  "you mean 'high'?; "
                  "there is low, high"},
        FaultCase{"FileOfUnknownSpecimen", "specimen: \"sn1\"", "specimen: \"sn2\"",
                  "line.textproto:14:3: point_files[0].specimen: unknown specimen 'sn2'; "
                  "did you mean 'sn1'?; there is sn1"},
        FaultCase{"SystematicWithoutFigure",
                  "  relative_fraction: 0\n  absolute: 0.9\n  unit: \"delta_degF\"\n", "",
                  "line.textproto:18:1: systematic_uncertainties[0].relative_fraction: "
                  "is missing, and so is 'absolute'; write one of them, or leave out the "
                  "whole entry"},
        FaultCase{"SystematicWithoutUnit", "  unit: \"delta_degF\"\n", "",
                  "line.textproto:18:1: systematic_uncertainties[0].unit: is missing; "
                  "write unit: \"...\""},
        FaultCase{
            "SystematicInUnitOfPower", "unit: \"delta_degF\"", "unit: \"kW\"",
            "line.textproto:22:3: systematic_uncertainties[0].unit: 'kW' is a unit of "
            "power; units of temperature difference: delta_K, delta_degC, delta_degF"},
        FaultCase{"SystematicNegative", "absolute: 0.9", "absolute: -0.9",
                  "line.textproto:21:3: systematic_uncertainties[0].absolute: is "
                  "negative; write it without a sign"},
        FaultCase{"SystematicInPercent", "relative_fraction: 0", "relative_fraction: 3",
                  "line.textproto:20:3: systematic_uncertainties[0].relative_fraction: 3 "
                  "is out of range; write a number from 0 to 1"},
        FaultCase{"SystematicPartOfATemperature", "relative_fraction: 0",
                  "relative_fraction: 0.01",
                  "line.textproto:20:3: systematic_uncertainties[0].relative_fraction: "
                  "is a part of a temperature, which depends on where its scale starts; "
                  "write 'absolute', a difference"},
        FaultCase{"MissingSource", "  source: \"certificate\"\n", "",
                  "line.textproto:18:1: systematic_uncertainties[0].source: is missing; "
                  "write source: \"...\""},
        FaultCase{"PhaseCount", "phase_count: 3", "phase_count: 2",
                  "line.textproto:30:3: units[0].phase_count: 2 is no number of phases; "
                  "write 1 or 3"},
        FaultCase{"NominalCapacityZero", "value: 60 unit", "value: 0 unit",
                  "line.textproto:31:49: units[0].nominal_capacity.value: 0 is out of "
                  "range; write a number above 0"},
        FaultCase{"NominalCapacityImplausible", "value: 60 unit", "value: 6e7 unit",
                  "line.textproto:31:49: units[0].nominal_capacity.value: 6e+07 kBtu/h "
                  "is no plausible total_capacity, which is from -3412.14 to 170607 "
                  "kBtu/h; look at value and unit"},
        FaultCase{"NominalCapacityNotFinite", "value: 60 unit", "value: 1e400 unit",
                  "line.textproto:31:49: units[0].nominal_capacity.value: is not a "
                  "finite number; write a decimal such as 85.0"},
        FaultCase{"MachineGivenTwice", "machines { id: \"b\" }", "machines { id: \"a\" }",
                  "line.textproto:33:14: units[0].machines[1].id: the machine 'a' is "
                  "given twice; keep one\n"
                  "line.textproto:45:41: units[0].modes[0].stages[1].machines[1]: "
                  "unknown machine 'b'; did you mean 'a'?; there is a, a"},
        FaultCase{
            "CapacityIsACondition", "capacity_quantity: \"total_capacity\"",
            "capacity_quantity: \"outdoor_air_db\"",
            "line.textproto:37:5: units[0].modes[0].capacity_quantity: 'outdoor_air_db' "
            "is a condition of a test and not what a machine does\n"
            "line.textproto:61:13: tables[0].figures[0].quantity: unknown figure of this "
            "mode 'total_capacity'; there is coefficient_of_performance, "
            "energy_efficiency_ratio, outdoor_air_db, power_input, leaving_air_db"},
        FaultCase{"CapacityIsATemperature", "capacity_quantity: \"total_capacity\"",
                  "capacity_quantity: \"leaving_air_wb\"",
                  "line.textproto:37:5: units[0].modes[0].capacity_quantity: "
                  "'leaving_air_wb' is not in watts\n"
                  "line.textproto:61:13: tables[0].figures[0].quantity: unknown figure "
                  "of this mode 'total_capacity'; there is coefficient_of_performance, "
                  "energy_efficiency_ratio, leaving_air_wb, power_input, leaving_air_db"},
        FaultCase{
            "ConditionIsAResponse", "\"entering_water_temp\", \"entering_air_wb\"]",
            "\"entering_water_temp\", \"entering_air_wb\", \"fan_power\"]",
            "line.textproto:39:60: units[0].modes[0].conditions[2]: 'fan_power' is what "
            "a machine does and no condition of a test\n"
            "line.textproto:53:1: tables[0].fixed_conditions: the condition 'fan_power' "
            "has no value in this table; give it as rows, columns or a fixed condition\n"
            "line.textproto:72:3: tables[1].fixed_conditions: the condition 'fan_power' "
            "has no value in this table; give it as rows, columns or a fixed condition"},
        FaultCase{"ConditionGivenTwice",
                  "conditions: [\"entering_water_temp\", \"entering_air_wb\"]",
                  "conditions: [\n      \"entering_water_temp\",\n      "
                  "\"entering_air_wb\", \"entering_water_temp\"]",
                  "line.textproto:41:26: units[0].modes[0].conditions[2]: the quantity "
                  "'entering_water_temp' is given twice; keep one"},
        FaultCase{"HeldConditionIsFitted",
                  "quantity: \"water_flow\" value: 12 tolerance: 0.5 unit: \"gpm\"",
                  "quantity: \"entering_air_wb\" value: 67 tolerance: 0.5 unit: \"degF\"",
                  "line.textproto:41:7: units[0].modes[0].held_conditions[0].quantity: "
                  "the quantity 'entering_air_wb' is given twice; keep one\n"
                  "line.textproto:60:13: tables[0].columns.quantity: 'entering_air_wb' "
                  "is held at one value in this mode; leave it out\n"
                  "line.textproto:72:22: tables[1].fixed_conditions[0].quantity: "
                  "'entering_air_wb' is held at one value in this mode; leave it out"},
        FaultCase{"HeldConditionImplausible", "value: 12 tolerance",
                  "value: 1e6 tolerance",
                  "line.textproto:41:30: units[0].modes[0].held_conditions[0].value: "
                  "1e+06 gpm is no plausible water_flow, which is from 0 to 79251.6 gpm; "
                  "look at value and unit"},
        FaultCase{"ToleranceNegative", "tolerance: 0.5", "tolerance: -0.5",
                  "line.textproto:41:40: units[0].modes[0].held_conditions[0].tolerance: "
                  "is negative; write it without a sign"},
        FaultCase{"ToleranceMissing", " tolerance: 0.5", "",
                  "line.textproto:40:5: units[0].modes[0].held_conditions[0].tolerance: "
                  "is missing; write tolerance: and a number"},
        FaultCase{"EfficiencyIsFitted", "other_responses: \"leaving_air_db\"",
                  "other_responses: \"energy_efficiency_ratio\"",
                  "line.textproto:43:5: units[0].modes[0].other_responses[0]: "
                  "'energy_efficiency_ratio' is computed from capacity and power and not "
                  "fitted; leave it out; tables and claims may name it\n"
                  "line.textproto:73:13: tables[1].figures[0].quantity: unknown figure "
                  "of this mode 'leaving_air_db'; there is coefficient_of_performance, "
                  "energy_efficiency_ratio, total_capacity, power_input, "
                  "energy_efficiency_ratio"},
        FaultCase{"UnknownMachine", "machines: [\"a\", \"b\"]",
                  "machines: [\"a\", \"c\"]",
                  "line.textproto:45:41: units[0].modes[0].stages[1].machines[1]: "
                  "unknown machine 'c'; did you mean 'a'?; there is a, b"},
        FaultCase{"StageGivenTwice", "stages { id: \"low\"", "stages { id: \"high\"",
                  "line.textproto:45:14: units[0].modes[0].stages[1].id: the stage "
                  "'high' is given twice; keep one\n"
                  "line.textproto:70:3: tables[1].stage: unknown stage 'low'; there is "
                  "high, high"},
        FaultCase{
            "StageIdWithSlash", "stages { id: \"low\" machines: \"a\" }",
            "stages { id: \"l/w\" machines: \"a\" }\n    stages { id: \"low\" machines: "
            "\"a\" }",
            "line.textproto:44:14: units[0].modes[0].stages[0].id: 'l/w' is no id; write "
            "at most 64 letters, digits and . _ + -, a letter or digit first"},
        FaultCase{"ProofDegree", "declared_proof_degree: 2", "declared_proof_degree: 4",
                  "line.textproto:46:5: units[0].modes[0].declared_proof_degree: 4 is "
                  "out of range; write a number from 1 to 3"},
        FaultCase{"NearestPointFractionZero", "nearest_point_fraction: 0.4",
                  "nearest_point_fraction: 0",
                  "line.textproto:47:5: units[0].modes[0].nearest_point_fraction: 0 is "
                  "out of range; write a number above 0"},
        FaultCase{"InputOfUnknownProcedure", "procedure: \"ieer\" input",
                  "procedure: \"iear\" input",
                  "line.textproto:49:22: units[0].procedure_inputs[0].procedure: unknown "
                  "procedure of this line 'iear'; did you mean 'ieer'?; there is ieer"},
        FaultCase{"TableOfUnknownStage", "stage: \"high\"\n  rows",
                  "stage: \"hgh\"\n  rows",
                  "line.textproto:58:3: tables[0].stage: unknown stage 'hgh'; did you "
                  "mean 'high'?; there is low, high"},
        FaultCase{"TableConditionMissing",
                  "  columns { quantity: \"entering_air_wb\" unit: \"degF\" values: 60 "
                  "values: 67 }\n",
                  "",
                  "line.textproto:53:1: tables[0].fixed_conditions: the condition "
                  "'entering_air_wb' has no value in this table; give it as rows, "
                  "columns or a fixed condition"},
        FaultCase{"TableConditionTwice", "columns { quantity: \"entering_air_wb\"",
                  "columns { quantity: \"entering_water_temp\"",
                  "line.textproto:53:1: tables[0].fixed_conditions: the condition "
                  "'entering_air_wb' has no value in this table; give it as rows, "
                  "columns or a fixed condition\n"
                  "line.textproto:60:13: tables[0].columns.quantity: the condition "
                  "'entering_water_temp' is given twice; keep one"},
        FaultCase{
            "TableConditionHeld",
            "fixed_conditions { quantity: \"entering_air_wb\" value: 67 unit: \"degF\" }",
            "fixed_conditions { quantity: \"entering_air_wb\" value: 67 unit: \"degF\" "
            "}\n  fixed_conditions { quantity: \"water_flow\" value: 12 unit: \"gpm\" }",
            "line.textproto:73:22: tables[1].fixed_conditions[1].quantity: 'water_flow' "
            "is held at one value in this mode; leave it out"},
        FaultCase{"TableValuesFall", "[60, 70, 85] }\n  columns",
                  "[60, 85, 70] }\n  columns",
                  "line.textproto:59:72: tables[0].rows.values[2]: 70 does not follow "
                  "85; write the values in ascending order"},
        FaultCase{"TableValueNotFinite", "[60, 70, 85] }\n  columns",
                  "[60, 70,\n    nan] }\n  columns",
                  "line.textproto:60:5: tables[0].rows.values[2]: is not a finite "
                  "number; write a decimal such as 85.0"},
        FaultCase{
            "TableValueImplausible", "values: 60 values: 67", "values: 60 values: 670",
            "line.textproto:60:65: tables[0].columns.values[1]: 670 degF is no plausible "
            "entering_air_wb, which is from -58 to 140 degF; look at value and unit"},
        FaultCase{"TableFigureNotFitted",
                  "figures { quantity: \"leaving_air_db\" unit: \"degF\" }",
                  "figures { quantity: \"leaving_air_wb\" unit: \"degF\" }",
                  "line.textproto:73:13: tables[1].figures[0].quantity: unknown figure "
                  "of this mode 'leaving_air_wb'; did you mean 'leaving_air_db'?; there "
                  "is coefficient_of_performance, energy_efficiency_ratio, "
                  "total_capacity, power_input, leaving_air_db"},
        FaultCase{"TableFigureInWrongUnit", "unit: \"Btu/Wh\"", "unit: \"Btu/h\"",
                  "line.textproto:62:49: tables[0].figures[1].unit: 'Btu/h' is a unit of "
                  "power; units of energy ratio: W/W, Btu/Wh, kW/ton"},
        FaultCase{"TableDecimals", "decimal_count: 1", "decimal_count: 7",
                  "line.textproto:61:55: tables[0].figures[0].decimal_count: 7 is out of "
                  "range; write a number from 0 to 6"},
        FaultCase{"TableConfidence", "confidence: 0.9", "confidence: 1",
                  "line.textproto:63:3: tables[0].confidence: 1 is out of range; write a "
                  "number from 0.5 to 0.9999"},
        FaultCase{"TableGivenTwice", "id: \"cap-67\"", "id: \"cap\"",
                  "line.textproto:66:3: tables[1].id: the table 'cap' is given twice; "
                  "keep one"},
        FaultCase{"DropWithoutReason", " reason: \"pump tripped\"", "",
                  "line.textproto:75:1: dropped_points[0].reason: is missing; write "
                  "reason: \"...\""},
        FaultCase{"PlaceOfAFieldBehindATab", "  phase_count: 3", "\t \tphase_count: 2",
                  "line.textproto:30:4: units[0].phase_count: 2 is no number of phases; "
                  "write 1 or 3"},
        FaultCase{
            "PlaceBehindTab", "title: \"Five tons\"", "\ttitel: \"Five tons\"",
            "line.textproto:26:1: units[0].title: is missing; write title: \"...\"\n"
            "line.textproto:28:4: unknown field 'titel' in Unit; did you mean 'title'?"}),
    NameOf);

INSTANTIATE_TEST_SUITE_P(
    Claims, ClaimFault,
    ::testing::Values(
        FaultCase{"LimitMissing", "  limit: 11\n", "",
                  "claims.textproto:1:1: claims[0].limit: is missing; write limit: and a "
                  "number"},
        FaultCase{"LimitNotFinite", "limit: 11", "limit: inf",
                  "claims.textproto:9:3: claims[0].limit: is not a finite number; write "
                  "a decimal such as 85.0"},
        FaultCase{"LimitOutsideTheDoubles", "limit: 11", "limit: 1e400",
                  "claims.textproto:9:3: claims[0].limit: is not a finite number; write "
                  "a decimal such as 85.0"},
        FaultCase{
            "LimitImplausible", "limit: 59", "limit: 590",
            "claims.textproto:23:3: claims[1].limit: 590 degF is no plausible "
            "leaving_air_db, which is from -58 to 248 degF; look at value and unit"},
        FaultCase{"LimitInWrongUnit", "limit_unit: \"Btu/Wh\"", "limit_unit: \"kW\"",
                  "claims.textproto:10:3: claims[0].limit_unit: 'kW' is a unit of power; "
                  "units of energy ratio: W/W, Btu/Wh, kW/ton"},
        FaultCase{"LimitInPowerPerCapacity", "limit_unit: \"Btu/Wh\"",
                  "limit_unit: \"kW/ton\"",
                  "claims.textproto:10:3: claims[0].limit_unit: 'kW/ton' falls where "
                  "efficiency rises, so that at least and at most change places; write "
                  "the limit in W/W or Btu/Wh"},
        FaultCase{"QuantityIsACondition", "quantity: \"leaving_air_db\"",
                  "quantity: \"outdoor_air_db\"",
                  "claims.textproto:21:3: claims[1].quantity: 'outdoor_air_db' is a "
                  "condition of a test and not what a machine does"},
        FaultCase{
            "RelationUnknown", "relation: RELATION_AT_MOST", "relation: RELATION_MOST",
            "claims.textproto:22:13: relation: unknown value 'RELATION_MOST'; did you "
            "mean 'RELATION_AT_MOST'?; write one of RELATION_AT_LEAST, RELATION_AT_MOST, "
            "RELATION_WITHIN"},
        FaultCase{"RelationMissing", "  relation: RELATION_AT_MOST\n", "",
                  "claims.textproto:16:1: claims[1].relation: is missing; write "
                  "relation: and one of RELATION_AT_LEAST, RELATION_AT_MOST, "
                  "RELATION_WITHIN"},
        FaultCase{"RangeReversed", "low: 60 high: 95", "low: 95 high: 60",
                  "claims.textproto:11:52: claims[0].region[0].high: the range is "
                  "reversed: 60 is below 95"},
        FaultCase{
            "RangeImplausible", "low: 60 high: 95", "low: 60 high: 950",
            "claims.textproto:11:52: claims[0].region[0].high: 950 degF is no plausible "
            "entering_water_temp, which is from -40 to 248 degF; look at value and unit"},
        FaultCase{"RangeEndMissing", "low: 60 high: 95", "low: 60",
                  "claims.textproto:11:3: claims[0].region[0].high: is missing; write "
                  "high: and a number"},
        FaultCase{"RangeWithoutUnit", "low: 60 high: 72 unit: \"degF\"",
                  "low: 60 high: 72",
                  "claims.textproto:12:3: claims[0].region[1].unit: is missing; write "
                  "unit: \"...\""},
        FaultCase{
            "RegionMissing",
            "  region { quantity: \"entering_water_temp\" low: 60 high: 95 unit: "
            "\"degF\" }\n  region { quantity: \"entering_air_wb\" low: 60 high: 72 unit: "
            "\"degF\" }\n",
            "",
            "claims.textproto:1:1: claims[0].region: is missing; write region { ... }"},
        FaultCase{"ConditionTwice", "region { quantity: \"entering_air_wb\"",
                  "region { quantity: \"entering_water_temp\"",
                  "claims.textproto:12:12: claims[0].region[1].quantity: the condition "
                  "'entering_water_temp' is given twice; keep one"},
        FaultCase{"ConfidenceCertain", "confidence: 0.95", "confidence: 1",
                  "claims.textproto:13:3: claims[0].confidence: 1 is out of range; write "
                  "a number from 0.5 to 0.9999"},
        FaultCase{"ConfidenceAsPercent", "confidence: 0.95", "confidence: 95",
                  "claims.textproto:13:3: claims[0].confidence: 95 is out of range; "
                  "write a number from 0.5 to 0.9999"},
        FaultCase{"AllowanceMissing",
                  "  allowance { absolute: 0.9 reason: \"production\" }\n", "",
                  "claims.textproto:16:1: claims[1].allowance: is missing; write "
                  "allowance { ... }"},
        FaultCase{
            "AllowanceWithoutFigure", "absolute: 0.9 reason", "reason",
            "claims.textproto:28:3: claims[1].allowance.relative_fraction: is missing, "
            "and so is 'absolute'; write one of them, 0 if that is what you mean"},
        FaultCase{"AllowanceWithoutReason", " reason: \"production\"", "",
                  "claims.textproto:14:3: claims[0].allowance.reason: is missing; write "
                  "reason: \"...\""},
        FaultCase{"AllowanceNegative", "absolute: 0.9", "absolute: -0.9",
                  "claims.textproto:28:15: claims[1].allowance.absolute: is negative; an "
                  "allowance is taken off the margin: write it without a sign"},
        FaultCase{"AllowancePartOfATemperature", "absolute: 0.9",
                  "relative_fraction: 0.01",
                  "claims.textproto:28:15: claims[1].allowance.relative_fraction: is a "
                  "part of a temperature, which depends on where its scale starts; write "
                  "'absolute', a difference"},
        FaultCase{"AllowanceInPercent", "relative_fraction: 0.03", "relative_fraction: 3",
                  "claims.textproto:14:15: claims[0].allowance.relative_fraction: 3 is "
                  "out of range; write a number from 0 to 1"},
        FaultCase{"IdTwice", "id: \"cold\"", "id: \"eer-floor\"",
                  "claims.textproto:17:3: claims[1].id: the claim 'eer-floor' is given "
                  "twice; keep one"},
        FaultCase{"IdWithBlank", "id: \"cold\"", "id: \"c old\"",
                  "claims.textproto:17:3: claims[1].id: 'c old' is no id; write at most "
                  "64 letters, digits and . _ + -, a letter or digit first"}),
    NameOf);

INSTANTIATE_TEST_SUITE_P(
    ClaimsOnALine, CrossFault,
    ::testing::Values(
        FaultCase{"UnitUnknown", "unit: \"w60\"", "unit: \"w6\"",
                  "claims.textproto:4:3: claims[0].unit: unknown unit 'w6'; did you mean "
                  "'w60'?; there is w60"},
        FaultCase{"ModeUnknown", "mode: \"cooling\"", "mode: \"cool\"",
                  "claims.textproto:5:3: claims[0].mode: unknown mode 'cool'; there is "
                  "cooling"},
        FaultCase{"StageUnknown", "stage: \"high\"\n  quantity: \"leaving_air_db\"",
                  "stage: \"hgh\"\n  quantity: \"leaving_air_db\"",
                  "claims.textproto:20:3: claims[1].stage: unknown stage 'hgh'; did you "
                  "mean 'high'?; there is low, high"},
        FaultCase{"QuantityNotFitted", "quantity: \"leaving_air_db\"",
                  "quantity: \"leaving_air_wb\"",
                  "claims.textproto:21:3: claims[1].quantity: unknown quantity of this "
                  "mode 'leaving_air_wb'; did you mean 'leaving_air_db'?; there is "
                  "total_capacity, power_input, leaving_air_db, "
                  "coefficient_of_performance, energy_efficiency_ratio, heat_rejection, "
                  "water_temperature_difference, leaving_water_temp"},
        FaultCase{
            "ConditionLeftOut",
            "  region { quantity: \"entering_air_wb\" low: 60 high: 72 unit: \"degF\" "
            "}\n",
            "",
            "claims.textproto:1:1: claims[0].region: the condition 'entering_air_wb' has "
            "no range; a claim names a range for every condition of its mode"},
        FaultCase{
            "ConditionOfNoMode",
            "quantity: \"entering_air_wb\" low: 60 high: 72 unit: \"degF\" }",
            "quantity: \"entering_air_db\" low: 60 high: 72 unit: \"degF\" }",
            "claims.textproto:12:12: claims[0].region[1].quantity: unknown condition of "
            "this mode 'entering_air_db'; did you mean 'entering_air_wb'?; there is "
            "entering_water_temp, entering_air_wb\n"
            "claims.textproto:1:1: claims[0].region: the condition 'entering_air_wb' has "
            "no range; a claim names a range for every condition of its mode"}),
    NameOf);

TEST(TextFault, SoundDocumentsHaveNone) {
  ASSERT_OK_AND_ASSIGN(const LineManifest manifest,
                       ParseLineManifest("line.textproto", kManifest));
  ASSERT_OK_AND_ASSIGN(const ParsedClaims claims,
                       ParseClaims("claims.textproto", kClaims));
  EXPECT_THAT(CheckClaims(manifest, claims), IsOk());
}

TEST(TextFault, AllFaultsOfAFileAreReportedTogether) {
  std::string text = With(kClaims, "confidence: 0.95", "confidense: 0.95");
  text = With(text, "relation: RELATION_AT_LEAST", "relation: AT_LEAST");
  text = With(text, "limit: 59", "limit: nan");
  text = With(text, "low: 60 high: 72", "low: 72 high: 60");
  EXPECT_EQ(FaultsOf(ParseClaims("c", text).status()),
            R"(c:1:1: claims[0].confidence: is missing; write confidence: and a number
c:8:13: relation: unknown value 'AT_LEAST'; write one of RELATION_AT_LEAST, RELATION_AT_MOST, RELATION_WITHIN
c:12:48: claims[0].region[1].high: the range is reversed: 60 is below 72
c:13:3: unknown field 'confidense' in Claim; did you mean 'confidence'?
c:23:3: claims[1].limit: is not a finite number; write a decimal such as 85.0)");
}

}  // namespace
}  // namespace ratebound::document
