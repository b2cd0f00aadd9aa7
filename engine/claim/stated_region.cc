#include "engine/claim/stated_region.h"

#include "engine/base/status_macros.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {

using document::MeasureRange;

absl::StatusOr<StatedRegion> StatedRegion::Create(std::span<const std::string> conditions,
                                                  const document::Claim& claim) {
  StatedRegion region;
  ASSIGN_OR_RETURN(region.pieces_,
                   document::PiecesOf(conditions, claim.region, claim.cuts));
  if (region.pieces_.pieces.empty()) {
    return absl::InvalidArgumentError("cuts: leave nothing of the region");
  }
  for (const std::string& condition : conditions) {
    for (const MeasureRange& range : claim.region) {
      if (range.quantity == condition) region.ranges_.push_back(range);
    }
  }
  return region;
}

double StatedRegion::InUnit(size_t i, double value_si) const {
  const MeasureRange& range = ranges_[i];
  if (value_si == range.low_si) return range.low;
  if (value_si == range.high_si) return range.high;
  const auto unit = quantity::FindUnit(range.unit);
  return unit.ok() ? quantity::FromSi(value_si, *unit) : value_si;
}

std::vector<MeasureRange> StatedRegion::RangesOf(std::span<const double> low_si,
                                                 std::span<const double> high_si) const {
  std::vector<MeasureRange> ranges;
  for (size_t i = 0; i < ranges_.size(); ++i) {
    ranges.push_back({ranges_[i].quantity, InUnit(i, low_si[i]), InUnit(i, high_si[i]),
                      ranges_[i].unit, low_si[i], high_si[i]});
  }
  return ranges;
}

}  // namespace ratebound::claim
