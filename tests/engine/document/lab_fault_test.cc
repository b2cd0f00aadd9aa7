// Each fault of instruments, reductions, logs, curves and methods, with its place as a
// person would count it.
#include <ostream>
#include <string>
#include <vector>

#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/document/text.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::ratebound::testing::IsOk;

struct FaultCase {
  std::string name;
  std::string from;  // in the sound document
  std::string to;
  std::string want;  // all faults, one a line
};

void PrintTo(const FaultCase& test, std::ostream* stream) { *stream << test.to; }

std::string FaultsOf(const absl::Status& status) {
  std::vector<std::string> lines;
  for (const base::Fault& fault : base::FaultsOf(status))
    lines.push_back(fault.ToString());
  return absl::StrJoin(lines, "\n");
}

std::string NameOf(const ::testing::TestParamInfo<FaultCase>& info) {
  return info.param.name;
}

class LabManifestFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(LabManifestFault, IsReportedWithItsPlace) {
  const std::string text = With(kLabManifest, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseLineManifest("l", text).status()), GetParam().want);
}

class MethodFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(MethodFault, IsReportedWithItsPlace) {
  const std::string text = With(kMethod, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseMethod("m", text).status()), GetParam().want);
}

TEST(LabFault, SoundDocumentsHaveNone) {
  EXPECT_THAT(ParseLineManifest("l", kLabManifest), IsOk());
  EXPECT_THAT(ParseMethod("m", kMethod), IsOk());
}

// What is steady is said by a method, by tolerances, or by the mode.
TEST(LabFault, SomethingSaysWhatIsSteady) {
  const std::string by_mode = "    steadiness_method: \"steady\"\n";
  const std::string by_method = "    method: \"steady\"\n    tolerances";
  const std::string text = With(kLabManifest, by_method, "    tolerances");
  EXPECT_THAT(ParseLineManifest("l", text), IsOk());
  EXPECT_EQ(FaultsOf(ParseLineManifest("l", With(text, by_mode, "")).status()), "");
  const size_t from = text.find("    tolerances {");
  const size_t to = text.find("    set_points {");
  std::string nothing = text;
  nothing.erase(from, to - from);
  EXPECT_THAT(ParseLineManifest("l", nothing), IsOk());
  EXPECT_EQ(FaultsOf(ParseLineManifest("l", With(nothing, by_mode, "")).status()),
            "l:160:3: log_files[0].steady_windows.method: is missing, and so is "
            "'tolerances': nothing says what is steady; write one of them\nl:163:5: "
            "log_files[0].steady_windows.change_on[0]: 'water_flow' has no tolerance to "
            "step by; write one among the tolerances");
}

INSTANTIATE_TEST_SUITE_P(
    LineManifest, LabManifestFault,
    ::testing::ValuesIn(std::vector<FaultCase>{
        FaultCase{"ColumnInstrumentUnknown", "instrument: \"rtd\" }",
                  "instrument: \"rdt\" }",
                  "l:4:66: columns[0].instrument: unknown instrument 'rdt'; did you mean "
                  "'rtd'?; there is rtd, watt"},
        FaultCase{
            "ColumnUnusedWithInstrument", "unused: \"a state, read by the log\" }",
            "unused: \"a state, read by the log\" unit: \"W\" statistic: "
            "READING_STATISTIC_SPREAD instrument: \"rtd\" }",
            "l:12:64: columns[3].unit: a column that is no quantity has no unit; leave "
            "it out\nl:12:74: columns[3].statistic: a column that is no quantity has no "
            "statistic; leave it out\nl:12:110: columns[3].instrument: a column that is "
            "no quantity has no instrument; leave it out"},
        FaultCase{"ColumnStatisticUnknown", "READING_STATISTIC_STANDARD_DEVIATION",
                  "READING_STATISTIC_STANDARD_DEVIATON",
                  "l:8:3: columns[1].unit: 'delta_degF' is a unit of temperature "
                  "difference; units of temperature: degC, degF, K, degR\nl:9:14: "
                  "statistic: unknown value 'READING_STATISTIC_STANDARD_DEVIATON'; did "
                  "you mean 'READING_STATISTIC_STANDARD_DEVIATION'?; write one of "
                  "READING_STATISTIC_STANDARD_DEVIATION, READING_STATISTIC_SPREAD"},
        FaultCase{"ColumnSpreadUnit", "unit: \"delta_degF\"\n  statistic",
                  "unit: \"psid\"\n  statistic",
                  "l:8:3: columns[1].unit: 'psid' is a unit of pressure difference; "
                  "units of temperature difference: delta_K, delta_degC, delta_degF"},
        FaultCase{"TestedOnNoDay", "tested_on: \"2026-03-31\"\n  reading",
                  "tested_on: \"2026-02-29\"\n  reading",
                  "l:17:3: point_files[0].tested_on: '2026-02-29' is no day; write it as "
                  "2026-03-31"},
        FaultCase{"TestedOnOtherForm", "tested_on: \"2026-03-31\"\n  reading",
                  "tested_on: \"31.3.2026\"\n  reading",
                  "l:17:3: point_files[0].tested_on: '31.3.2026' is no day; write it as "
                  "2026-03-31"},
        FaultCase{"ReadingCountZero", "reading_count: 30", "reading_count: 0",
                  "l:18:3: point_files[0].reading_count: 0 is no number of readings; "
                  "write 1 or more, or leave it out"},
        FaultCase{"CurveUnknown", "curve: \"coil\" }", "curve: \"coli\" }",
                  "l:20:50: point_files[1].curve: unknown curve 'coli'; did you mean "
                  "'coil'?; there is coil, fan"},
        FaultCase{"CurveWithMode", "curve: \"coil\" }",
                  "curve: \"coil\" mode: \"cooling\" stage: \"full\" }",
                  "l:20:64: point_files[1].mode: points of a curve belong to no mode or "
                  "stage; leave it out\nl:20:80: point_files[1].stage: points of a curve "
                  "belong to no mode or stage; leave it out"},
        FaultCase{
            "NoSide",
            "      air_side {\n        method: \"air-ip\"\n        flow: "
            "AIR_FLOW_SOURCE_NOZZLES\n        nozzle_method: \"nozzles\"\n        "
            "nozzles { diameter: 5 unit: \"in\" count: 2 }\n        nozzles { diameter: "
            "80 unit: \"mm\" }\n        entering_phase: WATER_PHASE_WATER\n        "
            "leaving_phase: WATER_PHASE_ICE\n        moisture: "
            "MOISTURE_SOURCE_CONDENSATE\n        duct_loss_w_per_k: 2.5\n        "
            "leaving_air_ahead_of_fan: true\n      }\n      liquid_sides {\n        "
            "method: \"liquid\"\n        role: LIQUID_ROLE_CAPACITY\n        liquid: "
            "\"propylene_glycol\"\n        concentration_fraction: 0.25\n        "
            "entering: \"entering_brine_temp\"\n        leaving: "
            "\"leaving_brine_temp\"\n        flow: \"water_flow\"\n        "
            "flow_at_leaving: true\n        difference: "
            "\"water_temperature_difference\"\n        pressure_pa: 250000\n      }\n    "
            "  liquid_sides {\n        method: \"liquid\"\n        role: "
            "LIQUID_ROLE_HEAT_REJECTION\n        liquid: \"water\"\n        entering: "
            "\"entering_water_temp\"\n        leaving: \"leaving_water_temp\"\n        "
            "flow: \"water_mass_flow\"\n      }\n",
            "",
            "l:35:5: units[0].modes[0].reduction.air_side: is missing, and so is "
            "'liquid_sides'; write one of them, or leave out the reduction\nl:49:7: "
            "units[0].modes[0].reduction.capacity_basis: there is only one "
            "side\nl:51:16: units[0].modes[0].reduction.inputs[0].method: unknown method "
            "of this mode 'air-ip'; there is fans, steady"},
        FaultCase{"AirMethodNoId", "method: \"air-ip\"\n        flow",
                  "method: \"Air IP\"\n        flow",
                  "l:37:9: units[0].modes[0].reduction.air_side.method: 'Air IP' is no "
                  "id; write at most 64 lower-case letters, digits and hyphens\nl:83:16: "
                  "units[0].modes[0].reduction.inputs[0].method: unknown method of this "
                  "mode 'air-ip'; did you mean 'Air IP'?; there is Air IP, nozzles, "
                  "liquid, fans, steady"},
        FaultCase{"FlowMissing", "        flow: AIR_FLOW_SOURCE_NOZZLES\n", "",
                  "l:36:7: units[0].modes[0].reduction.air_side.flow: is missing; write "
                  "flow: and one of AIR_FLOW_SOURCE_STANDARD_AIR_FLOW, "
                  "AIR_FLOW_SOURCE_ENTERING_AIR_FLOW, AIR_FLOW_SOURCE_LEAVING_AIR_FLOW, "
                  "AIR_FLOW_SOURCE_AIR_MASS_FLOW, AIR_FLOW_SOURCE_NOZZLES"},
        FaultCase{
            "FlowUnknown", "AIR_FLOW_SOURCE_NOZZLES", "AIR_FLOW_SOURCE_NOZZLE",
            "l:38:15: flow: unknown value 'AIR_FLOW_SOURCE_NOZZLE'; did you mean "
            "'AIR_FLOW_SOURCE_NOZZLES'?; write one of AIR_FLOW_SOURCE_STANDARD_AIR_FLOW, "
            "AIR_FLOW_SOURCE_ENTERING_AIR_FLOW, AIR_FLOW_SOURCE_LEAVING_AIR_FLOW, "
            "AIR_FLOW_SOURCE_AIR_MASS_FLOW, AIR_FLOW_SOURCE_NOZZLES"},
        FaultCase{
            "NozzlesWithoutTheirFlow", "AIR_FLOW_SOURCE_NOZZLES",
            "AIR_FLOW_SOURCE_AIR_MASS_FLOW",
            "l:39:9: units[0].modes[0].reduction.air_side.nozzle_method: air flow is not "
            "computed from nozzles; leave it out, or write flow: "
            "AIR_FLOW_SOURCE_NOZZLES\nl:40:9: "
            "units[0].modes[0].reduction.air_side.nozzles: air flow is not computed from "
            "nozzles; leave it out, or write flow: AIR_FLOW_SOURCE_NOZZLES"},
        FaultCase{"NozzleMethodMissing", "        nozzle_method: \"nozzles\"\n", "",
                  "l:36:7: units[0].modes[0].reduction.air_side.nozzle_method: is "
                  "missing; write nozzle_method: \"...\""},
        FaultCase{"NozzlesMissing",
                  "        nozzles { diameter: 5 unit: \"in\" count: 2 }\n        "
                  "nozzles { diameter: 80 unit: \"mm\" }\n",
                  "",
                  "l:36:7: units[0].modes[0].reduction.air_side.nozzles: is missing; "
                  "write nozzles { ... }"},
        FaultCase{"NozzleOfNoSize", "diameter: 5 unit: \"in\" count: 2",
                  "diameter: 0 unit: \"in\" count: 0",
                  "l:40:19: units[0].modes[0].reduction.air_side.nozzles[0].diameter: 0 "
                  "is out of range; write a number above 0\nl:40:42: "
                  "units[0].modes[0].reduction.air_side.nozzles[0].count: 0 is no number "
                  "of nozzles; write 1 or more; what was shut is left out"},
        FaultCase{"NozzleUnit", "diameter: 5 unit: \"in\"", "diameter: 5 unit: \"inch\"",
                  "l:40:31: units[0].modes[0].reduction.air_side.nozzles[0].unit: "
                  "unknown unit 'inch'; units of length: m, mm, ft, in"},
        FaultCase{"DuctLossNegative", "duct_loss_w_per_k: 2.5", "duct_loss_w_per_k: -2.5",
                  "l:45:9: units[0].modes[0].reduction.air_side.duct_loss_w_per_k: is "
                  "negative; write it without a sign"},
        FaultCase{"LiquidUnknown", "liquid: \"propylene_glycol\"",
                  "liquid: \"propylen_glycol\"",
                  "l:51:9: units[0].modes[0].reduction.liquid_sides[0].liquid: unknown "
                  "liquid 'propylen_glycol'; did you mean 'propylene_glycol'?; there is "
                  "water, ethylene_glycol, propylene_glycol"},
        FaultCase{"WaterWithConcentration", "liquid: \"water\"",
                  "liquid: \"water\" concentration_fraction: 0.1",
                  "l:63:25: "
                  "units[0].modes[0].reduction.liquid_sides[1].concentration_fraction: "
                  "water has no concentration; leave it out"},
        FaultCase{
            "ConcentrationInPercent", "concentration_fraction: 0.25",
            "concentration_fraction: 25",
            "l:52:9: units[0].modes[0].reduction.liquid_sides[0].concentration_fraction: "
            "25 is out of range; write a number from 0 to 0.6"},
        FaultCase{
            "EnteringIsNoTemperature", "entering: \"entering_brine_temp\"",
            "entering: \"water_flow\"",
            "l:53:9: units[0].modes[0].reduction.liquid_sides[0].entering: 'water_flow' "
            "is a quantity of volume flow; name a quantity of temperature"},
        FaultCase{"LeavingIsEntering", "leaving: \"leaving_brine_temp\"",
                  "leaving: \"entering_brine_temp\"",
                  "l:54:9: units[0].modes[0].reduction.liquid_sides[0].leaving: is the "
                  "entering temperature; name another"},
        FaultCase{"LiquidFlowUnknown", "flow: \"water_mass_flow\"",
                  "flow: \"water_mas_flow\"",
                  "l:66:9: units[0].modes[0].reduction.liquid_sides[1].flow: unknown "
                  "quantity 'water_mas_flow'; did you mean 'water_mass_flow'?"},
        FaultCase{"LiquidFlowIsAPressure", "flow: \"water_mass_flow\"",
                  "flow: \"water_pressure_drop\"",
                  "l:66:9: units[0].modes[0].reduction.liquid_sides[1].flow: "
                  "'water_pressure_drop' is a quantity of pressure difference; name a "
                  "quantity of volume flow or mass flow"},
        FaultCase{"MassFlowAtLeaving", "flow: \"water_mass_flow\"",
                  "flow: \"water_mass_flow\" flow_at_leaving: true",
                  "l:66:33: units[0].modes[0].reduction.liquid_sides[1].flow_at_leaving: "
                  "a mass flow is the same at both temperatures; leave it out"},
        FaultCase{"DifferenceIsATemperature",
                  "difference: \"water_temperature_difference\"",
                  "difference: \"leaving_water_temp\"",
                  "l:57:9: units[0].modes[0].reduction.liquid_sides[0].difference: "
                  "'leaving_water_temp' is a quantity of temperature; name a quantity of "
                  "temperature difference"},
        FaultCase{"LiquidPressureZero", "pressure_pa: 250000", "pressure_pa: 0",
                  "l:58:9: units[0].modes[0].reduction.liquid_sides[0].pressure_pa: 0 is "
                  "out of range; write a number above 0"},
        FaultCase{"RoleTwice", "LIQUID_ROLE_HEAT_REJECTION", "LIQUID_ROLE_CAPACITY",
                  "l:62:9: units[0].modes[0].reduction.liquid_sides[1].role: the role "
                  "'LIQUID_ROLE_CAPACITY' is given twice; keep one"},
        FaultCase{
            "CorrectionTwice",
            "kind: FAN_PUMP_CASE_PUMP_ABSENT\n        flow: \"water_flow\"\n        "
            "pressure: \"water_pressure_drop\"",
            "kind: FAN_PUMP_CASE_FAN_INSIDE\n        flow: \"air_flow\"\n        "
            "pressure: \"external_static_pressure\"",
            "l:76:9: units[0].modes[0].reduction.corrections[1].kind: the correction "
            "'FAN_INSIDE air_flow external_static_pressure' is given twice; keep one"},
        FaultCase{"CorrectionPressure", "pressure: \"external_static_pressure\"",
                  "pressure: \"barometric_pressure\"",
                  "l:72:9: units[0].modes[0].reduction.corrections[0].pressure: "
                  "'barometric_pressure' is a quantity of absolute pressure; name a "
                  "quantity of pressure difference"},
        FaultCase{
            "BasisMissing", "      capacity_basis: CAPACITY_BASIS_MEAN\n", "",
            "l:35:5: units[0].modes[0].reduction.capacity_basis: is missing: both sides "
            "give the capacity; write capacity_basis: and one of "
            "CAPACITY_BASIS_AIR_SIDE, CAPACITY_BASIS_LIQUID_SIDE, CAPACITY_BASIS_MEAN"},
        FaultCase{
            "BasisMeanOfOneSide",
            "      liquid_sides {\n        method: \"liquid\"\n        role: "
            "LIQUID_ROLE_CAPACITY\n        liquid: \"propylene_glycol\"\n        "
            "concentration_fraction: 0.25\n        entering: \"entering_brine_temp\"\n   "
            "     leaving: \"leaving_brine_temp\"\n        flow: \"water_flow\"\n        "
            "flow_at_leaving: true\n        difference: "
            "\"water_temperature_difference\"\n        pressure_pa: 250000\n      }\n    "
            "  liquid_sides {\n        method: \"liquid\"\n        role: "
            "LIQUID_ROLE_HEAT_REJECTION\n        liquid: \"water\"\n        entering: "
            "\"entering_water_temp\"\n        leaving: \"leaving_water_temp\"\n        "
            "flow: \"water_mass_flow\"\n      }\n",
            "",
            "l:61:7: units[0].modes[0].reduction.capacity_basis: there is only one side"},
        FaultCase{"BalanceLimitInPercent", "balance_limit_fraction: 0.06",
                  "balance_limit_fraction: 6",
                  "l:82:7: units[0].modes[0].reduction.balance_limit_fraction: 6 is out "
                  "of range; write a number from 0 to 1"},
        FaultCase{"InputOfAnotherMethod", "inputs { method: \"air-ip\"",
                  "inputs { method: \"air-si\"",
                  "l:83:16: units[0].modes[0].reduction.inputs[0].method: unknown method "
                  "of this mode 'air-si'; did you mean 'air-ip'?; there is air-ip, "
                  "nozzles, liquid, fans, steady"},
        FaultCase{"InputTwice", "value: 1061 unit: \"Btu/lb\" }",
                  "value: 1061 unit: \"Btu/lb\" }\n      inputs { method: \"air-ip\" "
                  "input: \"latent_heat\" value: 1060 }",
                  "l:84:33: units[0].modes[0].reduction.inputs[1].input: the input "
                  "'air-ip/latent_heat' is given twice; keep one"},
        FaultCase{"SaturationOfOneState",
                  "        entries { temperature_c: 40 pressure_pa: 1600000 }\n", "",
                  "l:87:9: units[0].modes[0].reduction.refrigerant_saturation.entries: "
                  "is only one: no line goes through it; write at least two"},
        FaultCase{
            "SaturationFalls", "temperature_c: 40 pressure_pa: 1600000",
            "temperature_c: -10 pressure_pa: 300000",
            "l:88:19: "
            "units[0].modes[0].reduction.refrigerant_saturation.entries[1].temperature_c:"
            " -10 does not rise from -10; write the entries by rising "
            "temperature\nl:88:38: "
            "units[0].modes[0].reduction.refrigerant_saturation.entries[1].pressure_pa: "
            "300000 does not rise from 400000; write the entries by rising temperature"},
        FaultCase{
            "SaturationBelowZero", "temperature_c: -10 pressure_pa: 400000",
            "temperature_c: -300 pressure_pa: -1",
            "l:87:19: "
            "units[0].modes[0].reduction.refrigerant_saturation.entries[0].temperature_c:"
            " -300 is out of range; write a number above -273.15\nl:87:39: "
            "units[0].modes[0].reduction.refrigerant_saturation.entries[0].pressure_pa: "
            "-1 is out of range; write a number above 0"},
        FaultCase{"SteadinessMethodNoId", "steadiness_method: \"steady\"",
                  "steadiness_method: \"Steady\"",
                  "l:91:5: units[0].modes[0].steadiness_method: 'Steady' is no id; write "
                  "at most 64 lower-case letters, digits and hyphens"},
        FaultCase{
            "CurveTwice", "curves { id: \"fan\" kind", "curves { id: \"coil\" kind",
            "l:102:12: units[0].curves[1].id: the curve 'coil' is given twice; keep one"},
        FaultCase{"FanCurveOfALiquid", "kind: CURVE_KIND_FAN",
                  "kind: CURVE_KIND_FAN liquid: \"water\" flow: \"air_flow\"",
                  "l:102:43: units[0].curves[1].liquid: the curve of a fan is over its "
                  "own quantities; leave it out\nl:102:59: units[0].curves[1].flow: the "
                  "curve of a fan is over its own quantities; leave it out"},
        FaultCase{"LiquidCurveWithoutLiquid",
                  "    liquid: \"ethylene_glycol\"\n    concentration_fraction: 0.3\n",
                  "",
                  "l:93:3: units[0].curves[0].liquid: is missing; write liquid: \"...\""},
        FaultCase{"CurveFlow", "    flow: \"water_flow\"\n    pressure_drop",
                  "    flow: \"power_input\"\n    pressure_drop",
                  "l:96:5: units[0].curves[0].flow: 'power_input' is a quantity of "
                  "power; name a quantity of volume flow or mass flow"},
        FaultCase{"CurvePressureDrop", "pressure_drop: \"water_pressure_drop\"",
                  "pressure_drop: \"water_presure_drop\"",
                  "l:97:5: units[0].curves[0].pressure_drop: unknown quantity "
                  "'water_presure_drop'; did you mean 'water_pressure_drop'?"},
        FaultCase{
            "CurveTemperature", "temperature: \"entering_water_temp\"",
            "temperature: \"water_temperature_difference\"",
            "l:98:5: units[0].curves[0].temperature: 'water_temperature_difference' is a "
            "quantity of temperature difference; name a quantity of temperature"},
        FaultCase{"CurveConcentration", "concentration_fraction: 0.3",
                  "concentration_fraction: 0.7",
                  "l:100:5: units[0].curves[0].concentration_fraction: 0.7 is out of "
                  "range; write a number from 0 to 0.6"},
        FaultCase{
            "InstrumentTwice", "id: \"watt\"", "id: \"rtd\"",
            "l:133:3: instruments[1].id: the instrument 'rtd' is given twice; keep one"},
        FaultCase{"CalibratedOnNoDay", "calibrated_on: \"2025-06-01\"",
                  "calibrated_on: \"2025-06-31\"",
                  "l:108:3: instruments[0].calibrated_on: '2025-06-31' is no day; write "
                  "it as 2026-03-31"},
        FaultCase{"DaysReversed", "due_on: \"2026-06-01\"", "due_on: \"2025-05-31\"",
                  "l:109:3: instruments[0].due_on: the days are reversed: 2025-05-31 is "
                  "before 2025-06-01"},
        FaultCase{"ReadsUnknown", "\"leaving_water_temp\"]", "\"leaving_water_tmp\"]",
                  "l:110:34: instruments[0].reads[1]: unknown quantity "
                  "'leaving_water_tmp'; did you mean 'leaving_water_temp'?"},
        FaultCase{"ReadsTwice", "reads: [\"power_input\", \"indoor_fan_power\"]",
                  "reads: [\"power_input\", \"leaving_water_temp\"]",
                  "l:134:26: instruments[1].reads[1]: 'leaving_water_temp' is read by "
                  "'rtd' already; keep one; a column names the instrument that reads it "
                  "elsewhere\nl:137:5: instruments[1].accuracies[0].relative_fraction: "
                  "is a part of a temperature, which depends on where its scale starts; "
                  "write 'absolute', a difference\nl:139:5: "
                  "instruments[1].accuracies[0].unit: 'W' is a unit of power; units of "
                  "temperature difference: delta_K, delta_degC, delta_degF"},
        FaultCase{"ResolutionWithoutUnit", "  resolution_unit: \"K\"\n", "",
                  "l:104:1: instruments[0].resolution_unit: is missing; write "
                  "resolution_unit: \"...\""},
        FaultCase{"ResolutionUnitAlone", "  resolution: 0.01\n", "",
                  "l:111:3: instruments[0].resolution_unit: there is no resolution; "
                  "leave it out"},
        FaultCase{"ResolutionUnit", "resolution_unit: \"K\"", "resolution_unit: \"kW\"",
                  "l:112:3: instruments[0].resolution_unit: 'kW' is a unit of power; "
                  "units of temperature difference: delta_K, delta_degC, delta_degF"},
        FaultCase{"ResolutionZero", "resolution: 0.01", "resolution: 0",
                  "l:111:3: instruments[0].resolution: 0 is out of range; write a number "
                  "above 0"},
        FaultCase{"AccuracyOfNothing", "    absolute: 0.1\n    unit: \"K\"\n", "",
                  "l:123:3: instruments[0].accuracies[1].relative_fraction: is missing, "
                  "and so is 'absolute'; write one of them or both"},
        FaultCase{"AccuracyAsPartOfATemperature", "    absolute: 0.1\n    unit: \"K\"\n",
                  "    relative_fraction: 0.01\n",
                  "l:125:5: instruments[0].accuracies[1].relative_fraction: is a part of "
                  "a temperature, which depends on where its scale starts; write "
                  "'absolute', a difference"},
        FaultCase{"AccuracyPartInPercent", "relative_fraction: 0.002",
                  "relative_fraction: 2",
                  "l:137:5: instruments[1].accuracies[0].relative_fraction: 2 is out of "
                  "range; write a number from 0 to 1"},
        FaultCase{"AccuracyNegative", "absolute: 0.1\n", "absolute: -0.1\n",
                  "l:125:5: instruments[0].accuracies[1].absolute: is negative; write it "
                  "without a sign"},
        FaultCase{"AccuracyWithoutUnit", "    absolute: 0.1\n    unit: \"K\"\n",
                  "    absolute: 0.1\n",
                  "l:123:3: instruments[0].accuracies[1].unit: is missing; write unit: "
                  "\"...\""},
        FaultCase{
            "AccuracyUnit", "absolute: 0.1\n    unit: \"K\"",
            "absolute: 0.1\n    unit: \"%\"",
            "l:126:5: instruments[0].accuracies[1].unit: '%' is a unit of fraction; "
            "units of temperature difference: delta_K, delta_degC, delta_degF"},
        FaultCase{"AccuracyUnitOfAnotherReading",
                  "reads: [\"power_input\", \"indoor_fan_power\"]",
                  "reads: [\"power_input\", \"supply_voltage\"]",
                  "l:139:5: instruments[1].accuracies[0].unit: 'W' is a unit of power; "
                  "units of voltage: V"},
        FaultCase{"AccuracyUnitOfAPart", "    absolute: 3\n    unit: \"W\"",
                  "    unit: \"W\"",
                  "l:138:5: instruments[1].accuracies[0].unit: a part has no unit; leave "
                  "it out"},
        FaultCase{"AccuracyTwice", "name: \"mounting\"", "name: \"calibration\"",
                  "l:124:5: instruments[0].accuracies[1].name: the accuracy "
                  "'calibration' is given twice; keep one"},
        FaultCase{
            "CoverageOfLimits", "distribution: ACCURACY_DISTRIBUTION_RECTANGULAR",
            "distribution: ACCURACY_DISTRIBUTION_RECTANGULAR\n    coverage_factor: 2",
            "l:128:5: instruments[0].accuracies[1].coverage_factor: limits have no "
            "coverage factor: they are never exceeded; leave it out, or write "
            "ACCURACY_DISTRIBUTION_NORMAL"},
        FaultCase{"CoverageZero", "coverage_factor: 2", "coverage_factor: 0",
                  "l:118:5: instruments[0].accuracies[0].coverage_factor: 0 is out of "
                  "range; write a number above 0"},
        FaultCase{"DegreesOfFreedomZero", "degrees_of_freedom: 50",
                  "degrees_of_freedom: 0",
                  "l:119:5: instruments[0].accuracies[0].degrees_of_freedom: 0 is out of "
                  "range; write a number above 0"},
        FaultCase{"SharedReferenceOfTwoKinds", "random: true",
                  "random: true\n    shared_reference: \"bath\"",
                  "l:129:5: instruments[0].accuracies[1].shared_reference: 'random' is "
                  "not that of another figure with the reference 'bath'; one error is of "
                  "one kind: write the same, or name another reference"},
        FaultCase{
            "DistributionUnknown", "ACCURACY_DISTRIBUTION_TRIANGULAR",
            "ACCURACY_DISTRIBUTION_TRIANGLE",
            "l:140:19: distribution: unknown value 'ACCURACY_DISTRIBUTION_TRIANGLE'; did "
            "you mean 'ACCURACY_DISTRIBUTION_TRIANGULAR'?; write one of "
            "ACCURACY_DISTRIBUTION_NORMAL, ACCURACY_DISTRIBUTION_RECTANGULAR, "
            "ACCURACY_DISTRIBUTION_TRIANGULAR, ACCURACY_DISTRIBUTION_ARCSINE"},
        FaultCase{"CorrelationWithItself", "second_quantity: \"entering_air_db\"",
                  "second_quantity: \"entering_water_temp\"",
                  "l:146:3: reading_correlations[0].second_quantity: is the same "
                  "quantity, which goes together with itself; name another"},
        FaultCase{"CorrelationTwice", "log_files {",
                  "reading_correlations {\n  first_quantity: \"entering_air_db\"\n  "
                  "second_quantity: \"entering_water_temp\"\n  coefficient: 0.1\n  "
                  "source: \"s\"\n}\nlog_files {",
                  "l:151:3: reading_correlations[1].first_quantity: the pair of "
                  "'entering_air_db' and 'entering_water_temp' is given twice; keep one"},
        FaultCase{"CorrelationTooGreat", "coefficient: 0.5", "coefficient: 1.5",
                  "l:147:3: reading_correlations[0].coefficient: 1.5 is out of range; "
                  "write a number from -1 to 1"},
        FaultCase{"CorrelationOfWhatNobodyReads", "second_quantity: \"entering_air_db\"",
                  "second_quantity: \"entering_air_wb\"",
                  "l:146:3: reading_correlations[0].second_quantity: no instrument reads "
                  "'entering_air_wb'; write it among the `reads` of one, or leave the "
                  "correlation out"},
        FaultCase{"CorrelationUnknown", "second_quantity: \"entering_air_db\"",
                  "second_quantity: \"entering_air_bd\"",
                  "l:146:3: reading_correlations[0].second_quantity: unknown quantity "
                  "'entering_air_bd'; did you mean 'entering_air_db'?"},
        FaultCase{
            "LogPath", "path: \"logs/steady.csv\"", "path: \"points/steady.csv\"",
            "l:151:3: log_files[0].path: 'points/steady.csv' is no path of a log of the "
            "line folder; write it with forward slashes, such as logs/day1.csv"},
        FaultCase{
            "LogPathOutside", "path: \"logs/steady.csv\"", "path: \"logs/../steady.csv\"",
            "l:151:3: log_files[0].path: 'logs/../steady.csv' is no path of a log of the "
            "line folder; write it with forward slashes, such as logs/day1.csv"},
        FaultCase{
            "LogPathNoCsv", "path: \"logs/steady.csv\"", "path: \"logs/steady.txt\"",
            "l:151:3: log_files[0].path: 'logs/steady.txt' is no path of a log of the "
            "line folder; write it with forward slashes, such as logs/day1.csv"},
        FaultCase{"LogTwice", "path: \"logs/frost.csv\"", "path: \"logs/steady.csv\"",
                  "l:187:3: log_files[1].path: the log 'logs/steady.csv' is given twice; "
                  "keep one"},
        FaultCase{"LogUnitUnknown", "unit: \"u1\"\n  mode: \"cooling\"\n  off_stages",
                  "unit: \"u2\"\n  mode: \"cooling\"\n  off_stages",
                  "l:152:3: log_files[0].unit: unknown unit 'u2'; did you mean 'u1'?; "
                  "there is u1"},
        FaultCase{"LogModeUnknown", "mode: \"cooling\"\n  off_stages",
                  "mode: \"coling\"\n  off_stages",
                  "l:153:3: log_files[0].mode: unknown mode 'coling'; did you mean "
                  "'cooling'?; there is cooling"},
        FaultCase{"LogStageUnknown",
                  "stage: \"full\"\n  time { header: \"t\" format: \"s\" }",
                  "stage: \"ful\"\n  time { header: \"t\" format: \"s\" }",
                  "l:190:3: log_files[1].stage: unknown stage 'ful'; did you mean "
                  "'full'?; there is full"},
        FaultCase{
            "LogStageMissing",
            "  stage: \"full\"\n  time { header: \"t\" format: \"s\" }",
            "  time { header: \"t\" format: \"s\" }",
            "l:186:1: log_files[1].stage: is missing, and no column gives the stage; "
            "write stage: \"...\", or label: COLUMN_LABEL_STAGE for its column"},
        FaultCase{"LogSpecimenUnknown", "specimen: \"sn1\"", "specimen: \"sn2\"",
                  "l:156:3: log_files[0].specimen: unknown specimen 'sn2'; did you mean "
                  "'sn1'?; there is sn1"},
        FaultCase{"LogTestedOn", "tested_on: \"2026-03-31\"\n  columns",
                  "tested_on: \"yesterday\"\n  columns",
                  "l:158:3: log_files[0].tested_on: 'yesterday' is no day; write it as "
                  "2026-03-31"},
        FaultCase{"LogOfManyModes", "label: COLUMN_LABEL_STAGE }",
                  "label: COLUMN_LABEL_STAGE }\n  columns { header: \"Mode\" label: "
                  "COLUMN_LABEL_MODE }",
                  "l:160:28: log_files[0].columns[1].label: a log is of one unit and "
                  "mode, and its rows are no points; write unused with this reason"},
        FaultCase{"OffStageIsAStage", "off_stages: [\"0\", \"off\"]",
                  "off_stages: [\"0\", \"full\", \"0\"]",
                  "l:154:21: log_files[0].off_stages[1]: 'full' is a stage of the mode; "
                  "name values at which the unit is off\nl:154:29: "
                  "log_files[0].off_stages[2]: the stage '0' is given twice; keep one"},
        FaultCase{"OffStagesWithoutColumn",
                  "stage: \"full\"\n  time { header: \"t\" format: \"s\" }",
                  "stage: \"full\"\n  off_stages: \"0\"\n  time { header: \"t\" format: "
                  "\"s\" }",
                  "l:191:3: log_files[1].off_stages: no column gives the stage; write "
                  "label: COLUMN_LABEL_STAGE for its column, or leave this out"},
        FaultCase{"NoCut",
                  "  frost_cycles {\n    signal: \"Defrost\"\n    threshold: 0.5\n    "
                  "least_cycles: 2\n    least_time_s: 3600\n    most_time_s: 7200\n    "
                  "source: \"our practice\"\n  }\n",
                  "",
                  "l:187:3: log_files[1].path: nothing says what the log is cut into; "
                  "write steady_windows, frost_cycles or on_off_cycles"},
        FaultCase{"TimeMissing", "  time { header: \"t\" format: \"s\" }\n", "",
                  "l:186:1: log_files[1].time: is missing; write time { ... }"},
        FaultCase{"TimeIsAColumn", "time { header: \"Time\"", "time { header: \"Stage\"",
                  "l:160:10: log_files[0].time.header: 'Stage' stands among the columns, "
                  "too; leave the column out"},
        FaultCase{"FormatUnknown", "format: \"s\"", "format: \"iso8610\"",
                  "l:191:22: log_files[1].time.format: unknown format 'iso8610'; did you "
                  "mean 'iso8601'?; write s, min, h or iso8601, or a pattern such as "
                  "%Y-%m-%d %H:%M:%S"},
        FaultCase{"FormatLetters", "format: \"%H:%M:%S\"",
                  "format: \"%y-%b-%d %H:%M:%S %\"",
                  "l:160:25: log_files[0].time.format: the pattern has '%y', '%b', '%'; "
                  "only %Y %m %d %H %M %S are known"},
        FaultCase{
            "FormatTwice", "format: \"%H:%M:%S\"", "format: \"%H:%M:%M\"",
            "l:160:25: log_files[0].time.format: the pattern has '%M' twice; keep one"},
        FaultCase{"FormatWithoutTime", "format: \"%H:%M:%S\"", "format: \"%Y-%m-%d\"",
                  "l:160:25: log_files[0].time.format: the pattern gives no time of day; "
                  "write %H and %M, and %S"},
        FaultCase{"FormatWithPartOfADate", "format: \"%H:%M:%S\"",
                  "format: \"%Y-%d %H:%M:%S\"",
                  "l:160:25: log_files[0].time.format: the pattern gives part of a date; "
                  "write %m and %d, with %Y or without, or no date at all"},
        FaultCase{"LongestStepZero", "longest_step_s: 30", "longest_step_s: 0",
                  "l:160:44: log_files[0].time.longest_step_s: 0 is out of range; write "
                  "a number above 0"},
        FaultCase{"WindowOfNoLength", "length_s: 1800", "length_s: 0",
                  "l:162:5: log_files[0].steady_windows.length_s: 0 is out of range; "
                  "write a number above 0"},
        FaultCase{"DelayNegative", "delay_after_change_s: 600",
                  "delay_after_change_s: -1",
                  "l:163:5: log_files[0].steady_windows.delay_after_change_s: is "
                  "negative; write it without a sign"},
        FaultCase{"ChangeOnUnknown", "change_on: \"water_flow\"",
                  "change_on: \"waterflow\"",
                  "l:164:5: log_files[0].steady_windows.change_on[0]: unknown quantity "
                  "'waterflow'; did you mean 'water_flow'?"},
        FaultCase{"WindowMethodNoId", "    method: \"steady\"\n    tol",
                  "    method: \"Steady!\"\n    tol",
                  "l:165:5: log_files[0].steady_windows.method: 'Steady!' is no id; "
                  "write at most 64 lower-case letters, digits and hyphens"},
        FaultCase{"ToleranceQuantityUnknown",
                  "tolerances {\n      quantity: \"entering_air_db\"",
                  "tolerances {\n      quantity: \"entering_air\"",
                  "l:167:7: log_files[0].steady_windows.tolerances[0].quantity: unknown "
                  "quantity 'entering_air'; did you mean 'entering_air_db'?"},
        FaultCase{"ToleranceTwice", "tolerances {\n      quantity: \"water_flow\"",
                  "tolerances {\n      quantity: \"entering_air_db\"",
                  "l:175:7: log_files[0].steady_windows.tolerances[1].quantity: the "
                  "quantity 'entering_air_db' is given twice; keep one\nl:176:25: "
                  "log_files[0].steady_windows.tolerances[1].greatest_spread.relative_"
                  "fraction: is a part of a temperature, which depends on where its "
                  "scale starts; write 'absolute', a difference"},
        FaultCase{"ToleranceAsksNothing",
                  "      greatest_spread { relative_fraction: 0.02 }\n", "",
                  "l:175:7: log_files[0].steady_windows.tolerances[1].quantity: the "
                  "tolerance asks nothing; write greatest_spread, greatest_deviation, "
                  "greatest_standard_deviation or mean_deviation"},
        FaultCase{"ToleranceBoth", "greatest_spread { relative_fraction: 0.02 }",
                  "greatest_spread { relative_fraction: 0.02 absolute: 1 unit: \"gpm\" }",
                  "l:176:25: "
                  "log_files[0].steady_windows.tolerances[1].greatest_spread.relative_"
                  "fraction: is given, and so is 'absolute'; write one of them"},
        FaultCase{"ToleranceNeither", "greatest_spread { relative_fraction: 0.02 }",
                  "greatest_spread {}",
                  "l:176:7: "
                  "log_files[0].steady_windows.tolerances[1].greatest_spread.relative_"
                  "fraction: is missing, and so is 'absolute'; write one of them"},
        FaultCase{"ToleranceAsPartOfATemperature",
                  "greatest_spread { absolute: 1.8 unit: \"degF\" }",
                  "greatest_spread { relative_fraction: 0.02 }",
                  "l:168:25: "
                  "log_files[0].steady_windows.tolerances[0].greatest_spread.relative_"
                  "fraction: is a part of a temperature, which depends on where its "
                  "scale starts; write 'absolute', a difference"},
        FaultCase{"ToleranceInPercent", "relative_fraction: 0.02", "relative_fraction: 2",
                  "l:176:25: "
                  "log_files[0].steady_windows.tolerances[1].greatest_spread.relative_"
                  "fraction: 2 is out of range; write a number from 0 to 1"},
        FaultCase{"ToleranceZero", "absolute: 1.8 unit", "absolute: 0 unit",
                  "l:168:25: "
                  "log_files[0].steady_windows.tolerances[0].greatest_spread.absolute: 0 "
                  "is out of range; write a number above 0"},
        FaultCase{
            "ToleranceUnit", "absolute: 1.8 unit: \"degF\"", "absolute: 1.8 unit: \"F\"",
            "l:168:39: log_files[0].steady_windows.tolerances[0].greatest_spread.unit: "
            "unknown unit 'F'; write degF for a temperature, delta_degF for a "
            "difference; units of temperature difference: delta_K, delta_degC, "
            "delta_degF"},
        FaultCase{
            "ToleranceUnitMissing", "absolute: 1.8 unit: \"degF\"", "absolute: 1.8",
            "l:168:7: log_files[0].steady_windows.tolerances[0].greatest_spread.unit: is "
            "missing; write unit: \"...\""},
        FaultCase{
            "ToleranceUnitOfAPart", "relative_fraction: 0.02 }",
            "relative_fraction: 0.02 unit: \"gpm\" }",
            "l:176:49: log_files[0].steady_windows.tolerances[1].greatest_spread.unit: a "
            "part has no unit; leave it out"},
        FaultCase{"ToleranceWithoutSource",
                  "      mean_deviation { absolute: 0.5 unit: \"degF\" }\n      citation "
                  "{ source: \"our practice\" basis: BASIS_MEMORY }\n",
                  "      mean_deviation { absolute: 0.5 unit: \"degF\" }\n",
                  "l:166:5: log_files[0].steady_windows.tolerances[0].citation: is "
                  "missing; write citation { ... }"},
        FaultCase{"SetPointImplausible", "value: 80 unit: \"degF\" }\n  }",
                  "value: 800 unit: \"degF\" }\n  }",
                  "l:179:46: log_files[0].steady_windows.set_points[0].value: 800 degF "
                  "is no plausible entering_air_db, which is from -58 to 176 degF; look "
                  "at value and unit"},
        FaultCase{"SetPointTwice", "value: 80 unit: \"degF\" }\n  }",
                  "value: 80 unit: \"degF\" }\n    set_points { quantity: "
                  "\"entering_air_db\" value: 27 unit: \"degC\" }\n  }",
                  "l:180:18: log_files[0].steady_windows.set_points[1].quantity: the "
                  "quantity 'entering_air_db' is given twice; keep one"},
        FaultCase{"SignalUnknown", "signal: \"Defrost\"", "signal: \"Defrosting\"",
                  "l:193:5: log_files[1].frost_cycles.signal: 'Defrosting' is neither a "
                  "quantity nor the heading of a column; did you mean 'Defrost'?"},
        FaultCase{"CyclesZero", "least_cycles: 2", "least_cycles: 0",
                  "l:195:5: log_files[1].frost_cycles.least_cycles: 0 is no number of "
                  "cycles; write 1 or more"},
        FaultCase{"LeastTimeZero", "least_time_s: 3600", "least_time_s: 0",
                  "l:196:5: log_files[1].frost_cycles.least_time_s: 0 is out of range; "
                  "write a number above 0"},
        FaultCase{"TimesReversed", "most_time_s: 7200", "most_time_s: 1800",
                  "l:197:5: log_files[1].frost_cycles.most_time_s: the times are "
                  "reversed: at most 1800 s and at least 3600 s"},
        FaultCase{"LeastTimeMissing", "    least_time_s: 3600\n", "",
                  "l:192:3: log_files[1].frost_cycles.least_time_s: is missing; write "
                  "least_time_s: and a number"},
        FaultCase{"WarmUpNegative", "warm_up_cycles: 2", "warm_up_cycles: -2",
                  "l:210:5: log_files[2].on_off_cycles.warm_up_cycles: is negative; "
                  "write 0 for none"},
        FaultCase{"IgnoredReversed", "first_line: 2 last_line: 40",
                  "first_line: 40 last_line: 2",
                  "l:181:34: log_files[0].ignored_spans[0].last_line: the span is "
                  "reversed: 2 is before 40"},
        FaultCase{"IgnoredOverlap", "first_line: 41 last_line: 41",
                  "first_line: 40 last_line: 50",
                  "l:182:19: log_files[0].ignored_spans[1].first_line: the span overlaps "
                  "that of lines 2 to 40; make them one"},
        FaultCase{"IgnoredLineZero", "first_line: 2 last_line: 40",
                  "first_line: 0 last_line: 40",
                  "l:181:19: log_files[0].ignored_spans[0].first_line: 0 is no line of a "
                  "file; lines are counted from 1"},
        FaultCase{"IgnoredWithoutReason", "last_line: 41 reason: \"spike\" }",
                  "last_line: 41 }",
                  "l:182:3: log_files[0].ignored_spans[1].reason: is missing; write "
                  "reason: \"...\""},
        FaultCase{"StuckNegative", "stuck_after_s: 900", "stuck_after_s: -1",
                  "l:183:3: log_files[0].stuck_after_s: is negative; write 0 for never"},
        FaultCase{"StandStillUnknown", "\"Defrost\"]", "\"Defost\"]",
                  "l:184:41: log_files[0].may_stand_still[1]: 'Defost' is neither a "
                  "quantity nor the heading of a column; did you mean 'Defrost'?"},
        FaultCase{"StandStillTwice", "\"Defrost\"]", "\"Defrost\", \"Defrost\", \"\"]",
                  "l:184:52: log_files[0].may_stand_still[2]: the quantity 'Defrost' is "
                  "given twice; keep one\nl:184:63: log_files[0].may_stand_still[3]: is "
                  "empty; name a quantity or heading"},
        FaultCase{"NotANumber", "coefficient: 0.5", "coefficient: nan",
                  "l:147:3: reading_correlations[0].coefficient: is not a finite number; "
                  "write a decimal such as 85.0"}}),
    NameOf);

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
