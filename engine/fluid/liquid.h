// The liquids of hydronic tests behind one face: water, ethylene glycol and propylene
// glycol in water.
//
// Example:
//   const Liquid brine{LiquidKind::kPropyleneGlycol, 0.30};
//   RETURN_IF_ERROR(CheckLiquid(brine, leaving_c, kPressurePa));
//   double mass_flow_kg_s = flow_m3_s * Density(brine, leaving_c, kPressurePa);
//   double capacity_w = mass_flow_kg_s * EnthalpyDifference(brine, leaving_c,
//   kPressurePa,
//                                                           entering_c, kPressurePa);
//
// With uncertainty, and the concentration measured too:
//   using D = number::Dual<3>;
//   BasicLiquid<D> measured{LiquidKind::kPropyleneGlycol, D::Variable(0.30, 0)};
//   D rho = Density(measured, D::Variable(7, 1), D::Variable(300e3, 2));
//
// Shapes: T is double or number::Dual<N> and is named by the (first) temperature;
// pressure and concentration may be doubles or T. Temperatures in degC, absolute
// pressures in Pa; kg/m3, J/(kg K), J/kg, Pa s, W/(m K). Concentration: glycol by mass of
// the mixture, 0 to 0.6; for water it has no part and CheckLiquid asks that it be 0.
// Percent by volume is no input: its meaning differs between sources, by a percent or
// two.
//
// Pressure acts on water alone. Range and sources: water.h, glycol.h. The property
// functions check nothing; call CheckLiquid once for a state. Value bits are the same for
// doubles and duals.
//
// Freezing protection of a plant is not decided by FreezingPoint: the maker of the unit
// and local practice ask for a margin.
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FLUID_LIQUID_H_
#define RATEBOUND_ENGINE_FLUID_LIQUID_H_

#include <optional>
#include <string_view>
#include <type_traits>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/fluid/glycol.h"
#include "engine/fluid/water.h"

namespace ratebound::fluid {

// Absolute pressure of a hydronic circuit where nobody says it: density hardly depends on
// it (common practice, no source).
inline constexpr double kUsualLiquidPressurePa = 3e5;

enum class LiquidKind { kWater, kEthyleneGlycol, kPropyleneGlycol };

// X is double, or number::Dual<N> for a concentration that was measured.
template <typename X>
struct BasicLiquid {
  LiquidKind kind = LiquidKind::kWater;
  X concentration_fraction = 0;
};
using Liquid = BasicLiquid<double>;

// For CheckLiquid and Describe.
template <typename X>
Liquid WithoutDerivatives(const BasicLiquid<X>& liquid) {
  return {liquid.kind, number::ValueOf(liquid.concentration_fraction)};
}

// "water", "ethylene_glycol", "propylene_glycol".
std::string_view LiquidKindName(LiquidKind kind);
// INVALID_ARGUMENT with the nearest name.
absl::StatusOr<LiquidKind> ParseLiquidKind(std::string_view name);

// INVALID_ARGUMENT that names the limit: a concentration or temperature out of range or
// below freezing, a pressure above the range or below saturation, anything not finite.
// Glycols are held to the pressure range too but not to saturation, which is not known.
absl::Status CheckLiquid(const Liquid& liquid, double temperature_c, double pressure_pa);

template <typename T, typename X>
T Density(const BasicLiquid<X>& liquid, const T& t_c,
          const std::type_identity_t<T>& p_pa);
// Isobaric.
template <typename T, typename X>
T SpecificHeat(const BasicLiquid<X>& liquid, const T& t_c,
               const std::type_identity_t<T>& p_pa);
template <typename T, typename X>
T Viscosity(const BasicLiquid<X>& liquid, const T& t_c,
            const std::type_identity_t<T>& p_pa);
template <typename T, typename X>
T Conductivity(const BasicLiquid<X>& liquid, const T& t_c,
               const std::type_identity_t<T>& p_pa);

// Enthalpy at `to` less that at `from`. For water exact in both temperature and pressure;
// for glycols the integral of specific heat, so that a fall of pressure counts for
// nothing (in water it is 0.1 kJ/kg a bar, as much as 0.024 K).
template <typename T, typename X>
T EnthalpyDifference(const BasicLiquid<X>& liquid, const T& from_c,
                     const std::type_identity_t<T>& from_pa,
                     const std::type_identity_t<T>& to_c,
                     const std::type_identity_t<T>& to_pa);

// degC; 0 for water, whatever the pressure.
template <typename X>
X FreezingPoint(const BasicLiquid<X>& liquid);

// Every property at one state, for reports.
struct LiquidState {
  Liquid liquid;
  double temperature_c = 0;
  double pressure_pa = 0;
  double density_kg_m3 = 0;
  double specific_heat_j_kg_k = 0;
  double viscosity_pa_s = 0;
  double conductivity_w_m_k = 0;
  double freezing_point_c = 0;
  // Where it boils at this pressure; empty for glycols and above the critical pressure.
  std::optional<double> saturation_c;
};
absl::StatusOr<LiquidState> Describe(const Liquid& liquid, double temperature_c,
                                     double pressure_pa);

// Implementation.

namespace internal {

// Only for kinds other than water.
inline Glycol GlycolOf(LiquidKind kind) {
  return kind == LiquidKind::kEthyleneGlycol ? Glycol::kEthylene : Glycol::kPropylene;
}

}  // namespace internal

template <typename T, typename X>
T Density(const BasicLiquid<X>& liquid, const T& t_c,
          const std::type_identity_t<T>& p_pa) {
  if (liquid.kind == LiquidKind::kWater) return WaterDensity(t_c, p_pa);
  return GlycolDensity(internal::GlycolOf(liquid.kind), liquid.concentration_fraction,
                       t_c);
}

template <typename T, typename X>
T SpecificHeat(const BasicLiquid<X>& liquid, const T& t_c,
               const std::type_identity_t<T>& p_pa) {
  if (liquid.kind == LiquidKind::kWater) return WaterSpecificHeat(t_c, p_pa);
  return GlycolSpecificHeat(internal::GlycolOf(liquid.kind),
                            liquid.concentration_fraction, t_c);
}

template <typename T, typename X>
T Viscosity(const BasicLiquid<X>& liquid, const T& t_c,
            const std::type_identity_t<T>& p_pa) {
  if (liquid.kind == LiquidKind::kWater) return WaterViscosity(t_c, p_pa);
  return GlycolViscosity(internal::GlycolOf(liquid.kind), liquid.concentration_fraction,
                         t_c);
}

template <typename T, typename X>
T Conductivity(const BasicLiquid<X>& liquid, const T& t_c,
               const std::type_identity_t<T>& p_pa) {
  if (liquid.kind == LiquidKind::kWater) return WaterConductivity(t_c, p_pa);
  return GlycolConductivity(internal::GlycolOf(liquid.kind),
                            liquid.concentration_fraction, t_c);
}

template <typename T, typename X>
T EnthalpyDifference(const BasicLiquid<X>& liquid, const T& from_c,
                     const std::type_identity_t<T>& from_pa,
                     const std::type_identity_t<T>& to_c,
                     const std::type_identity_t<T>& to_pa) {
  if (liquid.kind == LiquidKind::kWater) {
    return WaterEnthalpy(to_c, to_pa) - WaterEnthalpy(from_c, from_pa);
  }
  return GlycolEnthalpyDifference(internal::GlycolOf(liquid.kind),
                                  liquid.concentration_fraction, from_c, to_c);
}

template <typename X>
X FreezingPoint(const BasicLiquid<X>& liquid) {
  if (liquid.kind == LiquidKind::kWater) return X(kWaterLowestC);
  return GlycolFreezingPoint(internal::GlycolOf(liquid.kind),
                             liquid.concentration_fraction);
}

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_LIQUID_H_
