// Points that contradict physics or themselves, whatever machine it is. Inside of Screen.
//
// Each rule allows what the figures may be off by: their known expanded uncertainties,
// added up, or the rule's own slack where nothing is known (common practice, no source).
// Capacities of one test share their air readings, so that their uncertainties do not
// add: sensible above total is allowed kSensibleExcess of total alone.
//
// Carnot (second law; any textbook of thermodynamics): to bring heat from a stream at
// absolute temperature Tc to one at Th no machine has a COP above
//     cooling Tc / (Th - Tc),   heating Th / (Th - Tc).
// Streams change temperature: where entering and leaving are both measured a stream is
// taken at their mean, which is its entropic mean to within (change)^2 / (12 T), 0.03 K
// at 10 K; where only entering is measured, at that, which favours the machine. A COP is
// flagged that lies above kCarnotMargin times the bound with every temperature moved by
// its slack in the machine's favour. Where Th - Tc is then not above 0 there is no bound.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_IMPOSSIBILITIES_H_
#define RATEBOUND_ENGINE_SCREEN_IMPOSSIBILITIES_H_

#include <vector>

#include "engine/document/line.h"
#include "engine/document/points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

inline constexpr double kSensibleExcess = 0.02;  // of total capacity
inline constexpr double kCarnotMargin = 1.05;
// Slack of a pair of readings of which nothing is known, half of it for each.
inline constexpr double kWaterPairSlackK = 0.2;
inline constexpr double kAirPairSlackK = 0.6;
inline constexpr double kRefrigerantPairSlackK = 2;  // by way of pressures
inline constexpr double kPressurePairSlackFraction = 0.02;
inline constexpr double kPowerPartsSlackFraction = 0.01;
inline constexpr double kStatedRatioSlackFraction = 0.02;

// Pairs of readings of which one may not exceed the other: temperatures of water, air and
// refrigerant, pressures of suction and discharge, sensible and total capacity.
std::vector<Doubt> CheckOrders(const document::LineManifest& manifest,
                               const document::Mode& mode,
                               const document::TestPoint& point);

// Heat and power: COP above Carnot, power below the sum of its parts, sensible and latent
// that do not make up total, latent or moisture removal negative in a wet regime,
// moisture removed from air whose humidity rises, a ratio that is not that of its
// figures.
std::vector<Doubt> CheckHeat(const document::LineManifest& manifest,
                             const document::Mode& mode,
                             const document::TestPoint& point);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_IMPOSSIBILITIES_H_
