#include "clients/cli/display_unit.h"

#include "absl/strings/match.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::cli {
namespace {

std::string_view UnitName(const quantity::Quantity& quantity, bool inch_pound) {
  const auto named = [&](const char* part) {
    return absl::StrContains(base::Absl(quantity.name), part);
  };
  switch (quantity.dimension) {
    case quantity::Dimension::kTemperature:
      return inch_pound ? "degF" : "degC";
    case quantity::Dimension::kPower:
      return inch_pound && !named("power") ? "kBtu/h" : "kW";
    case quantity::Dimension::kVolumeFlow:
      return !inch_pound ? "L/s" : named("air") ? "cfm" : "gpm";
    case quantity::Dimension::kMassFlow:
      return inch_pound ? "lb/h" : "kg/h";
    case quantity::Dimension::kEnergyRatio:
      return quantity.name == "energy_efficiency_ratio" ? "Btu/Wh" : "W/W";
    case quantity::Dimension::kPressure:
      return !inch_pound                              ? "Pa"
             : quantity.name == "barometric_pressure" ? "inHg"
                                                      : "psia";
    case quantity::Dimension::kPressureDifference:
      return !inch_pound ? "Pa" : named("water") ? "ft_wg_60f" : "in_wg_60f";
    case quantity::Dimension::kRotationalSpeed:
      return "rpm";
    case quantity::Dimension::kVelocity:
      return inch_pound ? "ft/min" : "m/s";
    case quantity::Dimension::kLength:
      return inch_pound ? "ft" : "m";
    case quantity::Dimension::kFraction:
      return "";
    default:
      return quantity::SiUnit(quantity.dimension).name;
  }
}

}  // namespace

Displayed Display(std::string_view quantity, double value_si, bool inch_pound) {
  const auto found = quantity::FindQuantity(quantity);
  if (!found.ok()) return {.value = value_si};
  const std::string_view name = UnitName(**found, inch_pound);
  if (name.empty()) return {.value = value_si};
  const auto unit = quantity::FindUnit(name);
  if (!unit.ok()) return {.value = value_si};
  return {.value = quantity::FromSi(value_si, *unit),
          .scale = quantity::DifferenceFromSi(1, *unit),
          .unit = std::string(name)};
}

}  // namespace ratebound::cli
