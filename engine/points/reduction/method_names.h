// Which numbers, rules and inputs each kind of method asks for: the contract between the
// files of ratings/procedures/methods and the formulas of this folder.
//
// Numbers stand in the method's own units: `unit_system` is "inch_pound" (degF, in_wg,
// cfm, lb/h, Btu/h, gpm) or "si" (degC, Pa, m3/s, kg/s, W). (required_inputs may stand in
// for any number.)
//
// AIR_ENTHALPY
//   dry_air_specific_heat       Btu/lb-degF or J/kg-K: h = cp_a t + W (latent_heat + cp_v
//   t) water_vapour_specific_heat  Btu/lb-degF or J/kg-K latent_heat Btu/lb or J/kg
//   standard_air_density        lb/ft3 or kg/m3
//   power_heat                  Btu/Wh: heat of electric power; inch_pound only
//   balance_limit               %, optional: how far two methods of one test may differ
//   rule sensible_specific_heat own_humidity: cp1 t1 - cp2 t2, each at its own humidity;
//                               entering_humidity, leaving_humidity, mean_humidity: that
//                               cp times t1 - t2, and latent capacity is the difference
//                               to the total
//   rule heating_specific_heat  the same, of heating capacity
//   rule standard_air           mixture or dry_air: whose mass standard_air_flow counts
// NOZZLE_AIR_FLOW
//   flow_constant               cfm from in_wg, ft3/lb and ft2; or m3/s from Pa, m3/kg,
//   m2:
//                               flow = constant C A sqrt(dp v)
//   throat_velocity_low, throat_velocity_high   ft/min or m/s
//   rule nozzle_coefficient     reynolds: C = a - b/sqrt(Re) + c/Re with
//                                 coefficient_constant, coefficient_root_term,
//                                 coefficient_inverse_term;
//                               fixed: fixed_coefficient from a throat of
//                                 fixed_from_diameter (in or mm) on, and the Reynolds
//                                 form below it where its numbers are there
//   viscosity_at_zero, viscosity_slope   of air, lb/(ft s) and that per degF, or Pa s and
//                               that per K, at 0 of the scale; with the Reynolds form
//   rule inch_of_water          in_wg_4c or in_wg_60f; inch_pound only
// LIQUID_HEAT
//   rule heat_form              enthalpy_difference: mass flow times the difference;
//                               mean_specific_heat: mass flow, specific heat at the mean
//                                 temperature, temperature difference;
//                               factor: flow_factor times volume flow times difference
//   flow_factor                 Btu/h for each gpm and degF (or W for each m3/s and K)
//   balance_limit               %, optional
//   power_heat                  Btu/Wh, inch_pound only
// FAN_PUMP_CORRECTION, power = (flow flow_factor) (pressure pressure_factor) / divisor
//   fan_flow_factor, fan_pressure_factor, fan_divisor     and the same of pump_...:
//                               inch_pound with the form "divisor"; W from cfm and in_wg,
//                               gpm and ft_wg
//   fan_efficiency              with the form "efficiency": hydraulic power by it
//   pump_efficiency             with the form "efficiency"
//   power_heat                  Btu/Wh, inch_pound only
//   rule fan_form               divisor or efficiency
//   rule pump_form              divisor, efficiency, or hydraulic_power, whose efficiency
//                               is small_pump_factor Ph^small_pump_exponent up to
//                               pump_power_limit (W) and large_pump_factor ln(Ph) -
//                               large_pump_offset above it
//   rule fan_capacity_term      whole: the power; loss: its part outside the fluid,
//                               (1 - efficiency); none; share: fan_capacity_share of the
//                               power, 0 to 1
//   rule pump_capacity_term     the same, with pump_capacity_share
//   rule inch_of_water          in_wg_4c or in_wg_60f; inch_pound only; feet likewise
// STEADINESS
//   recording_time, equilibrium_time  min, optional; greatest_interval  s, optional
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_METHOD_NAMES_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_METHOD_NAMES_H_

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/status.h"
#include "engine/base/fault.h"
#include "engine/document/method.h"
#include "engine/document/reduction.h"

namespace ratebound::points {

// A number in use, with where it was read.
struct MethodValue {
  double value = 0;
  std::string unit;
  document::Citation citation;
};

// "AIR_ENTHALPY", for messages.
std::string_view MethodKindName(document::MethodKind kind);

// INVALID_ARGUMENT, all faults together, each with the nearest name: a number, rule or
// input that the kind does not know, lacks, or has twice; a choice that a rule does not
// have; a unit other than above.
absl::Status CheckMethodNames(const document::MeasurementMethod& method);

// A checked method with the manifest's answers to its inputs.
class MethodReader {
 public:
  // Faults go to `faults`; `method` and `inputs` must outlive the reader.
  MethodReader(const document::MeasurementMethod& method,
               std::span<const document::MethodInput> inputs, base::FaultList& faults);

  // A number, or the manifest's value of the input of that name. A fault and 0 where
  // there is neither.
  MethodValue Number(std::string_view name);
  bool Has(std::string_view name) const;
  // Empty where absent.
  std::string_view Rule(std::string_view name) const;
  document::Citation RuleCitation(std::string_view name) const;
  bool inch_pound() const { return Rule("unit_system") == "inch_pound"; }

  const document::MeasurementMethod& method() const { return method_; }
  // What was used and not read in the published text.
  const std::vector<std::string>& unconfirmed() const { return unconfirmed_; }

 private:
  const document::MeasurementMethod& method_;
  std::span<const document::MethodInput> inputs_;
  base::FaultList& faults_;
  std::vector<std::string> unconfirmed_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_METHOD_NAMES_H_
