// How many standard errors a refutation takes off: those of the band over all conditions
// (RefutingFactor, level.h) or of the band over the region (regional_constant.h), which
// are fewer but take a simulation.
//
// What a refutation searches, it pays for. Stages: each band takes level / stages
// (RefutingLevel). The band over all conditions holds for every part of a region and for
// both sides, as long as these are limits on one surface; where each limit has a fitted
// combination of its own (an efficiency), each part takes its share. The band over a
// region is one-sided and of one part, so every part and side takes its share.
//
// The simulation is run only where the margin is below 0 by more than a single place's
// band at some vertex or middle of the part: elsewhere no band refutes, or a place
// between them is missed, which shows nothing wrong.
//
// Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_CLAIM_REFUTING_BAND_H_
#define RATEBOUND_ENGINE_CLAIM_REFUTING_BAND_H_

#include <optional>

#include "absl/status/statusor.h"
#include "engine/claim/frame.h"
#include "engine/claim/margin.h"
#include "engine/document/region_pieces.h"

namespace ratebound::claim {

struct RefutingSearch {
  double level = 0;  // of the look
  int stages = 1;    // that are looked at
  int parts = 1;     // of the region
  int sides = 1;     // of the part's limits
};

// Empty where no band can be. Errors: those of the ratios other than FAILED_PRECONDITION.
absl::StatusOr<std::optional<Factors>> RefutingFactorsOver(
    const OneSide& side, const Frame& frame, const document::ConditionBox& box,
    const RefutingSearch& search);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_REFUTING_BAND_H_
