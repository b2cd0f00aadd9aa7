// What the points of a group can carry: how many, over which levels, of which specimens
// and blocks. Inside of Screen. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_STAGE_SHAPE_H_
#define RATEBOUND_ENGINE_SCREEN_STAGE_SHAPE_H_

#include "engine/points/stage_points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

// A temperature that spans less is set-point scatter. Common practice, no source.
inline constexpr double kLeastTemperatureSpanK = 1.0;

void CheckShape(const points::StagePoints& group, FindingList& findings);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_STAGE_SHAPE_H_
