// Which points to distrust and why, and what the accepted points can carry. Nothing is
// dropped here: that is written into the manifest by a person, with a reason.
//
// Example:
//   std::vector<document::Finding> findings = Screen(manifest, points);
//   findings[0].message;      // "energy balance: heat_rejection is 9.1 % above ..."
//
// Findings, by unit, mode, stage and regime in the order of the manifest, dropped points
// first:
//   failure  a stage without accepted points; a group with a single point, with a
//   condition of
//            one level, or with too few points for a plane; unlike specimens that are not
//            to be pooled
//   warning  fewer blocks than the uncertainty of a proof needs, with the number it
//   needs; a
//            temperature that varies by set-point scatter alone; points without capacity
//            or power; repeats that disagree; energy balances that do not close; sensible
//            above total capacity; outliers
//   note     how many points, blocks and levels; dropped points with their reasons;
//   specimens
//            pooled; no blocks named
//
// Repeats: conditions within kRepeatFraction of each tested range; capacity or power more
// than kRepeatDisagreement apart. Energy balance: heat rejected (cooling) or absorbed
// (heating), measured as such or by the water side, against capacity plus or minus power,
// by more than kBalanceTolerance. The 6 % is what laboratories allow between two methods
// of measuring capacity (ANSI/ASHRAE 37, from memory). On the water side the
// temperatures' systematic uncertainty is allowed besides. Outliers: externally
// studentised residuals of the chosen table surface beyond the Bonferroni limit at 1 %
// (Cook and Weisberg, Residuals and Influence in Regression (1982), 2.2.2). An outlier is
// a reason to look, never to drop.
//
// Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_SCREEN_CHECK_H_
#define RATEBOUND_ENGINE_SCREEN_CHECK_H_

#include <span>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/points.h"

namespace ratebound::screen {

inline constexpr double kRepeatFraction = 0.01;
inline constexpr double kRepeatDisagreement = 0.05;
inline constexpr double kBalanceTolerance = 0.06;
inline constexpr double kSensibleExcess = 0.02;
// Of each water temperature, where the manifest gives none. Common practice, no source.
inline constexpr double kWaterTemperatureSlackK = 0.1;
// A temperature that spans less is set-point scatter. Common practice, no source.
inline constexpr double kLeastTemperatureSpanK = 1.0;
inline constexpr double kOutlierProbability = 0.01;

// Points as ReadAllPoints gives them; a point that its mode's conditions do not hold for
// is reported as a failure.
std::vector<document::Finding> Screen(const document::LineManifest& manifest,
                                      std::span<const document::TestPoint> test_points);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_CHECK_H_
