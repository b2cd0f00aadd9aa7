// What a flow of water carries for each degree: the one figure that leaving temperatures
// are computed with, by the map and by claims.
#ifndef RATEBOUND_ENGINE_FLUID_WATER_HEAT_H_
#define RATEBOUND_ENGINE_FLUID_WATER_HEAT_H_

namespace ratebound::fluid {

// Liquid water at 20 degC and 0.1 MPa, IAPWS-IF97 region 1 (IAPWS R7-97(2012)), rounded
// to four figures, from memory. Taken as constant: over 5 to 50 degC density falls by 1.2
// % and specific heat changes by 0.3 %. The properties of engine/fluid take their place
// once the map knows the fluid and its concentration.
inline constexpr double kWaterDensityKgPerM3 = 998.2;
inline constexpr double kWaterSpecificHeatJPerKgK = 4184;

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_WATER_HEAT_H_
