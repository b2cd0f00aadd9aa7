#include "engine/map/tested_region.h"

#include <algorithm>
#include <cmath>

#include "engine/base/status_macros.h"
#include "engine/map/surface_polynomials.h"

namespace ratebound::map {
namespace {

using bound::Box;
using bound::Membership;

// The point of largest leverage is tested, though its leverage is computed here in
// another way than in the fit; so is the end of a range, though z is rounded.
constexpr double kRounding = 1e-9;
// Of the half range: leverage is steep at the ends.
constexpr double kEndRounding = 1e-12;

// Boxes asked about. A region that is wholly tested takes a few hundred.
constexpr int64_t kMostBoxes = 20'000;
constexpr int kMostHalvings = 24;
// Spent on the chance that the leverage is fine everywhere.
constexpr int64_t kFewBoxes = 64;
constexpr int kMostPartsNamed = 4;

// The share of [low, high] that [part_low, part_high] takes; all of a side of no width.
double SideShare(double low, double high, double part_low, double part_high) {
  return high > low ? std::max(0.0, part_high - part_low) / (high - low) : 1.0;
}

}  // namespace

absl::StatusOr<TestedRegion> TestedRegion::Create(const document::StageMap& map,
                                                  const document::Surface& surface) {
  TestedRegion tested;
  tested.map_ = &map;
  tested.surface_ = &surface;
  ASSIGN_OR_RETURN(tested.leverage_, FormPolynomial(surface, surface.leverage_matrix));
  tested.greatest_leverage_ = surface.greatest_leverage * (1 + kRounding);
  const size_t variables = map.conditions.size();
  for (size_t i = 0; i < variables; ++i) {
    const double range = map.tested_high_si[i] - map.tested_low_si[i];
    tested.reach_.push_back(map.nearest_point_fraction * range /
                            surface.half_range_si[i] * (1 + kRounding));
  }
  size_t variable = 0;  // of one point after the other
  for (const double condition_si : map.point_conditions_si) {
    tested.points_.push_back((condition_si - surface.centre_si[variable]) /
                             surface.half_range_si[variable]);
    if (++variable == variables) variable = 0;
  }
  return tested;
}

TestedRegion::Nearness TestedRegion::NearnessOf(const Box& box) const {
  const size_t variables = reach_.size();
  Nearness nearness = Nearness::kNone;
  for (size_t k = 0; k < points_.size(); k += variables) {
    bool holds = true;
    bool touches = true;
    for (size_t i = 0; i < variables && touches; ++i) {
      const double low = points_[k + i] - reach_[i];
      const double high = points_[k + i] + reach_[i];
      holds = holds && low <= box.lo[i] && box.hi[i] <= high;
      touches = low <= box.hi[i] && box.lo[i] <= high;
    }
    if (holds && touches) return Nearness::kAll;
    if (touches) nearness = Nearness::kSome;
  }
  return nearness;
}

Membership TestedRegion::Near(const Box& box) const {
  switch (NearnessOf(box)) {
    case Nearness::kNone:
      return Membership::kOut;
    case Nearness::kSome:
      return Membership::kUnknown;
    case Nearness::kAll:
      break;
  }
  return Membership::kIn;
}

Membership TestedRegion::Leverage(const Box& box, bound::RangeBounder& leverage) const {
  const bound::Interval range = leverage.Range(box);
  if (range.lo > greatest_leverage_) return Membership::kOut;
  return range.hi <= greatest_leverage_ ? Membership::kIn : Membership::kUnknown;
}

Membership TestedRegion::Classify(const Box& box, bound::RangeBounder& leverage) const {
  const Membership near = Near(box);
  if (near == Membership::kOut) return near;
  const Membership low = Leverage(box, leverage);
  return near == Membership::kIn || low == Membership::kOut ? low : near;
}

absl::StatusOr<bound::RangeBounder> TestedRegion::LeverageOver(const Box& whole) const {
  return bound::RangeBounder::Create(leverage_, whole);
}

bool TestedRegion::Contains(std::span<const double> z) const {
  const Box point{.lo = {z.begin(), z.end()}, .hi = {z.begin(), z.end()}};
  const Box ranges = ScaledBox(*surface_, map_->tested_low_si, map_->tested_high_si);
  std::vector<bound::Interval> x;
  for (size_t i = 0; i < z.size(); ++i) {
    if (z[i] < ranges.lo[i] || z[i] > ranges.hi[i]) return false;
    x.emplace_back(z[i]);
  }
  return NearnessOf(point) == Nearness::kAll &&
         leverage_.Evaluate(x).hi <= greatest_leverage_;
}

absl::StatusOr<TestedShare> TestedRegion::Share(std::span<const double> low_si,
                                                std::span<const double> high_si) const {
  TestedShare share;
  const size_t variables = reach_.size();
  std::vector<double> inside_low(variables);
  std::vector<double> inside_high(variables);
  double inside_fraction = 1;
  for (size_t i = 0; i < variables; ++i) {
    const double slack = kEndRounding * surface_->half_range_si[i];
    const double tested_low = map_->tested_low_si[i] - slack;
    const double tested_high = map_->tested_high_si[i] + slack;
    inside_low[i] = std::max(low_si[i], tested_low);
    inside_high[i] = std::min(high_si[i], tested_high);
    const auto add = [&](double part_low, double part_high) {
      UntestedBox part{.low_si = {low_si.begin(), low_si.end()},
                       .high_si = {high_si.begin(), high_si.end()},
                       .condition = static_cast<int>(i)};
      part.low_si[i] = part_low;
      part.high_si[i] = part_high;
      part.region_fraction = SideShare(low_si[i], high_si[i], part_low, part_high);
      share.untested.push_back(std::move(part));
    };
    if (low_si[i] < tested_low)
      add(low_si[i], std::min(high_si[i], map_->tested_low_si[i]));
    if (high_si[i] > tested_high)
      add(std::max(low_si[i], map_->tested_high_si[i]), high_si[i]);
    inside_fraction *=
        inside_low[i] <= inside_high[i]
            ? SideShare(low_si[i], high_si[i], inside_low[i], inside_high[i])
            : 0;
  }
  bool empty = false;
  for (size_t i = 0; i < variables; ++i) empty = empty || inside_low[i] > inside_high[i];
  if (empty) return share;

  share.inside = ScaledBox(*surface_, inside_low, inside_high);
  ASSIGN_OR_RETURN(bound::RangeBounder leverage, LeverageOver(*share.inside));
  const bound::CoverOptions options{.max_boxes = kMostBoxes,
                                    .max_halvings = kMostHalvings};
  // Where the leverage is no question, as in most claims, large boxes tell so, and only
  // the distance asks for small ones.
  ASSIGN_OR_RETURN(
      const bound::Cover by_leverage,
      bound::CoverRegion(*share.inside,
                         [&](const Box& box) { return Leverage(box, leverage); },
                         {.max_boxes = kFewBoxes, .max_halvings = kMostHalvings}));
  const bool leverage_is_fine = by_leverage.in == 1;
  ASSIGN_OR_RETURN(const bound::Cover cover, bound::CoverRegion(
                                                 *share.inside,
                                                 [&](const Box& box) {
                                                   const Membership near = Near(box);
                                                   return near != Membership::kIn ||
                                                                  leverage_is_fine
                                                              ? near
                                                              : Leverage(box, leverage);
                                                 },
                                                 options));
  share.tested_fraction = inside_fraction * cover.in;
  share.unknown_fraction = inside_fraction * cover.unknown;
  if (cover.in == 1) return share;

  // Name the largest boxes that are out; what is not known is told by the fractions.
  std::vector<UntestedBox> parts;
  for (const Box& box : cover.out_boxes) {
    UntestedBox part{.low_si = UnscaledPoint(*surface_, box.lo),
                     .high_si = UnscaledPoint(*surface_, box.hi),
                     .region_fraction = inside_fraction};
    for (size_t i = 0; i < variables; ++i) {
      part.low_si[i] = std::max(part.low_si[i], low_si[i]);
      part.high_si[i] = std::min(part.high_si[i], high_si[i]);
      part.region_fraction *=
          SideShare(share.inside->lo[i], share.inside->hi[i], box.lo[i], box.hi[i]);
    }
    parts.push_back(std::move(part));
  }
  std::stable_sort(parts.begin(), parts.end(),
                   [](const UntestedBox& a, const UntestedBox& b) {
                     return a.region_fraction > b.region_fraction;
                   });
  if (parts.size() > kMostPartsNamed) parts.resize(kMostPartsNamed);
  if (parts.empty()) {
    parts.push_back({.low_si = {low_si.begin(), low_si.end()},
                     .high_si = {high_si.begin(), high_si.end()},
                     .region_fraction = inside_fraction * cover.unknown});
  }
  share.untested.insert(share.untested.end(), parts.begin(), parts.end());
  return share;
}

}  // namespace ratebound::map
