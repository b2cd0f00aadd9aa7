// Each fault of a procedure of weighted load points, with its place as a person would
// count it.
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

class ProcedureFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(ProcedureFault, IsReportedWithItsPlace) {
  const std::string text = With(kProcedure, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseProcedure("p.textproto", text).status()), GetParam().want);
}

TEST(ProcedureFaults, ASoundProcedureHasNone) {
  EXPECT_THAT(ParseProcedure("p.textproto", kProcedure), IsOk());
}

INSTANTIATE_TEST_SUITE_P(
    Procedure, ProcedureFault,
    ::testing::Values(
        FaultCase{"CitationMissing",
                  " citation { source: \"s\" basis: BASIS_PUBLISHED_TEXT }", "",
                  "p.textproto:20:3: common_conditions[0].value.citation: is missing; "
                  "write citation { ... }"},
        FaultCase{"CitationWithoutSource", "source: \"s\" basis: BASIS_PUBLISHED_TEXT",
                  "basis: BASIS_PUBLISHED_TEXT",
                  "p.textproto:20:34: common_conditions[0].value.citation.source: is "
                  "missing; write source: \"...\""},
        FaultCase{"CitationBlank", "source: \"s\" basis: BASIS_PUBLISHED_TEXT",
                  "source: \" \" basis: BASIS_PUBLISHED_TEXT",
                  "p.textproto:20:45: common_conditions[0].value.citation.source: is "
                  "blank; name document, edition and clause"},
        FaultCase{"CitationWithoutBasis", " basis: BASIS_PUBLISHED_TEXT", "",
                  "p.textproto:20:34: common_conditions[0].value.citation.basis: is "
                  "missing; write basis: and one of BASIS_PUBLISHED_TEXT, "
                  "BASIS_SECONDARY_TEXT, BASIS_MEMORY"},
        FaultCase{"WeightsDoNotAddUp", "value: 0.9 citation", "value: 0.8 citation",
                  "p.textproto:71:1: weight_sum: the weights add up to 0.9 and not to 1; "
                  "look at each weight, then at the sum"},
        FaultCase{"LoadPointTwice", "id: \"B\"", "id: \"A\"",
                  "p.textproto:33:3: load_points[1].id: the load point 'A' is given "
                  "twice; keep one"},
        FaultCase{"PercentLoadAsFraction", "value: 50 unit: \"%\"",
                  "value: 0 unit: \"%\"",
                  "p.textproto:34:18: load_points[1].percent_load.value: 0 is out of "
                  "range; write a number above 0"},
        FaultCase{"PercentLoadInWatts", "value: 50 unit: \"%\"", "value: 50 unit: \"W\"",
                  "p.textproto:34:28: load_points[1].percent_load.unit: 'W' is no "
                  "percentage; write %"},
        FaultCase{"ConditionWithoutValue", " input: \"rated_flow\" if_mapped: true",
                  " if_mapped: true",
                  "p.textproto:22:21: common_conditions[1].quantity: the condition has "
                  "no value; write value, input or load_line"},
        FaultCase{"InputUnknown", "input: \"rated_flow\" if_mapped",
                  "input: \"rated_flo\" if_mapped",
                  "p.textproto:22:44: common_conditions[1].input: unknown required input "
                  "'rated_flo'; did you mean 'rated_flow'?; there is rated_flow, "
                  "design_water, tower_power, tower_part"},
        FaultCase{
            "LineInputUnknown", "full_load_input: \"design_water\"",
            "full_load_input: \"design_watr\"",
            "p.textproto:39:7: load_points[1].conditions[0].load_line.full_load_input: "
            "unknown required input 'design_watr'; did you mean 'design_water'?; there "
            "is rated_flow, design_water, tower_power, tower_part"},
        FaultCase{"LineWithInputAndSlope", "full_load_input: \"design_water\"",
                  "full_load_input: \"design_water\" slope_per_percent: 0.4",
                  "p.textproto:39:39: "
                  "load_points[1].conditions[0].load_line.slope_per_percent: the input "
                  "at full load gives the line; leave it out"},
        FaultCase{
            "LineWithoutSlope", "      slope_per_percent: 0.4\n", "",
            "p.textproto:54:5: part_load.load_lines[0].load_line.slope_per_percent: is "
            "missing; write slope_per_percent: and a number"},
        FaultCase{
            "ConditionInWrongUnit", "value: 85 unit: \"degF\"", "value: 85 unit: \"psi\"",
            "p.textproto:29:23: load_points[0].conditions[0].value.unit: unknown unit "
            "'psi'; write psia for absolute pressure, psig for a gauge's reading, psid "
            "for a difference; units of temperature: degC, degF, K, degR"},
        FaultCase{"ConditionImplausible", "value: 85 unit: \"degF\"",
                  "value: 850 unit: \"degF\"",
                  "p.textproto:29:13: load_points[0].conditions[0].value.value: 850 degF "
                  "is no plausible entering_water_temp, which is from -40 to 248 degF; "
                  "look at value and unit"},
        FaultCase{"ConditionTwice", "common_conditions { quantity: \"water_flow\"",
                  "common_conditions { quantity: \"entering_air_wb\"",
                  "p.textproto:22:21: common_conditions[1].quantity: the condition "
                  "'entering_air_wb' is given twice; keep one\n"
                  "p.textproto:22:49: common_conditions[1].input: required input "
                  "'rated_flow' is asked for in 'gpm', and is taken as temperature here; "
                  "in required_inputs, write one of degC, degF, K, degR"},
        FaultCase{"ConditionCommonAndOfPoint",
                  "  conditions {\n    quantity: \"entering_water_temp\"\n    value",
                  "  conditions {\n    quantity: \"entering_air_wb\"\n    value",
                  "p.textproto:28:5: load_points[0].conditions[0].quantity: the "
                  "condition 'entering_air_wb' is given twice; keep one"},
        FaultCase{"MetricUnitUnknown", "metric_unit: \"Btu/Wh\"", "metric_unit: \"EER\"",
                  "p.textproto:6:1: metric_unit: unknown unit 'EER'; write Btu/Wh; units "
                  "of energy ratio: W/W, Btu/Wh, kW/ton\n"
                  "p.textproto:72:28: rounding_step.unit: 'Btu/Wh' is not the metric's "
                  "unit; write EER\n"
                  "p.textproto:78:30: unit_constant.unit: 'Btu/Wh' is not the metric's "
                  "unit; write EER"},
        FaultCase{"RoundingStepZero", "rounding_step { value: 0.1",
                  "rounding_step { value: 0",
                  "p.textproto:72:17: rounding_step.value: 0 is out of range; write a "
                  "number above 0"},
        FaultCase{"UnitConstantOfAnotherUnit",
                  "unit_constant { value: 3.412 unit: \"Btu/Wh\"",
                  "unit_constant { value: 3.412 unit: \"W/W\"",
                  "p.textproto:78:30: unit_constant.unit: 'W/W' is not the metric's "
                  "unit; write Btu/Wh"},
        FaultCase{"UnitConstantMissing",
                  "unit_constant { value: 3.412 unit: \"Btu/Wh\" citation { source: "
                  "\"s\" basis: BASIS_MEMORY } }\n",
                  "",
                  "p.textproto: unit_constant: is missing; write unit_constant { ... }"},
        FaultCase{"ScopeReversed", "value: 760 unit", "value: 7.6 unit",
                  "p.textproto:10:3: scope.capacity_high: the range is reversed: it is "
                  "not above capacity_low"},
        FaultCase{"ModeKind", "mode_kind: \"cooling\"", "mode_kind: \"COOLING\"",
                  "p.textproto:14:1: mode_kind: unknown kind of mode 'COOLING'; write "
                  "cooling or heating"},
        FaultCase{
            "PowerUnknown", "\"compressor_power\", \"tower\"",
            "\"compressor_power\", \"towr\"",
            "p.textproto:65:40: part_load.cycling_powers[1]: unknown quantity 'towr'"},
        FaultCase{"PowerCyclesAndGoesOn", "continuous_powers: \"indoor_fan_power\"",
                  "continuous_powers: \"tower\"",
                  "p.textproto:66:3: part_load.continuous_powers[0]: the power 'tower' "
                  "is given twice; keep one"},
        FaultCase{"AddedPowerInputUnknown", "input: \"tower_power\"",
                  "input: \"tower_powr\"",
                  "p.textproto:81:3: added_powers[0].input: unknown required input "
                  "'tower_powr'; did you mean 'tower_power'?; there is rated_flow, "
                  "design_water, tower_power, tower_part"},
        FaultCase{"RequiredInputTwice", "name: \"tower_part\" description",
                  "name: \"tower_power\" description",
                  "p.textproto:76:19: required_inputs[3].name: the input 'tower_power' "
                  "is given twice; keep one\n"
                  "p.textproto:82:3: added_powers[0].cycling_part_input: unknown "
                  "required input 'tower_part'; there is rated_flow, design_water, "
                  "tower_power, tower_power"},
        FaultCase{"WeightSumMissing", "weight_sum: 1\n", "",
                  "p.textproto: weight_sum: is missing; write weight_sum: and a number"},
        FaultCase{
            "AggregationUnknown", "AGGREGATION_WEIGHTED_MEAN", "AGGREGATION_MEAN",
            "p.textproto:69:14: aggregation: unknown value 'AGGREGATION_MEAN'; write one "
            "of AGGREGATION_WEIGHTED_MEAN, AGGREGATION_WEIGHTED_HARMONIC"}),
    NameOf);

}  // namespace
}  // namespace ratebound::document
