// The region of a claim with its figures as they were stated: what is reported of the
// conditions comes back in the claim's own units, and its ends as they were written.
//
// Example:
//   ASSIGN_OR_RETURN(StatedRegion region, StatedRegion::Create(conditions, claim));
//   part.region = region.RangesOf(box.low_si, box.high_si);
//
// Errors: INVALID_ARGUMENT where the region and the map's conditions differ, or where
// cuts leave nothing of it. Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_CLAIM_STATED_REGION_H_
#define RATEBOUND_ENGINE_CLAIM_STATED_REGION_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/claim.h"
#include "engine/document/region_pieces.h"

namespace ratebound::claim {

class StatedRegion {
 public:
  StatedRegion() = default;
  static absl::StatusOr<StatedRegion> Create(std::span<const std::string> conditions,
                                             const document::Claim& claim);

  const document::RegionPieces& pieces() const { return pieces_; }

  // One for each condition of the map, in its order.
  size_t size() const { return ranges_.size(); }
  const document::MeasureRange& range(size_t i) const { return ranges_[i]; }
  double InUnit(size_t i, double value_si) const;
  std::vector<document::MeasureRange> RangesOf(std::span<const double> low_si,
                                               std::span<const double> high_si) const;

 private:
  document::RegionPieces pieces_;
  std::vector<document::MeasureRange> ranges_;
};

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_STATED_REGION_H_
