// Which share of a box lies in a region, by halving: the tested region of a map, say.
//
// The caller's function tells of a box whether all of it is in, all of it is out, or
// neither is known; what it rests on (EncloseRange of the leverage, a distance) decides
// how rigorous the answer is. Boxes that stay unknown are counted as such, never guessed.
//
// Example:
//   ASSIGN_OR_RETURN(Cover cover, CoverRegion(box, [&](const Box& part) {
//     return LeverageAtMost(limit, part);
//   }, {.max_boxes = 10'000}));
//   if (cover.out > 0) ...   // cover.out_boxes tells where
//
// Shares are products of powers of two and add up exactly (up to 52 halvings of a box).
// Sides of no width are not halved and do not count in the shares.
#ifndef RATEBOUND_ENGINE_BOUND_COVER_REGION_H_
#define RATEBOUND_ENGINE_BOUND_COVER_REGION_H_

#include <cstdint>
#include <functional>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/box.h"

namespace ratebound::bound {

enum class Membership { kIn, kOut, kUnknown };

struct CoverOptions {
  int64_t max_boxes = 100'000;  // boxes asked about at most
  int max_halvings = 30;        // of one box, all sides together; at most 52
  int max_out_boxes = 1'000;    // listed at most, after merging
};

struct Cover {
  // Shares of the volume; they add up to 1.
  double in = 0;
  double out = 0;
  double unknown = 0;
  int64_t boxes = 0;
  // The boxes that are out, neighbours merged, in the order of their lower corners; where
  // there are more than max_out_boxes, the largest of them, by size, and the flag.
  std::vector<Box> out_boxes;
  bool out_boxes_cut = false;
};

// Breadth first, so that a small budget is spread over the whole box; the side halved is
// the widest one relative to the whole box, the first of equals. INVALID_ARGUMENT: a
// faulty box or an option out of range.
absl::StatusOr<Cover> CoverRegion(const Box& box,
                                  const std::function<Membership(const Box&)>& classify,
                                  const CoverOptions& options);

// Joins boxes that share a whole face, pair by pair along each variable.
std::vector<Box> MergeBoxes(std::vector<Box> boxes);

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_COVER_REGION_H_
