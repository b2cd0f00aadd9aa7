// Certificates of claims on a rating. With the rating r, its standard error s, what its
// instruments may be off by b, the allowance A, the limit L and the factor t:
//   proven    r - t s - b - A is at least L (where less is better: r + t s + b + A at
//   most) refuted   r + t s + b + A is below L
// in spans that round outward, at a level that t is Student's quantile of.
//
// This follows a verdict from its figures and no further: r, s and b are held against
// those of the release, and there is no second way to them here. Whoever has the engine
// at hand can let it compute them once more (engine/release/rate_once_more.h).
//
// Errors: INVALID_ARGUMENT saying what does not follow or differs. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_RATING_H_
#define RATEBOUND_ENGINE_RECHECK_RATING_H_

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/recheck/recheck.h"

namespace ratebound::recheck {

// Whether the verdict follows from the figures.
absl::Status RecheckRating(const document::Certificate& certificate);

// And whether they are those of the claim and of the release.
absl::StatusOr<RecheckReport> RecheckRatingAgainst(
    const document::Certificate& certificate, const document::Release& release);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_RATING_H_
