// Moist air as an ideal gas of dry air and water vapour: each property from the others,
// for doubles and for dual numbers (number::Dual), whose derivatives are those of the
// equations, of the inverses too.
//
// Example:
//   // A sling reading of 27/19 degC at sea level:
//   double w = HumidityRatioFromWetBulb<Si>(27.0, 19.0, 101325.0, Phase::kWater);
//   double h = Enthalpy<Si>(27.0, w);                 // w = 0.01045, h = 53823 J/kg
//   double t = DewPoint<Si>(w, 101325.0, Phase::kWater);
//
//   // How the humidity ratio moves with each reading:
//   using D = number::Dual<2>;
//   D d = HumidityRatioFromWetBulb<InchPound>(D::Variable(80, 0), D::Variable(67, 1),
//                                             14.696, Phase::kWater);
//
// Units are those of the formulation, Si or InchPound (moist_air_formulation.h); whatever
// is said below of degC holds in degF alike. Arguments may be any mix of doubles and
// duals of one size; or of doubles and number::Pair, two states at a time with the bits
// of each alone, but for the inverses SaturationTemperature, WetBulb and DewPoint.
//
// The phase that pressure is saturated over, or that a wick carries, is the caller's to
// say. Below freezing water can stay liquid: a wet wick and an iced one then read
// differently (at -8.3/-9.4 degC they mean humidity ratios 9 % apart), and so do dew and
// frost.
//
// Nothing is checked here: the equations hold from -100 to 200 degC, where the pressure
// is above that of saturation, and are carried on beyond. An inverse that has no solution
// there is NaN. moist_air_state.h checks, and explains.
//
// Accuracy: forward functions to about 1e-14 relative; inverses close on the forward
// functions to 1e-11 relative. The ideal-gas equations themselves differ from the tables
// of real moist air by up to 1 % in saturation humidity ratio near room temperature and
// sea level (they leave out the enhancement factor, about 1.005).
// Thread-safety: pure functions. Same bits on every x86-64 machine.
//
// Source: ASHRAE Handbook - Fundamentals 2017, chapter 1, as quoted by PsychroLib 2.5.0;
// the equation is named at each function.
#ifndef RATEBOUND_ENGINE_FLUID_MOIST_AIR_H_
#define RATEBOUND_ENGINE_FLUID_MOIST_AIR_H_

#include <cmath>
#include <limits>

#include "engine/fluid/moist_air_formulation.h"
#include "engine/number/dual.h"
#include "engine/number/elementary.h"
#include "engine/number/pair.h"

namespace ratebound::fluid {

template <typename T>
inline constexpr bool kIsDual = false;
template <int N>
inline constexpr bool kIsDual<number::Dual<N>> = true;
// What can be computed on. Not integers: a temperature in one would be rounded.
template <typename T>
concept Real = std::same_as<T, double> || std::same_as<T, number::Pair> || kIsDual<T>;

enum class Phase { kWater, kIce };

// Ice up to the triple point, 0.01 degC: there both saturation curves meet (to 6e-9), so
// that what rests on this is continuous. At 0 degC they are 0.01 % apart.
template <Formulation Form>
constexpr Phase PhaseAt(double temperature) {
  return temperature <= Form::kTriplePoint ? Phase::kIce : Phase::kWater;
}

// Saturation pressure at a temperature and its derivatives by temperature, relative to
// it.
struct Saturation {
  double pressure;
  double log_slope;      // d ln p / dt
  double log_curvature;  // d2 ln p / dt2
};
template <Formulation Form>
Saturation SaturationAt(double temperature, Phase phase);

// Equations 5 (ice) and 6 (water).
template <Formulation Form, Real T>
T SaturationPressure(const T& temperature, Phase phase);
template <Formulation Form, Real T>
T SaturationPressure(const T& temperature);  // over what is there at this temperature
// Its inverse, for pressures above 0.
template <Formulation Form, Real T>
T SaturationTemperature(const T& vapour_pressure, Phase phase);

// Equation 20.
template <Formulation Form, Real V, Real P>
auto HumidityRatioFromVapourPressure(const V& vapour_pressure, const P& pressure) {
  return Form::kMassRatio * vapour_pressure / (pressure - vapour_pressure);
}
template <Formulation Form, Real W, Real P>
auto VapourPressure(const W& humidity_ratio, const P& pressure) {
  return pressure * humidity_ratio / (Form::kMassRatio + humidity_ratio);
}

// Specific humidity: vapour by mass of dry air and vapour together.
template <Real W>
W SpecificHumidity(const W& humidity_ratio) {
  return humidity_ratio / (1 + humidity_ratio);
}
template <Real S>
S HumidityRatioFromSpecificHumidity(const S& specific_humidity) {
  return specific_humidity / (1 - specific_humidity);
}

// Equations 33 (water) and 35 (ice), at the thermodynamic wet-bulb temperature.
template <Formulation Form, Real T, Real B, Real P>
auto HumidityRatioFromWetBulb(const T& dry_bulb, const B& wet_bulb, const P& pressure,
                              Phase wick);
// Dew over water, frost over ice.
template <Formulation Form, Real D, Real P>
auto HumidityRatioFromDewPoint(const D& dew_point, const P& pressure, Phase phase) {
  return HumidityRatioFromVapourPressure<Form>(SaturationPressure<Form>(dew_point, phase),
                                               pressure);
}
// Relative humidity (0 to 1) is vapour pressure over saturation pressure at the dry bulb;
// below freezing say over which phase: hygrometers commonly mean water (WMO No. 8,
// chapter 4; from memory), the Handbook ice.
template <Formulation Form, Real T, Real R, Real P>
auto HumidityRatioFromRelativeHumidity(const T& dry_bulb, const R& relative_humidity,
                                       const P& pressure, Phase phase) {
  return HumidityRatioFromVapourPressure<Form>(
      relative_humidity * SaturationPressure<Form>(dry_bulb, phase), pressure);
}
template <Formulation Form, Real T, Real W, Real P>
auto RelativeHumidity(const T& dry_bulb, const W& humidity_ratio, const P& pressure,
                      Phase phase) {
  return VapourPressure<Form>(humidity_ratio, pressure) /
         SaturationPressure<Form>(dry_bulb, phase);
}
// Humidity ratio over that of saturated air at the same dry bulb.
template <Formulation Form, Real T, Real W, Real P>
auto DegreeOfSaturation(const T& dry_bulb, const W& humidity_ratio, const P& pressure,
                        Phase phase) {
  const auto saturated = SaturationPressure<Form>(dry_bulb, phase);
  return humidity_ratio * (pressure - saturated) / (Form::kMassRatio * saturated);
}

// Equation 30; its inverses.
template <Formulation Form, Real T, Real W>
auto Enthalpy(const T& dry_bulb, const W& humidity_ratio) {
  return Form::kDryAirHeat * dry_bulb +
         humidity_ratio * (Form::kVapourEnthalpyAtZero + Form::kVapourHeat * dry_bulb);
}
template <Formulation Form, Real H, Real W>
auto DryBulbFromEnthalpy(const H& enthalpy, const W& humidity_ratio) {
  return (enthalpy - Form::kVapourEnthalpyAtZero * humidity_ratio) /
         (Form::kDryAirHeat + Form::kVapourHeat * humidity_ratio);
}
template <Formulation Form, Real T, Real H>
auto HumidityRatioFromEnthalpy(const T& dry_bulb, const H& enthalpy) {
  return (enthalpy - Form::kDryAirHeat * dry_bulb) /
         (Form::kVapourEnthalpyAtZero + Form::kVapourHeat * dry_bulb);
}
// Slope of equation 30 by dry bulb: heat per degree and unit of dry air.
template <Formulation Form, Real W>
auto SpecificHeat(const W& humidity_ratio) {
  return Form::kDryAirHeat + Form::kVapourHeat * humidity_ratio;
}

// Equation 26, per unit of dry air; its inverses; and mass of dry air and vapour over
// volume.
template <Formulation Form, Real T, Real W, Real P>
auto SpecificVolume(const T& dry_bulb, const W& humidity_ratio, const P& pressure) {
  return Form::kGasConstant * (dry_bulb - Form::kAbsoluteZero) *
         (1 + Form::kVolumeFactor * humidity_ratio) / pressure;
}
template <Formulation Form, Real V, Real W, Real P>
auto DryBulbFromSpecificVolume(const V& specific_volume, const W& humidity_ratio,
                               const P& pressure) {
  return specific_volume * pressure /
             (Form::kGasConstant * (1 + Form::kVolumeFactor * humidity_ratio)) +
         Form::kAbsoluteZero;
}
template <Formulation Form, Real T, Real V, Real P>
auto HumidityRatioFromSpecificVolume(const T& dry_bulb, const V& specific_volume,
                                     const P& pressure) {
  return (specific_volume * pressure /
              (Form::kGasConstant * (dry_bulb - Form::kAbsoluteZero)) -
          1) /
         Form::kVolumeFactor;
}
template <Formulation Form, Real T, Real W, Real P>
auto MoistAirDensity(const T& dry_bulb, const W& humidity_ratio, const P& pressure) {
  return (1 + humidity_ratio) * pressure /
         (Form::kGasConstant * (dry_bulb - Form::kAbsoluteZero) *
          (1 + Form::kVolumeFactor * humidity_ratio));
}

// The wet-bulb temperature that a wick of this phase shows: the inverse of
// HumidityRatioFromWetBulb. Between -110 and 230 degC; NaN where there is none.
template <Formulation Form, Real T, Real W, Real P>
auto WetBulb(const T& dry_bulb, const W& humidity_ratio, const P& pressure, Phase wick);
// The dew point (frost point over ice); humidity ratio above 0.
template <Formulation Form, Real W, Real P>
auto DewPoint(const W& humidity_ratio, const P& pressure, Phase phase) {
  return SaturationTemperature<Form>(VapourPressure<Form>(humidity_ratio, pressure),
                                     phase);
}

// Equations 3 and 4: -5000 to 11000 m.
template <Formulation Form, Real T>
T StandardPressure(const T& altitude) {
  using number::Pow;
  return Form::kSeaLevelPressure *
         Pow(1 - Form::kPressureFall * altitude, Form::kPressureExponent);
}
template <Formulation Form, Real T>
T StandardTemperature(const T& altitude) {
  return Form::kSeaLevelTemperature - Form::kTemperatureFall * altitude;
}

// A barometer as weather services report it is reduced to sea level; a test needs the
// pressure at the station, lower by about 12 Pa a metre. Hydrostatic column at a mean
// temperature (Hess, Introduction to Theoretical Meteorology, 1959, chapter 6.5; as
// quoted by PsychroLib 2.5.0).
template <Formulation Form, Real P, Real Z, Real T>
auto SeaLevelPressure(const P& station_pressure, const Z& altitude, const T& dry_bulb) {
  using number::Exp;
  return station_pressure *
         Exp(altitude / (Form::kColumnHeight * (dry_bulb - Form::kAbsoluteZero +
                                                Form::kColumnWarming * altitude)));
}
template <Formulation Form, Real P, Real Z, Real T>
auto StationPressure(const P& sea_level_pressure, const Z& altitude, const T& dry_bulb) {
  return sea_level_pressure / SeaLevelPressure<Form>(1.0, altitude, dry_bulb);
}

}  // namespace ratebound::fluid

#include "engine/fluid/moist_air_inline.h"  // IWYU pragma: export

#endif  // RATEBOUND_ENGINE_FLUID_MOIST_AIR_H_
