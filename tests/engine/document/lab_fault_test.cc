// Each fault of headings, reductions and curves of a manifest, with its place as a person
// would count it.
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

class LabManifestFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(LabManifestFault, IsReportedWithItsPlace) {
  const std::string text = With(kLabManifest, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseLineManifest("l", text).status()), GetParam().want);
}

TEST(LabFault, ASoundManifestHasNone) {
  EXPECT_THAT(ParseLineManifest("l", kLabManifest), IsOk());
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
                  "range; write a number from 0 to 0.6"}}),
    NameOf);

}  // namespace
}  // namespace ratebound::document
