// How well a claim is shown, to tell a regression from progress.
//
// Example:
//   bool weaker = VerdictStrength(now.outcome) < VerdictStrength(baseline.outcome);
#ifndef RATEBOUND_ENGINE_CLAIM_VERDICT_STRENGTH_H_
#define RATEBOUND_ENGINE_CLAIM_VERDICT_STRENGTH_H_

#include "engine/document/claim.h"

namespace ratebound::claim {

// 0 REFUTED, 1 NOT_SHOWN whatever the reason, 2 OBSERVED, 3 PROVEN.
int VerdictStrength(document::Outcome outcome);

// PROVEN or OBSERVED: something stands that can be lost.
bool IsShown(document::Outcome outcome);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_VERDICT_STRENGTH_H_
