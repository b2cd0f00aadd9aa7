// The laboratory's own figures beside those that the reduction computed. Inside of
// Screen. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_LAB_FIGURES_H_
#define RATEBOUND_ENGINE_SCREEN_LAB_FIGURES_H_

#include <vector>

#include "engine/document/points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

// How far apart the two may be where the uncertainty of the computed one is not known.
inline constexpr double kLabFigureFraction = 0.005;

// Computed values that differ from the lab's by more than their expanded uncertainty.
std::vector<Doubt> CheckLabFigures(const document::TestPoint& point);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_LAB_FIGURES_H_
