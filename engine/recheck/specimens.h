// Two specimens of a stage for the recheck of an equivalence (kinds/equivalence.cc):
// releases carry no surfaces of single specimens, so these are fitted once more from
// their points, by the degrees that the verdict's model states.
//
// Errors: INVALID_ARGUMENT where release and claim do not fit each other.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_SPECIMENS_H_
#define RATEBOUND_ENGINE_RECHECK_SPECIMENS_H_

#include "absl/status/status.h"
#include "engine/recheck/duties.h"

namespace ratebound::recheck {

absl::Status AddEquivalence(const PromiseInputs& inputs, Promise& promise);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_SPECIMENS_H_
