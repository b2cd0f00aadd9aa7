// The tested point where a claim fails most plainly, if it fails at all.
#ifndef RATEBOUND_ENGINE_MAP_REFUTING_POINT_H_
#define RATEBOUND_ENGINE_MAP_REFUTING_POINT_H_

#include <optional>
#include <span>
#include <vector>

#include "engine/bound/banded_function.h"
#include "engine/bound/box.h"
#include "engine/map/tested_region.h"

namespace ratebound::map {

// A tested point of `box` (in z) where `shortfall` is above 0 beyond rounding, with the
// highest shortfall that a pattern search finds (Hooke and Jeeves, J. ACM 8 (1961) 212)
// from the given starts and from a grid. Empty where it finds none: that shows nothing.
std::optional<std::vector<double>> FindRefutingPoint(
    const bound::BandedFunction& shortfall, const bound::Box& box,
    const TestedRegion& tested, std::span<const std::vector<double>> starts);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_REFUTING_POINT_H_
