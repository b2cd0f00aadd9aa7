#include "engine/number/pair.h"

#include <sleef.h>

namespace ratebound::number {

// These names do not dispatch by processor, as the ones without a suffix would.
Pair Exp(const Pair& x) { return Pair(Sleef_cinz_expd2_u10sse2(x.lanes())); }
Pair Log(const Pair& x) { return Pair(Sleef_cinz_logd2_u10sse2(x.lanes())); }

}  // namespace ratebound::number
