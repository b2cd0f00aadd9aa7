// The ten-coefficient polynomial that compressors are published by, over the evaporating
// temperature S and the condensing temperature D (AHRI 540, from memory):
//
//   X = c1 + c2 S + c3 D + c4 S^2 + c5 S D + c6 D^2 + c7 S^3 + c8 D S^2 + c9 S D^2
//       + c10 D^3
//
// X is power, mass flow, current or capacity, at the superheat that is stated with it;
// temperatures are in whatever unit is stated. Outside the published envelope it means
// nothing.
//
// Another suction superheat (Dabiri and Rice 1981, as the procedure's file cites it):
//   flow'  = (1 + Fv (density ratio - 1)) flow
//   power' = power (flow' / flow) (isentropic work ratio)
#ifndef RATEBOUND_ENGINE_RATING_TEN_COEFFICIENTS_H_
#define RATEBOUND_ENGINE_RATING_TEN_COEFFICIENTS_H_

#include <array>
#include <functional>
#include <optional>

namespace ratebound::rating {

using TenCoefficients = std::array<double, 10>;

double TenCoefficientValue(const TenCoefficients& c, double evaporating,
                           double condensing);

// The coefficients of a function that is a cubic of both temperatures, from its values on
// a lattice of ten places over the two ranges; of another function, those of the cubic
// that agrees with it there. Nothing where a value is not finite or a range is empty.
std::optional<TenCoefficients> TenCoefficientsOf(
    const std::function<double(double evaporating, double condensing)>& function,
    double evaporating_low, double evaporating_high, double condensing_low,
    double condensing_high);

inline double SuperheatFlowRatio(double volumetric_factor, double density_ratio) {
  return 1 + volumetric_factor * (density_ratio - 1);
}
inline double SuperheatPowerRatio(double flow_ratio, double isentropic_work_ratio) {
  return flow_ratio * isentropic_work_ratio;
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_TEN_COEFFICIENTS_H_
