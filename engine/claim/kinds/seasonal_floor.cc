#include "engine/claim/kinds/decide_kind.h"

namespace ratebound::claim {

absl::StatusOr<document::Verdict> DecideSeasonalFloor(const document::Claim& claim,
                                                      const ClaimInputs&) {
  return NotYetDecided(claim, "seasonal_floor");
}

}  // namespace ratebound::claim
