// Four doubles worked on alike: one AVX or two SSE2 registers, the same bits either way.
#ifndef RATEBOUND_ENGINE_FIT_LANES_H_
#define RATEBOUND_ENGINE_FIT_LANES_H_

namespace ratebound::fit {

// For locals only: passed by value it would depend on the ABI of the instruction set.
using Lanes = double __attribute__((vector_size(32), aligned(8), may_alias));

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_LANES_H_
