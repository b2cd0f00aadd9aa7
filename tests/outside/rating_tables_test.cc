// Tables of published documents against what the files of ratings/procedures carry: a
// slip of one digit there would be a wrong rating, or a wrong verdict, everywhere.
#include <algorithm>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/rating/units.h"
#include "gtest/gtest.h"
#include "tests/outside/rating_files.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::rating {
namespace {

using document::CitedCondition;
using document::MinimumLevel;
using document::Procedure;
using ratebound::testing::OutsideCheck;

double ConditionIn(const std::vector<CitedCondition>& conditions,
                   const std::string& quantity, const std::string& unit) {
  for (const CitedCondition& condition : conditions) {
    if (condition.quantity != quantity || !condition.value) continue;
    const double value_si =
        ToSi(quantity, condition.value->value, condition.value->unit).value();
    return FromSi(quantity, value_si, unit).value();
  }
  ADD_FAILURE() << "no value of " << quantity;
  return 0;
}

TEST(PublishedTables, WeightsOfTheOutdoorAirUnits) {
  OutsideCheck check({.name = "rating.ismre2_weights",
                      .source = "AHRI 920-2020, equation of ISMRE2 (as quoted elsewhere)",
                      .tolerance = 0});
  for (const char* id :
       {"ismre2-air-cooled", "ismre2-water-source", "ismre2-air-cooled-energy-recovery",
        "ismre2-water-source-energy-recovery"}) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure, LoadProcedure(id));
    std::vector<double> weights;
    for (const auto& point :
         std::get<document::WeightedConditions>(procedure.form).points) {
      weights.push_back(point.weight.value);
    }
    check.Each(id, weights, std::vector<double>{0.14, 0.34, 0.39, 0.13});
  }
}

TEST(PublishedTables, ScopeAndPressureOfTheOutdoorAirUnits) {
  OutsideCheck check({.name = "rating.outdoor_air_scope",
                      .source =
                          "10 CFR 431.92 and 431.96, table 1: below 324 lb/h, 29.92 "
                          "inHg",
                      .tolerance = 1e-12});
  for (const char* source : {"air-cooled", "water-source"}) {
    for (const char* metric : {"ismre2-", "iscop2-"}) {
      ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                           LoadProcedure(absl::StrCat(metric, source)));
      check.Absolute(procedure.id, procedure.scope.capacity_high->value, 324);
      check.Holds(procedure.id, procedure.scope.capacity_high->unit == "lb/h");
      check.Absolute(
          procedure.id,
          ConditionIn(procedure.common_conditions, "barometric_pressure", "inHg"), 29.92);
    }
  }
}

TEST(PublishedTables, StandardRatingConditionsOfChillers) {
  OutsideCheck check(
      {.name = "rating.chiller_conditions",
       .source = "AHRI 550/590 (I-P)-2015, table 1, standard rating conditions, degF",
       .tolerance = 1e-12});
  struct Row {
    const char* cooled;
    const char* quantity;
    double value_f;
  };
  for (const Row& row :
       {Row{"water", "entering_condenser_water_temp", 85},
        Row{"air", "outdoor_air_db", 95}, Row{"evaporatively", "outdoor_air_wb", 75}}) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                         LoadProcedure(absl::StrCat("iplv-ip-", row.cooled, "-cooled")));
    check.Absolute(
        absl::StrCat(row.cooled, " leaving chilled water"),
        ConditionIn(procedure.common_conditions, "leaving_chilled_water_temp", "degF"),
        44);
    check.Absolute(absl::StrCat(row.cooled, " ", row.quantity),
                   ConditionIn(procedure.load_points[0].conditions, row.quantity, "degF"),
                   row.value_f);
  }
}

TEST(PublishedTables, ConditionsOfWaterToAirHeatPumps) {
  OutsideCheck check({.name = "rating.iso_13256_1_conditions",
                      .source = "ISO 13256-1:1998, rating conditions in degF (as "
                                "manufacturers' catalogues print them)",
                      .tolerance = 1e-9});
  struct Row {
    const char* loop;
    double cooling_f;
    double heating_f;
  };
  for (const Row& row : {Row{"water-loop", 86, 68}, Row{"ground-water", 59, 50},
                         Row{"ground-loop", 77, 32}}) {
    // The files in SI state 30, 20, 15, 10, 25 and 0 degC.
    for (const char* form : {"", "-ip"}) {
      ASSERT_OK_AND_ASSIGN(
          const Procedure cooling,
          LoadProcedure(absl::StrCat("iso-13256-1-eer-", row.loop, form)));
      ASSERT_OK_AND_ASSIGN(
          const Procedure heating,
          LoadProcedure(absl::StrCat("iso-13256-1-cop-", row.loop, form)));
      const auto& c = cooling.common_conditions;
      const auto& h = heating.common_conditions;
      check.Absolute(cooling.id, ConditionIn(c, "entering_water_temp", "degF"),
                     row.cooling_f);
      check.Absolute(cooling.id, ConditionIn(c, "entering_air_db", "degF"), 80.6);
      check.Absolute(cooling.id, ConditionIn(c, "entering_air_wb", "degF"), 66.2);
      check.Absolute(heating.id, ConditionIn(h, "entering_water_temp", "degF"),
                     row.heating_f);
      check.Absolute(heating.id, ConditionIn(h, "entering_air_db", "degF"), 68);
    }
  }
}

// The level of the class on the day, with the one key where there is one.
std::optional<double> LevelOf(const document::MinimumLevels& levels,
                              const std::string& family, const std::string& unit_class,
                              double capacity_w, const std::string& day,
                              const std::string& key = "") {
  std::optional<double> found;
  for (const MinimumLevel& level : levels.levels) {
    const auto contains = [](const std::vector<std::string>& all,
                             const std::string& one) {
      return std::find(all.begin(), all.end(), one) != all.end();
    };
    if (!contains(level.procedure_families, family) ||
        !contains(level.equipment_classes, unit_class) || day < level.valid_from ||
        (!level.valid_until.empty() && day >= level.valid_until) ||
        (!key.empty() && (level.keys.empty() || level.keys[0].value != key))) {
      continue;
    }
    const auto in_w = [](const document::CitedValue& limit) {
      return ToSi("total_capacity", limit.value, limit.unit).value();
    };
    if (level.capacity_low && capacity_w < in_w(*level.capacity_low)) continue;
    if (level.capacity_high && capacity_w >= in_w(*level.capacity_high)) continue;
    EXPECT_FALSE(found.has_value()) << family << " has two levels for " << unit_class;
    found = level.value;
  }
  return found;
}

struct LevelRow {
  const char* family;
  const char* unit_class;
  double capacity_w;
  const char* day;
  const char* key;
  double level;
};

void CheckLevels(const std::string& name, const std::string& file,
                 const std::string& source, const std::vector<LevelRow>& rows) {
  OutsideCheck check({.name = name, .source = source, .tolerance = 0});
  const auto levels = LoadMinimumLevels(file);
  ASSERT_TRUE(levels.ok()) << levels.status();
  for (const LevelRow& row : rows) {
    check.Absolute(
        absl::StrCat(row.family, " ", row.unit_class, " ", row.day, " ", row.key),
        LevelOf(*levels, row.family, row.unit_class, row.capacity_w, row.day, row.key)
            .value_or(0),
        row.level);
  }
}

TEST(PublishedTables, MinimumLevelsOfUnitaryEquipment) {
  constexpr char kFamily[] = "ieer-air-cooled";
  constexpr char kConditioner[] = "unitary_air_cooled";
  constexpr char kHeatPump[] = "unitary_air_cooled_heat_pump";
  constexpr char kNone[] = "electric_or_none";
  CheckLevels("rating.levels_431_97_unitary", "us-431-97-unitary",
              "10 CFR 431.97, table of IEER of air-cooled equipment, 65,000 to 135,000 "
              "Btu/h, 2018 and 2023",
              {{kFamily, kConditioner, 30e3, "2018-01-01", kNone, 12.9},
               {kFamily, kConditioner, 30e3, "2023-01-01", kNone, 14.8},
               {kFamily, kConditioner, 30e3, "2022-12-31", "other", 12.7},
               {kFamily, kConditioner, 30e3, "2028-12-31", "other", 14.6},
               {kFamily, kHeatPump, 30e3, "2018-01-01", kNone, 12.2},
               {kFamily, kHeatPump, 30e3, "2023-01-01", kNone, 14.1},
               {kFamily, kHeatPump, 30e3, "2018-01-01", "other", 12.0},
               {kFamily, kHeatPump, 30e3, "2023-01-01", "other", 13.9}});
}

TEST(PublishedTables, MinimumLevelsOfWaterSourceHeatPumps) {
  constexpr char kEer[] = "iso-13256-1-eer-water-loop-ip";
  constexpr char kClass[] = "water_to_air_heat_pump";
  CheckLevels("rating.levels_431_97_water_source", "us-431-97-water-source",
              "10 CFR 431.97, water-source heat pumps, 2003 to 2015",
              {{kEer, kClass, 4e3, "2010-06-01", "", 11.2},
               {kEer, kClass, 10e3, "2010-06-01", "", 12.0},
               {kEer, kClass, 30e3, "2010-06-01", "", 12.0},
               {"iso-13256-1-cop-water-loop", kClass, 30e3, "2010-06-01", "", 4.2}});
}

TEST(PublishedTables, MinimumLevelsOfAirHeatingAndCoolingProducts) {
  const auto levels = LoadMinimumLevels("eu-2016-2281");
  ASSERT_TRUE(levels.ok()) << levels.status();
  OutsideCheck check({.name = "rating.levels_2016_2281",
                      .source = "Regulation (EU) 2016/2281, Annex II, tables 1 to 3",
                      .tolerance = 0});
  struct Row {
    const char* unit_class;
    double capacity_kw;
    const char* day;
    double level;
  };
  for (const Row& row : {Row{"air_to_air_heat_pump", 50, "2018-01-01", 133},
                         Row{"air_to_air_heat_pump", 50, "2021-01-01", 137},
                         Row{"rooftop_heat_pump", 50, "2020-12-31", 115},
                         Row{"rooftop_heat_pump", 50, "2021-01-01", 125},
                         Row{"engine_air_to_air_heat_pump", 50, "2019-01-01", 120},
                         Row{"engine_air_to_air_heat_pump", 50, "2022-01-01", 130}}) {
    check.Absolute(row.unit_class,
                   LevelOf(*levels, levels->levels[0].procedure_families[0],
                           row.unit_class, row.capacity_kw * 1e3, row.day)
                       .value_or(0),
                   row.level);
  }
  std::string cooling_family;
  for (const MinimumLevel& level : levels->levels) {
    if (level.equipment_classes[0] == "chiller_air_cooled" && level.value) {
      cooling_family = level.procedure_families[0];
      break;
    }
  }
  for (const Row& row : {Row{"chiller_air_cooled", 399.9, "2018-01-01", 149},
                         Row{"chiller_air_cooled", 400, "2018-01-01", 161},
                         Row{"chiller_water_cooled", 399.9, "2018-01-01", 196},
                         Row{"chiller_water_cooled", 400, "2018-01-01", 227},
                         Row{"chiller_water_cooled", 1500, "2020-12-31", 245},
                         Row{"air_to_air_conditioner", 50, "2018-01-01", 181},
                         Row{"rooftop_air_conditioner", 50, "2018-01-01", 117},
                         Row{"engine_chiller", 50, "2018-01-01", 144},
                         Row{"engine_air_to_air_conditioner", 50, "2018-01-01", 157}}) {
    check.Absolute(
        row.unit_class,
        LevelOf(*levels, cooling_family, row.unit_class, row.capacity_kw * 1e3, row.day)
            .value_or(0),
        row.level);
  }
  // The second tier of cooling could not be read, and the file says so.
  check.Holds("cooling from 2021 is not known",
              !LevelOf(*levels, cooling_family, "chiller_air_cooled", 50e3, "2021-01-01")
                   .has_value());
}

}  // namespace
}  // namespace ratebound::rating
