// Whether a procedure applies to a unit.
#ifndef RATEBOUND_ENGINE_RATING_SCOPE_H_
#define RATEBOUND_ENGINE_RATING_SCOPE_H_

#include "absl/status/status.h"
#include "engine/document/procedure.h"
#include "engine/rating/rated_unit.h"

namespace ratebound::rating {

// FAILED_PRECONDITION with one sentence that says what the procedure applies to and what
// the unit is, where class, nominal capacity, phases or the kind of mode are outside.
absl::Status CheckScope(const document::Procedure& procedure,
                        const RatedUnit& rated_unit);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SCOPE_H_
