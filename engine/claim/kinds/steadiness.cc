#include "engine/claim/kinds/decide_kind.h"

namespace ratebound::claim {

absl::StatusOr<document::Verdict> DecideSteadiness(const document::Claim& claim,
                                                   const ClaimInputs&) {
  return NotYetDecided(claim, "steadiness");
}

}  // namespace ratebound::claim
