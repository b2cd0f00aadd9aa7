#include "engine/claim/kinds/decide_kind.h"

namespace ratebound::claim {

absl::StatusOr<document::Verdict> DecideCapacitySteps(const document::Claim& claim,
                                                      const ClaimInputs&) {
  return NotYetDecided(claim, "capacity_steps");
}

}  // namespace ratebound::claim
