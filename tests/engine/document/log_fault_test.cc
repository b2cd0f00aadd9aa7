// Each fault of what a manifest says of logs, with its place as a person would count it.
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

class LogFault : public ::testing::TestWithParam<FaultCase> {};
TEST_P(LogFault, IsReportedWithItsPlace) {
  const std::string text = With(kLabManifest, GetParam().from, GetParam().to);
  ASSERT_NE(text, "") << "nothing to replace";
  EXPECT_EQ(FaultsOf(ParseLineManifest("l", text).status()), GetParam().want);
}

// What is steady is said by a method, by tolerances, or by the mode.
TEST(LogFaultOfSteadiness, SomethingSaysWhatIsSteady) {
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
    LineManifest, LogFault,
    ::testing::ValuesIn(std::vector<FaultCase>{
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
                  "empty; name a quantity or heading"}}),
    NameOf);

}  // namespace
}  // namespace ratebound::document
