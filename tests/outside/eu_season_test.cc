// The tables of the EU seasons as the regulations publish them, against what the
// procedure files carry. The tables stand here as they were read in one regulation; where
// several regulations print the same table, the files of each are held against it.
#include <cmath>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/season.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/eu_unit.h"
#include "tests/testing/outside.h"

namespace ratebound::rating {
namespace {

using document::BinSeason;
using document::Climate;
using document::Procedure;
using ratebound::testing::OutsideCheck;

bool Has(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

bool IsOf(const Procedure& procedure, std::string_view regulation) {
  return Has(procedure.document, regulation);
}

struct PublishedBins {
  int first_temperature_c;
  std::vector<double> hours;
  double total;
};

const PublishedBins kAverage = {
    -10,
    {1,   25,  23,  24,  27,  68,  91,  89,  165, 173, 240, 280, 320,
     357, 356, 303, 330, 326, 348, 335, 315, 215, 169, 151, 105, 74},
    4910};
const PublishedBins kWarmer = {
    2, {3, 22, 63, 63, 175, 162, 259, 360, 428, 430, 503, 444, 384, 294}, 3590};
const PublishedBins kColder = {
    -22,
    {1,   6,   13,  17,  19,  26,  39,  41,  35,  52,  37,  41,  43,
     54,  90,  125, 169, 195, 278, 306, 454, 385, 490, 533, 380, 228,
     261, 279, 229, 269, 233, 230, 243, 191, 146, 150, 97,  61},
    6446};
const PublishedBins kCooling = {
    17,
    {205, 227, 225, 225, 216, 215, 218, 197, 178, 158, 137, 109,
     88,  63,  39,  31,  24,  17,  13,  9,   4,   3,   1},
    2602};
const PublishedBins kProcessChiller = {
    -19,
    {0.08,   0.41,   0.65,   1.05,   1.74,   2.98,   3.79,   5.69,   8.94,   11.81,
     17.29,  20.02,  28.73,  39.71,  56.61,  76.36,  106.07, 153.22, 203.41, 247.98,
     282.01, 275.91, 300.61, 310.77, 336.48, 350.48, 363.49, 368.91, 371.63, 377.32,
     376.53, 386.42, 389.84, 384.45, 370.45, 344.96, 328.02, 305.36, 261.87, 223.90,
     196.31, 163.04, 141.78, 121.93, 104.46, 85.77,  71.54,  56.57,  43.35,  31.02,
     20.21,  11.85,  8.17,   3.83,   2.09,   1.21,   0.52,   0.40},
    8760};

const PublishedBins& BinsOf(const Procedure& procedure, const Climate& climate) {
  if (procedure.mode_kind == document::ModeKind::kCooling) {
    return procedure.metric == "SEPR" ? kProcessChiller : kCooling;
  }
  if (climate.id == "average") return kAverage;
  return climate.id == "warmer" ? kWarmer : kColder;
}

void CheckBins(std::string_view regulation, std::string_view name,
               std::string_view source) {
  OutsideCheck check({.name = absl::StrCat("eu.bins_of_", std::string(name)),
                      .source = std::string(source),
                      .tolerance = 0});
  OutsideCheck totals({.name = absl::StrCat("eu.bin_totals_of_", std::string(name)),
                       .source = absl::StrCat(std::string(source), ", total"),
                       .tolerance = 1e-9});
  for (const Procedure& procedure : EuProcedures()) {
    if (!IsOf(procedure, regulation)) continue;
    for (const Climate& climate : EuSeason(procedure).climates) {
      const PublishedBins& published = BinsOf(procedure, climate);
      ASSERT_TRUE(climate.bins.has_value()) << procedure.id;
      const std::vector<document::Bin>& bins = climate.bins->bins;
      ASSERT_EQ(bins.size(), published.hours.size()) << procedure.id << climate.id;
      double sum = 0;
      for (size_t i = 0; i < bins.size(); ++i) {
        const std::string place = absl::StrCat(procedure.id, " ", climate.id, " ", i);
        check.Absolute(place, bins[i].temperature,
                       published.first_temperature_c + static_cast<int>(i));
        check.Absolute(place, bins[i].weight, published.hours[i]);
        sum += bins[i].weight;
      }
      totals.Absolute(procedure.id, sum, published.total);
      totals.Absolute(procedure.id, climate.bins->sum, published.total);
    }
  }
}

TEST(EuTables, BinsAreThoseOfEachRegulation) {
  CheckBins("206/2012", "206_2012",
            "Regulation (EU) No 206/2012, table 1 of the seasons, read in a copy");
  CheckBins("813/2013", "813_2013",
            "Regulations (EU) No 813/2013, table 5 (Average), and 811/2013, table 12, "
            "read in copies");
  CheckBins("2016/2281", "2016_2281",
            "Regulation (EU) 2016/2281, annex III, tables 26, 27 and 28, read in a copy");
}

double Value(const Climate& climate, std::string_view name) {
  for (const document::ClimateValue& value : climate.values) {
    if (value.name == name) return value.value.value;
  }
  ADD_FAILURE() << climate.id << " has no " << name;
  return NAN;
}

// The temperature or part of a load that the file or the climate states.
double Stated(const document::SeasonNumber& number, const Climate& climate) {
  return number.value ? number.value->value : Value(climate, number.climate_value);
}

double LoadPart(const BinSeason& season, const Climate& climate, double temperature_c) {
  const document::SeasonLoad& load = season.load;
  const double first = Stated(load.first_temperature, climate);
  const double second = Stated(load.second_temperature, climate);
  double part = load.first_part.value + (load.second_part.value - load.first_part.value) *
                                            (temperature_c - first) / (second - first);
  if (load.least_part) part = std::fmax(part, load.least_part->value);
  if (load.greatest_part) part = std::fmin(part, load.greatest_part->value);
  return part;
}

double HoursTimesPart(const BinSeason& season, const Climate& climate) {
  double sum = 0;
  for (const document::Bin& bin : climate.bins->bins) {
    sum += bin.weight * LoadPart(season, climate, bin.temperature);
  }
  return sum;
}

TEST(EuTables, HoursTimesPartLoadAreTheEquivalentHoursOfHydronicHeaters) {
  // Table, load line and legal hours are three statements of which any two give the
  // third.
  const std::map<std::string, double> exact = {
      {"average", 2065.615}, {"warmer", 1335.786}, {"colder", 2464.763}};
  OutsideCheck legal({.name = "eu.equivalent_hours",
                      .source = "Regulations (EU) No 813/2013 and 811/2013, HHE of 2066, "
                                "1336 and 2465 h, read in copies; whole hours",
                      .tolerance = 0.5});
  OutsideCheck regression({.name = "eu.equivalent_hours_exact",
                           .source = "sums of the published bins over the published load "
                                     "line, computed independently",
                           .kind = "regression",
                           .tolerance = 5e-4});
  for (const Procedure& procedure : EuProcedures()) {
    if (!IsOf(procedure, "813/2013")) continue;
    const Climate& climate = EuSeason(procedure).climates.at(0);
    const double sum = HoursTimesPart(EuSeason(procedure), climate);
    legal.Absolute(procedure.id, sum, Value(climate, "demand_hours"));
    regression.Absolute(procedure.id, sum, exact.at(climate.id));
  }
}

TEST(EuTables, CoolingHoursTimesPartLoadAreNotTheHoursOfDemand) {
  OutsideCheck check({.name = "eu.cooling_hours_times_part",
                      .source = "sum of the published cooling bins over the published "
                                "load line, computed independently",
                      .kind = "regression",
                      .tolerance = 5e-4});
  for (const Procedure& procedure : EuProcedures()) {
    if (procedure.mode_kind != document::ModeKind::kCooling) continue;
    if (procedure.metric == "SEPR") continue;
    for (const Climate& climate : EuSeason(procedure).climates) {
      check.Absolute(procedure.id, HoursTimesPart(EuSeason(procedure), climate), 953.895);
    }
  }
}

struct Hours {
  double demand;
  double thermostat_off;
  double standby;
  double off;
  double crankcase_heater;
};

void CheckHours(OutsideCheck& check, const std::string& place, const Climate& climate,
                const Hours& published) {
  check.Absolute(place + " demand", Value(climate, "demand_hours"), published.demand);
  check.Absolute(place + " HTO", Value(climate, "hours_thermostat_off"),
                 published.thermostat_off);
  check.Absolute(place + " HSB", Value(climate, "hours_standby"), published.standby);
  check.Absolute(place + " HOFF", Value(climate, "hours_off"), published.off);
  check.Absolute(place + " HCK", Value(climate, "hours_crankcase_heater"),
                 published.crankcase_heater);
}

bool HeatsOnly(const Procedure& procedure) { return Has(procedure.id, "heating-only"); }

TEST(EuTables, HoursOfModesAreThoseOfRegulation206) {
  const std::map<std::string, Hours> reversible = {{"average", {1400, 179, 0, 0, 179}},
                                                   {"warmer", {1400, 755, 0, 0, 755}},
                                                   {"colder", {2100, 131, 0, 0, 131}}};
  const std::map<std::string, Hours> heating_only = {
      {"average", {1400, 179, 0, 3672, 3851}},
      {"warmer", {1400, 755, 0, 4345, 4476}},
      {"colder", {2100, 131, 0, 2189, 2944}}};
  OutsideCheck check({.name = "eu.mode_hours_of_206_2012",
                      .source = "Regulation (EU) No 206/2012, table 4, read in a copy",
                      .tolerance = 0});
  int files = 0;
  for (const Procedure& procedure : EuProcedures()) {
    if (!IsOf(procedure, "206/2012")) continue;
    ++files;
    const Climate& climate = EuSeason(procedure).climates.at(0);
    if (procedure.id == "seer-room-cooling-only") {
      CheckHours(check, procedure.id, climate, {350, 221, 2142, 5088, 7760});
    } else if (procedure.id == "seer-room-reversible") {
      CheckHours(check, procedure.id, climate, {350, 221, 2142, 0, 2672});
    } else {
      CheckHours(check, procedure.id, climate,
                 (HeatsOnly(procedure) ? heating_only : reversible).at(climate.id));
    }
  }
  EXPECT_EQ(files, 8);
}

TEST(EuTables, HoursOfModesAreThoseOfRegulation2281) {
  const std::map<std::string, Hours> cooling = {{"average", {600, 659, 1377, 0, 2036}},
                                                {"colder", {300, 436, 828, 0, 1264}},
                                                {"warmer", {900, 767, 1647, 0, 2414}}};
  const std::map<std::string, Hours> reversible = {{"average", {1400, 179, 0, 0, 179}},
                                                   {"colder", {2100, 131, 0, 0, 131}},
                                                   {"warmer", {1400, 755, 0, 0, 755}}};
  const std::map<std::string, Hours> heating_only = {
      {"average", {1400, 179, 0, 3672, 3851}},
      {"colder", {2100, 131, 0, 2189, 2320}},
      {"warmer", {1400, 755, 0, 4345, 5100}}};
  OutsideCheck check(
      {.name = "eu.mode_hours_of_2016_2281",
       .source = "Regulation (EU) 2016/2281, annex III, table 29, read in a copy",
       .tolerance = 0});
  for (const Procedure& procedure : EuProcedures()) {
    if (!IsOf(procedure, "2016/2281") || procedure.metric == "SEPR") continue;
    for (const Climate& climate : EuSeason(procedure).climates) {
      const bool cools = procedure.mode_kind == document::ModeKind::kCooling;
      const std::map<std::string, Hours>& published =
          cools ? cooling : (HeatsOnly(procedure) ? heating_only : reversible);
      CheckHours(check, absl::StrCat(procedure.id, " ", climate.id), climate,
                 published.at(climate.id));
      // The regulations differ in this: it does not hold in 206/2012 for units that only
      // heat in the Warmer and Colder seasons.
      if (cools) continue;
      EXPECT_EQ(Value(climate, "hours_crankcase_heater"),
                Value(climate, "hours_thermostat_off") + Value(climate, "hours_off"))
          << procedure.id;
    }
  }
}

TEST(EuTables, DesignTemperaturesAreThoseOfEachRegulation) {
  const std::map<std::string, double> published = {
      {"average", -10}, {"warmer", 2}, {"colder", -22}};
  OutsideCheck check({.name = "eu.design_temperatures",
                      .source = "Regulations (EU) No 206/2012, table 3, 811/2013, table "
                                "10, and 2016/2281, table 24, read in copies",
                      .tolerance = 0});
  for (const Procedure& procedure : EuProcedures()) {
    const BinSeason& season = EuSeason(procedure);
    if (procedure.metric == "SEPR") continue;
    for (const Climate& climate : season.climates) {
      const bool heats = procedure.mode_kind == document::ModeKind::kHeating;
      check.Absolute(procedure.id, Stated(season.load.second_temperature, climate),
                     heats ? published.at(climate.id) : 35);
      check.Absolute(procedure.id, LoadPart(season, climate, 16), 0);
    }
  }
}

// Per cent of load at the points, by their letters.
using Percents = std::map<std::string, double>;

TEST(EuTables, PartLoadsOfThePointsAreThoseOfTheLine) {
  // The regulations print whole per cents; the program uses the line.
  const Percents average = {{"A", 88.46}, {"B", 53.85}, {"C", 34.62}, {"D", 15.38}};
  const Percents warmer = {{"B", 100}, {"C", 64.29}, {"D", 28.57}};
  const Percents colder = {
      {"A", 60.53}, {"B", 36.84}, {"C", 23.68}, {"D", 10.53}, {"G", 81.58}};
  const Percents cooling = {{"A", 100}, {"B", 73.68}, {"C", 47.37}, {"D", 21.05}};
  OutsideCheck line({.name = "eu.part_load_percents",
                     .source = "load line of the regulations at the temperatures of the "
                               "points, computed independently to two decimals",
                     .kind = "regression",
                     .tolerance = 0.005});
  OutsideCheck process({.name = "eu.part_load_percents_of_sepr",
                        .source = "Regulation (EU) 2016/2281, part loads of process "
                                  "chillers in whole per cents, read in a copy",
                        .tolerance = 0.5});
  for (const Procedure& procedure : EuProcedures()) {
    const BinSeason& season = EuSeason(procedure);
    const Climate& climate = season.climates.at(0);
    std::map<std::string, double> percents;
    for (const document::SeasonTest& test : season.tests) {
      if (!test.temperature.value) continue;
      percents[test.id] = 100 * LoadPart(season, climate, test.temperature.value->value);
    }
    const bool cools = procedure.mode_kind == document::ModeKind::kCooling;
    const bool sepr = procedure.metric == "SEPR";
    const Percents published = sepr
                                   ? Percents{{"A", 100}, {"B", 93}, {"C", 87}, {"D", 80}}
                               : cools                   ? cooling
                               : climate.id == "average" ? average
                               : climate.id == "warmer"  ? warmer
                                                         : colder;
    ASSERT_EQ(percents.size(), published.size()) << procedure.id;
    for (const auto& [id, percent] : published) {
      (sepr ? process : line)
          .Absolute(absl::StrCat(procedure.id, " ", id), percents.at(id), percent);
    }
  }
}

// A condition at an outdoor temperature, by the file's straight lines.
double Condition(const Procedure& procedure, std::string_view quantity,
                 double temperature_c) {
  for (const document::BinCondition& condition : EuSeason(procedure).bin_conditions) {
    if (condition.quantity != quantity) continue;
    for (size_t i = 0; i < condition.at.size(); ++i) {
      if (condition.at[i].temperature == temperature_c) return condition.at[i].value;
    }
    if (condition.at.empty()) return temperature_c;
    const document::ConditionAt& a = condition.at.front();
    const document::ConditionAt& b = condition.at.back();
    return a.value + (b.value - a.value) * (temperature_c - a.temperature) /
                         (b.temperature - a.temperature);
  }
  for (const document::CitedCondition& condition : procedure.common_conditions) {
    if (condition.quantity == quantity && condition.value) return condition.value->value;
  }
  ADD_FAILURE() << procedure.id << " has no " << quantity;
  return NAN;
}

TEST(EuTables, ConditionsOfThePointsAreThoseOfRegulation2281) {
  struct Row {
    const char* part_of_id;
    const char* quantity;
    std::vector<double> at;  // points A, B, C, D
  };
  const Row kCoolingRows[] = {
      {"chiller-air", "outdoor_air_db", {35, 30, 25, 20}},
      {"conditioner-air", "outdoor_air_db", {35, 30, 25, 20}},
      {"chiller-tower", "entering_condenser_water_temp", {30, 26, 22, 18}},
      {"conditioner-tower", "entering_water_temp", {30, 26, 22, 18}},
      {"chiller-ground", "entering_condenser_water_temp", {10, 10, 10, 10}},
      {"conditioner-ground", "entering_water_temp", {10, 10, 10, 10}},
      {"fan-coil-fixed", "leaving_chilled_water_temp", {7, 7, 7, 7}},
      {"fan-coil-variable", "leaving_chilled_water_temp", {7, 8.5, 10, 11.5}},
      {"floor", "leaving_chilled_water_temp", {18, 18, 18, 18}},
      {"conditioner", "entering_air_db", {27, 27, 27, 27}},
      {"conditioner", "entering_air_wb", {19, 19, 19, 19}},
  };
  const double kCoolingPoints[] = {35, 30, 25, 20};
  const Row kHeatingRows[] = {
      {"air-heating-air", "outdoor_air_db", {-7, 2, 7, 12}},
      {"air-heating-air", "outdoor_air_wb", {-8, 1, 6, 11}},
      {"air-heating-water", "entering_water_temp", {10, 10, 10, 10}},
      {"air-heating-brine", "entering_brine_temp", {0, 0, 0, 0}},
      {"air-heating", "entering_air_db", {20, 20, 20, 20}},
  };
  const double kHeatingPoints[] = {-7, 2, 7, 12};
  const Row kProcessRows[] = {
      {"sepr-high-temperature-air", "outdoor_air_db", {35, 25, 15, 5}},
      {"sepr-high-temperature-water", "entering_condenser_water_temp", {30, 23, 16, 9}},
      {"sepr", "leaving_chilled_water_temp", {7, 7, 7, 7}},
  };
  const double kProcessPoints[] = {35, 25, 15, 5};
  OutsideCheck check({.name = "eu.conditions_of_2016_2281",
                      .source = "Regulation (EU) 2016/2281, annex III, tables 21 to 23, "
                                "read in a copy",
                      .tolerance = 1e-12});
  for (const Procedure& procedure : EuProcedures()) {
    if (!IsOf(procedure, "2016/2281")) continue;
    const auto check_rows = [&](const auto& rows, const auto& points) {
      for (const Row& row : rows) {
        if (!Has(procedure.id, row.part_of_id)) continue;
        for (size_t i = 0; i < 4; ++i) {
          check.Absolute(absl::StrCat(procedure.id, " ", row.quantity, " ", i),
                         Condition(procedure, row.quantity, points[i]), row.at[i]);
        }
      }
    };
    if (procedure.metric == "SEPR") {
      check_rows(kProcessRows, kProcessPoints);
    } else if (procedure.mode_kind == document::ModeKind::kCooling) {
      check_rows(kCoolingRows, kCoolingPoints);
    } else {
      check_rows(kHeatingRows, kHeatingPoints);
    }
  }
}

TEST(EuTables, OutletsCorroboratedByTheDefinitionsOf813) {
  // The definition of low-temperature heat pumps has 52 degC at -7(-8) degC.
  OutsideCheck check(
      {.name = "eu.outlet_of_813_2013",
       .source = "Regulation (EU) No 813/2013, definition 52 (52 degC at -7 degC) and "
                 "definitions 53 and 54 (35 and 55 degC), read in a copy",
       .tolerance = 0});
  int cases = 0;
  for (const Procedure& procedure : EuProcedures()) {
    if (!IsOf(procedure, "813/2013")) continue;
    const std::string& climate = EuSeason(procedure).climates.at(0).id;
    for (const auto& [name, outlet_c] :
         {std::pair("-low-", 35.0), std::pair("-medium-", 55.0)}) {
      if (!Has(procedure.id, name)) continue;
      ++cases;
      const double design_c = climate == "average" ? -10 : climate == "warmer" ? 2 : -22;
      check.Absolute(procedure.id,
                     Condition(procedure, "leaving_hot_water_temp", design_c), outlet_c);
    }
    if (climate == "average" && Has(procedure.id, "-medium-variable-")) {
      check.Absolute(procedure.id, Condition(procedure, "leaving_hot_water_temp", -7),
                     52);
    }
  }
  EXPECT_EQ(cases, 24);
}

TEST(EuTables, CoefficientsAreThoseOfEachRegulation) {
  OutsideCheck check(
      {.name = "eu.coefficients",
       .source = "Regulations (EU) No 206/2012 (definition 45: Cd 0.25), 813/2013 "
                 "(definition 44: Cdh 0.9; annex III: CC 2.5) and 2016/2281 (0.25, 0.9; "
                 "CC 2.5), read in copies",
       .tolerance = 0});
  OutsideCheck tolerances(
      {.name = "eu.surveillance_tolerances",
       .source = "Regulations (EU) No 206/2012, 813/2013 (table 8) and 2016/2281 (table "
                 "30): 8 % of the seasonal figure, 10 % of SEPR, read in copies",
       .tolerance = 0});
  for (const Procedure& procedure : EuProcedures()) {
    const BinSeason& season = EuSeason(procedure);
    const bool water = Has(procedure.id, "hydronic") || Has(procedure.id, "chiller") ||
                       procedure.metric == "SEPR";
    check.Absolute(procedure.id, season.degradation->default_coefficient.value,
                   water ? 0.9 : 0.25);
    EXPECT_EQ(season.space_efficiency.has_value(), procedure.metric_unit == "%");
    if (season.space_efficiency) {
      check.Absolute(procedure.id, season.space_efficiency->conversion_coefficient.value,
                     2.5);
    }
    if (season.backup) check.Absolute(procedure.id, season.backup->efficiency.value, 1);
    ASSERT_TRUE(procedure.surveillance_tolerance.has_value()) << procedure.id;
    tolerances.Absolute(procedure.id, procedure.surveillance_tolerance->value,
                        procedure.metric == "SEPR" ? 10 : 8);
  }
}

}  // namespace
}  // namespace ratebound::rating
