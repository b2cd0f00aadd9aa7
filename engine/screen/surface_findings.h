// What the surfaces of capacity and power say of the points they are fitted to: outliers,
// days that are off, points on which a surface hangs. Inside of Screen. Thread-safety:
// pure.
#ifndef RATEBOUND_ENGINE_SCREEN_SURFACE_FINDINGS_H_
#define RATEBOUND_ENGINE_SCREEN_SURFACE_FINDINGS_H_

#include "engine/points/stage_points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

// Warnings: a day that is off, once; outliers, but for those that only share what is off
// with their day. A note: the points on which the surfaces hang.
void CheckSurfaces(const points::StagePoints& group, FindingList& findings);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_SURFACE_FINDINGS_H_
