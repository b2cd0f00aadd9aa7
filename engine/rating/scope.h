// Whether a procedure applies to a unit.
#ifndef RATEBOUND_ENGINE_RATING_SCOPE_H_
#define RATEBOUND_ENGINE_RATING_SCOPE_H_

#include <string>

#include "absl/status/status.h"
#include "engine/document/procedure.h"
#include "engine/rating/figure_source.h"

namespace ratebound::rating {

// FAILED_PRECONDITION with one sentence that says what the procedure applies to and what
// the unit is, where class, nominal capacity, phases or the kind of mode are outside.
absl::Status CheckScope(const document::Procedure& procedure,
                        const SourceDescription& description);

// FAILED_PRECONDITION where the procedure does not hold on `day`, as 2026-03-31.
absl::Status CheckDay(const document::Procedure& procedure, const std::string& day);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SCOPE_H_
