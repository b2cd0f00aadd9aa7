// A limit on the dew point of the leaving air where no surface of it is fitted, by what
// the mode does fit: its humidity ratio, or its dry and wet bulb, at the barometric
// pressure that the mode holds (psychrometric_limit.h).
//
// - Humidity ratio W: the limit L becomes psi(L) and the margin is read as a temperature
//   along the tangent there, L + (W - psi(L)) / psi'(L): exact in sign, and to first
//   order in size. Proven and refuted.
// - Dry and wet bulb: each limit becomes lines that imply it, wherever the wet bulb lies
//   in a range, which is shown beside them. The lines give up to 0.01 K away, so that
//   missing one of them refutes nothing: such a claim is proven or not shown.
//
// The allowance moves L before it is turned into humidity. Both ways take one pressure:
// held conditions are held as in the tests, and every verdict says so.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_KINDS_DEW_POINT_H_
#define RATEBOUND_ENGINE_CLAIM_KINDS_DEW_POINT_H_

#include "absl/status/statusor.h"
#include "engine/claim/decide.h"
#include "engine/document/claim.h"

namespace ratebound::claim {

// Whether the claim is on a dew point that some of its stages has no surface of.
bool IsDerivedDewPoint(const document::Claim& claim, const ClaimInputs& inputs);

// INVALID_ARGUMENT: no barometric pressure is held, neither humidity ratio nor both bulbs
// are responses, a limit that is no number.
absl::StatusOr<document::Verdict> DecideDewPoint(const document::Claim& claim,
                                                 const ClaimInputs& inputs);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_KINDS_DEW_POINT_H_
