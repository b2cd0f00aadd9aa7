// Liquid water: IAPWS-IF97 region 1, the saturation line, viscosity and thermal
// conductivity.
//
// Example:
//   double rho = WaterDensity(7.0, 300e3);                  // 999.995 kg/m3
//   double h_j_per_kg = WaterEnthalpy(12.0, 300e3) - WaterEnthalpy(7.0, 300e3);
//   auto cp = WaterSpecificHeat(Dual<2>::Variable(12, 0), Dual<2>(300e3));
//
// Shapes: T is double or number::Dual<N>; the first argument names it, the second may be
// a double. Temperatures in degC (IF97's own scale, ITS-90), absolute pressures in Pa,
// J/kg, J/(kg K), kg/m3, m/s, Pa s, W/(m K).
//
// Range: 0 to 350 degC and from saturation to 100 MPa. Nothing is checked here: outside
// it the formulas go on smoothly and mean nothing (CheckLiquid of liquid.h checks).
// Slightly superheated liquid near saturation is within their meaning.
//
// Enthalpy and entropy are zero, as internal energy, for liquid at the triple point
// (IF97).
//
// Sources: IAPWS R7-97(2012), Revised Release on the IAPWS Industrial Formulation 1997
// for the Thermodynamic Properties of Water and Steam, tables 2, 3 and 34 and equations
// 7, 30 and 31;
// IAPWS R12-08, ... for the Viscosity of Ordinary Water Substance; IAPWS R15-11, ... for
// the Thermal Conductivity of Ordinary Water Substance. The coefficients of the last two
// and of the saturation line were written from memory and are held by their releases'
// verification tables (tests/data/water-if97; that of conductivity from memory too).
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FLUID_WATER_H_
#define RATEBOUND_ENGINE_FLUID_WATER_H_

#include <type_traits>

#include "engine/fluid/liquid_chain.h"
#include "engine/fluid/water_region1.h"
#include "engine/fluid/water_transport.h"
#include "engine/number/elementary.h"

namespace ratebound::fluid {

inline constexpr double kWaterLowestC = 0;
inline constexpr double kWaterHighestC = 350;
inline constexpr double kWaterHighestPa = 100e6;

// m3/kg.
template <typename T>
T WaterSpecificVolume(const T& t_c, const std::type_identity_t<T>& p_pa);
template <typename T>
T WaterDensity(const T& t_c, const std::type_identity_t<T>& p_pa);
template <typename T>
T WaterEnthalpy(const T& t_c, const std::type_identity_t<T>& p_pa);
template <typename T>
T WaterInternalEnergy(const T& t_c, const std::type_identity_t<T>& p_pa);
template <typename T>
T WaterEntropy(const T& t_c, const std::type_identity_t<T>& p_pa);
// Isobaric.
template <typename T>
T WaterSpecificHeat(const T& t_c, const std::type_identity_t<T>& p_pa);
template <typename T>
T WaterSpeedOfSound(const T& t_c, const std::type_identity_t<T>& p_pa);

// From 0 degC to the critical point, 373.946 degC and 22.064 MPa, and back.
template <typename T>
T WaterSaturationPressure(const T& t_c);
template <typename T>
T WaterSaturationTemperature(const T& p_pa);

// Both without the enhancement near the critical point: nothing to viscosity here, and to
// conductivity an omission that grows towards 350 degC.
template <typename T>
T WaterViscosity(const T& t_c, const std::type_identity_t<T>& p_pa);
template <typename T>
T WaterConductivity(const T& t_c, const std::type_identity_t<T>& p_pa);

// Implementation.

namespace internal {

// `formula` of a region-1 state.
template <typename T, typename Formula>
T OfRegion1(const Formula& formula, const T& t_c, const T& p_pa) {
  return Chained<T>(
      [&formula](const auto& t, const auto& p) {
        using S = std::decay_t<decltype(t)>;
        return formula(Region1<S>(t + kZeroCelsiusK, p));
      },
      t_c, p_pa);
}

template <typename S>
S Volume(const Region1<S>& state) {
  return kWaterGasConstant / kRegion1PressurePa * state.temperature_k() *
         state.template Gamma<1, 0>();
}

// n1 to n10 of table 34.
inline constexpr double kSaturation[] = {
    0.11670521452767e4,  -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
    -0.32325550322333e7, 0.14915108613530e2,  -0.48232657361591e4, 0.40511340542057e6,
    -0.23855557567849,   0.65017534844798e3};

}  // namespace internal

template <typename T>
T WaterSpecificVolume(const T& t_c, const std::type_identity_t<T>& p_pa) {
  return internal::OfRegion1<T>([](const auto& s) { return internal::Volume(s); }, t_c,
                                p_pa);
}

template <typename T>
T WaterDensity(const T& t_c, const std::type_identity_t<T>& p_pa) {
  return internal::OfRegion1<T>([](const auto& s) { return 1 / internal::Volume(s); },
                                t_c, p_pa);
}

template <typename T>
T WaterEnthalpy(const T& t_c, const std::type_identity_t<T>& p_pa) {
  return internal::OfRegion1<T>(
      [](const auto& s) {
        return kWaterGasConstant * internal::kRegion1TemperatureK *
               s.template Gamma<0, 1>();
      },
      t_c, p_pa);
}

template <typename T>
T WaterInternalEnergy(const T& t_c, const std::type_identity_t<T>& p_pa) {
  return internal::OfRegion1<T>(
      [](const auto& s) {
        return kWaterGasConstant * s.temperature_k() *
               (s.tau() * s.template Gamma<0, 1>() - s.pi() * s.template Gamma<1, 0>());
      },
      t_c, p_pa);
}

template <typename T>
T WaterEntropy(const T& t_c, const std::type_identity_t<T>& p_pa) {
  return internal::OfRegion1<T>(
      [](const auto& s) {
        return kWaterGasConstant *
               (s.tau() * s.template Gamma<0, 1>() - s.template Gamma<0, 0>());
      },
      t_c, p_pa);
}

template <typename T>
T WaterSpecificHeat(const T& t_c, const std::type_identity_t<T>& p_pa) {
  return internal::OfRegion1<T>(
      [](const auto& s) {
        return -kWaterGasConstant * (s.tau() * s.tau()) * s.template Gamma<0, 2>();
      },
      t_c, p_pa);
}

template <typename T>
T WaterSpeedOfSound(const T& t_c, const std::type_identity_t<T>& p_pa) {
  return internal::OfRegion1<T>(
      [](const auto& s) {
        const auto by_pi = s.template Gamma<1, 0>();
        const auto mixed = by_pi - s.tau() * s.template Gamma<1, 1>();
        const auto stiffness =
            mixed * mixed / (s.tau() * s.tau() * s.template Gamma<0, 2>()) -
            s.template Gamma<2, 0>();
        return by_pi * number::Sqrt(kWaterGasConstant * s.temperature_k() / stiffness);
      },
      t_c, p_pa);
}

template <typename T>
T WaterSaturationPressure(const T& t_c) {
  return Chained<T>(
      [](const auto& t) {
        const auto& n = internal::kSaturation;
        const auto kelvin = t + kZeroCelsiusK;
        const auto theta = kelvin + n[8] / (kelvin - n[9]);
        const auto a = (theta + n[0]) * theta + n[1];
        const auto b = (n[2] * theta + n[3]) * theta + n[4];
        const auto c = (n[5] * theta + n[6]) * theta + n[7];
        const auto root = 2 * c / (number::Sqrt(b * b - 4 * (a * c)) - b);
        return 1e6 * number::IntegerPower(root, 4);
      },
      t_c);
}

template <typename T>
T WaterSaturationTemperature(const T& p_pa) {
  return Chained<T>(
      [](const auto& p) {
        const auto& n = internal::kSaturation;
        const auto beta = number::Sqrt(number::Sqrt(p / 1e6));
        const auto e = (beta + n[2]) * beta + n[5];
        const auto f = (n[0] * beta + n[3]) * beta + n[6];
        const auto g = (n[1] * beta + n[4]) * beta + n[7];
        const auto d = 2 * g / (-f - number::Sqrt(f * f - 4 * (e * g)));
        const auto sum = n[9] + d;
        const auto kelvin = (sum - number::Sqrt(sum * sum - 4 * (n[8] + n[9] * d))) / 2;
        return kelvin - kZeroCelsiusK;
      },
      p_pa);
}

template <typename T>
T WaterViscosity(const T& t_c, const std::type_identity_t<T>& p_pa) {
  return ViscosityOfWaterAt(t_c, WaterDensity(t_c, p_pa));
}

template <typename T>
T WaterConductivity(const T& t_c, const std::type_identity_t<T>& p_pa) {
  return ConductivityOfWaterAt(t_c, WaterDensity(t_c, p_pa));
}

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_WATER_H_
