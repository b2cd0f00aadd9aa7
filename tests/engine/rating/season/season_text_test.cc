// A season as text: read, told what is wrong with its place, and rated.
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_replace.h"
#include "engine/document/convert.h"
#include "engine/document/text.h"
#include "engine/rating/function_figure_source.h"
#include "engine/rating/metric.h"
#include "engine/rating/unconfirmed.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "ratebound/v1/procedure.pb.h"
#include "tests/engine/rating/season/seasons.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using ::testing::HasSubstr;
using testing::StatusIs;

// SEER2 of two stages in few bins; each `cite` is a citation.
constexpr char kText[] = R"(id: "two-stage"
title: "two stages"
document: "Invented"
edition: "1"
metric: "SEER2"
metric_unit: "Btu/Wh"
scope { equipment_classes: "machine" CITE }
mode_kind: "cooling"
capacity_basis { text: "net" CITE }
capacity_quantity: "total_capacity"
power_quantity: "power_input"
rounding_step { value: 0.025 CITE }
unit_constant { value: 3.412141633127942 CITE }
required_inputs { name: "lockout" unit: "degF" description: "above it the low stage is off" }
bin_season {
  temperature_unit: "degF"
  climates {
    id: "us" title: "cooling"
    bins {
      step: 5 sum: 1
      bins { temperature: 67 weight: 0.25 }
      bins { temperature: 72 weight: 0.5 }
      bins { temperature: 77 weight: 0.25 }
      CITE
    }
  }
  bin_conditions { quantity: "outdoor_air_db" CITE }
  tests { id: "A2" stage: STAGE_ROLE_HIGHEST temperature { value { value: 95 unit: "degF" CITE } } }
  tests { id: "B2" stage: STAGE_ROLE_HIGHEST temperature { value { value: 82 unit: "degF" CITE } } }
  tests { id: "B1" stage: STAGE_ROLE_LOWEST temperature { value { value: 82 unit: "degF" CITE } } }
  tests { id: "F1" stage: STAGE_ROLE_LOWEST temperature { value { value: 67 unit: "degF" CITE } } }
  load {
    first_temperature { value { value: 65 unit: "degF" CITE } }
    first_part { value: 0 CITE }
    second_temperature { value { value: 95 unit: "degF" CITE } }
    second_part { value: 1 CITE }
    capacity_of: "A2"
    divisors { value { value: 1.1 CITE } }
    CITE
  }
  staged {
    curves { id: "low" pieces { pieces { tests: ["F1", "B1"] CITE } } }
    curves { id: "high" pieces { pieces { tests: ["B2", "A2"] CITE } } }
    between: BETWEEN_STAGES_ALTERNATE
    between_CITE
    lowest_locked_above { input: "lockout" may_be_missing: true }
  }
  degradation {
    form: DEGRADATION_FORM_LINEAR_LOSS
    default_coefficient { value: 0.2 CITE }
    CITE
  }
  unmet_load: UNMET_LOAD_NOT_COUNTED
  rated_figure: SEASON_FIGURE_KIND_ACTIVE
  figures { kind: SEASON_FIGURE_KIND_ACTIVE name: "SEER2" CITE }
  CITE
}
)";

std::string Text(const std::vector<std::pair<std::string, std::string>>& changes = {}) {
  std::string text = kText;
  for (const auto& [from, to] : changes) {
    EXPECT_NE(text.find(from), std::string::npos) << from;
    text = absl::StrReplaceAll(text, {{from, to}});
  }
  return absl::StrReplaceAll(
      text, {{"CITE", "citation { source: \"invented\" basis: BASIS_MEMORY }"}});
}

absl::StatusOr<document::Procedure> Parsed(const std::string& text) {
  return document::ParseProcedure("p.textproto", text);
}

TEST(SeasonText, ReadsAndRates) {
  ASSERT_OK_AND_ASSIGN(const document::Procedure procedure, Parsed(Text()));
  const FunctionFigureSource unit = ByRows(procedure, 2,
                                           {{1, 82, 38000, 2500},
                                            {1, 95, 36000, 2880},
                                            {0, 67, 28500, 1450},
                                            {0, 82, 27000, 1700}},
                                           "Btu/h", "W");
  const auto metric = Metric::Compile(procedure, unit.description());
  ASSERT_TRUE(metric.ok()) << metric.status();
  // By hand: loads 2181.818, 7636.364 and 13090.909 Btu/h, all below the low stage.
  const double loads[] = {24000.0 / 11, 84000.0 / 11, 144000.0 / 11};
  const double weights[] = {0.25, 0.5, 0.25};
  double given = 0;
  double used = 0;
  for (int i = 0; i < 3; ++i) {
    const double q = 28500 - 1500.0 * i / 3;
    const double e = 1450 + 250.0 * i / 3;
    const double x = loads[i] / q;
    given += weights[i] * loads[i];
    used += weights[i] * x * e / (1 - 0.2 * (1 - x));
  }
  EXPECT_NEAR(metric->Value(unit) / (given / used), 1, 1e-12);
}

TEST(SeasonText, SurvivesTheWayThroughItsMessage) {
  for (const document::Procedure& procedure :
       {UsCoolingTwoStage(), UsCoolingVariable(), UsHeatingSingle(), Sepr(), Iso(true),
        EuHeating(document::SeasonFigureKind::kSpace),
        EuCooling(document::SeasonFigureKind::kAnnual, 600, IdleModes(1, 2, 3, 4))}) {
    ASSERT_OK_AND_ASSIGN(const document::Procedure back,
                         document::FromMessage(document::ToMessage(procedure)));
    EXPECT_EQ(back, procedure) << procedure.metric;
  }
}

TEST(SeasonText, EveryFactThatIsNotPublishedIsNamed) {
  ASSERT_OK_AND_ASSIGN(const document::Procedure procedure, Parsed(Text()));
  const std::vector<std::string> facts = UnconfirmedNumbers(procedure);
  EXPECT_THAT(facts, ::testing::Contains(HasSubstr("bins of cooling")));
  EXPECT_THAT(facts, ::testing::Contains(HasSubstr("degradation coefficient = 0.2")));
  EXPECT_THAT(facts, ::testing::Contains(HasSubstr("divisor of the load = 1.1")));
  EXPECT_THAT(facts, ::testing::Contains(HasSubstr("temperature of test F1 = 67 degF")));
}

struct FaultCase {
  std::string name;
  std::vector<std::pair<std::string, std::string>> changes;
  std::string wanted;
};

class SeasonFaultTest : public ::testing::TestWithParam<FaultCase> {};

TEST_P(SeasonFaultTest, IsToldWithItsPlace) {
  EXPECT_THAT(Parsed(Text(GetParam().changes)),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(GetParam().wanted)));
}

INSTANTIATE_TEST_SUITE_P(
    Faults, SeasonFaultTest,
    ::testing::Values(
        FaultCase{
            "SumOfTheBins",
            {{"sum: 1", "sum: 1.1"}},
            "p.textproto:20:15: bin_season.climates[0].bins.sum: the weights add up "
            "to 1 and not to 1.1"},
        FaultCase{"StepOfTheBins",
                  {{"temperature: 72", "temperature: 73"}},
                  "p.textproto:22:14: bin_season.climates[0].bins.bins[1].temperature"},
        FaultCase{"NegativeWeight",
                  {{"weight: 0.5", "weight: -0.5"}},
                  "p.textproto:22:30: bin_season.climates[0].bins.bins[1].weight"},
        FaultCase{"UnknownQuantity",
                  {{"quantity: \"outdoor_air_db\"", "quantity: \"outdoor_air_dbb\""}},
                  "outdoor_air_db"},
        FaultCase{"UnitOfATest",
                  {{"value: 67 unit: \"degF\"", "value: 67 unit: \"W\""}},
                  "bin_season.tests[3].temperature.value.unit: 'W' is not the season's"},
        FaultCase{"UnknownTest",
                  {{"tests: [\"F1\", \"B1\"]", "tests: [\"F1\", \"C1\"]"}},
                  "unknown test 'C1'"},
        FaultCase{"UnknownInput",
                  {{"input: \"lockout\"", "input: \"lock\""}},
                  "unknown required input 'lock'"},
        FaultCase{"UnitOfAnInput",
                  {{"name: \"lockout\" unit: \"degF\"", "name: \"lockout\" unit: \"W\""}},
                  "lowest_locked_above.input: 'W' is not the season's"},
        FaultCase{"FigureThatIsNotThere",
                  {{"rated_figure: SEASON_FIGURE_KIND_ACTIVE",
                    "rated_figure: SEASON_FIGURE_KIND_ANNUAL"}},
                  "bin_season.rated_figure: is none of the figures"},
        FaultCase{"BackupIsNotThere",
                  {{"UNMET_LOAD_NOT_COUNTED", "UNMET_LOAD_BACKUP"}},
                  "bin_season.backup: is missing"},
        FaultCase{"CoefficientAboveOne",
                  {{"{ value: 0.2 ", "{ value: 1.2 "}},
                  "bin_season.degradation.default_coefficient.value"},
        FaultCase{"NoSize", {{"    capacity_of: \"A2\"\n", ""}}, "the load has no size"},
        FaultCase{"NoBetween",
                  {{"    between: BETWEEN_STAGES_ALTERNATE\n", ""}},
                  "bin_season.staged.between: is missing"},
        FaultCase{"LoadPointsBeside",
                  {{"bin_season {", "load_points { id: \"A\" }\nbin_season {"}},
                  "load_points"}),
    [](const auto& test) { return test.param.name; });

}  // namespace
}  // namespace ratebound::rating
