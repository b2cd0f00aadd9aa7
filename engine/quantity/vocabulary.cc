#include "engine/quantity/vocabulary.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"

namespace ratebound::quantity {
namespace {

using base::Absl;
using enum Dimension;
using enum Role;

constexpr double kMostHeatW = 5e7;  // the largest chillers are near 2e7 W

constexpr std::array kQuantities = {
    // Air.
    Quantity{"entering_air_db", kTemperature, kCondition, -50, 80,
             "dry bulb of the air entering the indoor coil"},
    Quantity{"entering_air_wb", kTemperature, kCondition, -50, 60,
             "wet bulb of the air entering the indoor coil"},
    Quantity{"entering_air_dew_point", kTemperature, kCondition, -80, 60,
             "dew point of the air entering the indoor coil"},
    Quantity{"entering_air_relative_humidity", kFraction, kCondition, 0, 1,
             "relative humidity of the air entering the indoor coil"},
    Quantity{"entering_air_humidity_ratio", kHumidityRatio, kCondition, 0, 0.2,
             "water to dry air, entering the indoor coil"},
    Quantity{"leaving_air_db", kTemperature, kResponse, -50, 120,
             "dry bulb of the air leaving the indoor section, after the fan"},
    Quantity{"leaving_air_wb", kTemperature, kResponse, -50, 80,
             "wet bulb of the air leaving the indoor section"},
    Quantity{"leaving_air_dew_point", kTemperature, kEither, -80, 60,
             "dew point of the air leaving the indoor section; set where a dehumidifying "
             "machine is controlled to it"},
    Quantity{"leaving_air_humidity_ratio", kHumidityRatio, kResponse, 0, 0.2,
             "water to dry air, leaving the indoor section"},
    Quantity{"leaving_air_relative_humidity", kFraction, kResponse, 0, 1,
             "relative humidity of the air leaving the indoor section"},
    Quantity{"outdoor_air_db", kTemperature, kCondition, -60, 70,
             "dry bulb of the air entering the outdoor coil"},
    Quantity{"outdoor_air_wb", kTemperature, kCondition, -60, 50,
             "wet bulb of the air entering the outdoor coil or tower"},
    Quantity{"outdoor_air_dew_point", kTemperature, kCondition, -90, 50,
             "dew point of the air entering the outdoor coil"},
    Quantity{"return_air_db", kTemperature, kCondition, -50, 80,
             "dry bulb of the room air before outdoor air is mixed in"},
    Quantity{"return_air_wb", kTemperature, kCondition, -50, 60,
             "wet bulb of the room air before outdoor air is mixed in"},
    Quantity{"outdoor_air_fraction", kFraction, kCondition, 0, 1,
             "outdoor air in the air entering the coil, by mass"},
    Quantity{"air_flow", kVolumeFlow, kEither, 0, 500,
             "indoor air flow as it is at the coil's inlet"},
    Quantity{"standard_air_flow", kVolumeFlow, kEither, 0, 500,
             "indoor air mass flow, as a volume flow of standard air"},
    Quantity{"air_mass_flow", kMassFlow, kEither, 0, 600,
             "dry air through the indoor coil"},
    Quantity{"outdoor_air_flow", kVolumeFlow, kEither, 0, 2000,
             "air flow through the outdoor coil"},
    Quantity{"external_static_pressure", kPressureDifference, kEither, -500, 5000,
             "static pressure that the indoor fan works against outside the unit"},
    Quantity{"nozzle_pressure_drop", kPressureDifference, kResponse, 0, 5000,
             "pressure difference over the nozzles that measure air flow"},
    Quantity{"nozzle_air_db", kTemperature, kResponse, -50, 120,
             "dry bulb of the air at the nozzles"},
    Quantity{"nozzle_throat_velocity", kVelocity, kResponse, 0, 200,
             "air speed in the throat of the nozzles"},

    // Water and other liquids.
    Quantity{"entering_water_temp", kTemperature, kCondition, -40, 120,
             "water entering the unit's heat exchanger on the source or sink side"},
    Quantity{"leaving_water_temp", kTemperature, kEither, -40, 120,
             "water leaving the heat exchanger that entering_water_temp enters"},
    Quantity{"entering_chilled_water_temp", kTemperature, kEither, -30, 60,
             "water entering the evaporator"},
    Quantity{"leaving_chilled_water_temp", kTemperature, kEither, -30, 60,
             "water leaving the evaporator"},
    Quantity{"entering_condenser_water_temp", kTemperature, kCondition, -10, 100,
             "water entering the condenser"},
    Quantity{"leaving_condenser_water_temp", kTemperature, kEither, -10, 110,
             "water leaving the condenser"},
    Quantity{"entering_hot_water_temp", kTemperature, kEither, 0, 120,
             "heated water entering the condenser"},
    Quantity{"leaving_hot_water_temp", kTemperature, kEither, 0, 130,
             "heated water leaving the condenser"},
    Quantity{"entering_brine_temp", kTemperature, kCondition, -60, 80,
             "antifreeze solution entering the unit"},
    Quantity{"leaving_brine_temp", kTemperature, kEither, -60, 80,
             "antifreeze solution leaving the unit"},
    Quantity{"water_flow", kVolumeFlow, kEither, 0, 5,
             "water or solution flow through the heat exchanger"},
    Quantity{"chilled_water_flow", kVolumeFlow, kEither, 0, 5,
             "flow through the evaporator"},
    Quantity{"condenser_water_flow", kVolumeFlow, kEither, 0, 5,
             "flow through the condenser"},
    Quantity{"water_mass_flow", kMassFlow, kEither, 0, 5000,
             "water or solution mass flow through the heat exchanger"},
    Quantity{"water_pressure_drop", kPressureDifference, kResponse, 0, 1e6,
             "pressure difference over the water side of the heat exchanger"},
    Quantity{"water_temperature_difference", kTemperatureDifference, kEither, -100, 100,
             "leaving less entering water temperature"},
    Quantity{"fluid_concentration", kFraction, kCondition, 0, 1,
             "antifreeze in the solution, by mass"},

    // Capacities.
    Quantity{
        "total_capacity", kPower, kResponse, -1e6, kMostHeatW,
        "net total cooling capacity: sensible and latent, less the indoor fan's heat"},
    Quantity{"sensible_capacity", kPower, kResponse, -1e6, kMostHeatW,
             "net sensible cooling capacity"},
    Quantity{
        "latent_capacity", kPower, kResponse, -1e6, kMostHeatW,
        "latent cooling capacity; the fan's heat is sensible, so net and gross are one"},
    Quantity{"gross_total_capacity", kPower, kResponse, -1e6, kMostHeatW,
             "total cooling of the coil, the indoor fan's heat not taken off"},
    Quantity{"gross_sensible_capacity", kPower, kResponse, -1e6, kMostHeatW,
             "sensible cooling of the coil, the indoor fan's heat not taken off"},
    Quantity{"sensible_heat_ratio", kFraction, kResponse, -1, 2,
             "sensible to total cooling capacity"},
    Quantity{"heating_capacity", kPower, kResponse, -1e6, kMostHeatW,
             "net heating capacity, the indoor fan's heat included"},
    Quantity{"gross_heating_capacity", kPower, kResponse, -1e6, kMostHeatW,
             "heating of the coil, the indoor fan's heat left out"},
    Quantity{"integrated_heating_capacity", kPower, kResponse, -1e6, kMostHeatW,
             "net heating capacity over whole cycles of frost and defrost"},
    Quantity{"supplementary_heat", kPower, kEither, 0, kMostHeatW,
             "resistance or other heat added to the machine's own"},
    Quantity{"heat_rejection", kPower, kResponse, 0, kMostHeatW,
             "heat given to the sink: water, solution or outdoor air"},
    Quantity{"heat_absorbed", kPower, kResponse, 0, kMostHeatW,
             "heat taken from the source: water, solution or outdoor air"},
    Quantity{"recovered_heat", kPower, kResponse, 0, kMostHeatW,
             "rejected heat that is put to use"},
    Quantity{"moisture_removal", kMassFlow, kResponse, -1, 100,
             "water condensed out of the air"},
    Quantity{"condensate_flow", kMassFlow, kResponse, -1, 100,
             "water caught below the coil"},
    Quantity{"heat_balance", kFraction, kResponse, -10, 10,
             "capacity by the second side less capacity by the first, as part of the "
             "first"},

    // Powers.
    Quantity{"power_input", kPower, kResponse, 0, 1e7,
             "total electric input as the procedure counts it"},
    Quantity{"compressor_power", kPower, kResponse, 0, 1e7,
             "electric input of compressors with their drives"},
    Quantity{"fan_power", kPower, kResponse, 0, 1e6, "electric input of all fans"},
    Quantity{"indoor_fan_power", kPower, kResponse, 0, 1e6,
             "electric input of the indoor fan with its drive"},
    Quantity{"outdoor_fan_power", kPower, kResponse, 0, 1e6,
             "electric input of the outdoor fans"},
    Quantity{"outdoor_section_power", kPower, kResponse, 0, 1e7,
             "electric input of the outdoor section: compressors, fans, controls"},
    Quantity{"pump_power", kPower, kResponse, 0, 1e6,
             "electric input of pumps that the procedure counts"},
    Quantity{"control_power", kPower, kResponse, 0, 1e5,
             "electric input of controls and auxiliaries"},
    Quantity{"crankcase_heater_power", kPower, kResponse, 0, 1e5,
             "electric input of crankcase heaters"},
    Quantity{"condenser_section_power", kPower, kResponse, 0, 1e6,
             "electric input of the condenser section: fans, pumps, controls"},
    Quantity{"off_mode_power", kPower, kResponse, 0, 1e5,
             "electric input with no call for heating or cooling"},
    Quantity{"standby_power", kPower, kResponse, 0, 1e5,
             "electric input between runs, with the controls on"},
    Quantity{"supply_current", kCurrent, kResponse, 0, 1e4,
             "current drawn from the supply"},
    Quantity{"power_factor", kFraction, kResponse, 0, 1, "true over apparent power"},

    // Efficiencies.
    Quantity{"energy_efficiency_ratio", kEnergyRatio, kResponse, 0, 30,
             "cooling capacity to power input, usually in Btu/Wh"},
    Quantity{"coefficient_of_performance", kEnergyRatio, kResponse, 0, 30,
             "heating or cooling capacity to power input, in W/W"},
    Quantity{"specific_fan_power", kSpecificFanPower, kResponse, 0, 1e5,
             "fan power to air flow"},
    Quantity{"load_ratio", kFraction, kEither, 0, 2,
             "capacity delivered to full capacity at rating conditions"},
    Quantity{
        "cycling_degradation_coefficient", kFraction, kResponse, -1, 1,
        "efficiency lost by cycling, to the part of the time that the machine is off"},

    // The machine inside.
    Quantity{"fan_speed", kRotationalSpeed, kEither, 0, 1000, "indoor fan speed"},
    Quantity{"outdoor_fan_speed", kRotationalSpeed, kEither, 0, 1000,
             "outdoor fan speed"},
    Quantity{"compressor_speed", kRotationalSpeed, kEither, 0, 2000,
             "compressor shaft speed"},
    Quantity{"refrigerant_flow", kMassFlow, kResponse, 0, 500, "refrigerant mass flow"},
    Quantity{"suction_pressure", kPressure, kResponse, 0, 2e7,
             "absolute pressure at the compressor's inlet"},
    Quantity{"discharge_pressure", kPressure, kResponse, 0, 2e7,
             "absolute pressure at the compressor's outlet"},
    Quantity{"suction_gauge_pressure", kGaugePressure, kResponse, -1.1e5, 2e7,
             "gauge pressure at the compressor's inlet"},
    Quantity{"discharge_gauge_pressure", kGaugePressure, kResponse, -1.1e5, 2e7,
             "gauge pressure at the compressor's outlet"},
    Quantity{"saturated_suction_temp", kTemperature, kEither, -100, 60,
             "dew-point temperature of the refrigerant at suction pressure"},
    Quantity{"saturated_discharge_temp", kTemperature, kEither, -40, 150,
             "dew-point temperature of the refrigerant at discharge pressure"},
    Quantity{"suction_temp", kTemperature, kResponse, -100, 100,
             "refrigerant at the compressor's inlet"},
    Quantity{"discharge_temp", kTemperature, kResponse, -40, 250,
             "refrigerant at the compressor's outlet"},
    Quantity{"liquid_line_temp", kTemperature, kResponse, -60, 120,
             "refrigerant before the expansion device"},
    Quantity{"superheat", kTemperatureDifference, kEither, -5, 100,
             "suction temperature above saturation"},
    Quantity{"subcooling", kTemperatureDifference, kEither, -5, 100,
             "liquid temperature below saturation"},

    // Supply and surroundings.
    Quantity{"supply_voltage", kVoltage, kCondition, 0, 20000,
             "voltage at the unit's terminals"},
    Quantity{"supply_frequency", kFrequency, kCondition, 0, 500,
             "frequency of the supply, before any drive"},
    Quantity{"barometric_pressure", kPressure, kCondition, 4e4, 1.1e5,
             "absolute pressure of the air around the unit"},
    Quantity{"altitude", kLength, kCondition, -500, 6000, "height above sea level"},
    Quantity{"ambient_air_db", kTemperature, kCondition, -60, 80,
             "dry bulb of the air around the unit's cabinet"},
};

constexpr auto kByName = [] {
  std::array<int, kQuantities.size()> order{};
  for (size_t i = 0; i < order.size(); ++i) order[i] = static_cast<int>(i);
  std::sort(order.begin(), order.end(),
            [](int a, int b) { return kQuantities[a].name < kQuantities[b].name; });
  return order;
}();

}  // namespace

absl::StatusOr<const Quantity*> FindQuantity(std::string_view name) {
  const auto found = std::lower_bound(
      kByName.begin(), kByName.end(), name,
      [](int i, std::string_view wanted) { return kQuantities[i].name < wanted; });
  if (found != kByName.end() && kQuantities[*found].name == name)
    return &kQuantities[*found];
  std::vector<std::string> known;
  for (const Quantity& quantity : kQuantities) known.emplace_back(quantity.name);
  return absl::InvalidArgumentError(absl::StrCat(
      "unknown quantity '", base::Printable(name), "'", base::DidYouMean(name, known)));
}

std::span<const Quantity> AllQuantities() { return kQuantities; }

absl::Status CheckPlausible(const Quantity& quantity, double value_si) {
  if (value_si >= quantity.least_si && value_si <= quantity.greatest_si) {
    return absl::OkStatus();
  }
  const std::string unit(SiUnit(quantity.dimension).name);
  return absl::InvalidArgumentError(absl::StrCat(
      Absl(quantity.name), " of ", base::ShortestText(value_si), " ", unit,
      " is outside what is physically plausible, ", base::ShortestText(quantity.least_si),
      " to ", base::ShortestText(quantity.greatest_si), " ", unit, "; check the unit"));
}

}  // namespace ratebound::quantity
