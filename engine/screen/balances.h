// Energy balances that do not close. Inside of Screen.
//
// Where the reduction computed heat_balance, that is judged: against the reduction's
// balance_limit_fraction, else against the number "balance_limit" of its air or liquid
// method, else against kBalanceTolerance.
//
// Elsewhere heat by a second way is compared with what capacity and power leave for it:
// heat_rejection or heat_absorbed as measured, or the heat of a liquid stream, on the far
// side with capacity plus (cooling) or minus (heating) power, on the capacity side with
// capacity. Of a stream the uncertainties of both temperatures and the flow are allowed
// beside kBalanceTolerance, known ones, or kWaterPairSlackK for both temperatures.
// Properties are of the liquid at its temperatures (fluid/liquid.h) at 300 kPa: water, or
// where fluid_concentration is measured the glycol, of the two that which closes better
// where no reduction names it.
//
// The 6 % is what laboratories allow between two methods of measuring capacity
// (ANSI/ASHRAE 37, from memory).
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_BALANCES_H_
#define RATEBOUND_ENGINE_SCREEN_BALANCES_H_

#include <span>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/document/points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

inline constexpr double kBalanceTolerance = 0.06;

std::vector<Doubt> CheckBalances(const document::LineManifest& manifest,
                                 std::span<const document::MeasurementMethod> methods,
                                 const document::Mode& mode,
                                 const document::TestPoint& point);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_BALANCES_H_
