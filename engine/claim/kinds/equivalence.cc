#include "engine/claim/kinds/decide_kind.h"

namespace ratebound::claim {

absl::StatusOr<document::Verdict> DecideEquivalence(const document::Claim& claim,
                                                    const ClaimInputs&) {
  return NotYetDecided(claim, "equivalence");
}

}  // namespace ratebound::claim
