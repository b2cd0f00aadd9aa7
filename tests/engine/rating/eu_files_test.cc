// The files of ratings/procedures/eu through the whole engine: figures that any
// implementation must give, refusals, and what is said of what is missing.
#include <algorithm>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/rating/rate.h"
#include "engine/rating/unconfirmed.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/eu_unit.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::BinSeason;
using document::Climate;
using document::Procedure;
using document::Rating;

bool Heats(const Procedure& procedure) {
  return procedure.mode_kind == document::ModeKind::kHeating;
}

bool Has(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

bool HasInput(const Procedure& procedure, std::string_view name) {
  for (const document::RequiredInput& input : procedure.required_inputs) {
    if (input.name == name) return true;
  }
  return false;
}

double DesignTemperature(const Procedure& procedure) {
  for (const document::ClimateValue& value : EuSeason(procedure).climates[0].values) {
    if (value.name == "design_temperature") return value.value.value;
  }
  return 35;
}

// Part of the design load, of heating and comfort cooling.
double LoadPart(const Procedure& procedure, double temperature_c) {
  return (temperature_c - 16) / (DesignTemperature(procedure) - 16);
}

// The coefficient at which cycling costs nothing.
double NoDegradation(const Procedure& procedure) {
  return EuSeason(procedure).degradation->form == document::DegradationForm::kOffPower
             ? 1
             : 0;
}

// Of a unit that meets the whole season by itself and uses no power when idle.
EuInputs WithoutLosses(const Procedure& procedure) {
  EuInputs inputs = NoIdlePower();
  inputs["design_load"] = 4;
  inputs["bivalent_temperature"] = DesignTemperature(procedure);
  inputs["operation_limit"] = -30;
  inputs["source_inlet_temperature"] = 10;
  inputs["degradation_coefficient"] = NoDegradation(procedure);
  return inputs;
}

// What an efficiency of the year reads as the metric.
double AsMetric(const Procedure& procedure, double efficiency) {
  const auto& space = EuSeason(procedure).space_efficiency;
  if (procedure.metric_unit != "%") return efficiency;
  double percent = 100 * efficiency / space->conversion_coefficient.value;
  for (const document::EfficiencyCorrection& correction : space->corrections) {
    percent -= correction.part.value->value;
  }
  return percent;
}

constexpr double kEfficiency = 4.2;

TEST(EuFiles, AreThoseOfEveryProductClimateAndApplication) {
  int by_document[3] = {};
  for (const Procedure& procedure : EuProcedures()) {
    by_document[0] += Has(procedure.document, "206/2012");
    by_document[1] += Has(procedure.document, "813/2013");
    by_document[2] += Has(procedure.document, "2016/2281");
  }
  // Room units: cooling of 2 functions, heating of 2 functions in 3 seasons.
  EXPECT_EQ(by_document[0], 2 + 2 * 3);
  // Air or water, 4 applications, 2 outlets, 3 seasons.
  EXPECT_EQ(by_document[1], 2 * 4 * 2 * 3);
  // Air conditioners, comfort chillers of 3 sinks and 3 uses, air heating of 3 sources, 2
  // functions and 3 seasons, process chillers.
  EXPECT_EQ(by_document[2], 3 + 3 * 3 + 3 * 2 * 3 + 2);
}

TEST(EuFiles, ConstantEfficiencyWithoutLossesIsTheFigure) {
  for (const Procedure& procedure : EuProcedures()) {
    const RatedUnit unit = EuUnit(procedure, WithoutLosses(procedure), "", [](double) {
      return EuFigures{20e3, kEfficiency};
    });
    ASSERT_OK_AND_ASSIGN(const Rating rating, RateUnit(procedure, unit));
    ASSERT_TRUE(rating.value.has_value()) << procedure.id << ": " << rating.refusal;
    EXPECT_NEAR(*rating.value, AsMetric(procedure, kEfficiency), 1e-9) << procedure.id;
    for (const document::SeasonFigure& figure : EuSeason(procedure).figures) {
      const double expected = figure.kind == document::SeasonFigureKind::kSpace
                                  ? AsMetric(procedure, kEfficiency)
                                  : kEfficiency;
      EXPECT_NEAR(EuFigure(rating, figure.name), expected, 1e-9)
          << procedure.id << " " << figure.name;
    }
  }
}

TEST(EuFiles, CapacityEqualToTheLoadLosesNothingByCycling) {
  for (const Procedure& procedure : EuProcedures()) {
    if (EuSeason(procedure).bin_conditions.empty() || procedure.metric == "SEPR" ||
        EuSeason(procedure).bin_conditions[0].quantity != "outdoor_air_db") {
      continue;
    }
    EuInputs inputs = WithoutLosses(procedure);
    inputs.erase("degradation_coefficient");
    const RatedUnit unit =
        EuUnit(procedure, inputs, "outdoor_air_db", [&](double temperature_c) {
          return EuFigures{4e3 * LoadPart(procedure, temperature_c), kEfficiency};
        });
    ASSERT_OK_AND_ASSIGN(const Rating rating, RateUnit(procedure, unit));
    ASSERT_TRUE(rating.value.has_value()) << procedure.id << ": " << rating.refusal;
    EXPECT_NEAR(*rating.value, AsMetric(procedure, kEfficiency), 1e-9) << procedure.id;
  }
}

TEST(EuFiles, BelowTheOperationLimitTheBackUpMeetsTheLoadAtOneToOne) {
  for (const Procedure& procedure : EuProcedures()) {
    if (!Heats(procedure)) continue;
    const Climate& climate = EuSeason(procedure).climates[0];
    // Some bins of every season lie below; a test below the limit is not asked for.
    const double limit_c = DesignTemperature(procedure) + 2;
    double load = 0;
    double power = 0;
    for (const document::Bin& bin : climate.bins->bins) {
      const double bin_load = bin.weight * LoadPart(procedure, bin.temperature);
      load += bin_load;
      power += bin.temperature < limit_c ? bin_load : bin_load / kEfficiency;
    }
    EuInputs inputs = WithoutLosses(procedure);
    inputs["operation_limit"] = limit_c;
    inputs["bivalent_temperature"] = limit_c;
    const RatedUnit unit = EuUnit(procedure, inputs, "", [](double) {
      return EuFigures{20e3, kEfficiency};
    });
    ASSERT_OK_AND_ASSIGN(const Rating rating, RateUnit(procedure, unit));
    ASSERT_TRUE(rating.value.has_value()) << procedure.id << ": " << rating.refusal;
    EXPECT_NEAR(EuFigure(rating, "SCOPon"), load / power, 1e-9) << procedure.id;
    EXPECT_NEAR(EuFigure(rating, "SCOPnet"), kEfficiency, 1e-9) << procedure.id;
    EXPECT_LT(*rating.value, AsMetric(procedure, kEfficiency)) << procedure.id;
  }
}

TEST(EuFiles, PowersOfIdleModesCountByTheirHours) {
  for (const Procedure& procedure : EuProcedures()) {
    const BinSeason& season = EuSeason(procedure);
    if (season.idle_modes.empty()) continue;
    EuInputs inputs = WithoutLosses(procedure);
    inputs["crankcase_heater_hours"] = 3850;
    inputs["off_mode_hours"] = 3672;
    const double powers_w[] = {20, 1, 8, 3};  // in the order of the modes
    double idle_kwh = 0;
    double demand_hours = 0;
    for (const document::ClimateValue& value : season.climates[0].values) {
      if (value.name == "demand_hours") demand_hours = value.value.value;
    }
    for (size_t i = 0; i < season.idle_modes.size(); ++i) {
      const document::IdleMode& mode = season.idle_modes[i];
      inputs[mode.power.input] = powers_w[i];
      double hours = mode.hours.input.empty() ? 0 : inputs.at(mode.hours.input);
      for (const document::ClimateValue& value : season.climates[0].values) {
        if (value.name == mode.hours.climate_value) hours = value.value.value;
      }
      idle_kwh += hours * powers_w[i] / 1000;
    }
    const RatedUnit unit = EuUnit(procedure, inputs, "", [](double) {
      return EuFigures{4e3, kEfficiency};
    });
    ASSERT_OK_AND_ASSIGN(const Rating rating, RateUnit(procedure, unit));
    ASSERT_TRUE(rating.value.has_value()) << procedure.id << ": " << rating.refusal;
    const double demand_kwh = 4 * demand_hours;
    EXPECT_NEAR(*rating.value,
                AsMetric(procedure, demand_kwh / (demand_kwh / kEfficiency + idle_kwh)),
                1e-9)
        << procedure.id;
  }
}

TEST(EuFiles, AllMissingInputsAreNamedAtOnce) {
  for (const Procedure& procedure : EuProcedures()) {
    const RatedUnit unit = EuUnit(procedure, {}, "", [](double) {
      return EuFigures{4e3, kEfficiency};
    });
    ASSERT_OK_AND_ASSIGN(const Rating rating, RateUnit(procedure, unit));
    std::vector<std::string> needed;
    for (const document::IdleMode& mode : EuSeason(procedure).idle_modes) {
      if (!mode.power.may_be_missing) needed.push_back(mode.power.input);
      if (!mode.hours.input.empty()) needed.push_back(mode.hours.input);
    }
    if (Heats(procedure)) {
      for (const char* name :
           {"design_load", "bivalent_temperature", "operation_limit"}) {
        needed.push_back(name);
      }
    }
    EXPECT_EQ(rating.value.has_value(), needed.empty()) << procedure.id;
    for (const std::string& name : needed) {
      EXPECT_TRUE(Has(rating.refusal, name)) << procedure.id << ": " << rating.refusal;
    }
    EXPECT_FALSE(Has(rating.refusal, "degradation_coefficient")) << procedure.id;
  }
}

TEST(EuFiles, RefuseUnitsOutsideTheirScope) {
  for (const Procedure& procedure : EuProcedures()) {
    const auto rated = [&](const RatedUnit& unit) {
      return RateUnit(procedure, unit).value();
    };
    const RatedUnit inside = EuUnit(procedure, WithoutLosses(procedure), "", [](double) {
      return EuFigures{20e3, kEfficiency};
    });
    ASSERT_TRUE(rated(inside).value.has_value()) << procedure.id;

    RatedUnit other_class = inside;
    other_class.unit.equipment_class = "unitary_air_cooled";
    EXPECT_TRUE(Has(rated(other_class).refusal, "unitary_air_cooled")) << procedure.id;

    ASSERT_TRUE(procedure.scope.capacity_high.has_value()) << procedure.id;
    RatedUnit large = inside;
    large.unit.nominal_capacity.value_si = 1001 * procedure.scope.capacity_high->value;
    EXPECT_FALSE(rated(large).value.has_value()) << procedure.id;
    RatedUnit at_end = inside;
    at_end.unit.nominal_capacity.value_si =
        1000 * std::floor(procedure.scope.capacity_high->value);
    EXPECT_TRUE(rated(at_end).value.has_value()) << procedure.id;

    RatedUnit other_mode = inside;
    other_mode.mode.kind =
        Heats(procedure) ? document::ModeKind::kCooling : document::ModeKind::kHeating;
    EXPECT_FALSE(rated(other_mode).value.has_value()) << procedure.id;
  }
}

// The part of a set of files that tells a member apart, taken out of it.
Procedure WithoutNames(Procedure procedure) {
  procedure.id.clear();
  procedure.title.clear();
  return procedure;
}

const Procedure& Find(const std::string& id) {
  for (const Procedure& procedure : EuProcedures()) {
    if (procedure.id == id) return procedure;
  }
  ADD_FAILURE() << "no file " << id;
  return EuProcedures().front();
}

const char* const kClimates[] = {"average", "warmer", "colder"};
const char* const kApplications[] = {"low", "intermediate", "medium", "high"};

TEST(EuFiles, FixedOutletsDifferInTheOutletAlone) {
  const std::pair<const char*, double> kOutlets[] = {
      {"low", 35}, {"intermediate", 45}, {"medium", 55}, {"high", 65}};
  for (const char* source : {"air", "water"}) {
    for (const char* climate : kClimates) {
      const auto of = [&](const char* application) {
        return Find(
            absl::StrCat("etas-hydronic-", source, "-", application, "-fixed-", climate));
      };
      const Procedure low = WithoutNames(of("low"));
      for (const auto& [application, outlet_c] : kOutlets) {
        Procedure procedure = WithoutNames(of(application));
        document::CitedCondition& outlet = procedure.common_conditions.at(0);
        ASSERT_EQ(outlet.quantity, "leaving_hot_water_temp");
        EXPECT_EQ(outlet.value->value, outlet_c) << application;
        outlet = low.common_conditions[0];
        // Heat pumps that give no 52 degC are rated at the low temperature only.
        std::vector<std::string>& classes = procedure.scope.equipment_classes;
        for (const std::string& of_low : low.scope.equipment_classes) {
          const bool narrow = of_low.ends_with("_low_temperature");
          const bool has =
              std::find(classes.begin(), classes.end(), of_low) != classes.end();
          EXPECT_EQ(has, !narrow || std::string_view(application) == "low")
              << application;
        }
        classes = low.scope.equipment_classes;
        EXPECT_EQ(procedure, low) << source << application << climate;
      }
    }
  }
}

TEST(EuFiles, VariableOutletsDifferFromFixedOnesInTheOutletAlone) {
  for (const char* source : {"air", "water"}) {
    for (const char* application : kApplications) {
      for (const char* climate : kClimates) {
        const auto of = [&](const char* outlet) {
          return WithoutNames(Find(absl::StrCat("etas-hydronic-", source, "-",
                                                application, "-", outlet, "-", climate)));
        };
        Procedure fixed = of("fixed");
        Procedure variable = of("variable");
        auto& season = std::get<BinSeason>(variable.form);
        ASSERT_EQ(season.bin_conditions.back().quantity, "leaving_hot_water_temp");
        const std::vector<document::ConditionAt> at = season.bin_conditions.back().at;
        season.bin_conditions.pop_back();
        // At the design temperature the outlet is that of the application, and it falls.
        EXPECT_EQ(at.front().temperature, DesignTemperature(variable));
        EXPECT_EQ(at.front().value, fixed.common_conditions[0].value->value);
        for (size_t i = 1; i < at.size(); ++i) {
          EXPECT_LT(at[i].value, at[i - 1].value) << application << climate;
        }
        fixed.common_conditions.erase(fixed.common_conditions.begin());
        fixed.notes.clear();
        variable.notes.clear();
        EXPECT_EQ(variable, fixed) << source << application << climate;
      }
    }
  }
}

TEST(EuFiles, SaySoWhereTheyRestOnMemory) {
  for (const Procedure& procedure : EuProcedures()) {
    const std::vector<std::string> lines = UnconfirmedNumbers(procedure);
    EXPECT_FALSE(lines.empty()) << procedure.id;
    bool window = false;
    for (const std::string& line : lines) {
      EXPECT_FALSE(Has(line, "no basis given")) << procedure.id << ": " << line;
      EXPECT_FALSE(Has(line, "PUBLISHED_TEXT")) << procedure.id << ": " << line;
      window = window || Has(line, "EN 14825");
    }
    EXPECT_TRUE(window) << procedure.id;
    ASSERT_OK_AND_ASSIGN(const Rating rating,
                         RateUnit(procedure,
                                  EuUnit(procedure, WithoutLosses(procedure), "",
                                         [](double) {
                                           return EuFigures{20e3, kEfficiency};
                                         }),
                                  {.published_only = true}));
    EXPECT_FALSE(rating.value.has_value()) << procedure.id;
  }
}

TEST(EuFiles, EveryInputIsUsed) {
  for (const Procedure& procedure : EuProcedures()) {
    const BinSeason& season = EuSeason(procedure);
    std::vector<std::string> used = {season.degradation->tested_input};
    for (const document::IdleMode& mode : season.idle_modes) {
      used.push_back(mode.power.input);
      used.push_back(mode.hours.input);
    }
    if (season.load.design_load) used.push_back(season.load.design_load->input);
    if (season.cut_out) used.push_back(season.cut_out->off_temperature.input);
    for (const document::SeasonTest& test : season.tests) {
      used.push_back(test.temperature.input);
    }
    for (const document::CitedCondition& condition : procedure.common_conditions) {
      used.push_back(condition.input);
    }
    for (const std::string& name : used) {
      EXPECT_TRUE(name.empty() || HasInput(procedure, name)) << procedure.id << name;
    }
    for (const document::RequiredInput& input : procedure.required_inputs) {
      EXPECT_NE(std::find(used.begin(), used.end(), input.name), used.end())
          << procedure.id << " " << input.name;
    }
  }
}

}  // namespace
}  // namespace ratebound::rating
