// How the region of a claim divides into what is proven, refuted, never tested and
// neither, box by box.
//
// The box of the region is halved, breadth first, into boxes of which one is true as a
// whole: every problem has an alternative that was tested there and holds (proven); some
// problem fails in every alternative, all tested there, with everything granted
// (refuted); some problem was tested by no alternative (untested). What is left after
// kMostBoxes boxes is uncertain. Shares are by volume; where a cut runs through a last
// box, its centre tells whether it counts. Proven and refuted boxes are so by the bounds
// of engine/bound/box_bound.h; the shares of the region are for reports.
//
// Deterministic. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_REGION_SHARES_H_
#define RATEBOUND_ENGINE_CLAIM_REGION_SHARES_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/claim/problem.h"
#include "engine/document/claim.h"

namespace ratebound::claim {

struct SharedPart {
  document::PartState state = document::PartState::kUncertain;
  document::ConditionBox box;
  double fraction = 0;
  std::string stage;  // that shows a proven part; empty where several problems do
};

struct Division {
  document::RegionShares shares;
  std::vector<SharedPart> parts;  // neighbours joined, largest first, the largest few
};

absl::StatusOr<Division> DivideRegion(const ProblemSet& set,
                                      const document::RegionPieces& region);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_REGION_SHARES_H_
