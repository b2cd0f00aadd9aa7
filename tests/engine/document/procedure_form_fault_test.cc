// Faults of the forms of procedures besides weighted load points, each with its place as
// a person would count it.
#include <ostream>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
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

constexpr char kHead[] = R"(id: "own"
title: "own"
document: "own rules"
edition: "1"
metric: "OWN"
scope { equipment_classes: "c" citation { source: "s" basis: BASIS_MEMORY } }
mode_kind: "cooling"
capacity_basis { text: "net" citation { source: "s" basis: BASIS_MEMORY } }
power_quantity: "power_input"
required_inputs { name: "drop" unit: "Pa" description: "pressure drop" }
required_inputs { name: "factor" description: "of a unit that cycles" }
)";

// From line 12 on.
constexpr char kOnePoint[] = R"(metric_unit: "W/W"
unit_constant { value: 1 citation { source: "s" basis: BASIS_MEMORY } }
rounding_step { value: 0.1 citation { source: "s" basis: BASIS_MEMORY } }
capacity_quantity: "total_capacity"
one_point {
  corrections {
    name: "fan"
    flow {
      quantity: "air_flow"
      unit: "m3/s"
      factor { value { value: 1 citation { source: "s" basis: BASIS_MEMORY } } }
    }
    pressure {
      input: "drop"
      unit: "Pa"
      factor { value { value: 1 citation { source: "s" basis: BASIS_MEMORY } } }
    }
    divisor { value { value: 0.3 citation { source: "s" basis: BASIS_MEMORY } } }
    in_power: TERM_SIGN_ADDED
    in_capacity: TERM_SIGN_SUBTRACTED
    capacity_factor { input: "factor" }
    citation { source: "s" basis: BASIS_MEMORY }
  }
  citation { source: "s" basis: BASIS_MEMORY }
}
)";

constexpr char kWeighted[] = R"(metric_unit: "kg/kWh"
unit_constant { value: 1 citation { source: "s" basis: BASIS_MEMORY } }
rounding_step { value: 0.1 citation { source: "s" basis: BASIS_MEMORY } }
capacity_quantity: "moisture_removal"
aggregation: AGGREGATION_WEIGHTED_MEAN
aggregation_citation { source: "s" basis: BASIS_MEMORY }
weight_sum: 1
weighted_conditions {
  points {
    id: "A"
    weight { value: 0.25 citation { source: "s" basis: BASIS_MEMORY } }
    conditions {
      quantity: "outdoor_air_db"
      value { value: 30 unit: "degC" citation { source: "s" basis: BASIS_MEMORY } }
    }
  }
  points {
    id: "B"
    weight { value: 0.75 citation { source: "s" basis: BASIS_MEMORY } }
  }
  stage_rule: STAGE_RULE_MIXED_TO_TARGET
  target {
    quantity: "leaving_air_dew_point"
    target { value { value: 55 unit: "degF" citation { source: "s" basis: BASIS_MEMORY } } }
    unit: "degF"
    tolerance { value { value: 0.3 citation { source: "s" basis: BASIS_MEMORY } } }
    mixed: MIXED_FIGURE_EFFICIENCY
    cycling_factor_input: "factor"
    citation { source: "s" basis: BASIS_MEMORY }
  }
  air_side_moisture {
    flow {
      quantity: "standard_air_flow"
      unit: "cfm"
      factor { value { value: 4.5 citation { source: "s" basis: BASIS_MEMORY } } }
    }
    mass: FLOW_MASS_DRY_AIR
    entering { quantity: "outdoor_air_wb" dry_bulb_quantity: "outdoor_air_db" }
    leaving { quantity: "leaving_air_dew_point" }
    barometric_pressure { value { value: 101325 citation { source: "s" basis: BASIS_MEMORY } } }
    barometric_pressure_unit: "Pa"
    citation { source: "s" basis: BASIS_MEMORY }
  }
  supply_air_additions {
    name: "reheat"
    quantity: "leaving_air_db"
    wrong_side: LIMIT_SIDE_BELOW
    limit { value { value: 70 citation { source: "s" basis: BASIS_MEMORY } } }
    limit_unit: "degF"
    flow {
      quantity: "standard_air_flow"
      unit: "cfm"
      factor { value { value: 1.08 citation { source: "s" basis: BASIS_MEMORY } } }
    }
    heat_unit: "Btu/h"
    coefficient_of_performance { value { value: 1 citation { source: "s" basis: BASIS_MEMORY } } }
    in_capacity: TERM_SIGN_NONE
    citation { source: "s" basis: BASIS_MEMORY }
  }
  citation { source: "s" basis: BASIS_MEMORY }
}
)";

constexpr char kCompressor[] = R"(metric_unit: "W/W"
unit_constant { value: 1 citation { source: "s" basis: BASIS_MEMORY } }
rounding_step { value: 0.1 citation { source: "s" basis: BASIS_MEMORY } }
capacity_quantity: "total_capacity"
compressor_table {
  evaporating_quantity: "saturated_suction_temp"
  condensing_quantity: "saturated_discharge_temp"
  temperature_unit: "degF"
  tabulated { quantity: "total_capacity" unit: "Btu/h" }
  tabulated { quantity: "power_input" unit: "W" }
  superheat {
    volumetric_factor { value { value: 0.75 citation { source: "s" basis: BASIS_MEMORY } } }
    density_ratio { input: "factor" }
    isentropic_work_ratio { input: "factor" }
    enthalpy_difference_ratio { input: "factor" }
    citation { source: "s" basis: BASIS_MEMORY }
  }
  citation { source: "s" basis: BASIS_MEMORY }
}
)";

std::string ProcedureFaults(const std::string& sound) {
  return FaultsOf(ParseProcedure("p.textproto", sound).status());
}

class OnePointFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(OnePointFault, IsReportedWithItsPlace) {
  const std::string text =
      With(absl::StrCat(kHead, kOnePoint), GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(ProcedureFaults(text), GetParam().want);
}

class WeightedFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(WeightedFault, IsReportedWithItsPlace) {
  const std::string text =
      With(absl::StrCat(kHead, kWeighted), GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(ProcedureFaults(text), GetParam().want);
}

class CompressorFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(CompressorFault, IsReportedWithItsPlace) {
  const std::string text =
      With(absl::StrCat(kHead, kCompressor), GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(ProcedureFaults(text), GetParam().want);
}

TEST(ProcedureFormFault, SoundDocumentsHaveNone) {
  EXPECT_THAT(ParseProcedure("p.textproto", absl::StrCat(kHead, kOnePoint)), IsOk());
  EXPECT_THAT(ParseProcedure("p.textproto", absl::StrCat(kHead, kWeighted)), IsOk());
  EXPECT_THAT(ParseProcedure("p.textproto", absl::StrCat(kHead, kCompressor)), IsOk());
}

INSTANTIATE_TEST_SUITE_P(
    Faults, OnePointFault,
    ::testing::Values(
        FaultCase{"CorrectionTwice", "  corrections {\n",
                  "  corrections {\n    name: \"fan\"\n    flow { quantity: "
                  "\"air_flow\" unit: \"m3/s\" factor { input: \"factor\" } }\n    "
                  "pressure { input: "
                  "\"drop\" unit: \"Pa\" factor { input: \"factor\" } }\n    divisor { "
                  "input: \"factor\" }\n    in_power: TERM_SIGN_NONE\n    in_capacity: "
                  "TERM_SIGN_NONE\n    citation { source: \"s\" basis: BASIS_MEMORY }\n  "
                  "}\n  corrections {\n",
                  "p.textproto:27:5: one_point.corrections[1].name: the correction 'fan' "
                  "is given twice; keep one"},
        FaultCase{"FlowUnknown", "quantity: \"air_flow\"", "quantity: \"air_flw\"",
                  "p.textproto:20:7: one_point.corrections[0].flow.quantity: unknown "
                  "quantity 'air_flw'; did you mean 'air_flow'?"},
        FaultCase{
            "FlowThatIsATemperature", "quantity: \"air_flow\"",
            "quantity: \"entering_air_db\"",
            "p.textproto:20:7: one_point.corrections[0].flow.quantity: 'entering_air_db' "
            "is a quantity of temperature; name a quantity of volume flow or mass flow"},
        FaultCase{
            "FlowUnitThatDoesNotFit", "unit: \"m3/s\"", "unit: \"kg/s\"",
            "p.textproto:21:7: one_point.corrections[0].flow.unit: 'kg/s' is a unit of "
            "mass flow; units of volume flow: m3/s, m3/h, L/s, L/min, L/h, cfm, gpm"},
        FaultCase{"FlowUnitUnknown", "unit: \"m3/s\"", "unit: \"m3/sec\"",
                  "p.textproto:21:7: one_point.corrections[0].flow.unit: unknown unit "
                  "'m3/sec'; did you mean 'm3/s'?; units of volume flow: m3/s, m3/h, "
                  "L/s, L/min, L/h, cfm, gpm"},
        FaultCase{"TermOfNothing", "      input: \"drop\"\n", "",
                  "p.textproto:24:5: one_point.corrections[0].pressure.quantity: the "
                  "term is of nothing; write quantity or input"},
        FaultCase{"TermInputUnknown", "input: \"drop\"", "input: \"drp\"",
                  "p.textproto:25:7: one_point.corrections[0].pressure.input: unknown "
                  "required input 'drp'; did you mean 'drop'?; there is drop, factor"},
        FaultCase{"TermInputInUnknownUnit", "unit: \"Pa\"\n      factor",
                  "unit: \"Pascal\"\n      factor",
                  "p.textproto:26:7: one_point.corrections[0].pressure.unit: unknown "
                  "unit 'Pascal'; units of pressure difference: Pa, hPa, kPa, MPa, bar, "
                  "psid, in_wg_4c, in_wg_60f, ft_wg_4c, ft_wg_60f"},
        FaultCase{
            "PressureThatIsAFlow", "      input: \"drop\"\n",
            "      quantity: \"water_flow\"\n",
            "p.textproto:25:7: one_point.corrections[0].pressure.quantity: 'water_flow' "
            "is a quantity of volume flow; name a quantity of pressure difference"},
        FaultCase{"FactorMissing",
                  "      unit: \"m3/s\"\n      factor { value { value: 1 citation { "
                  "source: \"s\" basis: BASIS_MEMORY } } }\n",
                  "      unit: \"m3/s\"\n",
                  "p.textproto:19:5: one_point.corrections[0].flow.factor: is missing; "
                  "write factor { ... }"},
        FaultCase{"FactorOfNeither",
                  "      unit: \"m3/s\"\n      factor { value { value: 1 citation { "
                  "source: \"s\" basis: BASIS_MEMORY } } }\n",
                  "      unit: \"m3/s\"\n      factor { }\n",
                  "p.textproto:22:7: one_point.corrections[0].flow.factor.value: the "
                  "number is missing; write value or input"},
        FaultCase{
            "FactorWithoutSource",
            "      unit: \"m3/s\"\n      factor { value { value: 1 citation { source: "
            "\"s\" basis: BASIS_MEMORY } } }\n",
            "      unit: \"m3/s\"\n      factor { value { value: 1 } }\n",
            "p.textproto:22:16: one_point.corrections[0].flow.factor.value.citation: is "
            "missing; write citation { ... }"},
        FaultCase{"FactorOfBoth", "capacity_factor { input: \"factor\" }",
                  "capacity_factor { input: \"factor\" value { value: 1 citation { "
                  "source: \"s\" basis: BASIS_MEMORY } } }",
                  "p.textproto:32:45: syntax: Field \"value\" is specified along with "
                  "field \"input\", another member of oneof \"from\"; mend it: what "
                  "follows has not been read"},
        FaultCase{"DivisorZero", "value: 0.3", "value: 0",
                  "p.textproto:29:23: one_point.corrections[0].divisor.value.value: 0 is "
                  "out of range; write a number above 0"},
        FaultCase{"DivisorNotFinite", "value: 0.3", "value: nan",
                  "p.textproto:29:23: one_point.corrections[0].divisor.value.value: is "
                  "not a finite number; write a decimal such as 85.0"},
        FaultCase{
            "SignMissing", "    in_power: TERM_SIGN_ADDED\n", "",
            "p.textproto:17:3: one_point.corrections[0].in_power: is missing; write "
            "in_power: and one of TERM_SIGN_ADDED, TERM_SIGN_SUBTRACTED, TERM_SIGN_NONE"},
        FaultCase{"SignUnknown", "TERM_SIGN_SUBTRACTED", "TERM_SIGN_MINUS",
                  "p.textproto:31:18: in_capacity: unknown value 'TERM_SIGN_MINUS'; did "
                  "you mean 'TERM_SIGN_NONE'?; write one of TERM_SIGN_ADDED, "
                  "TERM_SIGN_SUBTRACTED, TERM_SIGN_NONE"},
        FaultCase{"CapacityFactorMissing", "    capacity_factor { input: \"factor\" }\n",
                  "",
                  "p.textproto:17:3: one_point.corrections[0].capacity_factor: is "
                  "missing; write capacity_factor { ... }"},
        FaultCase{
            "CapacityFactorInputUnknown", "capacity_factor { input: \"factor\" }",
            "capacity_factor { input: \"facto\" }",
            "p.textproto:32:23: one_point.corrections[0].capacity_factor.input: unknown "
            "required input 'facto'; did you mean 'factor'?; there is drop, factor"},
        FaultCase{"CorrectionWithoutSource",
                  "    capacity_factor { input: \"factor\" }\n    citation { source: "
                  "\"s\" basis: BASIS_MEMORY }\n",
                  "    capacity_factor { input: \"factor\" }\n",
                  "p.textproto:17:3: one_point.corrections[0].citation: is missing; "
                  "write citation { ... }"},
        FaultCase{
            "NameWithBlank", "name: \"fan\"", "name: \"a fan\"",
            "p.textproto:18:5: one_point.corrections[0].name: 'a fan' is no id; write at "
            "most 64 letters, digits and . _ + -, a letter or digit first"},
        FaultCase{
            "MoistureRated", "capacity_quantity: \"total_capacity\"",
            "capacity_quantity: \"moisture_removal\"",
            "p.textproto:15:1: capacity_quantity: 'moisture_removal' is not in watts"},
        FaultCase{"LoadPointsToo", "one_point {", "part_load { }\none_point {",
                  "p.textproto:16:1: part_load: belongs to a procedure of weighted load "
                  "points; leave it out, or leave out the other form"},
        FaultCase{"TwoForms", "one_point {", "compressor_table { }\none_point {",
                  "p.textproto:17:11: syntax: Field \"one_point\" is specified along "
                  "with field \"compressor_table\", another member of oneof \"form\"; "
                  "mend it: what follows has not been read"},
        FaultCase{"TermInputInAUnitThatDoesNotFit", "input: \"drop\"\n      unit: \"Pa\"",
                  "input: \"drop\"\n      unit: \"degC\"",
                  "p.textproto:26:7: one_point.corrections[0].pressure.unit: 'degC' is a "
                  "unit of temperature; units of pressure difference: Pa, hPa, kPa, MPa, "
                  "bar, psid, in_wg_4c, in_wg_60f, ft_wg_4c, ft_wg_60f"},
        FaultCase{"DivisorWithUnit", "value: 0.3", "value: 300 unit: \"W\"",
                  "p.textproto:29:34: one_point.corrections[0].divisor.value.unit: a "
                  "plain number has no unit; leave it out"},
        FaultCase{"FactorWithUnit",
                  "      unit: \"m3/s\"\n      factor { value { value: 1 ",
                  "      unit: \"m3/s\"\n      factor { value { value: 1 unit: \"Pa\" ",
                  "p.textproto:22:33: one_point.corrections[0].flow.factor.value.unit: a "
                  "plain number has no unit; leave it out"}),
    NameOf);

INSTANTIATE_TEST_SUITE_P(
    Faults, WeightedFault,
    ::testing::Values(
        FaultCase{
            "WeightMissing",
            "    weight { value: 0.75 citation { source: \"s\" basis: BASIS_MEMORY } }\n",
            "",
            "p.textproto:18:1: weight_sum: the weights add up to 0.25 and not to 1; look "
            "at each weight, then at the sum\np.textproto:28:3: "
            "weighted_conditions.points[1].weight: is missing; write weight { ... }"},
        FaultCase{"WeightsNotAtTheirSum", "value: 0.75", "value: 0.65",
                  "p.textproto:18:1: weight_sum: the weights add up to 0.9 and not to 1; "
                  "look at each weight, then at the sum"},
        FaultCase{"SumNotOfTheWeights", "weight_sum: 1\n", "weight_sum: 2\n",
                  "p.textproto:18:1: weight_sum: the weights add up to 1 and not to 2; "
                  "look at each weight, then at the sum"},
        FaultCase{"WeightNegative", "value: 0.25", "value: -0.25",
                  "p.textproto:18:1: weight_sum: the weights add up to 0.5 and not to 1; "
                  "look at each weight, then at the sum\np.textproto:22:14: "
                  "weighted_conditions.points[0].weight.value: is negative"},
        FaultCase{"WeightNotFinite", "value: 0.25", "value: inf",
                  "p.textproto:22:14: weighted_conditions.points[0].weight.value: is not "
                  "a finite number; write a decimal such as 85.0"},
        FaultCase{"WeightWithUnit", "weight { value: 0.25 ",
                  "weight { value: 0.25 unit: \"%\" ",
                  "p.textproto:22:26: weighted_conditions.points[0].weight.unit: a plain "
                  "number has no unit; leave it out"},
        FaultCase{"WeightWithoutNumber", "weight { value: 0.25 ", "weight { ",
                  "p.textproto:18:1: weight_sum: the weights add up to 0.75 and not to "
                  "1; look at each weight, then at the sum\np.textproto:22:5: "
                  "weighted_conditions.points[0].weight.value: is missing; write value: "
                  "and a number"},
        FaultCase{"PointTwice", "id: \"B\"", "id: \"A\"",
                  "p.textproto:29:5: weighted_conditions.points[1].id: the point 'A' is "
                  "given twice; keep one"},
        FaultCase{
            "ConditionUnknown", "quantity: \"outdoor_air_db\"\n",
            "quantity: \"outdoor_air_bd\"\n",
            "p.textproto:24:7: weighted_conditions.points[0].conditions[0].quantity: "
            "unknown quantity 'outdoor_air_bd'; did you mean 'outdoor_air_db'?"},
        FaultCase{
            "ConditionThatAMachineDoes", "quantity: \"outdoor_air_db\"\n",
            "quantity: \"power_input\"\n",
            "p.textproto:24:7: weighted_conditions.points[0].conditions[0].quantity: "
            "'power_input' is what a machine does and no condition of a test"},
        FaultCase{
            "ConditionInWrongUnit", "value: 30 unit: \"degC\"", "value: 30 unit: \"kW\"",
            "p.textproto:25:25: weighted_conditions.points[0].conditions[0].value.unit: "
            "'kW' is a unit of power; units of temperature: degC, degF, K, degR"},
        FaultCase{
            "StageRuleMissing", "  stage_rule: STAGE_RULE_MIXED_TO_TARGET\n", "",
            "p.textproto:19:1: weighted_conditions.stage_rule: is missing; write "
            "stage_rule: and one of STAGE_RULE_LARGEST_CAPACITY, "
            "STAGE_RULE_MIXED_TO_TARGET\np.textproto:32:3: weighted_conditions.target: "
            "belongs to STAGE_RULE_MIXED_TO_TARGET; leave it out"},
        FaultCase{"TargetOfNoMixture", "STAGE_RULE_MIXED_TO_TARGET",
                  "STAGE_RULE_LARGEST_CAPACITY",
                  "p.textproto:33:3: weighted_conditions.target: belongs to "
                  "STAGE_RULE_MIXED_TO_TARGET; leave it out"},
        FaultCase{
            "TargetQuantityUnknown", "    quantity: \"leaving_air_dew_point\"\n",
            "    quantity: \"leaving_air_dewpoint\"\n",
            "p.textproto:34:5: weighted_conditions.target.quantity: unknown quantity "
            "'leaving_air_dewpoint'; did you mean 'leaving_air_dew_point'?"},
        FaultCase{"TargetUnitThatDoesNotFit", "    unit: \"degF\"\n    tolerance",
                  "    unit: \"psia\"\n    tolerance",
                  "p.textproto:36:5: weighted_conditions.target.unit: 'psia' is a unit "
                  "of absolute pressure; units of temperature: degC, degF, K, degR"},
        FaultCase{"TargetNumberInAUnitThatDoesNotFit", "value: 55 unit: \"degF\"",
                  "value: 55 unit: \"kW\"",
                  "p.textproto:35:32: weighted_conditions.target.target.value.unit: 'kW' "
                  "is a unit of power; units of temperature: degC, degF, K, degR"},
        FaultCase{"ToleranceMissing",
                  "    tolerance { value { value: 0.3 citation { source: \"s\" basis: "
                  "BASIS_MEMORY } } }\n",
                  "",
                  "p.textproto:33:3: weighted_conditions.target.tolerance: is missing; "
                  "write tolerance { ... }"},
        FaultCase{
            "MixedMissing", "    mixed: MIXED_FIGURE_EFFICIENCY\n", "",
            "p.textproto:33:3: weighted_conditions.target.mixed: is missing; write "
            "mixed: and one of MIXED_FIGURE_CAPACITY_AND_POWER, MIXED_FIGURE_EFFICIENCY"},
        FaultCase{
            "CyclingFactorUnknown", "cycling_factor_input: \"factor\"",
            "cycling_factor_input: \"fctor\"",
            "p.textproto:39:5: weighted_conditions.target.cycling_factor_input: unknown "
            "required input 'fctor'; did you mean 'factor'?; there is drop, factor"},
        FaultCase{"MassMissing", "    mass: FLOW_MASS_DRY_AIR\n", "",
                  "p.textproto:42:3: weighted_conditions.air_side_moisture.mass: is "
                  "missing; write mass: and one of FLOW_MASS_DRY_AIR, "
                  "FLOW_MASS_MOIST_ENTERING, FLOW_MASS_MOIST_LEAVING"},
        FaultCase{
            "FlowThatIsAPressure", "quantity: \"standard_air_flow\"",
            "quantity: \"external_static_pressure\"",
            "p.textproto:44:7: weighted_conditions.air_side_moisture.flow.quantity: "
            "'external_static_pressure' is a quantity of pressure difference; name a "
            "quantity of volume flow or mass flow"},
        FaultCase{
            "HumidityThatTellsNone", "quantity: \"leaving_air_dew_point\" }",
            "quantity: \"leaving_air_db\" }",
            "p.textproto:50:15: weighted_conditions.air_side_moisture.leaving.quantity: "
            "'leaving_air_db' does not tell a humidity; name a humidity ratio, wet bulb, "
            "dew point or relative humidity"},
        FaultCase{
            "HumidityThatIsAFlow", "quantity: \"leaving_air_dew_point\" }",
            "quantity: \"air_flow\" }",
            "p.textproto:50:15: weighted_conditions.air_side_moisture.leaving.quantity: "
            "'air_flow' is a quantity of volume flow; name a quantity of humidity ratio "
            "or temperature or fraction"},
        FaultCase{"WetBulbWithoutDryBulb", " dry_bulb_quantity: \"outdoor_air_db\"", "",
                  "p.textproto:49:5: "
                  "weighted_conditions.air_side_moisture.entering.dry_bulb_quantity: is "
                  "missing; write dry_bulb_quantity: \"...\""},
        FaultCase{
            "DryBulbThatIsNoTemperature", "dry_bulb_quantity: \"outdoor_air_db\"",
            "dry_bulb_quantity: \"air_flow\"",
            "p.textproto:49:43: "
            "weighted_conditions.air_side_moisture.entering.dry_bulb_quantity: "
            "'air_flow' is a quantity of volume flow; name a quantity of temperature"},
        FaultCase{"PressureUnitThatDoesNotFit", "barometric_pressure_unit: \"Pa\"",
                  "barometric_pressure_unit: \"degC\"",
                  "p.textproto:52:5: "
                  "weighted_conditions.air_side_moisture.barometric_pressure_unit: "
                  "'degC' is a unit of temperature; units of absolute pressure: Pa, hPa, "
                  "kPa, MPa, bar, psia, inHg, mmHg"},
        FaultCase{"PressureNumberInAUnitThatDoesNotFit", "value: 101325 ",
                  "value: 101325 unit: \"degC\" ",
                  "p.textproto:51:49: "
                  "weighted_conditions.air_side_moisture.barometric_pressure.value.unit: "
                  "'degC' is a unit of temperature; units of absolute pressure: Pa, hPa, "
                  "kPa, MPa, bar, psia, inHg, mmHg"},
        FaultCase{
            "AdditionOfAFlow", "    quantity: \"leaving_air_db\"\n",
            "    quantity: \"water_flow\"\n",
            "p.textproto:57:5: weighted_conditions.supply_air_additions[0].quantity: "
            "'water_flow' is a quantity of volume flow; name a quantity of temperature"},
        FaultCase{
            "LimitUnitThatDoesNotFit", "limit_unit: \"degF\"", "limit_unit: \"W\"",
            "p.textproto:60:5: weighted_conditions.supply_air_additions[0].limit_unit: "
            "'W' is a unit of power; units of temperature: degC, degF, K, degR"},
        FaultCase{"LimitNumberInAUnitThatDoesNotFit", "value: 70 ",
                  "value: 70 unit: \"W\" ",
                  "p.textproto:59:31: "
                  "weighted_conditions.supply_air_additions[0].limit.value.unit: 'W' is "
                  "a unit of power; units of temperature: degC, degF, K, degR"},
        FaultCase{"HeatUnitThatDoesNotFit", "heat_unit: \"Btu/h\"", "heat_unit: \"Btu\"",
                  "p.textproto:66:5: "
                  "weighted_conditions.supply_air_additions[0].heat_unit: 'Btu' is a "
                  "unit of energy; units of power: W, kW, MW, Btu/h, kBtu/h, ton, hp"},
        FaultCase{
            "CoefficientInputUnknown",
            "coefficient_of_performance { value { value: 1 citation { source: \"s\" "
            "basis: BASIS_MEMORY } } }",
            "coefficient_of_performance { input: \"cop\" }",
            "p.textproto:67:34: "
            "weighted_conditions.supply_air_additions[0].coefficient_of_performance."
            "input: unknown required input 'cop'; there is drop, factor"},
        FaultCase{"AdditionWithoutSide", "    wrong_side: LIMIT_SIDE_BELOW\n", "",
                  "p.textproto:55:3: "
                  "weighted_conditions.supply_air_additions[0].wrong_side: is missing; "
                  "write wrong_side: and one of LIMIT_SIDE_BELOW, LIMIT_SIDE_ABOVE"},
        FaultCase{"MetricUnitOfHeat", "metric_unit: \"kg/kWh\"", "metric_unit: \"W/W\"",
                  "p.textproto:12:1: metric_unit: unknown unit of mass for energy 'W/W'; "
                  "there is lb/kWh, kg/kWh"},
        FaultCase{"TargetNumberInUnknownUnit", "value: 55 unit: \"degF\"",
                  "value: 55 unit: \"F\"",
                  "p.textproto:35:32: weighted_conditions.target.target.value.unit: "
                  "unknown unit 'F'; write degF for a temperature, delta_degF for a "
                  "difference; units of temperature: degC, degF, K, degR"},
        FaultCase{"ToleranceInStepsOfAnotherScale", "value: 0.3 ",
                  "value: 0.3 unit: \"delta_degC\" ",
                  "p.textproto:37:36: weighted_conditions.target.tolerance.value.unit: "
                  "'delta_degC' is no difference in degF; write the tolerance in the "
                  "unit of the target and leave this one out"},
        FaultCase{"ToleranceInAThermometersUnit", "value: 0.3 ",
                  "value: 0.3 unit: \"degF\" ",
                  "p.textproto:37:36: weighted_conditions.target.tolerance.value.unit: "
                  "'degF' is no difference in degF; write the tolerance in the unit of "
                  "the target and leave this one out"},
        FaultCase{"CoefficientWithUnit", "coefficient_of_performance { value { value: 1 ",
                  "coefficient_of_performance { value { value: 3.412 unit: \"Btu/Wh\" ",
                  "p.textproto:67:55: "
                  "weighted_conditions.supply_air_additions[0].coefficient_of_"
                  "performance.value.unit: a plain number has no unit; leave it out"}),
    NameOf);

INSTANTIATE_TEST_SUITE_P(
    Faults, CompressorFault,
    ::testing::Values(
        FaultCase{
            "EvaporatingUnknown", "\"saturated_suction_temp\"",
            "\"saturated_suction_tmp\"",
            "p.textproto:17:3: compressor_table.evaporating_quantity: unknown quantity "
            "'saturated_suction_tmp'; did you mean 'saturated_suction_temp'?"},
        FaultCase{"CondensingThatIsNoTemperature", "\"saturated_discharge_temp\"",
                  "\"power_input\"",
                  "p.textproto:18:3: compressor_table.condensing_quantity: 'power_input' "
                  "is a quantity of power; name a quantity of temperature"},
        FaultCase{"TemperatureUnitThatDoesNotFit", "temperature_unit: \"degF\"",
                  "temperature_unit: \"W\"",
                  "p.textproto:19:3: compressor_table.temperature_unit: 'W' is a unit of "
                  "power; units of temperature: degC, degF, K, degR"},
        FaultCase{"NothingTabulated",
                  "  tabulated { quantity: \"total_capacity\" unit: \"Btu/h\" }\n  "
                  "tabulated { quantity: \"power_input\" unit: \"W\" }\n",
                  "",
                  "p.textproto:16:1: compressor_table.tabulated: is missing; write "
                  "tabulated { ... }"},
        FaultCase{"TabulatedTwice", "quantity: \"power_input\" unit: \"W\"",
                  "quantity: \"total_capacity\" unit: \"W\"",
                  "p.textproto:21:15: compressor_table.tabulated[1].quantity: the "
                  "quantity 'total_capacity' is given twice; keep one"},
        FaultCase{
            "TabulatedInWrongUnit", "quantity: \"power_input\" unit: \"W\"",
            "quantity: \"power_input\" unit: \"degC\"",
            "p.textproto:21:39: compressor_table.tabulated[1].unit: 'degC' is a unit of "
            "temperature; units of power: W, kW, MW, Btu/h, kBtu/h, ton, hp"},
        FaultCase{"TabulatedWithoutUnit", "quantity: \"power_input\" unit: \"W\"",
                  "quantity: \"power_input\"",
                  "p.textproto:21:3: compressor_table.tabulated[1].unit: is missing; "
                  "write unit: \"...\""},
        FaultCase{
            "TabulatedCondition", "quantity: \"power_input\" unit: \"W\"",
            "quantity: \"entering_air_db\" unit: \"degC\"",
            "p.textproto:21:15: compressor_table.tabulated[1].quantity: "
            "'entering_air_db' is a condition of a test and not what a machine does"},
        FaultCase{"RatioMissing", "    density_ratio { input: \"factor\" }\n", "",
                  "p.textproto:22:3: compressor_table.superheat.density_ratio: is "
                  "missing; write density_ratio { ... }"},
        FaultCase{
            "RatioInputUnknown", "density_ratio { input: \"factor\" }",
            "density_ratio { input: \"fator\" }",
            "p.textproto:24:21: compressor_table.superheat.density_ratio.input: unknown "
            "required input 'fator'; did you mean 'factor'?; there is drop, factor"},
        FaultCase{
            "EnthalpyRatioMissingForHeat",
            "    enthalpy_difference_ratio { input: \"factor\" }\n", "",
            "p.textproto:22:3: compressor_table.superheat.enthalpy_difference_ratio: is "
            "missing; write enthalpy_difference_ratio { ... }"},
        FaultCase{
            "VolumetricFactorWithoutBasis",
            "volumetric_factor { value { value: 0.75 citation { source: \"s\" basis: "
            "BASIS_MEMORY } } }",
            "volumetric_factor { value { value: 0.75 citation { source: \"s\" } } }",
            "p.textproto:23:45: "
            "compressor_table.superheat.volumetric_factor.value.citation.basis: is "
            "missing; write basis: and one of BASIS_PUBLISHED_TEXT, "
            "BASIS_SECONDARY_TEXT, BASIS_MEMORY"},
        FaultCase{
            "VolumetricFactorInPercent", "value: 0.75 ", "value: 75 unit: \"%\" ",
            "p.textproto:23:43: compressor_table.superheat.volumetric_factor.value.unit: "
            "a plain number has no unit; leave it out"}),
    NameOf);

}  // namespace
}  // namespace ratebound::document
