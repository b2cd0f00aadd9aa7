// What kinds of things are measured. Two kinds may share a unit of the SI and still be
// told apart, where mixing them up is a mistake that testers make: a temperature and a
// difference of temperatures, an absolute pressure and a gauge reading.
#ifndef RATEBOUND_ENGINE_QUANTITY_DIMENSION_H_
#define RATEBOUND_ENGINE_QUANTITY_DIMENSION_H_

#include <string_view>

namespace ratebound::quantity {

// Inside the engine every value is in the unit named here.
enum class Dimension {
  kTemperature,            // degC
  kTemperatureDifference,  // K
  kPressure,               // Pa, absolute
  kPressureDifference,     // Pa, between two places of a flow
  kGaugePressure,     // Pa above the air around; needs a barometer to become absolute
  kPower,             // W, heat flows and electric power alike
  kEnergy,            // J
  kVolumeFlow,        // m3/s
  kMassFlow,          // kg/s
  kEnergyRatio,       // W/W
  kHumidityRatio,     // kg of water to kg of dry air
  kFraction,          // 1
  kSpecificEnergy,    // J/kg
  kSpecificHeat,      // J/(kg K)
  kDensity,           // kg/m3
  kSpecificVolume,    // m3/kg
  kSpecificFanPower,  // J/m3, which is W/(m3/s)
  kVoltage,           // V
  kCurrent,           // A
  kFrequency,         // Hz, of an alternating supply
  kRotationalSpeed,   // revolutions a second
  kVelocity,          // m/s
  kLength,            // m
  kArea,              // m2
  kVolume,            // m3
  kMass,              // kg
  kTime,              // s
};
inline constexpr int kDimensionCount = static_cast<int>(Dimension::kTime) + 1;

// "temperature difference", for messages.
std::string_view DimensionName(Dimension dimension);

}  // namespace ratebound::quantity

#endif  // RATEBOUND_ENGINE_QUANTITY_DIMENSION_H_
