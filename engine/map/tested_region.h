// Which part of a region of conditions was tested.
//
// A condition counts as tested where it lies inside every tested range, where the
// leverage of the surface is at most the largest among the points, and where the nearest
// tested point is within the stated part of every tested range. The answer is proven over
// boxes, not sampled: what cannot be told within the budget counts as untested.
//
// Example:
//   ASSIGN_OR_RETURN(TestedRegion tested, TestedRegion::Create(map, surface));
//   ASSIGN_OR_RETURN(TestedShare share, tested.Share(region_low_si, region_high_si));
//   if (share.tested_fraction < 1) ...   // share.untested says where and why
//
// Thread-safety: const methods may be called concurrently.
#ifndef RATEBOUND_ENGINE_MAP_TESTED_REGION_H_
#define RATEBOUND_ENGINE_MAP_TESTED_REGION_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/box.h"
#include "engine/bound/cover_region.h"
#include "engine/bound/polynomial.h"
#include "engine/bound/range_bounder.h"
#include "engine/document/map.h"

namespace ratebound::map {

struct UntestedBox {
  std::vector<double> low_si;
  std::vector<double> high_si;
  double region_fraction = 0;
  // Index of the condition whose tested range the part leaves; -1: inside every range,
  // but far from the points.
  int condition = -1;
};

struct TestedShare {
  double tested_fraction = 0;   // 0 to 1: proven
  double unknown_fraction = 0;  // what the budget left open
  std::vector<UntestedBox> untested;
  // The part of the region inside every tested range, in z; empty where there is none.
  std::optional<bound::Box> inside;
};

class TestedRegion {
 public:
  static absl::StatusOr<TestedRegion> Create(const document::StageMap& map,
                                             const document::Surface& surface);

  absl::StatusOr<TestedShare> Share(std::span<const double> low_si,
                                    std::span<const double> high_si) const;

  // Whether a point, in z, was tested.
  bool Contains(std::span<const double> z) const;

  // Whether a box, in z and inside `whole`, was tested in whole, nowhere, or is to be
  // halved: for callers that cover a box by themselves. `leverage` comes from
  // LeverageOver(whole).
  bound::Membership Classify(const bound::Box& box, bound::RangeBounder& leverage) const;
  absl::StatusOr<bound::RangeBounder> LeverageOver(const bound::Box& whole) const;

 private:
  TestedRegion() = default;
  // Whether a box lies within reach of one tested point, of none, or of some in part.
  enum class Nearness { kNone, kSome, kAll };
  Nearness NearnessOf(const bound::Box& box) const;
  bound::Membership Near(const bound::Box& box) const;
  bound::Membership Leverage(const bound::Box& box, bound::RangeBounder& leverage) const;

  const document::StageMap* map_ = nullptr;
  const document::Surface* surface_ = nullptr;
  bound::Polynomial leverage_;
  double greatest_leverage_ = 0;
  // Half width, in z, of the box about a point that counts as tested; one for each
  // condition.
  std::vector<double> reach_;
  std::vector<double> points_;  // in z, point by point
};

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_TESTED_REGION_H_
