#include "engine/claim/kinds/decide_kind.h"

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::claim {

absl::Status NotYetDecided(const document::Claim& claim, std::string_view kind) {
  return absl::InvalidArgumentError(
      absl::StrCat("claim ", claim.id, ": ", base::Absl(kind),
                   ": claims of this kind are not yet decided"));
}

absl::StatusOr<document::Verdict> DecideKind(const document::Claim& claim,
                                             const ClaimInputs& inputs) {
  if (claim.capacity_steps) return DecideCapacitySteps(claim, inputs);
  if (claim.equivalence) return DecideEquivalence(claim, inputs);
  if (claim.operating_envelope) return DecideOperatingEnvelope(claim, inputs);
  if (claim.seasonal_floor) return DecideSeasonalFloor(claim, inputs);
  if (claim.steadiness) return DecideSteadiness(claim, inputs);
  return absl::InvalidArgumentError(
      absl::StrCat("claim ", claim.id, ": promises nothing"));
}

}  // namespace ratebound::claim
