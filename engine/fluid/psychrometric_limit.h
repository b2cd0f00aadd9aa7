// Limits on dew point, relative humidity and enthalpy of air as limits that are linear in
// what maps carry: humidity ratio, dry bulb and wet bulb, at one pressure.
//
// A claim can then be proven on fitted surfaces (or linear combinations of them) instead
// of on a function of several of them.
//
// Example ("leaving air dew point at most 14 degC at sea level", humidity ratio mapped):
//   ASSIGN_OR_RETURN(double limit,
//                    HumidityRatioLimit({14.0, Side::kAtMost}, 101325, Phase::kWater));
//   // humidity_ratio <= limit implies dew point <= 14 degC
//
// Example (dry and wet bulb mapped):
//   ASSIGN_OR_RETURN(LinearLimit limit, WetBulbLimit({14.0, Side::kAtMost}, 101325,
//                                                    Phase::kWater, {8, 18}, {}));
//   // all of limit.lines hold (limit.all) => dew point <= 14 degC wherever the wet bulb
//   // is in [8, 18]
//
// Reductions, at pressure p, with W the humidity ratio, p_s saturation pressure over the
// phase, eps the mass ratio, psi(t) = eps p_s(t) / (p - p_s(t)) (Handbook equations 20,
// 33, 35; moist_air.h):
//  1. Dew point t_d: W = psi(t_d). d psi / d p_s = eps p / (p - p_s)^2 > 0 and p_s
//     rises with t, so t_d <= L holds just where W <= psi(L).
//  2. Dry bulb t and wet bulb t*: W (a + b t - c t*) = (a - d t*) psi(t*) - k (t - t*)
//     with the wick's constants and a + b t - c t* > 0. So W <= w holds just where
//       (w b + k) t + w a >= phi(t*),  phi(t*) = (a - d t*) psi(t*) + (w c + k) t*,
//     which is linear in t; phi rises: (a - d t*) psi' >= d psi, as psi'/psi >= p_s'/p_s
//     > d / (a - d t*) wherever the equations hold (below 200 degC: p_s'/p_s > 0.019,
//     d/(a - d t*) < 0.0012). Lines over (or under) phi make it linear in t* as well.
//  3. Relative humidity r: W <= eps r p_s(t) / (p - r p_s(t)), which rises with t: lines
//     under it make it linear.
//
// Lines. For an upper bound of a rising function on a range, each piece of the range has
// a line that is at least the function there: all lines together are sufficient. For a
// lower bound every line is at most the function over the whole range: any one is
// sufficient. Both are shown on a fine grid from the function's rise alone: between two
// grid points it is at least its value at the left and at most that at the right. Fewer
// than 0.01 K are given away with the default options.
//
// Rounding. The functions of moist_air.h are good to 1e-14 relative by their own account;
// kFormulaError = 1e-12 of every value is given away to the safe side, and limits are
// rounded to the safe side by one step. What the ideal-gas equations themselves differ
// from real moist air is not in this: state it in the claim's allowance.
//
// Errors: INVALID_ARGUMENT for a limit, range or pressure where the equations do not hold
// (-100 to 200 degC, pressure above saturation) or that is not finite.
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FLUID_PSYCHROMETRIC_LIMIT_H_
#define RATEBOUND_ENGINE_FLUID_PSYCHROMETRIC_LIMIT_H_

#include <vector>

#include "absl/status/statusor.h"
#include "engine/fluid/moist_air.h"

namespace ratebound::fluid {

inline constexpr double kFormulaError = 1e-12;

enum class Side { kAtLeast, kAtMost };

// A limit on a temperature (degC) or a relative humidity (0 to 1).
struct AirLimit {
  double value = 0;
  Side side = Side::kAtMost;
};

// A humidity ratio (kg/kg) such that keeping to it implies keeping to the limit on the
// dew point (frost point over ice): the exact one, less rounding to the safe side.
absl::StatusOr<double> HumidityRatioLimit(const AirLimit& dew_point, double pressure_pa,
                                          Phase phase);

// sum of the factors times their quantity, plus constant, is not negative.
struct AirLine {
  double dry_bulb_factor = 0;        // by degC
  double wet_bulb_factor = 0;        // by degC
  double humidity_ratio_factor = 0;  // by kg/kg
  double constant = 0;
};

struct LinearLimit {
  // Whether all lines are needed, or any one is enough at each point.
  bool all = true;
  std::vector<AirLine> lines;
};

struct TemperatureRange {
  double low_c = 0;
  double high_c = 0;
};

struct LineOptions {
  int pieces = 8;          // 1 to 64
  int grid_points = 4096;  // over the whole range; at most 1'000'000
};

// What implies the limit on the dew point, from dry and wet bulb, wherever the wet bulb
// lies in `wet_bulb` (which the caller has to show). `wick` is the phase on the wick and
// `phase` that of the dew.
absl::StatusOr<LinearLimit> WetBulbLimit(const AirLimit& dew_point, double pressure_pa,
                                         Phase phase, Phase wick,
                                         const TemperatureRange& wet_bulb,
                                         const LineOptions& options);

// What implies the limit on the humidity ratio, likewise.
absl::StatusOr<LinearLimit> WetBulbLimitOfHumidityRatio(const AirLimit& humidity_ratio,
                                                        double pressure_pa, Phase wick,
                                                        const TemperatureRange& wet_bulb,
                                                        const LineOptions& options);

// What implies the limit on the relative humidity, from dry bulb and humidity ratio,
// wherever the dry bulb lies in `dry_bulb`.
absl::StatusOr<LinearLimit> RelativeHumidityLimit(const AirLimit& relative_humidity,
                                                  double pressure_pa, Phase phase,
                                                  const TemperatureRange& dry_bulb,
                                                  const LineOptions& options);

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_PSYCHROMETRIC_LIMIT_H_
