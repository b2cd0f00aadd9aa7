// Seasons of the published kinds for tests of the algorithm, with the bins that they
// need, and units that do what a table says. The procedure files hold the numbers for
// users; these are the same ones, written down apart.
#ifndef RATEBOUND_TESTS_ENGINE_RATING_SEASON_SEASONS_H_
#define RATEBOUND_TESTS_ENGINE_RATING_SEASON_SEASONS_H_

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/procedure.h"
#include "engine/document/season.h"
#include "engine/quantity/unit.h"
#include "engine/rating/function_figure_source.h"
#include "engine/rating/metric.h"

namespace ratebound::rating {

using document::BinSeason;
using document::SeasonNumber;

inline document::Citation From(std::string source) {
  return {.source = std::move(source), .basis = document::Basis::kMemory};
}
inline document::CitedValue Value(double value, std::string unit = "") {
  return {.value = value, .unit = std::move(unit), .citation = From("test")};
}
inline SeasonNumber Number(double value, std::string unit = "") {
  return {.value = Value(value, std::move(unit))};
}
inline SeasonNumber Asked(std::string input, bool may_be_missing = false) {
  return {.input = std::move(input), .may_be_missing = may_be_missing};
}
inline SeasonNumber OfClimate(std::string name) { return {.climate_value = name}; }

inline document::BinTable Table(double first, double step, std::vector<double> weights) {
  document::BinTable table{.step = std::fabs(step), .citation = From("test")};
  for (size_t i = 0; i < weights.size(); ++i) {
    table.bins.push_back({first + step * static_cast<double>(i), weights[i]});
    table.sum += weights[i];
  }
  return table;
}

// 10 CFR 430 Subpart B App. M1, fractional bin hours of the cooling season (from memory).
inline document::BinTable UsCoolingBins() {
  return Table(67, 5, {.214, .231, .216, .161, .104, .052, .018, .004});
}

// The same, heating, regions IV and V, 62 degF and falling (from memory).
inline document::BinTable RegionIvBins() {
  return Table(62, -5,
               {.132, .111, .103, .093, .100, .109, .126, .087, .055, .036, .026, .013,
                .006, .002, .001});
}
inline document::BinTable RegionVBins() {
  return Table(62, -5,
               {.106, .092, .086, .076, .078, .087, .102, .094, .074, .055, .047, .038,
                .029, .018, .010, .005, .002, .001});
}

// Regulation (EU) 2016/2281 table 26, and 206/2012 table 1, heating from -10, -22 and 2
// degC (published text).
inline document::BinTable EuAverageBins() {
  return Table(-10, 1, {1,   25,  23,  24,  27,  68,  91,  89,  165, 173, 240, 280, 320,
                        357, 356, 303, 330, 326, 348, 335, 315, 215, 169, 151, 105, 74});
}
inline document::BinTable EuColderBins() {
  return Table(-22, 1, {1,   6,   13,  17,  19,  26,  39,  41,  35,  52,  37,  41,  43,
                        54,  90,  125, 169, 195, 278, 306, 454, 385, 490, 533, 380, 228,
                        261, 279, 229, 269, 233, 230, 243, 191, 146, 150, 97,  61});
}
inline document::BinTable EuWarmerBins() {
  return Table(2, 1, {3, 22, 63, 63, 175, 162, 259, 360, 428, 430, 503, 444, 384, 294});
}

// The same, cooling from 17 degC.
inline document::BinTable EuCoolingBins() {
  return Table(17, 1, {205, 227, 225, 225, 216, 215, 218, 197, 178, 158, 137, 109,
                       88,  63,  39,  31,  24,  17,  13,  9,   4,   3,   1,   0});
}

// Regulation (EU) 2016/2281 table 28, from -19 degC (published text).
inline document::BinTable SeprBins() {
  return Table(
      -19, 1,
      {.08,    .41,    .65,    1.05,   1.74,   2.98,   3.79,   5.69,   8.94,   11.81,
       17.29,  20.02,  28.73,  39.71,  56.61,  76.36,  106.07, 153.22, 203.41, 247.98,
       282.01, 275.91, 300.61, 310.77, 336.48, 350.48, 363.49, 368.91, 371.63, 377.32,
       376.53, 386.42, 389.84, 384.45, 370.45, 344.96, 328.02, 305.36, 261.87, 223.90,
       196.31, 163.04, 141.78, 121.93, 104.46, 85.77,  71.54,  56.57,  43.35,  31.02,
       20.21,  11.85,  8.17,   3.83,   2.09,   1.21,   .52,    .40});
}

// ISO 16358-1, T1, from 21 degC (from memory).
inline document::BinTable IsoT1Bins() {
  return Table(21, 1,
               {100, 139, 165, 196, 210, 215, 210, 181, 150, 120, 75, 35, 11, 6, 4});
}

inline document::Procedure ProcedureOf(BinSeason season, document::ModeKind kind,
                                       std::string metric, std::string unit,
                                       double unit_constant = 1) {
  document::Procedure procedure{
      .id = "test",
      .title = "test",
      .document = "Test",
      .edition = "1",
      .metric = std::move(metric),
      .metric_unit = unit,
      .scope = {.equipment_classes = {"machine"}, .citation = From("test")},
      .mode_kind = kind,
      .capacity_basis = {.text = "net", .citation = From("test")},
      .capacity_quantity =
          kind == document::ModeKind::kCooling ? "total_capacity" : "heating_capacity",
      .power_quantity = "power_input",
      .rounding_step = Value(0.025, unit),
      .unit_constant = Value(unit_constant, unit)};
  procedure.form = std::move(season);
  return procedure;
}

inline BinSeason& SeasonOf(document::Procedure& procedure) {
  return std::get<BinSeason>(procedure.form);
}

inline document::SeasonTest TestAt(std::string id, document::StageRole stage,
                                   double temperature, const std::string& unit) {
  return {.id = std::move(id), .stage = stage, .temperature = Number(temperature, unit)};
}

inline document::StageCurve Line(std::string id, std::vector<std::string> tests) {
  return {.id = std::move(id),
          .pieces = {{.tests = std::move(tests), .citation = From("test")}}};
}

inline BinSeason EmptySeason(const std::string& unit, document::BinTable bins) {
  BinSeason season{.temperature_unit = unit, .citation = From("test")};
  season.climates = {{.id = "one", .title = "one", .bins = std::move(bins)}};
  season.bin_conditions = {{.quantity = "outdoor_air_db", .citation = From("test")}};
  season.load.first_part = Value(0);
  season.load.second_part = Value(1);
  season.load.citation = From("test");
  season.figures = {{document::SeasonFigureKind::kActive, "active", From("test")}};
  return season;
}

inline document::Degradation LinearLoss(double coefficient) {
  return {.form = document::DegradationForm::kLinearLoss,
          .default_coefficient = Value(coefficient),
          .citation = From("test")};
}

constexpr auto kHigh = document::StageRole::kHighest;
constexpr auto kLow = document::StageRole::kLowest;
constexpr auto kMid = document::StageRole::kMiddle;
constexpr double kBtuPerWh = 3.412141633127942;

// App. M1 4.1.3: two stages, BL = (T - 65) / (95 - 65) Q_A / 1.1 V.
inline document::Procedure UsCoolingTwoStage(double v = 1) {
  BinSeason season = EmptySeason("degF", UsCoolingBins());
  season.tests = {TestAt("A2", kHigh, 95, "degF"), TestAt("B2", kHigh, 82, "degF"),
                  TestAt("B1", kLow, 82, "degF"), TestAt("F1", kLow, 67, "degF")};
  season.load.first_temperature = Number(65, "degF");
  season.load.second_temperature = Number(95, "degF");
  season.load.capacity_of = std::string("A2");
  season.load.factors = {Number(v)};
  season.load.divisors = {Number(1.1)};
  season.staged = document::StagedBins{
      .curves = {Line("low", {"F1", "B1"}), Line("high", {"B2", "A2"})},
      .between = document::BetweenStages::kAlternate,
      .between_citation = From("test"),
      .lowest_locked_above = Asked("low_stage_lockout_temperature", true)};
  season.degradation = LinearLoss(0.20);
  season.unmet_load = document::UnmetLoad::kNotCounted;
  document::Procedure procedure = ProcedureOf(
      std::move(season), document::ModeKind::kCooling, "SEER2", "Btu/Wh", kBtuPerWh);
  procedure.required_inputs = {
      {"low_stage_lockout_temperature", "above it the low stage is off", "degF"}};
  return procedure;
}

// App. M1 4.1.4: variable speed.
inline document::Procedure UsCoolingVariable(double v = 1) {
  document::Procedure procedure = UsCoolingTwoStage(v);
  BinSeason& season = SeasonOf(procedure);
  season.tests.push_back(TestAt("EV", kMid, 87, "degF"));
  season.staged->curves.insert(
      season.staged->curves.begin() + 1,
      document::StageCurve{.id = "intermediate",
                           .slopes = document::SlopeCurve{.test = "EV",
                                                          .lower = "low",
                                                          .upper = "high",
                                                          .lower_tests = {"F1", "B1"},
                                                          .upper_tests = {"B2", "A2"},
                                                          .citation = From("test")}});
  season.staged->between = document::BetweenStages::kEfficiencyOverLoad;
  season.degradation = LinearLoss(0.25);
  return procedure;
}

// App. M1 4.2.1: one stage, BL = (T_zl - T) / (T_zl - T_d) C Q_c(95), regions IV and V.
inline document::Procedure UsHeatingSingle() {
  BinSeason season = EmptySeason("degF", RegionIvBins());
  const auto values = [](double zero, double design, double slope) {
    return std::vector<document::ClimateValue>{
        {"zero_load_temperature", Value(zero, "degF")},
        {"design_temperature", Value(design, "degF")},
        {"slope_factor", Value(slope)}};
  };
  season.climates[0].id = std::string("region-iv");
  season.climates[0].values = values(55, 5, 1.15);
  season.climates.push_back({.id = "region-v", .title = "V", .bins = RegionVBins()});
  season.climates[1].values = values(55, -10, 1.16);
  season.tests = {TestAt("H1", kHigh, 47, "degF"), TestAt("H3", kHigh, 17, "degF"),
                  TestAt("H2", kHigh, 35, "degF")};
  season.tests[2].fallback =
      document::TestDefault{.use = document::DefaultUse::kUnlessInput,
                            .tests = {"H3", "H1"},
                            .capacity_factor = Value(0.90),
                            .power_factor = Value(0.985),
                            .tested_input = "h2_was_tested"};
  season.load.first_temperature = OfClimate("zero_load_temperature");
  season.load.second_temperature = OfClimate("design_temperature");
  season.load.design_load = Asked("cooling_capacity_at_95");
  season.load.factors = {OfClimate("slope_factor")};
  document::StageCurve curve{.id = "full"};
  curve.pieces = {{.tests = {"H3", "H2"},
                   .from = Number(17, "degF"),
                   .to = Number(45, "degF"),
                   .citation = From("test")},
                  {.tests = {"H3", "H1"}, .citation = From("test")}};
  season.staged = document::StagedBins{.curves = {curve}};
  season.degradation = LinearLoss(0.25);
  season.cut_out = document::CutOut{.off_temperature = Asked("cut_out_temperature", true),
                                    .off_at_temperature = true,
                                    .on_temperature = Asked("cut_in_temperature", true),
                                    .between_part = Value(0.5),
                                    .off_below_backup = true,
                                    .citation = From("test")};
  season.unmet_load = document::UnmetLoad::kBackup;
  season.backup = document::Backup{.efficiency = Value(3.413, "Btu/Wh")};
  season.defrost_credit =
      document::DefrostCredit{.greatest_gain = Value(0.03),
                              .shortest_interval = Value(1.5, "h"),
                              .longest_interval = Value(12, "h"),
                              .interval_input = "defrost_interval",
                              .longest_interval_input = "longest_defrost_interval"};
  season.represented_step = Value(0.05, "Btu/Wh");
  document::Procedure procedure = ProcedureOf(
      std::move(season), document::ModeKind::kHeating, "HSPF2", "Btu/Wh", kBtuPerWh);
  procedure.required_inputs = {{"cooling_capacity_at_95", "capacity of test A", "Btu/h"},
                               {"h2_was_tested", "1 where H2 was run", ""},
                               {"cut_out_temperature", "compressor off below", "degF"},
                               {"cut_in_temperature", "compressor on above", "degF"},
                               {"defrost_interval", "time between defrosts", "h"},
                               {"longest_defrost_interval", "of the controller", "h"}};
  return procedure;
}

inline std::vector<document::SeasonFigure> EuFigures(const std::string& metric) {
  using enum document::SeasonFigureKind;
  return {{kActive, metric + "on", From("test")},
          {kNet, metric + "net", From("test")},
          {kAnnual, metric, From("test")},
          {kSpace, "eta_s", From("test")}};
}

inline std::vector<document::IdleMode> IdleModes(double to, double sb, double ck,
                                                 double off) {
  const auto mode = [](std::string name, double hours) {
    return document::IdleMode{.name = name,
                              .hours = Number(hours, "h"),
                              .power = Asked(name + "_power", true),
                              .citation = From("test")};
  };
  return {mode("thermostat_off", to), mode("standby", sb), mode("crankcase_heater", ck),
          mode("off", off)};
}

inline std::vector<document::RequiredInput> IdleInputs() {
  return {{"thermostat_off_power", "power", "kW"},
          {"standby_power", "power", "kW"},
          {"crankcase_heater_power", "power", "kW"},
          {"off_power", "power", "kW"}};
}

// EN 14825 for Average heating, degradation of water units, TOL and bivalent point as
// inputs; 813/2013 for the year and for primary energy.
inline document::Procedure EuHeating(document::SeasonFigureKind rated,
                                     document::BinTable bins = EuAverageBins()) {
  BinSeason season = EmptySeason("degC", std::move(bins));
  season.tests = {TestAt("A", kHigh, -7, "degC"), TestAt("B", kHigh, 2, "degC"),
                  TestAt("C", kHigh, 7, "degC"),  TestAt("D", kHigh, 12, "degC"),
                  TestAt("E", kHigh, 0, "degC"),  TestAt("F", kHigh, 0, "degC")};
  season.tests[4].temperature = Asked("operation_limit_temperature");
  season.tests[4].least_temperature = Number(-10, "degC");
  season.tests[5].temperature = Asked("bivalent_temperature");
  season.load.first_temperature = Number(16, "degC");
  season.load.second_temperature = Number(-10, "degC");
  season.load.design_load = Asked("design_load");
  season.declared = document::DeclaredPoints{.tests = {"A", "B", "C", "D", "E", "F"},
                                             .window_percent = Value(10, "%"),
                                             .degrade_at = document::DegradeAt::kPoints,
                                             .below = document::BeyondPoints::kExtended,
                                             .above = document::BeyondPoints::kExtended,
                                             .citation = From("test")};
  season.degradation = document::Degradation{.form = document::DegradationForm::kOffPower,
                                             .default_coefficient = Value(0.9),
                                             .tested_input = "degradation_coefficient",
                                             .citation = From("test")};
  season.cut_out = document::CutOut{
      .off_temperature = Asked("operation_limit_temperature"), .citation = From("test")};
  season.unmet_load = document::UnmetLoad::kBackup;
  season.backup = document::Backup{.efficiency = Value(1, "W/W")};
  season.demand_hours = Number(2066, "h");
  season.idle_modes = IdleModes(178, 0, 3850, 3672);
  season.space_efficiency = document::SpaceEfficiency{
      .conversion_coefficient = Value(2.5),
      .corrections = {{"temperature control", Number(3, "%")},
                      {"ground-water pump", Asked("pump_correction", true)}}};
  season.rated_figure = rated;
  season.figures = EuFigures("SCOP");
  const bool space = rated == document::SeasonFigureKind::kSpace;
  document::Procedure procedure = ProcedureOf(
      std::move(season), document::ModeKind::kHeating, "SCOP", space ? "%" : "W/W", 1);
  procedure.required_inputs = IdleInputs();
  procedure.required_inputs.push_back({"operation_limit_temperature", "TOL", "degC"});
  procedure.required_inputs.push_back({"bivalent_temperature", "Tbiv", "degC"});
  procedure.required_inputs.push_back({"design_load", "Pdesignh", "kW"});
  procedure.required_inputs.push_back({"degradation_coefficient", "Cc", ""});
  procedure.required_inputs.push_back({"pump_correction", "F(2)", "%"});
  return procedure;
}

// EN 14825 and 206/2012 or 2016/2281 in cooling, with the year of the regulation.
inline document::Procedure EuCooling(document::SeasonFigureKind rated,
                                     double demand_hours,
                                     std::vector<document::IdleMode> idle_modes) {
  BinSeason season = EmptySeason("degC", EuCoolingBins());
  season.tests = {TestAt("A", kHigh, 35, "degC"), TestAt("B", kHigh, 30, "degC"),
                  TestAt("C", kHigh, 25, "degC"), TestAt("D", kHigh, 20, "degC")};
  season.load.first_temperature = Number(16, "degC");
  season.load.second_temperature = Number(35, "degC");
  season.load.capacity_of = std::string("A");
  season.declared = document::DeclaredPoints{.tests = {"A", "B", "C", "D"},
                                             .window_percent = Value(10, "%"),
                                             .degrade_at = document::DegradeAt::kPoints,
                                             .below = document::BeyondPoints::kConstant,
                                             .above = document::BeyondPoints::kConstant,
                                             .citation = From("test")};
  season.degradation = LinearLoss(0.25);
  season.unmet_load = document::UnmetLoad::kAtUnitEfficiency;
  season.demand_hours = Number(demand_hours, "h");
  season.idle_modes = std::move(idle_modes);
  season.space_efficiency = document::SpaceEfficiency{
      .conversion_coefficient = Value(2.5),
      .corrections = {{"temperature control", Number(3, "%")},
                      {"ground-water pump", Asked("pump_correction", true)}}};
  season.rated_figure = rated;
  season.figures = EuFigures("SEER");
  document::Procedure procedure =
      ProcedureOf(std::move(season), document::ModeKind::kCooling, "SEER",
                  rated == document::SeasonFigureKind::kSpace ? "%" : "W/W", 1);
  procedure.required_inputs = IdleInputs();
  procedure.required_inputs.push_back({"pump_correction", "F(2)", "%"});
  return procedure;
}

// 2016/2281, SEPR of air-cooled process chillers.
inline document::Procedure Sepr() {
  BinSeason season = EmptySeason("degC", SeprBins());
  season.tests = {TestAt("A", kHigh, 35, "degC"), TestAt("B", kHigh, 25, "degC"),
                  TestAt("C", kHigh, 15, "degC"), TestAt("D", kHigh, 5, "degC")};
  season.load.first_temperature = Number(5, "degC");
  season.load.first_part = Value(0.8);
  season.load.second_temperature = Number(35, "degC");
  season.load.least_part = Value(0.8);
  season.load.greatest_part = Value(1);
  season.load.capacity_of = std::string("A");
  season.declared = document::DeclaredPoints{.tests = {"A", "B", "C", "D"},
                                             .window_percent = Value(10, "%"),
                                             .degrade_at = document::DegradeAt::kPoints,
                                             .below = document::BeyondPoints::kConstant,
                                             .above = document::BeyondPoints::kConstant,
                                             .citation = From("test")};
  season.degradation = document::Degradation{.form = document::DegradationForm::kOffPower,
                                             .default_coefficient = Value(0.9),
                                             .citation = From("test")};
  season.unmet_load = document::UnmetLoad::kAtUnitEfficiency;
  return ProcedureOf(std::move(season), document::ModeKind::kCooling, "SEPR", "W/W");
}

// ISO 16358-1: full at 35 degC, 29 degC by default, and for variable units half, too.
inline document::Procedure Iso(bool variable) {
  BinSeason season = EmptySeason("degC", IsoT1Bins());
  const auto with_default = [](std::string id, document::StageRole stage,
                               std::string of) {
    document::SeasonTest test = TestAt(std::move(id), stage, 29, "degC");
    test.fallback = document::TestDefault{.use = document::DefaultUse::kUnlessKnown,
                                          .tests = {std::move(of)},
                                          .capacity_factor = Value(1.077),
                                          .power_factor = Value(0.914)};
    return test;
  };
  season.tests = {TestAt("full35", kHigh, 35, "degC"),
                  with_default("full29", kHigh, "full35")};
  document::StagedBins staged{.curves = {Line("full", {"full29", "full35"})}};
  if (variable) {
    season.tests.push_back(TestAt("half35", kLow, 35, "degC"));
    season.tests.push_back(with_default("half29", kLow, "half35"));
    staged.curves.insert(staged.curves.begin(), Line("half", {"half29", "half35"}));
    staged.between = document::BetweenStages::kEfficiencyOverTemperature;
    staged.between_citation = From("test");
  }
  season.staged = staged;
  season.load.first_temperature = Number(20, "degC");
  season.load.second_temperature = Number(35, "degC");
  season.load.capacity_of = std::string("full35");
  season.degradation = LinearLoss(0.25);
  season.unmet_load = document::UnmetLoad::kNotCounted;
  return ProcedureOf(std::move(season), document::ModeKind::kCooling, "CSPF", "W/W");
}

// What a stage does at one outdoor temperature, in the units of the test.
struct Row {
  int stage = 0;
  double temperature = 0;
  double capacity = 0;
  double power = 0;
};

inline SourceDescription Machine(const document::Procedure& procedure, int stage_count,
                                 std::vector<document::ProcedureInput> inputs = {}) {
  SourceDescription machine;
  machine.unit = {.id = "m", .equipment_class = "machine", .phase_count = 1};
  for (document::ProcedureInput& input : inputs) input.procedure = procedure.id;
  machine.unit.procedure_inputs = std::move(inputs);
  machine.mode = {.id = "mode",
                  .kind = procedure.mode_kind,
                  .capacity_quantity = procedure.capacity_quantity,
                  .power_quantity = procedure.power_quantity,
                  .conditions = {"outdoor_air_db"}};
  for (int i = 0; i < stage_count; ++i) {
    machine.mode.stages.push_back({.id = absl::StrCat("s", i + 1)});
  }
  machine.quantities = {procedure.capacity_quantity, procedure.power_quantity};
  return machine;
}

// A machine that is known where the rows say, and nowhere else.
inline FunctionFigureSource ByRows(const document::Procedure& procedure, int stage_count,
                                   std::vector<Row> rows,
                                   const std::string& capacity_unit,
                                   const std::string& power_unit,
                                   std::vector<document::ProcedureInput> inputs = {}) {
  const auto si = [](double value, const std::string& unit) {
    return quantity::ToSi(value, *quantity::FindUnit(unit));
  };
  const std::string unit = std::get<BinSeason>(procedure.form).temperature_unit;
  for (Row& row : rows) {
    row = {row.stage, si(row.temperature, unit), si(row.capacity, capacity_unit),
           si(row.power, power_unit)};
  }
  return FunctionFigureSource(
      Machine(procedure, stage_count, std::move(inputs)),
      [rows](int stage, std::span<const double> at_si, std::span<double> out) {
        for (const Row& row : rows) {
          if (row.stage != stage || std::fabs(row.temperature - at_si[0]) > 1e-9)
            continue;
          out[0] = row.capacity;
          if (out.size() > 1) out[1] = row.power;
          return true;
        }
        return false;
      });
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_TESTS_ENGINE_RATING_SEASON_SEASONS_H_
