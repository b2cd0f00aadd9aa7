// The verdict on one claim: proven, refuted at its worst point, or not shown and why.
//
// Example:
//   ASSIGN_OR_RETURN(document::Verdict verdict, DecideClaim(claim, inputs));
//
// Order of the reasons where a claim is not shown: MODEL (the surface cannot be
// estimated, has no uncertainty, or fails its lack-of-fit test), UNTESTED (part of the
// region was never tested), UNCERTAIN (the band straddles the limit), BUDGET. A claim
// that fails at a tested point is REFUTED even where part of its region is untested.
//
// PROVEN presumes the declared family of surfaces and the allowance; every verdict says
// so.
//
// Errors: INVALID_ARGUMENT where the claim's unit cannot state a limit (kW/ton falls
// where efficiency rises), where its region and the map's conditions differ, or where an
// allowance is a part of a temperature. A claim that fails is a verdict, not an error.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_DECIDE_H_
#define RATEBOUND_ENGINE_CLAIM_DECIDE_H_

#include <string>

#include "absl/status/statusor.h"
#include "engine/claim/margin.h"
#include "engine/document/claim.h"
#include "engine/document/line.h"
#include "engine/document/map.h"

namespace ratebound::claim {

// A lack-of-fit test that comes out below this speaks against the model.
inline constexpr double kLackOfFitLevel = 0.01;

struct ClaimInputs {
  const document::LineManifest& manifest;
  const document::Mode& mode;
  const document::StageMap& map;
  FitCombination fit;
  // Of the points of the stage: tells a new look from the same data decided again.
  std::string data_digest;
  // The verdict of the release before, or null.
  const document::Verdict* earlier = nullptr;
};

absl::StatusOr<document::Verdict> DecideClaim(const document::Claim& claim,
                                              const ClaimInputs& inputs);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_DECIDE_H_
