// The equations of the air side, once for doubles, dual numbers and lanes of points.
//
// Formulas: ASHRAE Standard 37-2009 (from memory, as the method files say) with the
// constants of the method; the states of air by ASHRAE Handbook - Fundamentals 2017,
// chapter 1, in the formulation of the method's unit system (engine/fluid). All in that
// system's units: see moist_air_formulation.h, and cfm, ft/min, lb/h, Btu/h or m3/s, m/s,
// kg/s, W.
//
// A lane type brings LaneSaturationPressure<Form>, Sqrt and ValueOf of its own.
//
// Everything here is a plain struct or a template, so that a file compiled for a wider
// instruction set gives nothing away that others could be linked to.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_AIR_EQUATIONS_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_AIR_EQUATIONS_H_

#include "engine/fluid/moist_air.h"
#include "engine/number/dual.h"
#include "engine/number/elementary.h"

namespace ratebound::points {

enum class HumidityReading { kWetBulb, kDewPoint, kRelativeHumidity, kHumidityRatio };
// At which humidity ratio the specific heat of a sensible difference is taken.
enum class SpecificHeatAt { kOwn, kMean, kLeaving, kEntering };
enum class FlowReading { kStandard, kEntering, kLeaving, kMass, kNozzles };

inline constexpr int kMostNozzleSizes = 8;

struct NozzleSize {
  double diameter = 0;  // ft or m
  double area = 0;      // of all of this size, ft2 or m2
  bool fixed = false;   // takes fixed_coefficient
};

struct AirConstants {
  double dry_air_specific_heat = 0;
  double water_vapour_specific_heat = 0;
  double latent_heat = 0;
  double standard_air_density = 0;
  double power_heat = 1;  // heat flow of 1 W
  bool standard_air_is_mixture = false;
  SpecificHeatAt sensible_at = SpecificHeatAt::kOwn;
  SpecificHeatAt heating_at = SpecificHeatAt::kLeaving;

  bool heating = false;
  bool latent_from_condensate = false;
  bool leaving_air_ahead_of_fan = false;
  double duct_loss_w_per_k = 0;
  FlowReading flow = FlowReading::kStandard;

  double nozzle_flow_constant = 0;
  double water_columns_per_pa = 1;  // of the nozzle method's pressure difference
  double coefficient_constant = 0;
  double coefficient_root_term = 0;
  double coefficient_inverse_term = 0;
  double viscosity_at_zero = 0;
  double viscosity_slope = 0;
  double fixed_coefficient = 0;
  int nozzle_sizes = 0;
  int largest_nozzle = 0;  // the one with the greatest velocity
  NozzleSize nozzles[kMostNozzleSizes];
};

// Which readings there are.
struct AirPattern {
  HumidityReading entering = HumidityReading::kWetBulb;
  HumidityReading leaving = HumidityReading::kWetBulb;
  bool leaving_humidity_is_entering = false;  // heating without a leaving humidity
  bool has_fan_power = false;
};

// In SI, as read; 0 where not.
template <class T>
struct AirReadings {
  T entering_db_c = T(0.0);
  T entering_moisture = T(0.0);  // degC, 1 or kg/kg, by the pattern
  T leaving_db_c = T(0.0);
  T leaving_moisture = T(0.0);
  T barometer_pa = T(0.0);
  T flow = T(0.0);  // m3/s, kg/s, or Pa over the nozzles
  T nozzle_air_db_c = T(0.0);
  T ambient_air_db_c = T(0.0);
  T condensate_kg_s = T(0.0);
  T fan_w = T(0.0);
};

template <class T>
struct AirState {
  T temperature = T(0.0);
  T humidity_ratio = T(0.0);
  T enthalpy = T(0.0);
  T specific_heat = T(0.0);
};

template <class T>
struct NozzleFlow {
  T reynolds;
  T coefficient;
  T velocity;
  T flow;
};

// In the method's units. What the constants have no use for stays 0, and of nozzles
// unset.
template <class T>
struct AirAnswers {
  T pressure = T(0.0);
  AirState<T> entering;
  AirState<T> leaving;
  T entering_volume = T(0.0);  // per mass of dry air
  T leaving_volume = T(0.0);   // set where the flow is one of leaving air

  T nozzle_pressure_drop = T(0.0);
  T nozzle_volume = T(0.0);          // per mass of dry air
  T nozzle_mixture_volume = T(0.0);  // per mass of moist air
  T nozzle_viscosity = T(0.0);
  T ideal_velocity = T(0.0);  // with a discharge coefficient of 1
  NozzleFlow<T> nozzles[kMostNozzleSizes];
  T nozzle_flow = T(0.0);
  T throat_velocity = T(0.0);  // of the largest nozzle, which has the greatest

  T air_flow = T(0.0);  // at the entering state
  T standard_air_flow = T(0.0);
  T dry_air_flow = T(0.0);  // mass
  T duct_heat = T(0.0);     // added to the capacity
  T fan_heat = T(0.0);
  T condensate = T(0.0);
  T moisture_removal = T(0.0);
  // Cooling: total, sensible and latent. Heating: total alone.
  T air_total = T(0.0);  // of the air between the stations, ducts included
  T air_sensible = T(0.0);
  T latent = T(0.0);
  T net_total = T(0.0);
  T net_sensible = T(0.0);
  T gross_total = T(0.0);
  T gross_sensible = T(0.0);
};

// From the SI to the units of a formulation, and back.
template <class Form>
struct AirUnits;

template <>
struct AirUnits<fluid::Si> {
  static constexpr double kMinute = 1;  // what flow a unit of volume flow is in mass
                                        // flow's unit of time
  static constexpr double kHeatW = 1;
  static constexpr double kMassFlowKgPerS = 1;
  static constexpr double kVolumeFlowM3PerS = 1;
  static constexpr double kVelocityMPerS = 1;
  static constexpr double kLengthM = 1;
  static constexpr double kVelocityPerSecond = 1;
  template <class T>
  [[gnu::always_inline]] static T Temperature(const T& celsius) {
    return celsius;
  }
  template <class T>
  [[gnu::always_inline]] static T Pressure(const T& pascal) {
    return pascal;
  }
};

template <>
struct AirUnits<fluid::InchPound> {
  static constexpr double kMinute = 60;
  static constexpr double kHeatW = 1055.05585262 / 3600;
  static constexpr double kMassFlowKgPerS = 0.45359237 / 3600;
  static constexpr double kVolumeFlowM3PerS = 0.028316846592 / 60;
  static constexpr double kVelocityMPerS = 0.3048 / 60;
  static constexpr double kLengthM = 0.3048;
  static constexpr double kVelocityPerSecond = 60;  // ft/min to ft/s
  template <class T>
  [[gnu::always_inline]] static T Temperature(const T& celsius) {
    return celsius * 1.8 + 32.0;
  }
  template <class T>
  [[gnu::always_inline]] static T Pressure(const T& pascal) {
    return pascal * fluid::InchPound::kPascal;
  }
};

// The states of air. For doubles and duals these are engine/fluid's; for lanes the same
// operations in the same order, which tests hold to the same bits.
template <class Form, class T>
[[gnu::always_inline]] inline T SaturationPressureOver(const T& temperature,
                                                       fluid::Phase phase) {
  if constexpr (fluid::Real<T>) {
    return fluid::SaturationPressure<Form>(temperature, phase);
  } else {
    return LaneSaturationPressure<Form>(temperature);
  }
}

template <class Form, class T>
[[gnu::always_inline]] inline T HumidityRatioOf(const T& vapour_pressure,
                                                const T& pressure) {
  return Form::kMassRatio * vapour_pressure / (pressure - vapour_pressure);
}

template <class Form, class T>
[[gnu::always_inline]] inline T HumidityRatioOfWetBulb(const T& db, const T& wb,
                                                       const T& pressure,
                                                       fluid::Phase wick) {
  if constexpr (fluid::Real<T>) {
    return fluid::HumidityRatioFromWetBulb<Form>(db, wb, pressure, wick);
  } else {
    constexpr fluid::WickCoefficients c = Form::kWaterWick;
    const T saturation = LaneSaturationPressure<Form>(wb);
    const T dry_pressure = pressure - saturation;
    return (Form::kMassRatio * (c.latent_heat - c.latent_heat_fall * wb) * saturation -
            Form::kDryAirHeat * (db - wb) * dry_pressure) /
           ((c.latent_heat + Form::kVapourHeat * db - c.wick_heat * wb) * dry_pressure);
  }
}

// Per mass of dry air.
template <class Form, class T>
[[gnu::always_inline]] inline T SpecificVolumeOf(const T& db, const T& w,
                                                 const T& pressure) {
  return Form::kGasConstant * (db - Form::kAbsoluteZero) *
         (1.0 + Form::kVolumeFactor * w) / pressure;
}

template <class Form, class T>
[[gnu::always_inline]] inline T HumidityRatioFrom(HumidityReading reading, const T& db,
                                                  const T& moisture, const T& pressure,
                                                  fluid::Phase phase) {
  using Units = AirUnits<Form>;
  switch (reading) {
    case HumidityReading::kWetBulb:
      return HumidityRatioOfWetBulb<Form>(db, Units::Temperature(moisture), pressure,
                                          phase);
    case HumidityReading::kDewPoint:
      return HumidityRatioOf<Form>(
          SaturationPressureOver<Form>(Units::Temperature(moisture), phase), pressure);
    case HumidityReading::kRelativeHumidity:
      return HumidityRatioOf<Form>(moisture * SaturationPressureOver<Form>(db, phase),
                                   pressure);
    case HumidityReading::kHumidityRatio:
      break;
  }
  return moisture;
}

template <class T>
[[gnu::always_inline]] inline void CompleteState(const AirConstants& k,
                                                 AirState<T>& state) {
  state.specific_heat =
      k.dry_air_specific_heat + k.water_vapour_specific_heat * state.humidity_ratio;
  state.enthalpy = k.dry_air_specific_heat * state.temperature +
                   state.humidity_ratio *
                       (k.latent_heat + k.water_vapour_specific_heat * state.temperature);
}

// C = a - b z + c z^2 with z = 1/sqrt(Re) and Re = C Re1, where Re1 is the Reynolds
// number at a coefficient of 1: the root of f(z) = Re1 z^2 (a - b z + c z^2) - 1. The
// start, with 1/sqrt(C) taken as (3 - C)/2, is within 0.004 of the root from Re1 = 1000
// on; Halley's step cubes the relative distance, Newton's squares it. The latter is taken
// in T, which gives the implicit derivative.
template <class T>
[[gnu::always_inline]] inline T DischargeCoefficient(const AirConstants& k,
                                                     const T& reynolds_of_one) {
  using number::Sqrt;
  using number::ValueOf;
  const double a = k.coefficient_constant;
  const double b = k.coefficient_root_term;
  const double c = k.coefficient_inverse_term;
  const auto re = ValueOf(reynolds_of_one);
  const auto start = 1.0 / Sqrt(re);
  const auto seed = start * (1.5 - 0.5 * (a - start * (b - start * c)));
  const auto f = re * (seed * seed * (a - seed * (b - seed * c))) - 1.0;
  const auto slope = re * (seed * (2 * a - seed * (3 * b - seed * (4 * c))));
  const auto curvature = re * (2 * a - seed * (6 * b - seed * (12 * c)));
  const auto z = seed - 2.0 * f * slope / (2.0 * slope * slope - f * curvature);
  const auto slope_there = re * (z * (2 * a - z * (3 * b - z * (4 * c))));
  const T root =
      z - (reynolds_of_one * (z * z * (a - z * (b - z * c))) - 1.0) / slope_there;
  return a - root * (b - root * c);
}

template <class Form, class T>
[[gnu::always_inline]] inline void SolveNozzles(const AirConstants& k,
                                                const AirReadings<T>& in,
                                                AirAnswers<T>& out) {
  using number::Sqrt;
  using Units = AirUnits<Form>;
  const T db = Units::Temperature(in.nozzle_air_db_c);
  const T one_and_w = 1.0 + out.leaving.humidity_ratio;
  out.nozzle_pressure_drop = in.flow * k.water_columns_per_pa;
  out.nozzle_volume =
      SpecificVolumeOf<Form>(db, out.leaving.humidity_ratio, out.pressure);
  out.nozzle_mixture_volume = out.nozzle_volume / one_and_w;
  out.nozzle_viscosity = k.viscosity_at_zero + k.viscosity_slope * db;
  out.ideal_velocity =
      k.nozzle_flow_constant * Sqrt(out.nozzle_pressure_drop * out.nozzle_mixture_volume);
  const T reynolds_per_length =
      out.ideal_velocity /
      (Units::kVelocityPerSecond * (out.nozzle_viscosity * out.nozzle_mixture_volume));
  out.nozzle_flow = T(0.0);
  for (int i = 0; i < k.nozzle_sizes; ++i) {
    NozzleFlow<T>& nozzle = out.nozzles[i];
    const T reynolds_of_one = reynolds_per_length * k.nozzles[i].diameter;
    nozzle.coefficient = k.nozzles[i].fixed ? T(k.fixed_coefficient)
                                            : DischargeCoefficient(k, reynolds_of_one);
    nozzle.reynolds = reynolds_of_one * nozzle.coefficient;
    nozzle.velocity = nozzle.coefficient * out.ideal_velocity;
    nozzle.flow = nozzle.velocity * k.nozzles[i].area;
    out.nozzle_flow = out.nozzle_flow + nozzle.flow;
    if (i == k.largest_nozzle) out.throat_velocity = nozzle.velocity;
  }
}

template <class T>
[[gnu::always_inline]] inline T SensibleDifference(SpecificHeatAt at,
                                                   const AirState<T>& entering,
                                                   const AirState<T>& leaving) {
  switch (at) {
    case SpecificHeatAt::kOwn:
      return entering.specific_heat * entering.temperature -
             leaving.specific_heat * leaving.temperature;
    case SpecificHeatAt::kMean:
      return 0.5 * (entering.specific_heat + leaving.specific_heat) *
             (entering.temperature - leaving.temperature);
    case SpecificHeatAt::kLeaving:
      return leaving.specific_heat * (entering.temperature - leaving.temperature);
    case SpecificHeatAt::kEntering:
      break;
  }
  return entering.specific_heat * (entering.temperature - leaving.temperature);
}

// The air side in the order of its parts. The phases are those that the moisture readings
// mean; lanes know water only.
template <class Form, class T>
[[gnu::always_inline]] inline void SolveEntering(const AirConstants& k,
                                                 const AirPattern& pattern,
                                                 const AirReadings<T>& in,
                                                 fluid::Phase entering_phase,
                                                 AirAnswers<T>& out) {
  using Units = AirUnits<Form>;
  out.pressure = Units::Pressure(in.barometer_pa);
  out.entering.temperature = Units::Temperature(in.entering_db_c);
  out.entering.humidity_ratio =
      HumidityRatioFrom<Form>(pattern.entering, out.entering.temperature,
                              in.entering_moisture, out.pressure, entering_phase);
  CompleteState(k, out.entering);
}

template <class Form, class T>
[[gnu::always_inline]] inline void SolveLeaving(const AirConstants& k,
                                                const AirPattern& pattern,
                                                const AirReadings<T>& in,
                                                fluid::Phase leaving_phase,
                                                AirAnswers<T>& out) {
  using Units = AirUnits<Form>;
  out.leaving.temperature = Units::Temperature(in.leaving_db_c);
  out.leaving.humidity_ratio =
      pattern.leaving_humidity_is_entering
          ? out.entering.humidity_ratio
          : HumidityRatioFrom<Form>(pattern.leaving, out.leaving.temperature,
                                    in.leaving_moisture, out.pressure, leaving_phase);
  CompleteState(k, out.leaving);
}

template <class Form, class T>
[[gnu::always_inline]] inline void SolveFlow(const AirConstants& k,
                                             const AirReadings<T>& in,
                                             AirAnswers<T>& out) {
  using Units = AirUnits<Form>;
  const double standard = k.standard_air_density * Units::kMinute;
  const T one_and_w = 1.0 + out.leaving.humidity_ratio;
  switch (k.flow) {
    case FlowReading::kStandard:
      out.standard_air_flow = in.flow / Units::kVolumeFlowM3PerS;
      out.dry_air_flow = out.standard_air_flow * standard;
      if (k.standard_air_is_mixture) out.dry_air_flow = out.dry_air_flow / one_and_w;
      break;
    case FlowReading::kEntering:
      out.air_flow = in.flow / Units::kVolumeFlowM3PerS;
      out.entering_volume = SpecificVolumeOf<Form>(
          out.entering.temperature, out.entering.humidity_ratio, out.pressure);
      out.dry_air_flow = out.air_flow * Units::kMinute / out.entering_volume;
      break;
    case FlowReading::kLeaving:
      out.leaving_volume = SpecificVolumeOf<Form>(
          out.leaving.temperature, out.leaving.humidity_ratio, out.pressure);
      out.dry_air_flow =
          in.flow / Units::kVolumeFlowM3PerS * Units::kMinute / out.leaving_volume;
      break;
    case FlowReading::kMass:
      out.dry_air_flow = in.flow / Units::kMassFlowKgPerS;
      break;
    case FlowReading::kNozzles:
      SolveNozzles<Form>(k, in, out);
      out.dry_air_flow = Units::kMinute * out.nozzle_flow / out.nozzle_volume;
      break;
  }
}

template <class Form, class T>
[[gnu::always_inline]] inline void SolveCapacities(const AirConstants& k,
                                                   const AirReadings<T>& in,
                                                   AirAnswers<T>& out) {
  using Units = AirUnits<Form>;
  out.moisture_removal =
      out.dry_air_flow * (out.entering.humidity_ratio - out.leaving.humidity_ratio);
  out.fan_heat = in.fan_w * k.power_heat;
  // Heat that the ducts between coil and station take in: cooled air warms in them, and
  // heated air cools.
  out.duct_heat = k.duct_loss_w_per_k / Units::kHeatW *
                  (k.heating ? in.leaving_db_c - in.ambient_air_db_c
                             : in.ambient_air_db_c - in.leaving_db_c);
  if (k.heating) {
    out.air_total =
        out.duct_heat -
        out.dry_air_flow * SensibleDifference(k.heating_at, out.entering, out.leaving);
    out.net_total =
        k.leaving_air_ahead_of_fan ? out.air_total + out.fan_heat : out.air_total;
    out.gross_total = out.net_total - out.fan_heat;
    return;
  }
  const T sensible_of_air =
      out.dry_air_flow * SensibleDifference(k.sensible_at, out.entering, out.leaving);
  out.air_sensible = sensible_of_air + out.duct_heat;
  if (k.latent_from_condensate) {
    out.condensate = in.condensate_kg_s / Units::kMassFlowKgPerS;
    out.moisture_removal = out.condensate;
    out.latent = k.latent_heat * out.condensate;
    out.air_total = out.air_sensible + out.latent;
  } else {
    const T total_of_air =
        out.dry_air_flow * (out.entering.enthalpy - out.leaving.enthalpy);
    out.air_total = total_of_air + out.duct_heat;
    out.latent = k.sensible_at == SpecificHeatAt::kOwn
                     ? k.latent_heat * out.moisture_removal
                     : total_of_air - sensible_of_air;
  }
  const T before_fan = k.leaving_air_ahead_of_fan ? out.fan_heat : T(0.0);
  out.net_total = out.air_total - before_fan;
  out.net_sensible = out.air_sensible - before_fan;
  out.gross_total = out.net_total + out.fan_heat;
  out.gross_sensible = out.net_sensible + out.fan_heat;
}

// The forms of the air flow that were not read.
template <class Form, class T>
[[gnu::always_inline]] inline void SolveStandardAirFlow(const AirConstants& k,
                                                        AirAnswers<T>& out) {
  if (k.flow == FlowReading::kStandard) return;
  out.standard_air_flow =
      out.dry_air_flow / (k.standard_air_density * AirUnits<Form>::kMinute);
  if (k.standard_air_is_mixture) {
    out.standard_air_flow = out.standard_air_flow * (1.0 + out.leaving.humidity_ratio);
  }
}
template <class Form, class T>
[[gnu::always_inline]] inline void SolveEnteringAirFlow(const AirConstants& k,
                                                        AirAnswers<T>& out) {
  if (k.flow == FlowReading::kEntering) return;
  out.entering_volume = SpecificVolumeOf<Form>(out.entering.temperature,
                                               out.entering.humidity_ratio, out.pressure);
  out.air_flow = out.dry_air_flow * out.entering_volume / AirUnits<Form>::kMinute;
}

template <class Form, class T>
[[gnu::always_inline]] inline void SolveAir(
    const AirConstants& k, const AirPattern& pattern, const AirReadings<T>& in,
    fluid::Phase entering_phase, fluid::Phase leaving_phase, AirAnswers<T>& out) {
  SolveEntering<Form>(k, pattern, in, entering_phase, out);
  SolveLeaving<Form>(k, pattern, in, leaving_phase, out);
  SolveFlow<Form>(k, in, out);
  SolveStandardAirFlow<Form>(k, out);
  SolveEnteringAirFlow<Form>(k, out);
  SolveCapacities<Form>(k, in, out);
}

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_AIR_EQUATIONS_H_
