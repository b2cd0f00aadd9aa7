// The figures of invented units under the published seasons, computed apart from the
// stated equations. Regression fixtures, not published examples.
#include <cmath>
#include <string>

#include "absl/status/statusor.h"
#include "engine/rating/metric.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/season/seasons.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::rating {
namespace {

using document::SeasonFigureKind;
using testing::OutsideCheck;

constexpr double kSixDigits = 1e-6;
constexpr double kHalfOfLastDigit = 0.0005;  // of a figure given to 0.001

// Value, held to what Explain says.
double Rated(const document::Procedure& procedure, const FigureSource& source) {
  const absl::StatusOr<Metric> metric = Metric::Compile(procedure, source.description());
  EXPECT_TRUE(metric.ok()) << metric.status();
  if (!metric.ok()) return std::nan("");
  const double value = metric->Value(source);
  const absl::StatusOr<document::Rating> rating = metric->Explain(source);
  EXPECT_TRUE(rating.ok()) << rating.status();
  if (!rating.ok()) return std::nan("");
  EXPECT_EQ(rating->refusal, "");
  EXPECT_EQ(rating->value, value);
  return value;
}

TEST(SeasonRegression, UsTwoStageCooling) {
  OutsideCheck check({.name = "rating.seer2_two_stage",
                      .source = "App. M1 4.1.3 by its equations, invented unit; "
                                "regression fixture, not published",
                      .kind = "regression",
                      .tolerance = kSixDigits});
  const document::Procedure procedure = UsCoolingTwoStage();
  const FunctionFigureSource unit = ByRows(procedure, 2,
                                           {{1, 82, 38000, 2500},
                                            {1, 95, 36000, 2880},
                                            {0, 67, 28500, 1450},
                                            {0, 82, 27000, 1700}},
                                           "Btu/h", "W");
  check.Relative("SEER2", Rated(procedure, unit), 14.650088);
}

TEST(SeasonRegression, UsSingleStageCooling) {
  // (1 - 0.5 CD) EER_B is a season of one bin with half the capacity as its load.
  OutsideCheck check({.name = "rating.seer2_single_stage",
                      .source = "App. M1 4.1.1 by its equations, invented unit; "
                                "regression fixture, not published",
                      .kind = "regression",
                      .tolerance = kSixDigits});
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
  const FunctionFigureSource unit =
      ByRows(procedure, 1, {{0, 82, 28000, 2000}}, "Btu/h", "W");
  check.Relative("SEER2", Rated(procedure, unit), 12.60);
}

TEST(SeasonRegression, UsHeatingOneStage) {
  OutsideCheck check({.name = "rating.hspf2_one_stage",
                      .source = "App. M1 4.2.1 by its equations, invented unit, H2 by "
                                "default; regression fixture, not published",
                      .kind = "regression",
                      .tolerance = kSixDigits});
  const document::Procedure procedure = UsHeatingSingle();
  const FunctionFigureSource unit =
      ByRows(procedure, 1, {{0, 47, 36000, 2900}, {0, 17, 21000, 2450}}, "Btu/h", "W",
             {{.input = "cooling_capacity_at_95", .value = 36000, .unit = "Btu/h"}});
  check.Relative("HSPF2", Rated(procedure, unit), 7.350662);
}

std::vector<document::ProcedureInput> HeatPumpInputs(bool idle, bool pump) {
  std::vector<document::ProcedureInput> inputs = {
      {.input = "operation_limit_temperature", .value = -10, .unit = "degC"},
      {.input = "bivalent_temperature", .value = -6, .unit = "degC"},
      {.input = "design_load", .value = 11.46, .unit = "kW"}};
  if (idle) {
    inputs.push_back({.input = "thermostat_off_power", .value = 0.020, .unit = "kW"});
    inputs.push_back({.input = "standby_power", .value = 0.010, .unit = "kW"});
    inputs.push_back({.input = "crankcase_heater_power", .value = 0.030, .unit = "kW"});
    inputs.push_back({.input = "off_power", .value = 0.010, .unit = "kW"});
  }
  if (pump) inputs.push_back({.input = "pump_correction", .value = 5, .unit = "%"});
  return inputs;
}

FunctionFigureSource HeatPump(const document::Procedure& procedure, bool idle,
                              bool pump = false) {
  return ByRows(procedure, 1,
                {{0, -7, 9.55, 9.55 / 3.26},
                 {0, 2, 11.17, 11.17 / 4.00},
                 {0, 7, 12.66, 12.66 / 4.91},
                 {0, 12, 14.30, 14.30 / 5.50},
                 {0, -10, 7.80, 7.80 / 2.60},
                 {0, -6, 9.70, 9.70 / 3.30}},
                "kW", "kW", HeatPumpInputs(idle, pump));
}

TEST(SeasonRegression, EuFixedHeatPump) {
  OutsideCheck check({.name = "rating.scop_fixed",
                      .source = "EN 14825 by its equations on test points from memory, "
                                "813/2013; regression fixture, not published",
                      .kind = "regression",
                      .tolerance = kSixDigits});
  using enum SeasonFigureKind;
  const auto rated = [](SeasonFigureKind kind, bool idle, bool pump = false) {
    const document::Procedure procedure = EuHeating(kind);
    return Rated(procedure, HeatPump(procedure, idle, pump));
  };
  check.Relative("SCOPon", rated(kActive, false), 23671.952 / 6579.979);
  check.Relative("SCOPnet", rated(kNet, false), 23551.219 / 6459.245);
  check.Relative("SCOP", rated(kAnnual, true), 3.514386);
  OutsideCheck space({.name = "rating.eta_s_heating",
                      .source = "the same in primary energy, given to 0.001 %",
                      .kind = "regression",
                      .tolerance = kHalfOfLastDigit});
  space.Absolute("F(1)", rated(kSpace, true), 137.575);
  space.Absolute("F(1) and F(2)", rated(kSpace, true, true), 132.575);
}

TEST(SeasonRegression, EuDegradationInBinsIsTheOtherOrder) {
  OutsideCheck check({.name = "rating.scop_degraded_in_bins",
                      .source = "the same unit, degraded per bin: 3.625 to the digits "
                                "given; regression fixture, not published",
                      .kind = "regression",
                      .tolerance = 0.0005 / 3.625});
  document::Procedure procedure = EuHeating(SeasonFigureKind::kActive);
  SeasonOf(procedure).declared->degrade_at = document::DegradeAt::kBins;
  check.Relative("SCOPon", Rated(procedure, HeatPump(procedure, false)), 3.625);
}

// A unit whose capacity is the load at each of the points A to D in cooling.
FunctionFigureSource AtLoads(const document::Procedure& procedure, double design_kw,
                             std::vector<double> efficiencies,
                             std::vector<document::ProcedureInput> inputs) {
  std::vector<Row> rows;
  const double temperatures[] = {35, 30, 25, 20};
  for (int i = 0; i < 4; ++i) {
    const double capacity = design_kw * ((temperatures[i] - 16.0) / (35.0 - 16.0));
    rows.push_back({0, temperatures[i], capacity, capacity / efficiencies[i]});
  }
  return ByRows(procedure, 1, rows, "kW", "kW", std::move(inputs));
}

TEST(SeasonRegression, EuRoomUnitCooling) {
  OutsideCheck check({.name = "rating.seer_room",
                      .source = "EN 14825 by its equations, hours of 206/2012, invented "
                                "unit; regression fixture, not published",
                      .kind = "regression",
                      .tolerance = kSixDigits});
  const std::vector<document::ProcedureInput> powers = {
      {.input = "thermostat_off_power", .value = 0.020, .unit = "kW"},
      {.input = "standby_power", .value = 0.001, .unit = "kW"},
      {.input = "crankcase_heater_power", .value = 0.008, .unit = "kW"}};
  for (auto [kind, expected] : {std::pair(SeasonFigureKind::kActive, 6.200869),
                                std::pair(SeasonFigureKind::kAnnual, 5.432591)}) {
    const document::Procedure procedure =
        EuCooling(kind, 350, IdleModes(221, 2142, 2672, 0));
    check.Relative(
        kind == SeasonFigureKind::kActive ? "SEERon" : "SEER",
        Rated(procedure, AtLoads(procedure, 3.5, {3.2, 4.6, 7.0, 9.5}, powers)),
        expected);
  }
}

TEST(SeasonRegression, EuChillerCooling) {
  OutsideCheck check({.name = "rating.seer_chiller",
                      .source = "EN 14825 by its equations, hours of 2016/2281, invented "
                                "unit; regression fixture, not published",
                      .kind = "regression",
                      .tolerance = kSixDigits});
  const auto rated = [](SeasonFigureKind kind, bool pump) {
    std::vector<document::ProcedureInput> inputs = {
        {.input = "thermostat_off_power", .value = 0.9, .unit = "kW"},
        {.input = "standby_power", .value = 0.05, .unit = "kW"},
        {.input = "crankcase_heater_power", .value = 0.3, .unit = "kW"}};
    if (pump) inputs.push_back({.input = "pump_correction", .value = 5, .unit = "%"});
    const document::Procedure procedure =
        EuCooling(kind, 600, IdleModes(659, 1377, 2036, 0));
    return Rated(procedure, AtLoads(procedure, 250, {3.0, 3.9, 4.8, 5.3}, inputs));
  };
  check.Relative("SEERon", rated(SeasonFigureKind::kActive, false), 4.472030);
  check.Relative("SEER", rated(SeasonFigureKind::kAnnual, false), 4.308542);
  OutsideCheck space({.name = "rating.eta_s_cooling",
                      .source = "the same in primary energy, given to 0.001 %",
                      .kind = "regression",
                      .tolerance = kHalfOfLastDigit});
  space.Absolute("air", rated(SeasonFigureKind::kSpace, false), 169.342);
  space.Absolute("water", rated(SeasonFigureKind::kSpace, true), 164.342);
}

TEST(SeasonRegression, EuProcessChiller) {
  OutsideCheck check({.name = "rating.sepr",
                      .source = "2016/2281 annex III by its equations, invented unit; "
                                "regression fixture, not published",
                      .kind = "regression",
                      .tolerance = kSixDigits});
  const document::Procedure procedure = Sepr();
  std::vector<Row> rows;
  const double temperatures[] = {35, 25, 15, 5};
  const double efficiencies[] = {3.0, 4.2, 5.6, 6.5};
  for (int i = 0; i < 4; ++i) {
    const double capacity = 500 * (0.8 + 0.2 * (temperatures[i] - 5) / 30);
    rows.push_back({0, temperatures[i], capacity, capacity / efficiencies[i]});
  }
  check.Relative("SEPR", Rated(procedure, ByRows(procedure, 1, rows, "kW", "kW")),
                 5.647939);
}

TEST(SeasonRegression, IsoCooling) {
  OutsideCheck check({.name = "rating.cspf",
                      .source = "ISO 16358-1 by its equations, T1 bins and defaults from "
                                "memory, invented units; regression fixture, not "
                                "published",
                      .kind = "regression",
                      .tolerance = kSixDigits});
  const document::Procedure fixed = Iso(false);
  check.Relative("fixed", Rated(fixed, ByRows(fixed, 1, {{0, 35, 3500, 1000}}, "W", "W")),
                 3.716657);
  const document::Procedure variable = Iso(true);
  check.Relative(
      "variable",
      Rated(variable,
            ByRows(variable, 2, {{1, 35, 3500, 1000}, {0, 35, 1750, 400}}, "W", "W")),
      4.993311);
}

}  // namespace
}  // namespace ratebound::rating
