// Invented units for the EU seasons: one stage, whose capacity and efficiency are a
// function of the outdoor temperature or, where the procedure tells the unit none, of the
// temperature of the source.
#ifndef RATEBOUND_TESTS_ENGINE_RATING_EU_UNIT_H_
#define RATEBOUND_TESTS_ENGINE_RATING_EU_UNIT_H_

#include <functional>
#include <map>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "engine/document/procedure.h"
#include "engine/document/rating.h"
#include "engine/document/text.h"
#include "engine/rating/rated_unit.h"
#include "gtest/gtest.h"
#include "ratings/procedures.h"

namespace ratebound::rating {

// All files of ratings/procedures/eu; each is a season of bins.
inline const std::vector<document::Procedure>& EuProcedures() {
  static const auto* const procedures = [] {
    auto* read = new std::vector<document::Procedure>;
    for (const ratings::EmbeddedFile& file : ratings::EmbeddedProcedures()) {
      if (!file.path.starts_with("procedures/eu/")) continue;
      auto procedure = document::ParseProcedure(file.path, file.bytes);
      EXPECT_TRUE(procedure.ok()) << procedure.status();
      if (procedure.ok()) read->push_back(*std::move(procedure));
    }
    return read;
  }();
  return *procedures;
}

inline const document::BinSeason& EuSeason(const document::Procedure& procedure) {
  return std::get<document::BinSeason>(procedure.form);
}

// Inputs of a procedure by name, in the units that it asks for.
using EuInputs = std::map<std::string, double>;

// All modes without heat or cold at no power.
inline EuInputs NoIdlePower() {
  return {{"thermostat_off_power", 0},   {"standby_power", 0},
          {"crankcase_heater_power", 0}, {"off_mode_power", 0},
          {"off_mode_hours", 0},         {"crankcase_heater_hours", 0}};
}

// Capacity in W and efficiency in W/W at a temperature in degC.
struct EuFigures {
  double capacity_w = 0;
  double efficiency = 0;
};
using EuFunction = std::function<EuFigures(double temperature_c)>;

// A unit in the scope of the procedure. `driving` is the condition that the function is
// of; empty for a function that asks none. Only inputs that the procedure has are given.
inline RatedUnit EuUnit(const document::Procedure& procedure, const EuInputs& inputs,
                        const std::string& driving, EuFunction function) {
  RatedUnit rated;
  const bool room =
      procedure.scope.capacity_high && procedure.scope.capacity_high->value < 20;
  const double nominal_kw = room ? 5 : 50;
  rated.unit = {.id = "invented",
                .equipment_class = procedure.scope.equipment_classes.at(0),
                .phase_count = room ? 1 : 3,
                .nominal_capacity = {procedure.capacity_quantity, nominal_kw, "kW",
                                     1000 * nominal_kw}};
  for (const document::RequiredInput& input : procedure.required_inputs) {
    const auto found = inputs.find(input.name);
    if (found == inputs.end()) continue;
    rated.unit.procedure_inputs.push_back(
        {procedure.id, input.name, found->second, input.unit});
  }
  rated.mode = {.id = "m",
                .kind = procedure.mode_kind,
                .capacity_quantity = procedure.capacity_quantity,
                .power_quantity = procedure.power_quantity,
                .stages = {{.id = "1"}}};
  const document::BinSeason& season = EuSeason(procedure);
  for (const document::BinCondition& condition : season.bin_conditions) {
    if (!condition.if_mapped) rated.mode.conditions.push_back(condition.quantity);
  }
  for (const document::CitedCondition& condition : procedure.common_conditions) {
    if (!condition.if_mapped) rated.mode.conditions.push_back(condition.quantity);
  }
  rated.evaluate =
      [=](int,
          std::span<const QuantityValue> conditions) -> absl::StatusOr<StageFigures> {
    double temperature_c = 0;
    bool found = driving.empty();
    for (const QuantityValue& condition : conditions) {
      if (condition.quantity != driving) continue;
      temperature_c = condition.value_si;
      found = true;
    }
    if (!found) return absl::NotFoundError("no condition " + driving);
    const EuFigures figures = function(temperature_c);
    return StageFigures{.quantities = {{procedure.capacity_quantity, figures.capacity_w},
                                       {procedure.power_quantity,
                                        figures.capacity_w / figures.efficiency}},
                        .footing = document::Footing::kTested};
  };
  return rated;
}

// A figure of the season by its name, from the trace.
inline double EuFigure(const document::Rating& rating, const std::string& name) {
  for (const document::TraceStep& step : rating.trace) {
    if (step.label == name) return step.value;
  }
  ADD_FAILURE() << rating.procedure << ": no step '" << name << "'";
  return 0;
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_TESTS_ENGINE_RATING_EU_UNIT_H_
