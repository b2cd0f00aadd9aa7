// What could be claimed with today's data, at the same level and allowance: the tightest
// limit over the whole region, and the largest region in each direction.
//
// "Entering air down to -15.2 degC instead of -18 degC." Each figure is found by
// bisection over whole decisions and is itself proven: what is returned is the last value
// that a decision called PROVEN. A tightest limit is sought for one number on one side;
// for a window, a table, a line or another quantity there is none. A region's end moves
// inwards while the claim is not proven and outwards, up to what was tested, while it is.
//
// Deterministic: kMostProofs decisions at most, and each of a fixed number of steps.
// Errors: as DecideClaim. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_PROVABLE_H_
#define RATEBOUND_ENGINE_CLAIM_PROVABLE_H_

#include "absl/status/statusor.h"
#include "engine/claim/decide.h"
#include "engine/document/claim.h"

namespace ratebound::claim {

inline constexpr int kMostProofs = 400;

// `verdict` is that of the claim itself.
absl::StatusOr<document::ProvableClaims> WhatCouldBeClaimed(
    const document::Claim& claim, const ClaimInputs& inputs,
    const document::Verdict& verdict);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_PROVABLE_H_
