// Rating as a user asks for it, on a line whose figures can be worked out by hand:
// capacity 50 kW and power 10 kW at 25 degC of water and 18 degC wet bulb, 0.3 kW less
// and 0.2 kW more for each kelvin of warmer water.
#include <string>
#include <vector>

#include "absl/strings/str_format.h"
#include "absl/strings/str_split.h"
#include "clients/cli/arguments.h"
#include "clients/cli/commands.h"
#include "clients/cli/render.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/small_line.h"
#include "tests/testing/temp_folder.h"

namespace ratebound::cli {
namespace {

using ::testing::AllOf;
using ::testing::ContainsRegex;
using ::testing::HasSubstr;
using ::testing::Not;

const char kCitation[] =
    "citation { source: 'Plan of this test, table 1' basis: BASIS_MEMORY }\n";

// One point at this water temperature, in the family of a published figure that has
// minimum levels for air-cooled units.
std::string OnePoint(const std::string& id, double water_c,
                     const std::string& wet_bulb = "value { value: 18 unit: 'degC' ",
                     const std::string& more = "") {
  const std::string citation = kCitation;
  const std::string closed =
      wet_bulb.starts_with("value") ? wet_bulb + citation + "}" : wet_bulb;
  return absl::StrFormat(R"(
id: "%s" title: "One point" document: "Plan of this test" edition: "issue 1"
edition_of: "ieer-air-cooled"
metric: "EER" metric_unit: "Btu/Wh" mode_kind: "cooling"
scope { equipment_classes: "unitary_air_cooled" %s }
capacity_basis { text: "as tested" %s }
capacity_quantity: "total_capacity" power_quantity: "power_input"
capacity_unit: "Btu/h" power_unit: "W"
common_conditions { quantity: "entering_air_wb" %s }
common_conditions {
  quantity: "entering_water_temp" value { value: %g unit: "degC" %s }
}
one_point { %s }
unit_constant { value: 1 unit: "Btu/Wh" %s }
rounding_step { value: 0.1 unit: "Btu/Wh" %s }
%s)",
                         id, citation, citation, closed, water_c, citation, citation,
                         citation, citation, more);
}

std::string Season(const std::string& id) {
  const std::string citation = kCitation;
  std::string text = absl::StrFormat(R"(
id: "%s" title: "Season" document: "Plan of this test" edition: "issue 1"
metric: "season figure" metric_unit: "W/W" mode_kind: "cooling"
scope { equipment_classes: "unitary_air_cooled" @ }
capacity_basis { text: "as tested" @ }
capacity_quantity: "total_capacity" power_quantity: "power_input"
common_conditions { quantity: "entering_air_wb" input: "room_wet_bulb" }
required_inputs {
  name: "room_wet_bulb" unit: "degC" description: "Wet bulb of the room, all season."
}
unit_constant { value: 1 unit: "W/W" @ }
rounding_step { value: 0.01 unit: "W/W" @ }
bin_season {
  temperature_unit: "degC"
  climates {
    id: "mild" title: "Mild"
    bins { step: 10 bins { temperature: 20 weight: 3 } bins { temperature: 30 weight: 1 } sum: 4 @ }
  }
  climates {
    id: "hot" title: "Hot"
    bins { step: 10 bins { temperature: 20 weight: 1 } bins { temperature: 30 weight: 3 } sum: 4 @ }
  }
  bin_conditions {
    quantity: "entering_water_temp" unit: "degC"
    at { temperature: 10 value: 10 } at { temperature: 40 value: 40 } @
  }
  tests {
    id: "design" stage: STAGE_ROLE_HIGHEST
    temperature { value { value: 30 unit: "degC" @ } }
  }
  load {
    first_temperature { value { value: 10 unit: "degC" @ } }
    first_part { value: 0 @ }
    second_temperature { value { value: 30 unit: "degC" @ } }
    second_part { value: 1 @ }
    capacity_of: "design" @
  }
  staged { all_from_map: true between: BETWEEN_STAGES_ALTERNATE between_@ }
  degradation {
    form: DEGRADATION_FORM_LINEAR_LOSS default_coefficient { value: 0 @ } @
  }
  unmet_load: UNMET_LOAD_NOT_COUNTED
  rated_figure: SEASON_FIGURE_KIND_ACTIVE
  figures { kind: SEASON_FIGURE_KIND_ACTIVE name: "season figure" @ }
  @
}
)",
                                     id);
  for (size_t at = text.find('@'); at != text.npos; at = text.find('@', at)) {
    text.replace(at, 1, citation);
  }
  return text;
}

std::string Replaced(std::string text, const std::string& from, const std::string& to) {
  const size_t at = text.find(from);
  EXPECT_NE(at, text.npos) << from;
  return text.replace(at, from.size(), to);
}

std::string Input(const std::string& procedure, double wet_bulb_c) {
  return absl::StrFormat(
      "procedure_inputs { procedure: '%s' input: 'room_wet_bulb' value: %g unit: 'degC' "
      "}\n",
      procedure, wet_bulb_c);
}

class RateCommand : public ::testing::Test {
 protected:
  RateCommand() {
    Manifest("procedures: 'cool' procedures: 'warm'\n", "");
    folder_.Write("line/points/p.csv", testing::SmallLinePoints());
    folder_.Write("line/procedures/cool.textproto", OnePoint("cool", 25));
    folder_.Write("line/procedures/warm.textproto", OnePoint("warm", 37));
    folder_.Write("line/procedures/between.textproto", OnePoint("between", 30.95));
    folder_.Write("line/procedures/season.textproto", Season("season"));
  }

  // Of 30 kW, the size for which minimum levels of 14.8 and 14.6 Btu/Wh are published.
  void Manifest(const std::string& of_line, const std::string& of_unit) {
    std::string text = testing::kSmallLineManifest;
    text = Replaced(text, "unitary_water_cooled", "unitary_air_cooled");
    text = Replaced(text, "value: 50 unit: \"kW\"", "value: 30 unit: \"kW\"");
    text = Replaced(text, "  machines {", of_unit + "  machines {");
    folder_.Write("line/line.textproto", of_line + text);
  }

  absl::StatusOr<Result> Call(std::vector<std::string> words) {
    words.push_back("--store");
    words.push_back(folder_.Below("store.sqlite"));
    auto arguments = ParseArguments(Commands(), words);
    if (!arguments.ok()) return arguments.status();
    return cli::Run(*arguments);
  }
  absl::StatusOr<Result> Rate(std::vector<std::string> words) {
    words.insert(words.begin(), {"rate", folder_.Below("line")});
    return Call(words);
  }

  testing::TempFolder folder_;
};

TEST(Rough, HasTwoSignificantDigits) {
  const struct {
    double value;
    const char* text;
  } kCases[] = {{0.0333003, "0.033"}, {0.0996, "0.10"}, {1.04, "1.0"}, {12.6, "13"},
                {1549, "1500"},       {-0.25, "-0.25"}, {0, "0"},      {1e-7, "1e-07"}};
  for (const auto& c : kCases) EXPECT_EQ(Rough(c.value), c.text);
}

TEST(DecimalsBeside, LeaveAHalfWidthTwoDigits) {
  EXPECT_EQ(DecimalsBeside(0.457), 2);
  EXPECT_EQ(DecimalsBeside(0.0996), 2);
  EXPECT_EQ(DecimalsBeside(3.2), 1);
  EXPECT_EQ(DecimalsBeside(250), 0);
  EXPECT_EQ(DecimalsBeside(0), 1);
}

// 50/10 W/W is 17.06 Btu/Wh; the points scatter by 0.3 %.
TEST_F(RateCommand, TellsTheFigureWithItsUncertaintyAndWhatIsUnconfirmed) {
  ASSERT_OK_AND_ASSIGN(const Result result, Rate({"--procedure", "cool"}));
  EXPECT_EQ(result.exit, Exit::kWell);
  EXPECT_THAT(result.out, HasSubstr("u1  EER 17.1 Btu/Wh by cool\n"));
  EXPECT_THAT(result.out, HasSubstr("Plan of this test issue 1; interpolated; 17.0"));
  EXPECT_THAT(result.out,
              ContainsRegex("1[67]\\.[0-9]+ to 17\\.[0-9]+ at 95 %: scatter of the tests "
                            "0\\.00[0-9]+ \\(standard error"));
  EXPECT_THAT(result.out, HasSubstr("cool, Plan of this test, table 1 (from memory):\n"));
  EXPECT_THAT(result.out, HasSubstr("Computed figures, not certified ratings."));
  EXPECT_THAT(result.out, AllOf(HasSubstr("no instrument errors known"),
                                Not(HasSubstr("minimum level"))));
}

TEST_F(RateCommand, ExplainsEveryValueAndCitesAClauseOnce) {
  ASSERT_OK_AND_ASSIGN(const Result result, Rate({"--procedure", "cool", "--explain"}));
  EXPECT_THAT(result.out, HasSubstr("what contributes to the uncertainty"));
  EXPECT_THAT(result.out, ContainsRegex("entering_water_temp +25 degC +\\[1\\]"));
  EXPECT_THAT(result.out,
              HasSubstr("    [1] Plan of this test, table 1 (from memory)\n"));
  EXPECT_THAT(result.out, Not(HasSubstr("[2]")));
  for (const auto line : absl::StrSplit(result.out, '\n')) {
    EXPECT_LE(line.size(), 120u) << line;
  }
}

TEST_F(RateCommand, RatesByTheProceduresOfTheManifestUnlessToldOtherwise) {
  ASSERT_OK_AND_ASSIGN(const Result all, Rate({}));
  EXPECT_THAT(all.out, AllOf(HasSubstr("by cool\n"), HasSubstr("by warm\n"),
                             Not(HasSubstr("by between\n"))));
  Manifest("", "");
  ASSERT_OK_AND_ASSIGN(const Result none, Rate({}));
  EXPECT_THAT(none.out, HasSubstr("lists no procedures to rate by; give --procedure ID"));
}

// 46.4/12.4 W/W is 12.8 Btu/Wh.
TEST_F(RateCommand, AgainstAnotherProcedurePutsBothBesideEachOtherWithTheStep) {
  ASSERT_OK_AND_ASSIGN(const Result result,
                       Rate({"--procedure", "cool", "--against", "warm"}));
  EXPECT_THAT(result.out, ContainsRegex("unit +cool +warm +step\n"));
  EXPECT_THAT(
      result.out,
      ContainsRegex("u1 +EER 17.1 Btu/Wh +EER 12.8 Btu/Wh +-4\\.[0-9]+ \\(-25\\.[0-9] "
                    "%\\)"));
  ASSERT_OK_AND_ASSIGN(const Result csv, Rate({"--procedure", "cool", "--against", "warm",
                                               "--output", "csv"}));
  EXPECT_THAT(csv.out, AllOf(HasSubstr("\r\nu1,cool,"), HasSubstr("\r\nu1,warm,")));
}

TEST_F(RateCommand, EndsWithOneWhereAUnitIsBelowAMinimumLevel) {
  const struct {
    const char* procedure;
    Exit exit;
    const char* says;
    const char* sums_up;
  } kCases[] = {
      {"cool", Exit::kWell, "meets 14", "No unit was found below a minimum level"},
      {"warm", Exit::kFound, "DOES NOT MEET 14",
       "u1 by warm: EER 12.8 Btu/Wh against 14"},
      {"between", Exit::kWell,
       "minimum level not known on 2024-03-31 by us-431-97-unitary",
       "No unit was found below a minimum level"}};
  for (const auto& c : kCases) {
    ASSERT_OK_AND_ASSIGN(const Result result, Rate({"--procedure", c.procedure,
                                                    "--minimums-on", "2024-03-31"}));
    EXPECT_EQ(result.exit, c.exit) << result.out;
    EXPECT_THAT(result.out, AllOf(HasSubstr(c.says), HasSubstr(c.sums_up)));
  }
  ASSERT_OK_AND_ASSIGN(const Result against,
                       Rate({"--procedure", "cool", "--against", "warm", "--minimums-on",
                             "2024-03-31", "--output", "json"}));
  EXPECT_EQ(against.exit, Exit::kFound);
}

TEST_F(RateCommand, SaysWhereNoMinimumLevelIsForAProcedure) {
  Manifest("procedures: 'season'\n", Input("season", 18));
  ASSERT_OK_AND_ASSIGN(const Result result, Rate({"--minimums-on", "2024-03-31"}));
  EXPECT_EQ(result.exit, Exit::kWell);
  EXPECT_THAT(result.out, HasSubstr("No document of minimum levels speaks of these"));
}

TEST_F(RateCommand, ListsWhatIsMissing) {
  Manifest("procedures: 'season'\n", "");
  ASSERT_OK_AND_ASSIGN(const Result input, Rate({}));
  EXPECT_THAT(input.out, HasSubstr("u1  season figure not rated by season:\n"));
  EXPECT_THAT(input.out,
              HasSubstr("to declare in the manifest: room_wet_bulb in degC: Wet "
                        "bulb of the room"));
  EXPECT_THAT(input.out, Not(HasSubstr("Not read in the published document")));

  folder_.Write("line/procedures/far.textproto", OnePoint("far", 60));
  ASSERT_OK_AND_ASSIGN(const Result point, Rate({"--procedure", "far"}));
  EXPECT_THAT(point.out,
              AllOf(HasSubstr("beyond the tested range"),
                    ContainsRegex("better tested: total_capacity, power_input of stage "
                                  "full at .*\n.*entering_water_temp 60 degC")));
  // A mode that is not mapped over what the procedure fixes cannot be rated at all.
  folder_.Write(
      "line/procedures/dew.textproto",
      Replaced(OnePoint("dew", 25), "\"entering_air_wb\"", "\"outdoor_air_db\""));
  ASSERT_OK_AND_ASSIGN(const Result dew, Rate({"--procedure", "dew"}));
  EXPECT_THAT(dew.out, AllOf(HasSubstr("not rated by dew"), HasSubstr("to test: ")));
}

// Load and capacity are the same at 30 degC; at 20 degC half of it. The season's figure
// is the load met over the power, so the hot one leans to 48.5/11 W/W and the mild one to
// 51.5/9; a kelvin of wet bulb is 1 kW of capacity.
TEST_F(RateCommand, AClimateOfASeasonIsRatedUnderItsOwnNameWithItsOwnInputs) {
  Manifest("procedures: 'season' procedures: 'season/hot'\n",
           Input("season", 18) + Input("season/hot", 20));
  ASSERT_OK_AND_ASSIGN(const Result both,
                       Rate({"--procedure", "season", "--against", "season/hot"}));
  EXPECT_THAT(both.out, ContainsRegex("unit +season +season/hot +step"));
  // Mild: (3 x 24.25 + 48.5) over (3 x 9 x 24.25/51.5 + 11) = 121.25/23.71 = 5.11.
  EXPECT_THAT(both.out, HasSubstr("u1  season figure 5.1"));
  // Hot, 20 degC wet bulb: (25.25 + 3 x 50.5) over (9 x 25.25/53.5 + 33) = 176.75/37.25.
  EXPECT_THAT(both.out, HasSubstr("u1  season figure 4.7"));
  Manifest("procedures: 'season' procedures: 'season/hot'\n", Input("season", 18));
  // Without inputs of its own, those for all climates: 169.75/37.24 = 4.56.
  ASSERT_OK_AND_ASSIGN(const Result shared, Rate({"--procedure", "season/hot"}));
  EXPECT_THAT(shared.out, HasSubstr("u1  season figure 4.5"));
  EXPECT_EQ(Rate({"--procedure", "season/cold"}).status().code(),
            absl::StatusCode::kInvalidArgument);
}

TEST_F(RateCommand, WritesBinsOfASeasonAsCsv) {
  Manifest("procedures: 'cool' procedures: 'season'\n", Input("season", 18));
  ASSERT_OK_AND_ASSIGN(const Result result, Rate({"--bins-to", folder_.Below("b.csv")}));
  const std::vector<std::string> rows =
      absl::StrSplit(folder_.Read("b.csv"), "\r\n", absl::SkipEmpty());
  ASSERT_GE(rows.size(), 3u);
  EXPECT_THAT(rows[0], HasSubstr("unit,procedure,climate,temperature,temperature_unit,"
                                 "weight,load_w,capacity_w,power_w,"));
  EXPECT_THAT(rows[1], HasSubstr("u1,season,mild,20,degC,3,"));
  EXPECT_THAT(rows[2], HasSubstr("u1,season,mild,30,degC,1,"));
  EXPECT_THAT(
      std::string(Rate({"--bins-to", folder_.Below("no/such.csv")}).status().message()),
      HasSubstr("bins-to"));
}

TEST_F(RateCommand, ExplainShowsEveryBinOnce) {
  Manifest("procedures: 'season'\n", Input("season", 18));
  ASSERT_OK_AND_ASSIGN(const Result result, Rate({"--explain"}));
  EXPECT_THAT(result.out, AllOf(ContainsRegex("bins of .* sum of the weights of 2 bins"),
                                ContainsRegex("mild +20 +3 ")));
  int rows = 0;
  for (const absl::string_view line : absl::StrSplit(result.out, '\n')) {
    rows += line.find("full all the time") != line.npos ||
            line.find("full cycling") != line.npos;
  }
  // Two climates of two bins each.
  EXPECT_EQ(rows, 4) << result.out;
}

TEST_F(RateCommand, OptionsThatDoNotFitAreRefusedWithARemedy) {
  const struct {
    std::vector<std::string> words;
    const char* message;
  } kCases[] = {
      {{"--against", "warm"}, "give --procedure ID, too"},
      {{"--procedure", "warm", "--against", "warm"}, "names the procedure itself"},
      {{"--monte-carlo", "many"}, "takes a number of draws such as 100000"},
      {{"--monte-carlo", "0"}, "takes a number of draws such as 100000"},
      {{"--monte-carlo", "5"},
       "--monte-carlo: 5 is out of range; write a number from 1000"},
      {{"--minimums-on", "31.3.2024"},
       "--minimums-on: '31.3.2024' is no day; write it as 2026-03-31"},
      {{"--procedure", "warn"}, "did you mean 'warm'?"},
      {{"--procedure", "cool", "--against", "warn"}, "did you mean 'warm'?"},
      {{"--unit", "u2"}, "there is no unit 'u2'"},
  };
  for (const auto& c : kCases) {
    const auto result = Rate(c.words);
    ASSERT_FALSE(result.ok()) << c.message;
    EXPECT_EQ(ExitOf(result.status()), Exit::kWrongInput) << result.status();
    EXPECT_THAT(std::string(result.status().message()), HasSubstr(c.message));
  }
}

TEST_F(RateCommand, MonteCarloAgreesWithFirstOrderAndRepeats) {
  ASSERT_OK_AND_ASSIGN(const Result once,
                       Rate({"--procedure", "cool", "--monte-carlo", "1000"}));
  EXPECT_THAT(once.out, AllOf(HasSubstr("; by 1000 draws"),
                              HasSubstr("first order gives a standard error of 0.0")));
  ASSERT_OK_AND_ASSIGN(const Result again,
                       Rate({"--procedure", "cool", "--monte-carlo", "1000"}));
  EXPECT_EQ(once.out, again.out);
}

TEST_F(RateCommand, PublishedTextOnlyRefusesWhatIsFromMemory) {
  ASSERT_OK_AND_ASSIGN(const Result result,
                       Rate({"--procedure", "cool", "--published-only"}));
  EXPECT_THAT(result.out, AllOf(HasSubstr("not rated by cool"),
                                HasSubstr("only published text was asked for")));
}

TEST_F(RateCommand, ProceduresShowPrintsTheFileOrTheMessage) {
  ASSERT_OK_AND_ASSIGN(const Result text,
                       Call({"procedures", "show", "eer-water-cooled"}));
  EXPECT_THAT(text.out, AllOf(HasSubstr("id: \"eer-water-cooled\""),
                              HasSubstr("proto-message: ratebound.v1.Procedure")));
  ASSERT_OK_AND_ASSIGN(const Result json, Call({"procedures", "show", "us-431-97-unitary",
                                                "--output", "json"}));
  EXPECT_THAT(json.out, HasSubstr("\"minimum\":{\"id\":\"us-431-97-unitary\""));
  ASSERT_OK_AND_ASSIGN(const Result method,
                       Call({"procedures", "show", "liquid-heat", "--output", "json"}));
  EXPECT_THAT(method.out, HasSubstr("\"method\":{\"id\":\"liquid-heat\""));
}

TEST_F(RateCommand, ProceduresRefusesWrongWordsAndIds) {
  const struct {
    std::vector<std::string> words;
    const char* message;
  } kCases[] = {
      {{"procedures", "show"}, "show ID"},
      {{"procedures", "shw", "eer2"}, "'procedures shw' is not known"},
      {{"procedures", "show", "eer-water-cool"}, "did you mean 'eer-water-cooled'?"},
      {{"procedures", "show", "eer2", "seer2"}, "show ID"},
      {{"procedures", "show", "eer2", "--output", "csv"}, "a file is no table"},
  };
  for (const auto& c : kCases) {
    const auto result = Call(c.words);
    ASSERT_FALSE(result.ok()) << c.message;
    EXPECT_EQ(ExitOf(result.status()), Exit::kWrongInput) << result.status();
    EXPECT_THAT(std::string(result.status().message()), HasSubstr(c.message));
  }
}

}  // namespace
}  // namespace ratebound::cli
