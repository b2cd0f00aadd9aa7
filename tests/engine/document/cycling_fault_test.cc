// Faults of what a procedure says of part load and cycling, each with its place.
#include <ostream>
#include <string>
#include <vector>

#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/document/text.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/engine/document/fault_case.h"

namespace ratebound::document {
namespace {

class CyclingFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(CyclingFault, IsReportedWithItsPlace) {
  const std::string text = With(kProcedure, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseProcedure("p.textproto", text).status()), GetParam().want);
}

INSTANTIATE_TEST_SUITE_P(
    Faults, CyclingFault,
    ::testing::Values(
        FaultCase{"SlopeMissing",
                  "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }\n",
                  "",
                  "p.textproto:47:1: part_load.degradation_slope: is missing; write "
                  "degradation_slope { ... }"},
        FaultCase{"SlopeWithUnit", "degradation_slope { value: -0.13 ",
                  "degradation_slope { value: -0.13 unit: \"W\" ",
                  "p.textproto:63:36: part_load.degradation_slope.unit: a plain number "
                  "has no unit; leave it out"},
        FaultCase{
            "SlopeInsideAnotherRule",
            "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
            "BASIS_MEMORY } }\n  degradation_intercept { value: 1.13 citation { source: "
            "\"s\" basis: BASIS_MEMORY } }\n  cycling_powers: [\"compressor_power\", "
            "\"tower\"]\n  continuous_powers: \"indoor_fan_power\"\n",
            "  cycling_rule: CYCLING_RULE_LINEAR\n  cycling_coefficient { input: "
            "\"tower_part\" }\n  degradation_slope { value: -0.13 citation { source: "
            "\"s\" basis: BASIS_MEMORY } }\n",
            "p.textproto:65:3: part_load.degradation_slope: belongs to "
            "CYCLING_RULE_COEFFICIENT_LINE; leave it out"},
        FaultCase{
            "PowersOfAnotherRule",
            "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
            "BASIS_MEMORY } }\n  degradation_intercept { value: 1.13 citation { source: "
            "\"s\" basis: BASIS_MEMORY } }\n  cycling_powers: [\"compressor_power\", "
            "\"tower\"]\n  continuous_powers: \"indoor_fan_power\"\n",
            "  cycling_rule: CYCLING_RULE_RATIO\n  cycling_coefficient { input: "
            "\"tower_part\" }\n  cycling_powers: [\"compressor_power\", \"tower\"]\n  "
            "continuous_powers: \"indoor_fan_power\"\n",
            "p.textproto:65:20: part_load.cycling_powers: belongs to "
            "CYCLING_RULE_COEFFICIENT_LINE; leave it out\np.textproto:66:3: "
            "part_load.continuous_powers: belongs to CYCLING_RULE_COEFFICIENT_LINE; "
            "leave it out"},
        FaultCase{
            "CoefficientMissing",
            "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
            "BASIS_MEMORY } }\n  degradation_intercept { value: 1.13 citation { source: "
            "\"s\" basis: BASIS_MEMORY } }\n  cycling_powers: [\"compressor_power\", "
            "\"tower\"]\n  continuous_powers: \"indoor_fan_power\"\n",
            "  cycling_rule: CYCLING_RULE_LINEAR\n",
            "p.textproto:47:1: part_load.cycling_coefficient: is missing; write "
            "cycling_coefficient { ... }"},
        FaultCase{
            "CoefficientOfNeither",
            "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
            "BASIS_MEMORY } }\n  degradation_intercept { value: 1.13 citation { source: "
            "\"s\" basis: BASIS_MEMORY } }\n  cycling_powers: [\"compressor_power\", "
            "\"tower\"]\n  continuous_powers: \"indoor_fan_power\"\n",
            "  cycling_rule: CYCLING_RULE_LINEAR\n  cycling_coefficient { }\n",
            "p.textproto:64:3: part_load.cycling_coefficient.value: the number is "
            "missing; write value or input"},
        FaultCase{
            "CoefficientInputUnknown",
            "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
            "BASIS_MEMORY } }\n  degradation_intercept { value: 1.13 citation { source: "
            "\"s\" basis: BASIS_MEMORY } }\n  cycling_powers: [\"compressor_power\", "
            "\"tower\"]\n  continuous_powers: \"indoor_fan_power\"\n",
            "  cycling_rule: CYCLING_RULE_LINEAR\n  cycling_coefficient { input: "
            "\"towr_part\" }\n",
            "p.textproto:64:25: part_load.cycling_coefficient.input: unknown required "
            "input 'towr_part'; did you mean 'tower_part'?; there is rated_flow, "
            "design_water, tower_power, tower_part"},
        FaultCase{
            "RuleUnknown",
            "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
            "BASIS_MEMORY } }\n",
            "  cycling_rule: CYCLING_RULE_LINE\n  degradation_slope { value: -0.13 "
            "citation { source: \"s\" basis: BASIS_MEMORY } }\n",
            "p.textproto:63:17: cycling_rule: unknown value 'CYCLING_RULE_LINE'; did you "
            "mean 'CYCLING_RULE_LINEAR'?; write one of CYCLING_RULE_COEFFICIENT_LINE, "
            "CYCLING_RULE_LINEAR, CYCLING_RULE_RATIO"},
        FaultCase{"MinimumLoadUnknown",
                  "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }\n",
                  "  minimum_load: MINIMUM_LOAD_OFF\n  degradation_slope { value: -0.13 "
                  "citation { source: \"s\" basis: BASIS_MEMORY } }\n",
                  "p.textproto:63:17: minimum_load: unknown value 'MINIMUM_LOAD_OFF'; "
                  "did you mean 'MINIMUM_LOAD_CYCLE'?; write one of MINIMUM_LOAD_CYCLE, "
                  "MINIMUM_LOAD_AS_IT_IS, MINIMUM_LOAD_REFUSED"},
        FaultCase{"FullLoadInputUnknown",
                  "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }\n",
                  "  full_load_input: \"design\"\n  degradation_slope { value: -0.13 "
                  "citation { source: \"s\" basis: BASIS_MEMORY } }\n",
                  "p.textproto:63:3: part_load.full_load_input: unknown required input "
                  "'design'; there is rated_flow, design_water, tower_power, tower_part"},
        FaultCase{"PartOfAPowerThatDoesNotGoOn",
                  "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }\n",
                  "  cycling_parts { power: \"compressor_power\" input: \"tower_part\" "
                  "}\n  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }\n",
                  "p.textproto:63:19: part_load.cycling_parts[0].power: unknown "
                  "continuous power 'compressor_power'; there is indoor_fan_power"},
        FaultCase{
            "PartByAnUnknownInput",
            "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
            "BASIS_MEMORY } }\n",
            "  cycling_parts { power: \"indoor_fan_power\" input: \"part\" }\n  "
            "degradation_slope { value: -0.13 citation { source: \"s\" basis: "
            "BASIS_MEMORY } }\n",
            "p.textproto:63:45: part_load.cycling_parts[0].input: unknown required input "
            "'part'; there is rated_flow, design_water, tower_power, tower_part"},
        FaultCase{"PartWithoutInput",
                  "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }\n",
                  "  cycling_parts { power: \"indoor_fan_power\" }\n  degradation_slope "
                  "{ value: -0.13 citation { source: \"s\" basis: BASIS_MEMORY } }\n",
                  "p.textproto:63:3: part_load.cycling_parts[0].input: is missing; write "
                  "input: \"...\""},
        FaultCase{"PartTwice",
                  "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }\n",
                  "  cycling_parts { power: \"indoor_fan_power\" input: \"tower_part\" "
                  "}\n  cycling_parts { power: \"indoor_fan_power\" input: "
                  "\"tower_part\" }\n  degradation_slope { value: -0.13 citation { "
                  "source: \"s\" basis: BASIS_MEMORY } }\n",
                  "p.textproto:64:19: part_load.cycling_parts[1].power: the power "
                  "'indoor_fan_power' is given twice; keep one"},
        FaultCase{"PowerThatIsAFlow", "continuous_powers: \"indoor_fan_power\"",
                  "continuous_powers: \"air_flow\"",
                  "p.textproto:66:3: part_load.continuous_powers[0]: 'air_flow' is not "
                  "in watts"},
        FaultCase{"PowerThatIsACondition", "continuous_powers: \"indoor_fan_power\"",
                  "continuous_powers: \"entering_air_db\"",
                  "p.textproto:66:3: part_load.continuous_powers[0]: 'entering_air_db' "
                  "is a condition of a test and not what a machine does"},
        FaultCase{
            "PowerEmpty", "\"compressor_power\", \"tower\"", "\"compressor_power\", \"\"",
            "p.textproto:65:40: part_load.cycling_powers[1]: is empty; name a quantity"},
        FaultCase{"WindowOverAHundred", "window_percent { value: 3 ",
                  "window_percent { value: 300 ",
                  "p.textproto:48:20: part_load.window_percent.value: 300 is out of "
                  "range; write a number from 0 to 100"},
        FaultCase{"CyclingCitationMissing",
                  "  cycling_citation { source: \"s\" basis: BASIS_MEMORY }\n", "",
                  "p.textproto:47:1: part_load.cycling_citation: is missing; write "
                  "cycling_citation { ... }"},
        FaultCase{
            "CoefficientInPercent",
            "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
            "BASIS_MEMORY } }\n  degradation_intercept { value: 1.13 citation { source: "
            "\"s\" basis: BASIS_MEMORY } }\n  cycling_powers: [\"compressor_power\", "
            "\"tower\"]\n  continuous_powers: \"indoor_fan_power\"\n",
            "  cycling_rule: CYCLING_RULE_LINEAR\n  cycling_coefficient { value { value: "
            "25 unit: \"%\" citation { source: \"s\" basis: BASIS_MEMORY } } }\n",
            "p.textproto:64:43: part_load.cycling_coefficient.value.unit: a plain number "
            "has no unit; leave it out"}),
    NameOf);

}  // namespace
}  // namespace ratebound::document
