// Verdicts on the kinds of promise that are not one quantity against one limit.
//
// Each kind is decided in its own file. Errors: INVALID_ARGUMENT, naming the claim, for a
// kind that is not decided yet. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_KINDS_DECIDE_KIND_H_
#define RATEBOUND_ENGINE_CLAIM_KINDS_DECIDE_KIND_H_

#include <string_view>

#include "absl/status/statusor.h"
#include "engine/claim/decide.h"
#include "engine/document/claim.h"

namespace ratebound::claim {

absl::StatusOr<document::Verdict> DecideKind(const document::Claim& claim,
                                             const ClaimInputs& inputs);

// The fault of a kind that is not decided yet.
absl::Status NotYetDecided(const document::Claim& claim, std::string_view kind);

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
