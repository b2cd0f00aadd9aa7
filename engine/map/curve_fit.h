// Figures measured beside capacity: what pushing a liquid through a heat exchanger takes,
// and what air a fan moves at which cost.
//
// Example:
//   std::vector<document::CurveFit> curves = FitCurves(manifest, points, "");
//   ASSIGN_OR_RETURN(double drop_pa, PressureDrop(curves[0], flow_m3_s, density,
//   viscosity)); ASSIGN_OR_RETURN(FanState fan, FanAt(curves[1], static_pa, speed_rev_s,
//   density));
//
// Pressure drop of a liquid:
//   dp = C q^n (rho / rho_ref)^(n - 1) (mu / mu_ref)^(2 - n)
// which is what a friction factor falling with the (2 - n)-th power of the Reynolds
// number gives (Darcy-Weisbach with a power law such as Blasius, handbook practice). So
// one exponent tells how the drop goes with flow and how with the fluid; n and ln C are
// fitted by least squares on ln(dp rho / mu^2) over ln(q rho / mu), all in SI. n of 1.75
// to 2 is common practice, no source; outside of 1.5 to 2.2 the curve carries a warning.
//
// Fan: with flow coefficient q / N, pressure dp / (rho N^2) and power P / (rho N^3),
// which fans of one geometry share at any speed and density (fan laws, ISO 5801 and AMCA
// 210, from memory; incompressible, below about 2 kPa): quadratics of the flow
// coefficient. Pressure here is the external static one; what the cabinet itself takes
// goes with flow squared and is part of the quadratic. Where speed was not measured it is
// taken as one and the same and the curve says so; a density that was not measured is
// that of standard air, 1.2 kg/m3.
//
// Points: those of files that name the curve, and test points of the unit that measured
// its quantities; dropped ones are left out.
// Errors: what cannot be fitted is a curve without coefficients whose warnings say why;
// evaluating it is FAILED_PRECONDITION, as is asking a fan for a pressure it never gives.
// Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_MAP_CURVE_FIT_H_
#define RATEBOUND_ENGINE_MAP_CURVE_FIT_H_

#include <span>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/curve.h"
#include "engine/document/line.h"
#include "engine/document/points.h"

namespace ratebound::map {

inline constexpr double kStandardAirDensity = 1.2;  // kg/m3; ISO 5801, from memory
inline constexpr double kLeastUsualExponent = 1.5;
inline constexpr double kGreatestUsualExponent = 2.2;

// The curves of the manifest in its order; of one unit where `only_unit` is not empty.
std::vector<document::CurveFit> FitCurves(const document::LineManifest& manifest,
                                          std::span<const document::TestPoint> points,
                                          std::string_view only_unit);

// Pa at a flow in m3/s of a liquid of that density (kg/m3) and viscosity (Pa s).
absl::StatusOr<double> PressureDrop(const document::CurveFit& curve, double flow_m3_per_s,
                                    double density, double viscosity);

struct FanState {
  double air_flow_m3_per_s = 0;
  double power_w = 0;  // not a number where power was not measured
};
// Against an external static pressure at a speed (1 where the curve knows none), on the
// falling side of the curve.
absl::StatusOr<FanState> FanAt(const document::CurveFit& curve, double static_pressure_pa,
                               double speed_rev_per_s, double density);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_CURVE_FIT_H_
