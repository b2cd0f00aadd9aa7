// The verdict on a promise that is not one quantity against one limit but, all the same,
// margins over a region: what has to be proven is made by the caller (kinds/), and
// decided, refuted, divided into shares and reported as any claim.
//
// Example:
//   return DecideProblems(claim, inputs, unit,
//                         [&](const std::vector<StageInputs>& stages,
//                             const document::RegionPieces& region, double level) {
//                           return MakeMyProblems(claim, stages, region, level);
//                         });
//
// `unit` is that of margins, limits and estimates in the verdict; figures of a difference
// take a unit without shift. Errors: INVALID_ARGUMENT of the maker comes back with the
// claim's id before it. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_DECIDE_PROBLEMS_H_
#define RATEBOUND_ENGINE_CLAIM_DECIDE_PROBLEMS_H_

#include <functional>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/claim/decide.h"
#include "engine/claim/problem.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {

// For a look at this level. The stages outlive the set.
using MakeProblemSet = std::function<absl::StatusOr<ProblemSet>(
    const std::vector<StageInputs>& stages, const document::RegionPieces& region,
    double level)>;

absl::StatusOr<document::Verdict> DecideProblems(const document::Claim& claim,
                                                 const ClaimInputs& inputs,
                                                 const quantity::Unit& unit,
                                                 const MakeProblemSet& make);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_DECIDE_PROBLEMS_H_
