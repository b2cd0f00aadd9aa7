// How the text of a claim differs from what it was: what is promised now and was not, and
// what was promised and is no more.
//
// A promise that was made easier to keep looks like progress in a verdict, so a gate must
// see it. Easier: a limit further off, a smaller region, a lower confidence, a smaller
// allowance, or a change whose effect cannot be told. Values are compared in SI, so that
// writing the same promise in other units changes nothing, nor do its id, statement and
// reasons.
//
// Example:
//   for (const PromiseChange& change : ComparePromises(baseline.text, now.text)) {
//     std::puts(change.text.c_str());  // "limit eased from 40 kW to 39.5 kW"
//   }
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_CLAIM_PROMISE_CHANGE_H_
#define RATEBOUND_ENGINE_CLAIM_PROMISE_CHANGE_H_

#include <string>
#include <vector>

#include "engine/document/claim.h"

namespace ratebound::claim {

enum class PromiseFacet { kSubject, kLimit, kRegion, kConfidence, kAllowance, kOther };

// What the change does to a claim that is to be shown.
enum class Ease { kEasier, kHarder, kUnclear };

struct PromiseChange {
  PromiseFacet facet = PromiseFacet::kOther;
  Ease ease = Ease::kUnclear;
  std::string text;  // "confidence lowered from 0.95 to 0.9"
  friend bool operator==(const PromiseChange&, const PromiseChange&) = default;
};

// In the order of the facets, regions in that of `now`; empty where the promise is the
// same.
std::vector<PromiseChange> ComparePromises(const document::Claim& before,
                                           const document::Claim& now);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_PROMISE_CHANGE_H_
