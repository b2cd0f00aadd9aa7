#include "engine/claim/kinds/decide_kind.h"

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/claim/certify.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {

document::Verdict StartVerdict(const document::Claim& claim, const ClaimInputs& inputs) {
  document::Verdict verdict{.claim = claim.id, .text = claim};
  verdict.data_digest = inputs.data_digest;
  if (inputs.earlier != nullptr) {
    const bool same_data = inputs.earlier->data_digest == inputs.data_digest;
    verdict.look = inputs.earlier->look + (same_data ? 0 : 1);
  }
  return verdict;
}

absl::StatusOr<document::Verdict> DecideKind(const document::Claim& claim,
                                             const ClaimInputs& inputs) {
  if (claim.capacity_steps) return DecideCapacitySteps(claim, inputs);
  if (claim.equivalence) return DecideEquivalence(claim, inputs);
  if (claim.operating_envelope) return DecideOperatingEnvelope(claim, inputs);
  if (claim.seasonal_floor) {
    ASSIGN_OR_RETURN(document::Verdict verdict, DecideSeasonalFloor(claim, inputs));
    if (inputs.certification != nullptr) {
      const auto unit = quantity::FindUnit(claim.seasonal_floor->unit);
      *inputs.certification = CertifyRating(verdict, unit.ok() && unit->reciprocal);
    }
    return verdict;
  }
  if (claim.steadiness) return DecideSteadiness(claim, inputs);
  return absl::InvalidArgumentError(
      absl::StrCat("claim ", claim.id, ": promises nothing"));
}

}  // namespace ratebound::claim
