// A limit on the dew point of the leaving air by its humidity ratio, for the recheck; as
// engine/claim/kinds/dew_point.h, written apart from it. The dew point rises with the
// humidity ratio at one pressure (psychrometric_limit.h, which both stand on), so a limit
// on the one is a limit on the other, psi(L); the margin is read as a temperature along
// the tangent there.
//
// Errors: INVALID_ARGUMENT where no barometric pressure is held, or the limit is no dew
// point. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_DEW_POINT_H_
#define RATEBOUND_ENGINE_RECHECK_DEW_POINT_H_

#include "absl/status/statusor.h"
#include "engine/recheck/duties.h"

namespace ratebound::recheck {

// Whether the claim is on a dew point that the stage has no surface of, but of humidity.
bool FollowsFromHumidity(const document::Claim& claim, const document::StageMap& map);

absl::StatusOr<Formula> DewPointFormula(const PromiseInputs& inputs,
                                        const document::StageMap& map,
                                        const LimitSide& side);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_DEW_POINT_H_
