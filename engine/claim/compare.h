// A verdict against the one on the same claim in a baseline.
#ifndef RATEBOUND_ENGINE_CLAIM_COMPARE_H_
#define RATEBOUND_ENGINE_CLAIM_COMPARE_H_

#include "engine/document/claim.h"

namespace ratebound::claim {

enum class Change { kSame, kStronger, kWeaker };

// REFUTED is weakest, then NOT_SHOWN whatever the reason, OBSERVED, PROVEN.
Change CompareVerdicts(const document::Verdict& before, const document::Verdict& after);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_COMPARE_H_
