// What runs in a bin, checked by hand on small round numbers.
#include <cmath>
#include <string>
#include <vector>

#include "engine/rating/metric.h"
#include "engine/rating/missing.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/season/seasons.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::BinRow;
using document::SeasonFigureKind;
using ::testing::HasSubstr;

document::Rating Explained(const document::Procedure& procedure,
                           const FigureSource& source) {
  const absl::StatusOr<Metric> metric = Metric::Compile(procedure, source.description());
  EXPECT_TRUE(metric.ok()) << metric.status();
  if (!metric.ok()) return {};
  const absl::StatusOr<document::Rating> rating = metric->Explain(source);
  EXPECT_TRUE(rating.ok()) << rating.status();
  EXPECT_EQ(std::isnan(metric->Value(source)), !rating->value.has_value());
  return rating.value_or(document::Rating{});
}

// One bin at 0 degC with a load of `load_w`, met by stages straight from the map.
document::Procedure OneBin(double load_w, document::BetweenStages between) {
  BinSeason season = EmptySeason("degC", Table(0, 1, {10}));
  season.load.first_part = Value(1);
  season.load.first_temperature = Number(0, "degC");
  season.load.second_temperature = Number(1, "degC");
  season.load.design_load = Number(load_w, "W");
  season.staged = document::StagedBins{.all_from_map = true,
                                       .between = between,
                                       .between_citation = From("test"),
                                       .lowest_locked_above = Asked("lock_above", true),
                                       .lowest_locked_below = Asked("lock_below", true)};
  season.degradation = LinearLoss(0.2);
  season.highest_stage_degradation = LinearLoss(0.1);
  season.unmet_load = document::UnmetLoad::kBackup;
  season.backup = document::Backup{.efficiency = Value(1, "W/W")};
  season.cut_out = document::CutOut{.off_temperature = Asked("off_at", true),
                                    .off_at_temperature = true,
                                    .on_temperature = Asked("on_at", true),
                                    .between_part = Value(0.5),
                                    .off_below_backup = true,
                                    .citation = From("test")};
  document::Procedure procedure =
      ProcedureOf(std::move(season), document::ModeKind::kHeating, "season", "W/W");
  for (const char* name : {"lock_above", "lock_below", "off_at", "on_at"}) {
    procedure.required_inputs.push_back({name, "a temperature", "degC"});
  }
  return procedure;
}

struct BinCase {
  std::string name;
  double load_w = 0;
  document::BetweenStages between = document::BetweenStages::kAlternate;
  std::vector<document::ProcedureInput> inputs;
  double capacity_w = 0;
  double power_w = 0;
  double backup_w = 0;
  double degradation = 1;
  std::string stages;
};

class BinTest : public ::testing::TestWithParam<BinCase> {};

// Stages of 1000 W at 250 W and 3000 W at 1000 W.
TEST_P(BinTest, StagesMeetTheLoadAsTheClauseSays) {
  const BinCase& c = GetParam();
  const document::Procedure procedure = OneBin(c.load_w, c.between);
  const document::Rating rating = Explained(
      procedure,
      ByRows(procedure, 2, {{0, 0, 1000, 250}, {1, 0, 3000, 1000}}, "W", "W", c.inputs));
  ASSERT_EQ(rating.refusal, "");
  ASSERT_EQ(rating.bins.size(), 1);
  const BinRow& bin = rating.bins[0];
  EXPECT_DOUBLE_EQ(bin.load_w, c.load_w);
  EXPECT_DOUBLE_EQ(bin.capacity_w, c.capacity_w);
  EXPECT_DOUBLE_EQ(bin.power_w, c.power_w);
  EXPECT_DOUBLE_EQ(bin.supplementary_power_w, c.backup_w);
  EXPECT_DOUBLE_EQ(bin.degradation, c.degradation);
  EXPECT_THAT(bin.stages, HasSubstr(c.stages));
  EXPECT_DOUBLE_EQ(*rating.value, c.load_w / (c.power_w + c.backup_w));
}

document::ProcedureInput Celsius(std::string name, double value) {
  return {.input = std::move(name), .value = value, .unit = "degC"};
}

INSTANTIATE_TEST_SUITE_P(
    Bins, BinTest,
    ::testing::Values(
        // PLF = 1 - 0.2 (1 - 0.5) = 0.9.
        BinCase{.name = "LowCycles",
                .load_w = 500,
                .capacity_w = 500,
                .power_w = 0.5 * 250 / 0.9,
                .degradation = 0.9,
                .stages = "s1 cycling"},
        BinCase{.name = "LoadIsALowStage",
                .load_w = 1000,
                .capacity_w = 1000,
                .power_w = 250,
                .stages = "s1 cycling"},
        BinCase{.name = "StagesAlternate",
                .load_w = 1500,
                .capacity_w = 1500,
                .power_w = 0.75 * 250 + 0.25 * 1000,
                .stages = "s1 75.0 % and s2 25.0 % of the time"},
        // EER 4 to 3 over 1000 to 3000 W.
        BinCase{.name = "EfficiencyOverLoad",
                .load_w = 2000,
                .between = document::BetweenStages::kEfficiencyOverLoad,
                .capacity_w = 2000,
                .power_w = 2000 / 3.5,
                .stages = "between s1 and s2"},
        BinCase{.name = "HighAllTheTimeWithBackup",
                .load_w = 4000,
                .capacity_w = 3000,
                .power_w = 1000,
                .backup_w = 1000,
                .stages = "s2 all the time"},
        // Locked out: PLF = 1 - 0.1 (1 - 0.5) = 0.95.
        BinCase{.name = "LowLockedOutAbove",
                .load_w = 1500,
                .inputs = {Celsius("lock_above", -1)},
                .capacity_w = 1500,
                .power_w = 0.5 * 1000 / 0.95,
                .degradation = 0.95,
                .stages = "s2 cycling"},
        BinCase{.name = "LowNotLockedOutAtTheTemperatureItself",
                .load_w = 500,
                .inputs = {Celsius("lock_below", 0)},
                .capacity_w = 500,
                .power_w = 0.5 * 250 / 0.9,
                .degradation = 0.9,
                .stages = "s1 cycling"},
        BinCase{.name = "CutOut",
                .load_w = 1500,
                .inputs = {Celsius("off_at", 0)},
                .backup_w = 1500,
                .stages = "backup alone"},
        BinCase{.name = "BetweenCutOutAndCutIn",
                .load_w = 3000,
                .inputs = {Celsius("off_at", -1), Celsius("on_at", 0)},
                .capacity_w = 1500,
                .power_w = 500,
                .backup_w = 1500,
                .stages = "s2"},
        BinCase{.name = "AboveCutIn",
                .load_w = 3000,
                .inputs = {Celsius("off_at", -2), Celsius("on_at", -1)},
                .capacity_w = 3000,
                .power_w = 1000,
                .stages = "s2"}),
    [](const auto& test) { return test.param.name; });

TEST(Bins, UnitWorseThanItsBackupIsOff) {
  const document::Procedure procedure = OneBin(1000, document::BetweenStages::kAlternate);
  const document::Rating rating = Explained(
      procedure, ByRows(procedure, 2, {{0, 0, 400, 500}, {1, 0, 900, 1000}}, "W", "W"));
  ASSERT_EQ(rating.bins.size(), 1);
  EXPECT_EQ(rating.bins[0].power_w, 0);
  EXPECT_EQ(*rating.value, 1);
}

TEST(Bins, TableOfEuHeatPumpFollowsTheFixture) {
  // Efficiencies and backup of the fixture of EN 14825 by its equations, to their digits.
  const document::Procedure procedure = EuHeating(SeasonFigureKind::kActive);
  const document::Rating rating = Explained(
      procedure, ByRows(procedure, 1,
                        {{0, -7, 9.55, 9.55 / 3.26},
                         {0, 2, 11.17, 11.17 / 4.00},
                         {0, 7, 12.66, 12.66 / 4.91},
                         {0, 12, 14.30, 14.30 / 5.50},
                         {0, -10, 7.80, 7.80 / 2.60},
                         {0, -6, 9.70, 9.70 / 3.30}},
                        "kW", "kW",
                        {Celsius("operation_limit_temperature", -10),
                         Celsius("bivalent_temperature", -6),
                         {.input = "design_load", .value = 11.46, .unit = "kW"}}));
  const auto at = [&](double temperature) {
    for (const BinRow& bin : rating.bins) {
      if (bin.temperature == temperature) return bin;
    }
    return BinRow{};
  };
  const std::pair<double, double> efficiencies[] = {
      {-10, 2.600}, {-7, 3.260}, {2, 3.700}, {7, 4.027}, {12, 3.214}, {15, 2.726}};
  for (const auto& [temperature, efficiency] : efficiencies) {
    EXPECT_NEAR(at(temperature).efficiency, efficiency, 0.0005) << temperature;
  }
  const std::pair<double, double> backups_kw[] = {
      {-10, 3.66}, {-9, 2.636}, {-8, 1.612}, {-7, 0.588}, {-6, 0}};
  for (const auto& [temperature, backup_kw] : backups_kw) {
    EXPECT_NEAR(at(temperature).supplementary_power_w, 1000 * backup_kw, 0.5)
        << temperature;
  }
}

TEST(Bins, BelowItsOperationLimitAUnitGivesNothing) {
  const document::Procedure procedure = EuHeating(SeasonFigureKind::kActive);
  const document::Rating rating = Explained(
      procedure, ByRows(procedure, 1,
                        {{0, -7, 9.55, 3},
                         {0, 2, 11.17, 3},
                         {0, 7, 12.66, 3},
                         {0, 12, 14.30, 3},
                         {0, -5, 9.9, 3}},
                        "kW", "kW",
                        {Celsius("operation_limit_temperature", -7),
                         Celsius("bivalent_temperature", -5),
                         {.input = "design_load", .value = 11.46, .unit = "kW"}}));
  ASSERT_EQ(rating.refusal, "");
  for (const BinRow& bin : rating.bins) {
    EXPECT_EQ(bin.capacity_w > 0, bin.temperature >= -7) << bin.temperature;
    if (bin.temperature < -7) {
      EXPECT_EQ(bin.supplementary_power_w, bin.load_w);
    }
  }
}

// Two climates: the first is rated, the second told.
TEST(Bins, OtherClimatesStandInTheTrace) {
  const document::Procedure procedure = UsHeatingSingle();
  const document::Rating rating = Explained(
      procedure,
      ByRows(procedure, 1, {{0, 47, 36000, 2900}, {0, 17, 21000, 2450}}, "Btu/h", "W",
             {{.input = "cooling_capacity_at_95", .value = 36000, .unit = "Btu/h"}}));
  bool region_v = false;
  bool represented = false;
  for (const document::TraceStep& step : rating.trace) {
    region_v = region_v || (step.depth == 1 && step.label == "active, V");
    if (step.label == "represented value" && !region_v) {
      represented = true;
      EXPECT_DOUBLE_EQ(step.value, 7.35);
    }
  }
  EXPECT_TRUE(region_v);
  EXPECT_TRUE(represented);
  EXPECT_EQ(rating.rounded, "7.350");
  EXPECT_EQ(rating.bins.front().climate, "region-iv");
  EXPECT_EQ(rating.bins.back().climate, "region-v");
}

// Only the rated figure of a season in primary energy is in percent; the bins are rows,
// and the trace has no second copy of them.
TEST(Trace, OfASeasonInPercentTellsTestsAsEfficiencies) {
  const document::Procedure procedure = EuHeating(SeasonFigureKind::kSpace);
  const document::Rating rating = Explained(
      procedure,
      ByRows(procedure, 1,
             {{0, -7, 9.55, 9.55 / 3.25},
              {0, 2, 11.17, 11.17 / 4.00},
              {0, 7, 12.66, 12.66 / 4.91},
              {0, 12, 14.30, 14.30 / 5.50},
              {0, -10, 7.80, 7.80 / 2.60},
              {0, -6, 9.70, 9.70 / 3.30}},
             "kW", "kW",
             {{.input = "operation_limit_temperature", .value = -10, .unit = "degC"},
              {.input = "bivalent_temperature", .value = -6, .unit = "degC"},
              {.input = "design_load", .value = 11.46, .unit = "kW"},
              {.input = "thermostat_off_power", .value = 0.020, .unit = "kW"},
              {.input = "standby_power", .value = 0.010, .unit = "kW"},
              {.input = "crankcase_heater_power", .value = 0.030, .unit = "kW"},
              {.input = "off_power", .value = 0.010, .unit = "kW"},
              {.input = "pump_correction", .value = 5, .unit = "%"}}));
  ASSERT_FALSE(rating.trace.empty()) << rating.refusal;
  EXPECT_EQ(rating.trace.front().unit, "%");
  int tests = 0, climates = 0;
  for (const document::TraceStep& step : rating.trace) {
    if (step.label.starts_with("test ")) {
      ++tests;
      EXPECT_EQ(step.unit, "W/W") << step.label;
      EXPECT_LT(step.value, 6) << step.label;
    }
    climates += step.label.starts_with("bins of ");
    EXPECT_THAT(step.label, ::testing::Not(::testing::MatchesRegex("-?[0-9.]+ degC")));
  }
  EXPECT_GE(tests, 5);
  EXPECT_EQ(climates, 1);
  EXPECT_GT(rating.bins.size(), 20u);
}

TEST(Tests, MissingOnesAreNamedWithStageAndTemperature) {
  const document::Procedure procedure = UsCoolingTwoStage();
  const document::Rating rating = Explained(
      procedure,
      ByRows(procedure, 2, {{1, 82, 1, 1}, {1, 95, 1, 1}, {0, 82, 1, 1}}, "kW", "kW"));
  EXPECT_THAT(rating.refusal, HasSubstr("s1"));
  EXPECT_THAT(rating.refusal, HasSubstr("67 degF"));
}

// A test at 5 degF gives the line below 17 degF where it was run.
TEST(Tests, OneThatMayBeMissingIsUsedWhereItWasRunAndPassedOverElse) {
  document::Procedure procedure = UsHeatingSingle();
  BinSeason& season = SeasonOf(procedure);
  season.tests.push_back(TestAt("H4", kHigh, 5, "degF"));
  season.tests.back().may_be_missing = true;
  season.tests.back().run_input = std::string("h4_was_run");
  season.staged->curves[0].pieces.insert(
      season.staged->curves[0].pieces.begin(),
      {.tests = {"H4", "H3"}, .to = Number(17, "degF"), .citation = From("test")});
  procedure.required_inputs.push_back({"h4_was_run", "1 where H4 was run", ""});
  const auto at_2_degf = [&](bool run, bool known) {
    std::vector<Row> rows = {{0, 47, 36000, 2900}, {0, 17, 21000, 2450}};
    if (known) rows.push_back({0, 5, 12000, 2000});
    std::vector<document::ProcedureInput> inputs = {
        {.input = "cooling_capacity_at_95", .value = 36000, .unit = "Btu/h"}};
    if (run) inputs.push_back({.input = "h4_was_run", .value = 1});
    const FunctionFigureSource unit =
        ByRows(procedure, 1, rows, "Btu/h", "W", std::move(inputs));
    MissingData missing;
    FindMissing(procedure, unit, missing);
    EXPECT_TRUE(missing.points.empty());
    for (const BinRow& bin : Explained(procedure, unit).bins) {
      if (bin.temperature == 2) return bin.capacity_w * kBtuPerWh;
    }
    return 0.0;
  };
  EXPECT_NEAR(at_2_degf(true, true), 12000 - 3 * 9000.0 / 12, 1e-6);
  EXPECT_NEAR(at_2_degf(false, true), 21000 - 15 * 500.0, 1e-6);
  EXPECT_NEAR(at_2_degf(true, false), 21000 - 15 * 500.0, 1e-6);
}

TEST(Tests, OneStageHasNoLowStageTests) {
  const document::Procedure procedure = UsCoolingTwoStage();
  const document::Rating rating = Explained(
      procedure, ByRows(procedure, 1, {{0, 82, 1, 1}, {0, 95, 1, 1}}, "kW", "kW"));
  EXPECT_THAT(rating.refusal, HasSubstr("F1 (the unit has one stage"));
  EXPECT_THAT(rating.refusal, HasSubstr("B1 (the unit has one stage"));
}

TEST(Tests, MissingInputsAreAllNamed) {
  const document::Procedure procedure = EuHeating(SeasonFigureKind::kActive);
  const auto metric = Metric::Compile(procedure, Machine(procedure, 1));
  EXPECT_THAT(metric,
              testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                                ::testing::AllOf(HasSubstr("operation_limit_temperature"),
                                                 HasSubstr("bivalent_temperature"),
                                                 HasSubstr("design_load"))));
}

struct CoefficientCase {
  std::string name;
  std::vector<document::ProcedureInput> inputs;
  double coefficient = 0;
};

class CoefficientTest : public ::testing::TestWithParam<CoefficientCase> {};

// SEER2 of one stage is (1 - CD / 2) EER, so the coefficient can be read from it.
TEST_P(CoefficientTest, TestedWorseOrNotTestedIsTheDefault) {
  document::Procedure procedure = UsCoolingTwoStage();
  BinSeason& season = SeasonOf(procedure);
  season.climates[0].bins = Table(82, 5, {1});
  season.tests = {TestAt("B", kHigh, 82, "degF")};
  season.load.first_part = Value(0.5);
  season.load.second_part = Value(0.5);
  season.load.capacity_of = "B";
  season.load.factors.clear();
  season.load.divisors.clear();
  season.staged = document::StagedBins{.curves = {Line("full", {"B"})}};
  season.degradation->tested_input = "cd";
  season.degradation->cyclic_test = document::CyclicTest{"cyclic", "steady", "clf"};
  season.degradation->rounding_step = Value(0.01);
  season.degradation->worse_takes_default = true;
  for (const char* name : {"cd", "cyclic", "steady", "clf"}) {
    procedure.required_inputs.push_back({name, "of the cyclic test", ""});
  }
  const FunctionFigureSource unit =
      ByRows(procedure, 1, {{0, 82, 4000, 1000}}, "W", "W", GetParam().inputs);
  const auto metric = Metric::Compile(procedure, unit.description());
  ASSERT_TRUE(metric.ok()) << metric.status();
  EXPECT_NEAR(metric->Value(unit) / (4 * kBtuPerWh), 1 - 0.5 * GetParam().coefficient,
              1e-12);
}

document::ProcedureInput Plain(std::string name, double value) {
  return {.input = std::move(name), .value = value};
}

INSTANTIATE_TEST_SUITE_P(
    Coefficients, CoefficientTest,
    ::testing::Values(CoefficientCase{"NotTested", {}, 0.20},
                      CoefficientCase{"Better", {Plain("cd", 0.10)}, 0.10},
                      CoefficientCase{"Worse", {Plain("cd", 0.30)}, 0.20},
                      CoefficientCase{"RoundedToHundredths", {Plain("cd", 0.1249)}, 0.12},
                      CoefficientCase{"NotBelowZero", {Plain("cd", -0.04)}, 0},
                      // (1 - 9/10) / (1 - 0.2) = 0.125, rounded to 0.13.
                      CoefficientCase{
                          "CyclicTest",
                          {Plain("cyclic", 9), Plain("steady", 10), Plain("clf", 0.2)},
                          0.13}),
    [](const auto& test) { return test.param.name; });

TEST(DefrostCredit, FollowsItsLineBetweenShortestAndLongest) {
  const document::Procedure procedure = UsHeatingSingle();
  const auto rated = [&](std::vector<document::ProcedureInput> inputs) {
    inputs.push_back(
        {.input = "cooling_capacity_at_95", .value = 36000, .unit = "Btu/h"});
    const FunctionFigureSource unit =
        ByRows(procedure, 1, {{0, 47, 36000, 2900}, {0, 17, 21000, 2450}}, "Btu/h", "W",
               std::move(inputs));
    return Metric::Compile(procedure, unit.description())->Value(unit);
  };
  const auto hours = [](double interval, double longest) {
    return std::vector<document::ProcedureInput>{
        {.input = "defrost_interval", .value = interval, .unit = "h"},
        {.input = "longest_defrost_interval", .value = longest, .unit = "h"}};
  };
  const double plain = rated({});
  EXPECT_NEAR(rated(hours(1.5, 12)) / plain, 1.03, 1e-12);
  EXPECT_NEAR(rated(hours(1.0, 12)) / plain, 1.03, 1e-12);
  EXPECT_NEAR(rated(hours(12, 20)) / plain, 1.00, 1e-12);
  EXPECT_NEAR(rated(hours(6.75, 12)) / plain, 1.015, 1e-12);
}

}  // namespace
}  // namespace ratebound::rating
