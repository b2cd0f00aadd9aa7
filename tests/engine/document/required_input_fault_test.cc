// Required inputs that are asked for in a unit that does not fit what a procedure uses
// them as.
#include <string>

#include "engine/document/text.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/engine/document/fault_case.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::ratebound::testing::IsOk;

class RequiredInputFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(RequiredInputFault, StandsWhereTheInputIsUsed) {
  const std::string text = With(kProcedure, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseProcedure("p.textproto", text).status()), GetParam().want);
}

INSTANTIATE_TEST_SUITE_P(
    Faults, RequiredInputFault,
    ::testing::Values(
        FaultCase{
            "ConditionInAnotherDimension", "full load\" unit: \"gpm\"",
            "full load\" unit: \"kW\"",
            "p.textproto:22:44: common_conditions[1].input: required input 'rated_flow' "
            "is asked for in 'kW', and is taken as volume flow here; in required_inputs, "
            "write one of m3/s, m3/h, L/s, L/min, L/h, cfm, gpm"},
        FaultCase{
            "ConditionWithoutUnit", "full load\" unit: \"gpm\"", "full load\"",
            "p.textproto:22:44: common_conditions[1].input: required input 'rated_flow' "
            "is asked for without a unit, and is taken as volume flow here; in "
            "required_inputs, write one of m3/s, m3/h, L/s, L/min, L/h, cfm, gpm"},
        FaultCase{
            "ConditionInAnUnknownUnit", "full load\" unit: \"gpm\"",
            "full load\" unit: \"gpn\"",
            "p.textproto:73:71: required_inputs[0].unit: unknown unit 'gpn'; did you "
            "mean 'gpm'?; units of volume flow: m3/s, m3/h, L/s, L/min, L/h, cfm, gpm"},
        FaultCase{
            "LineInAnotherDimension", "full load\" unit: \"degF\"",
            "full load\" unit: \"delta_degF\"",
            "p.textproto:39:7: load_points[1].conditions[0].load_line.full_load_input: "
            "required input 'design_water' is asked for in 'delta_degF', and is taken as "
            "temperature here; in required_inputs, write one of degC, degF, K, degR"},
        FaultCase{"AddedPowerWithAUnit", "tower, W/W\"", "tower, W/W\" unit: \"W\"",
                  "p.textproto:81:3: added_powers[0].input: required input 'tower_power' "
                  "is asked for in 'W', and is taken as a plain number here; leave the "
                  "unit out of required_inputs"},
        FaultCase{"CyclingPartInPercent", "what cycles\"", "what cycles\" unit: \"%\"",
                  "p.textproto:82:3: added_powers[0].cycling_part_input: required input "
                  "'tower_part' is asked for in '%', and is taken as a plain number "
                  "here; leave the unit out of required_inputs"},
        FaultCase{"CapacityInAnotherDimension", "  cycling_citation {",
                  "  full_load_input: \"rated_flow\"\n"
                  "  cycling_citation {",
                  "p.textproto:67:3: part_load.full_load_input: required input "
                  "'rated_flow' is asked for in 'gpm', and is taken as power here; in "
                  "required_inputs, write one of W, kW, MW, Btu/h, kBtu/h, ton, hp"},
        FaultCase{"CoefficientWithAUnit",
                  "  degradation_slope { value: -0.13 citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }\n  degradation_intercept { value: 1.13 citation { "
                  "source: \"s\" basis: BASIS_MEMORY } }\n  cycling_powers: "
                  "[\"compressor_power\", \"tower\"]\n  continuous_powers: "
                  "\"indoor_fan_power\"\n",
                  "  cycling_rule: CYCLING_RULE_LINEAR\n  cycling_coefficient { input: "
                  "\"design_water\" }\n",
                  "p.textproto:64:25: part_load.cycling_coefficient.input: required "
                  "input 'design_water' is asked for in 'degF', and is taken as a plain "
                  "number here; leave the unit out of required_inputs"},
        FaultCase{"PowerInAnotherDimension", "name: \"tower_part\"",
                  "name: \"indoor_fan_power\" unit: \"cfm\" description: \"fan\" }\n"
                  "required_inputs { name: \"tower_part\"",
                  "p.textproto:66:3: part_load.continuous_powers[0]: required input "
                  "'indoor_fan_power' is asked for in 'cfm', and is taken as power here; "
                  "in required_inputs, write one of W, kW, MW, Btu/h, kBtu/h, ton, hp"}),
    NameOf);

TEST(RequiredInput, AnyUnitOfTheDimensionWillDo) {
  for (const auto& [from, to] :
       {std::pair{"unit: \"gpm\"", "unit: \"m3/h\""},
        std::pair{"full load\" unit: \"degF\"", "full load\" unit: \"K\""},
        std::pair{"what cycles\"", "what cycles\" unit: \"1\""}}) {
    EXPECT_THAT(ParseProcedure("p.textproto", With(kProcedure, from, to)), IsOk()) << to;
  }
}

}  // namespace
}  // namespace ratebound::document
