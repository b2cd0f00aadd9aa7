// Repeats that disagree. Inside of Screen.
//
// Points are repeats of the first point whose conditions they share to within
// kRepeatFraction of the tested range, and held conditions to within kRepeatHeldFraction
// of their tolerance. Where the random standard uncertainty u of every repeat is known,
// their scatter about the mean weighted by 1/u^2,
//     X = sum (y - mean)^2 / u^2,
// is held against chi-square with (repeats - 1) degrees of freedom (JCGM 100:2008, H.5,
// whose variance ratio becomes this where u is known) at kRepeatProbability over the
// number of groups of repeats; and less than kRepeatLeastSpread is what conditions that
// are only alike explain. Elsewhere the spread is held against kRepeatDisagreement.
// Systematic uncertainty is the same for all repeats and explains nothing.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_REPEATS_H_
#define RATEBOUND_ENGINE_SCREEN_REPEATS_H_

#include <string>
#include <vector>

#include "engine/points/stage_points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

inline constexpr double kRepeatFraction = 0.01;
inline constexpr double kRepeatHeldFraction = 0.25;
inline constexpr double kRepeatDisagreement = 0.05;
inline constexpr double kRepeatLeastSpread = 0.01;
inline constexpr double kRepeatProbability = 0.01;

// Rows of each group of at least two repeats, by first row.
std::vector<std::vector<int>> GroupsOfRepeats(const points::StagePoints& group);

// For capacity and power one doubt for each group of repeats that disagree, on the repeat
// furthest from the middle of the others.
std::vector<Doubt> CheckRepeats(const points::StagePoints& group);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_REPEATS_H_
