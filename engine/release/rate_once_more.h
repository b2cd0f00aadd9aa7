// A rating of a release computed again from what the release holds: its surfaces, points
// and procedures, by the engine that made it.
//
// Example:
//   ASSIGN_OR_RETURN(const document::Rating again,
//                    RateOnceMore(release, "hall-46", "ieer-water-cooled"));
//
// That it comes out the same shows that rating and surfaces of the release belong
// together, and nothing of the engine: it is the same one. A standard error that was
// drawn is computed to first order here.
//
// Errors: NOT_FOUND for a unit or procedure that the release does not hold; those of
// ratings. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RELEASE_RATE_ONCE_MORE_H_
#define RATEBOUND_ENGINE_RELEASE_RATE_ONCE_MORE_H_

#include <string>

#include "absl/status/statusor.h"
#include "engine/document/release.h"

namespace ratebound::release {

absl::StatusOr<document::Rating> RateOnceMore(const document::Release& release,
                                              const std::string& unit,
                                              const std::string& procedure);

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_RATE_ONCE_MORE_H_
