// The verdict on one claim: proven, refuted at its worst point, or not shown and why.
//
// Example:
//   ASSIGN_OR_RETURN(document::Verdict verdict, DecideClaim(claim, inputs));
//
// A claim is taken apart into what each part of its region is promised by which stages
// (promise_parts.h). All parts must hold. Where some stage of several serves, each takes
// the level divided by their number, and the region is divided so that each piece is
// shown by a stage, or by several together (engine/bound/prove_region.h); every other
// rule and both sides of a window take the whole level (level.h).
//
// Order of the reasons where a claim is not shown: MODEL (the surface cannot be
// estimated, has no uncertainty, or fails its lack-of-fit test), UNTESTED (part of the
// region was never tested), UNCERTAIN (the band straddles the limit), BUDGET. A claim
// that fails at a tested point is REFUTED even where part of its region is untested.
//
// PROVEN presumes the declared family of surfaces and the allowance; every verdict says
// so.
//
// Shares: where the claim is not proven, the region is halved into boxes that are each
// proven, refuted, untested or, within a fixed number of boxes, uncertain
// (region_shares.h).
//
// Errors: INVALID_ARGUMENT, naming claim and field, where the claim's unit cannot state a
// limit (kW/ton falls where efficiency rises), where its region and the map's conditions
// differ, where cuts leave nothing of it, where an allowance is a part of a temperature,
// or for what a kind of claim cannot be (kinds/). A claim that fails is a verdict, not an
// error. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_DECIDE_H_
#define RATEBOUND_ENGINE_CLAIM_DECIDE_H_

#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/claim/certify.h"
#include "engine/claim/margin.h"
#include "engine/document/claim.h"
#include "engine/document/line.h"
#include "engine/document/log.h"
#include "engine/document/map.h"
#include "engine/document/rating.h"

namespace ratebound::claim {

// A lack-of-fit test that comes out below this speaks against the model.
inline constexpr double kLackOfFitLevel = 0.01;

struct ClaimInputs {
  const document::LineManifest& manifest;
  const document::Mode& mode;
  // Of the claim's stage; not looked at where `stages` are given.
  const document::StageMap& map;
  FitCombination fit;
  // Of the points of the stages: tells a new look from the same data decided again.
  std::string data_digest;
  // The verdict of the release before, or null.
  const document::Verdict* earlier = nullptr;
  // Those that the claim asks about (StagesOf, promise_parts.h), where it is not one. For
  // an equivalence the two specimens, by id and each with the map of its own points; the
  // reference is the second.
  std::vector<StageInputs> stages = {};
  // Of a seasonal floor: by its procedure, with its uncertainty.
  const document::Rating* rating = nullptr;
  // Of steadiness: of its quantity in its log; null where no column measures it.
  const document::ReadingStatistics* readings = nullptr;
  // Also tell what could be claimed (provable.h): some hundred proofs more.
  bool provable = false;
  // How the region divides, where the claim is not proven.
  bool shares = true;
  // Filled where not null: what shows the verdict to a checker without the prover. Costs
  // a second proof.
  Certification* certification = nullptr;
};

absl::StatusOr<document::Verdict> DecideClaim(const document::Claim& claim,
                                              const ClaimInputs& inputs);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_DECIDE_H_
