// Whether a point or a whole box of conditions is supported by the tests: what a table, a
// rating or a claim may call tested or interpolated.
//
// Supported means: inside every tested range, leverage at most the greatest among the
// points, and the nearest tested point within the map's stated part of every tested
// range; all in one regime, since a map holds one. Leverage is that of the table surface
// of capacity, or of the first surface there is.
//
// Example:
//   ASSIGN_OR_RETURN(BoxSupport support, SupportOfBox(map, low_si, high_si));
//   if (support.answer == BoxSupport::kPartlyOutside) ...   // support.outside says where
//
// What is said of a box is proven for every real point of it, with the bounds of
// engine/bound; the budget counts boxes, so that the answer depends on nothing else.
//
// Errors: INVALID_ARGUMENT for another number of conditions, ends that are not finite or
// reversed; FAILED_PRECONDITION for a map without a surface. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_MAP_SUPPORT_H_
#define RATEBOUND_ENGINE_MAP_SUPPORT_H_

#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/map/tested_region.h"

namespace ratebound::map {

struct BoxSupport {
  enum Answer {
    kInside,         // every point of the box is supported
    kPartlyOutside,  // some part, of more than no volume or named, is not
    kUndecided,      // nothing outside was found, and the budget left some part open
  };
  Answer answer = kUndecided;
  // Parts of the box, 0 to 1; what is neither is undecided.
  double inside_fraction = 0;
  double outside_fraction = 0;
  std::vector<UntestedBox> outside;  // the largest parts, for people
};

// The surface whose leverage tells what is supported; null where the map has none.
const document::Surface* SupportingSurface(const document::StageMap& map);

absl::StatusOr<BoxSupport> SupportOfBox(const document::StageMap& map,
                                        std::span<const double> low_si,
                                        std::span<const double> high_si);

absl::StatusOr<bool> IsSupported(const document::StageMap& map,
                                 std::span<const double> point_si);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_SUPPORT_H_
