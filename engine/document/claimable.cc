#include "engine/document/claimable.h"

#include <algorithm>
#include <string_view>

namespace ratebound::document {

std::vector<std::string> FittedQuantities(const Mode& mode) {
  std::vector<std::string> names = {mode.capacity_quantity, mode.power_quantity};
  names.insert(names.end(), mode.other_responses.begin(), mode.other_responses.end());
  return names;
}

std::vector<std::string> ClaimableQuantities(const Mode& mode) {
  std::vector<std::string> names = FittedQuantities(mode);
  const std::vector<std::string> fitted = names;
  const auto add = [&](std::string_view name) {
    if (std::find(names.begin(), names.end(), name) == names.end()) {
      names.emplace_back(name);
    }
  };
  const auto is_held = [&](std::string_view name) {
    return std::any_of(mode.held_conditions.begin(), mode.held_conditions.end(),
                       [&](const HeldCondition& held) { return held.quantity == name; });
  };
  const auto set = [&](std::string_view name) {
    return std::find(mode.conditions.begin(), mode.conditions.end(), name) !=
               mode.conditions.end() ||
           is_held(name);
  };
  add("coefficient_of_performance");
  add("energy_efficiency_ratio");
  const auto is_fitted = [&](std::string_view name) {
    return std::find(fitted.begin(), fitted.end(), name) != fitted.end();
  };
  if (is_fitted("sensible_capacity") && is_fitted("total_capacity")) {
    add("sensible_heat_ratio");
  }
  // By the humidity ratio, or both bulbs, at a known pressure (engine/claim/kinds).
  if (is_held("barometric_pressure") &&
      (is_fitted("leaving_air_humidity_ratio") ||
       (is_fitted("leaving_air_db") && is_fitted("leaving_air_wb")))) {
    add("leaving_air_dew_point");
  }
  const bool heating = mode.kind == ModeKind::kHeating;
  const bool whole_unit =
      mode.capacity_quantity == (heating ? "heating_capacity" : "total_capacity") &&
      mode.power_quantity == "power_input";
  if (!whole_unit) return names;
  add(heating ? "heat_absorbed" : "heat_rejection");
  if (set("water_flow")) {
    add("water_temperature_difference");
    if (set("entering_water_temp")) add("leaving_water_temp");
  }
  if (set("condenser_water_flow") && set("entering_condenser_water_temp")) {
    add("leaving_condenser_water_temp");
  }
  return names;
}

}  // namespace ratebound::document
