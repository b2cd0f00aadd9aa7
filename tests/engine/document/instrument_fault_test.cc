// Each fault of instruments and of what is said of how they err together, with its place
// as a person would count it.
#include <string>
#include <vector>

#include "engine/document/text.h"
#include "gtest/gtest.h"
#include "tests/engine/document/documents.h"
#include "tests/engine/document/fault_case.h"

namespace ratebound::document {
namespace {

class InstrumentFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(InstrumentFault, IsReportedWithItsPlace) {
  const std::string text = With(kLabManifest, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseLineManifest("l", text).status()), GetParam().want);
}

INSTANTIATE_TEST_SUITE_P(
    LineManifest, InstrumentFault,
    ::testing::ValuesIn(std::vector<FaultCase>{
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
        FaultCase{"NotANumber", "coefficient: 0.5", "coefficient: nan",
                  "l:147:3: reading_correlations[0].coefficient: is not a finite number; "
                  "write a decimal such as 85.0"}}),
    NameOf);

}  // namespace
}  // namespace ratebound::document
