#include "engine/claim/kinds/decide_kind.h"

namespace ratebound::claim {

absl::StatusOr<document::Verdict> DecideOperatingEnvelope(const document::Claim& claim,
                                                          const ClaimInputs&) {
  return NotYetDecided(claim, "operating_envelope");
}

}  // namespace ratebound::claim
