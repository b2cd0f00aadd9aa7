// Degradation coefficients and the credit for defrosting on demand, as the file and the
// user give them.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_SEASON_COEFFICIENTS_H_
#define RATEBOUND_ENGINE_RATING_SEASON_SEASON_COEFFICIENTS_H_

#include "absl/status/statusor.h"
#include "engine/document/season.h"
#include "engine/rating/season/season_plan.h"
#include "engine/rating/season/season_values.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

struct SeasonCoefficient {
  double value = 0;
  TraceNode trace;
};

// The tested coefficient where the user gives one or the results of the cyclic test,
//   (1 - cyclic efficiency / steady efficiency) / (1 - load factor),
// not below 0 and rounded as the file says; the default where nothing was tested or where
// the file says that a worse result gives way to it. FAILED_PRECONDITION for inputs that
// cannot be: a coefficient outside 0 to 1, half of a cyclic test.
absl::StatusOr<SeasonCoefficient> DegradationCoefficient(
    const document::Degradation& degradation, const SeasonValues& values);

// 1 where the user gives no interval between defrosts.
absl::StatusOr<SeasonCoefficient> DefrostFactor(const document::DefrostCredit& credit,
                                                const SeasonValues& values);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_SEASON_COEFFICIENTS_H_
