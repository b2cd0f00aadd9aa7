// Each fault of a method of measuring, with its place as a person would count it.
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

class MethodFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(MethodFault, IsReportedWithItsPlace) {
  const std::string text = With(kMethod, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseMethod("m", text).status()), GetParam().want);
}

TEST(MethodFaults, ASoundMethodHasNone) {
  EXPECT_THAT(ParseMethod("m", kMethod), IsOk());
}

INSTANTIATE_TEST_SUITE_P(
    MeasurementMethod, MethodFault,
    ::testing::ValuesIn(std::vector<FaultCase>{
        FaultCase{"IdWithCapital", "id: \"steady\"", "id: \"Steady\"",
                  "m:1:1: id: 'Steady' is no id; write at most 64 lower-case letters, "
                  "digits and hyphens"},
        FaultCase{"KindMissing", "kind: METHOD_KIND_STEADINESS\n", "",
                  "m: kind: is missing; write kind: and one of METHOD_KIND_AIR_ENTHALPY, "
                  "METHOD_KIND_NOZZLE_AIR_FLOW, METHOD_KIND_LIQUID_HEAT, "
                  "METHOD_KIND_FAN_PUMP_CORRECTION, METHOD_KIND_STEADINESS"},
        FaultCase{"KindUnknown", "METHOD_KIND_STEADINESS", "METHOD_KIND_STEADYNESS",
                  "m:5:7: kind: unknown value 'METHOD_KIND_STEADYNESS'; did you mean "
                  "'METHOD_KIND_STEADINESS'?; write one of METHOD_KIND_AIR_ENTHALPY, "
                  "METHOD_KIND_NOZZLE_AIR_FLOW, METHOD_KIND_LIQUID_HEAT, "
                  "METHOD_KIND_FAN_PUMP_CORRECTION, METHOD_KIND_STEADINESS"},
        FaultCase{"NumberWithoutValue",
                  "  value { value: 30 unit: \"min\" citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }\n",
                  "", "m:6:1: numbers[0].value: is missing; write value { ... }"},
        FaultCase{"NumberWithoutSource",
                  "value { value: 30 unit: \"min\" citation { source: \"s\" basis: "
                  "BASIS_MEMORY } }",
                  "value { value: 30 unit: \"min\" }",
                  "m:8:3: numbers[0].value.citation: is missing; write citation { ... }"},
        FaultCase{"NumberNotFinite", "value: 30", "value: inf",
                  "m:8:11: numbers[0].value.value: is not a finite number; write a "
                  "decimal such as 85.0"},
        FaultCase{"NumberTwice", "rules {",
                  "numbers {\n  name: \"recording_time\"\n  value { value: 60 citation { "
                  "source: \"s\" basis: BASIS_MEMORY } }\n}\nrules {",
                  "m:11:3: numbers[1].name: the number 'recording_time' is given twice; "
                  "keep one"},
        FaultCase{"NumberIsAnInput", "name: \"equilibrium_time\"",
                  "name: \"recording_time\"",
                  "m:26:19: required_inputs[0].name: the number 'recording_time' is "
                  "given twice; keep one"},
        FaultCase{"RuleWithoutWords", "choice { text: \"inch_pound\"",
                  "choice { text: \"\"",
                  "m:12:12: rules[0].choice.text: is empty; write text: \"...\""},
        FaultCase{
            "RuleTwice", "tolerances {",
            "rules {\n  name: \"unit_system\"\n  choice { text: \"si\" citation { "
            "source: \"s\" basis: BASIS_MEMORY } }\n}\ntolerances {",
            "m:15:3: rules[1].name: the rule 'unit_system' is given twice; keep one"},
        FaultCase{"SourceBlank", "source: \"s\" basis: BASIS_SECONDARY_TEXT",
                  "source: \" \" basis: BASIS_SECONDARY_TEXT",
                  "m:18:14: tolerances[0].citation.source: is blank; name document, "
                  "edition and clause"},
        FaultCase{"BasisMissing", "source: \"s\" basis: BASIS_SECONDARY_TEXT",
                  "source: \"s\"",
                  "m:18:3: tolerances[0].citation.basis: is missing; write basis: and "
                  "one of BASIS_PUBLISHED_TEXT, BASIS_SECONDARY_TEXT, BASIS_MEMORY"},
        FaultCase{"ToleranceWithoutSource",
                  "  citation { source: \"s\" basis: BASIS_SECONDARY_TEXT }\n", "",
                  "m:14:1: tolerances[0].citation: is missing; write citation { ... }"},
        FaultCase{"ToleranceUnit", "absolute: 0.05 unit: \"in_wg_4c\"",
                  "absolute: 0.05 unit: \"in_wg\"",
                  "m:22:39: tolerances[1].greatest_deviation.unit: unknown unit 'in_wg'; "
                  "an inch of water depends on the water's temperature: write in_wg_4c "
                  "(249.089 Pa) or in_wg_60f (248.84 Pa), as the lab's instrument is "
                  "calibrated; units of pressure difference: Pa, hPa, kPa, MPa, bar, "
                  "psid, in_wg_4c, in_wg_60f, ft_wg_4c, ft_wg_60f"},
        FaultCase{"InputWithoutDescription", " description: \"not read\"", "",
                  "m:26:1: required_inputs[0].description: is missing; write "
                  "description: \"...\""},
        FaultCase{"NothingIsSteady",
                  "tolerances {\n  quantity: \"entering_air_db\"\n  greatest_spread { "
                  "absolute: 2 unit: \"degF\" }\n  mean_deviation { absolute: 0.5 unit: "
                  "\"degF\" }\n  citation { source: \"s\" basis: BASIS_SECONDARY_TEXT "
                  "}\n}\ntolerances {\n  quantity: \"external_static_pressure\"\n  "
                  "greatest_deviation { absolute: 0.05 unit: \"in_wg_4c\" }\n  "
                  "greatest_standard_deviation { relative_fraction: 0.02 }\n  citation { "
                  "source: \"s\" basis: BASIS_MEMORY }\n}\n",
                  "",
                  "m: tolerances: is missing: nothing says what is steady; write "
                  "tolerances { ... }"},
        FaultCase{"TolerancesOfAnotherKind", "METHOD_KIND_STEADINESS",
                  "METHOD_KIND_AIR_ENTHALPY",
                  "m:14:1: tolerances: only a method of METHOD_KIND_STEADINESS is asked "
                  "for tolerances; move them to one"},
        FaultCase{
            "UnknownField", "notes:", "note:",
            "m:27:1: unknown field 'note' in MeasurementMethod; did you mean 'notes'?"}}),
    NameOf);

}  // namespace
}  // namespace ratebound::document
