// Whether a part of a claim's region was tested, where cuts take some of the box away.
//
// Without cuts this is map::TestedRegion::Share. With cuts, what they leave out need not
// be tested: a part of the box outside every convex piece counts as tested.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_TESTED_PART_H_
#define RATEBOUND_ENGINE_CLAIM_TESTED_PART_H_

#include <optional>

#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/document/region_pieces.h"
#include "engine/map/tested_region.h"

namespace ratebound::claim {

// Fractions are of the box; `inside` is in the z of the surface. `map` and `surface` are
// those that `tested` was made of.
absl::StatusOr<map::TestedShare> TestedOver(const map::TestedRegion& tested,
                                            const document::StageMap& map,
                                            const document::Surface& surface,
                                            const document::RegionPieces& region,
                                            const document::ConditionBox& part);

// The part inside every tested range; empty where there is none.
std::optional<document::ConditionBox> InsideRanges(const document::StageMap& map,
                                                   const document::ConditionBox& part);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_TESTED_PART_H_
