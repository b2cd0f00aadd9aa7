// Where all that one way of keeping a promise rests on was tested.
//
// Example:
//   ASSIGN_OR_RETURN(AlternativeTested tested,
//                    TestedOver(alternative, set.frame, region, box));
//   if (tested.inside) ...  // there is something that a proof may speak of
//
// An alternative may rest on surfaces of several stages, each with tested points of its
// own: it was tested where all were. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_TESTED_ALTERNATIVE_H_
#define RATEBOUND_ENGINE_CLAIM_TESTED_ALTERNATIVE_H_

#include <optional>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/claim/problem.h"
#include "engine/document/region_pieces.h"
#include "engine/map/tested_region.h"

namespace ratebound::claim {

struct AlternativeTested {
  double fraction = 0;  // of the box
  std::vector<map::UntestedBox> untested;
  // The box of what lies inside every tested range, in the frame; empty where nothing
  // does.
  std::optional<bound::Box> inside;
};

absl::StatusOr<AlternativeTested> TestedOver(const Alternative& alternative,
                                             const Frame& frame,
                                             const document::RegionPieces& region,
                                             const document::ConditionBox& box);

// Whether a point, in the frame, was tested for all that the alternative rests on.
bool IsTestedAt(const Alternative& alternative, const Frame& frame,
                const std::vector<double>& z);

// Parts of a problem's box such that an alternative is tested in all of each or, but for
// its inner gaps, in none.
std::vector<document::ConditionBox> DivideByTestedRanges(
    const Problem& problem, const document::RegionPieces& region);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_TESTED_ALTERNATIVE_H_
