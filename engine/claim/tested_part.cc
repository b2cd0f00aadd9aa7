#include "engine/claim/tested_part.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/base/status_macros.h"
#include "engine/bound/cover_region.h"
#include "engine/map/surface_polynomials.h"

namespace ratebound::claim {
namespace {

using bound::Membership;
using document::ConditionBox;
using document::HalfSpace;

// As in map/tested_region.cc: the end of a range is tested though z is rounded.
constexpr double kEndRounding = 1e-12;
constexpr int64_t kMostBoxes = 20'000;
constexpr int kMostHalvings = 24;
constexpr size_t kMostPartsNamed = 4;

bool HasCuts(const document::RegionPieces& region) {
  return region.pieces.size() != 1 || !region.pieces[0].empty();
}

// Whether a half-space leaves nothing of the box, by its greatest value there.
bool LeavesNothing(const HalfSpace& half_space, const ConditionBox& box) {
  double greatest = half_space.constant;
  for (size_t i = 0; i < half_space.factors.size(); ++i) {
    const double factor = half_space.factors[i];
    greatest += factor * (factor > 0 ? box.high_si[i] : box.low_si[i]);
  }
  return greatest < 0;
}

bool IsOutside(const document::RegionPieces& region, const ConditionBox& box) {
  return std::all_of(region.pieces.begin(), region.pieces.end(),
                     [&](const std::vector<HalfSpace>& piece) {
                       return std::any_of(piece.begin(), piece.end(),
                                          [&](const HalfSpace& half_space) {
                                            return LeavesNothing(half_space, box);
                                          });
                     });
}

double SideShare(double low, double high, double part_low, double part_high) {
  return high > low ? std::max(0.0, part_high - part_low) / (high - low) : 1.0;
}

}  // namespace

std::optional<ConditionBox> InsideRanges(const document::StageMap& map,
                                         const ConditionBox& part) {
  ConditionBox inside = part;
  for (size_t i = 0; i < part.low_si.size(); ++i) {
    const double slack = kEndRounding * std::max({std::fabs(map.tested_low_si[i]),
                                                  std::fabs(map.tested_high_si[i]), 1.0});
    inside.low_si[i] = std::max(part.low_si[i], map.tested_low_si[i] - slack);
    inside.high_si[i] = std::min(part.high_si[i], map.tested_high_si[i] + slack);
    if (inside.low_si[i] > inside.high_si[i]) return std::nullopt;
  }
  return inside;
}

absl::StatusOr<map::TestedShare> TestedOver(const map::TestedRegion& tested,
                                            const document::StageMap& map,
                                            const document::Surface& surface,
                                            const document::RegionPieces& region,
                                            const ConditionBox& part) {
  if (!HasCuts(region)) return tested.Share(part.low_si, part.high_si);
  const size_t variables = part.low_si.size();
  map::TestedShare share;
  ConditionBox inside = part;
  double outside_fraction = 0;
  for (size_t i = 0; i < variables; ++i) {
    const double slack = kEndRounding * surface.half_range_si[i];
    const double low = map.tested_low_si[i] - slack, high = map.tested_high_si[i] + slack;
    const auto look = [&](double from, double to) {
      ConditionBox strip = part;
      strip.low_si[i] = from;
      strip.high_si[i] = to;
      if (document::IsEmptyIn(region, strip)) return;
      const double fraction = SideShare(part.low_si[i], part.high_si[i], from, to);
      outside_fraction = std::max(outside_fraction, fraction);
      share.untested.push_back({.low_si = strip.low_si,
                                .high_si = strip.high_si,
                                .region_fraction = fraction,
                                .condition = static_cast<int>(i)});
    };
    if (part.low_si[i] < low) look(part.low_si[i], std::min(part.high_si[i], low));
    if (part.high_si[i] > high) look(std::max(part.low_si[i], high), part.high_si[i]);
    inside.low_si[i] = std::max(part.low_si[i], low);
    inside.high_si[i] = std::min(part.high_si[i], high);
    if (inside.low_si[i] > inside.high_si[i]) return share;
  }
  share.inside = map::ScaledBox(surface, inside.low_si, inside.high_si);
  ASSIGN_OR_RETURN(bound::RangeBounder leverage, tested.LeverageOver(*share.inside));
  const auto conditions_of = [&](const bound::Box& box) {
    return ConditionBox{.low_si = map::UnscaledPoint(surface, box.lo),
                        .high_si = map::UnscaledPoint(surface, box.hi)};
  };
  ASSIGN_OR_RETURN(
      const bound::Cover cover,
      bound::CoverRegion(*share.inside,
                         [&](const bound::Box& box) {
                           if (IsOutside(region, conditions_of(box))) {
                             return Membership::kIn;
                           }
                           const Membership inner = tested.Classify(box, leverage);
                           // A box that the cuts run through may be out where nothing
                           // is asked.
                           if (inner == Membership::kOut &&
                               document::IsEmptyIn(region, conditions_of(box))) {
                             return Membership::kIn;
                           }
                           return inner;
                         },
                         {.max_boxes = kMostBoxes, .max_halvings = kMostHalvings}));
  share.tested_fraction =
      cover.in == 1 ? 1 - outside_fraction : cover.in * (1 - outside_fraction);
  share.unknown_fraction = cover.unknown * (1 - outside_fraction);
  for (const bound::Box& box : cover.out_boxes) {
    if (share.untested.size() >= kMostPartsNamed) break;
    const ConditionBox conditions = conditions_of(box);
    double fraction = 1;
    for (size_t i = 0; i < variables; ++i) {
      fraction *= SideShare(part.low_si[i], part.high_si[i], conditions.low_si[i],
                            conditions.high_si[i]);
    }
    share.untested.push_back({.low_si = conditions.low_si,
                              .high_si = conditions.high_si,
                              .region_fraction = fraction});
  }
  if (share.untested.empty() && share.tested_fraction < 1) {
    share.untested.push_back({.low_si = part.low_si,
                              .high_si = part.high_si,
                              .region_fraction = 1 - share.tested_fraction});
  }
  return share;
}

}  // namespace ratebound::claim
