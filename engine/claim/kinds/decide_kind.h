// Verdicts on the kinds of promise that are not one quantity against one limit.
//
// Each kind is decided in its own file, whose head says what is claimed and how it is
// shown. Errors: INVALID_ARGUMENT, naming claim and field. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_KINDS_DECIDE_KIND_H_
#define RATEBOUND_ENGINE_CLAIM_KINDS_DECIDE_KIND_H_

#include "absl/status/statusor.h"
#include "engine/claim/decide.h"
#include "engine/document/claim.h"

namespace ratebound::claim {

absl::StatusOr<document::Verdict> DecideKind(const document::Claim& claim,
                                             const ClaimInputs& inputs);

// A verdict NOT_SHOWN with what every verdict carries; for kinds without a region.
document::Verdict StartVerdict(const document::Claim& claim, const ClaimInputs& inputs);

absl::StatusOr<document::Verdict> DecideCapacitySteps(const document::Claim& claim,
                                                      const ClaimInputs& inputs);
absl::StatusOr<document::Verdict> DecideEquivalence(const document::Claim& claim,
                                                    const ClaimInputs& inputs);
absl::StatusOr<document::Verdict> DecideOperatingEnvelope(const document::Claim& claim,
                                                          const ClaimInputs& inputs);
absl::StatusOr<document::Verdict> DecideSeasonalFloor(const document::Claim& claim,
                                                      const ClaimInputs& inputs);
absl::StatusOr<document::Verdict> DecideSteadiness(const document::Claim& claim,
                                                   const ClaimInputs& inputs);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_KINDS_DECIDE_KIND_H_
