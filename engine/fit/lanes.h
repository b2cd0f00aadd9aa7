// Four doubles worked on alike: one AVX or two SSE2 registers, with the same bits.
//
// Only for files that are compiled once for each instruction set: hence the unnamed
// namespace, which keeps the wider code out of functions shared with the rest of the
// program.
#ifndef RATEBOUND_ENGINE_FIT_LANES_H_
#define RATEBOUND_ENGINE_FIT_LANES_H_

namespace ratebound::fit {
namespace {

// Never passed or returned by value, which would depend on the instruction set.
using Lanes = double __attribute__((vector_size(32)));

// Four doubles from memory of any alignment: Load(x + i).lanes.
struct Load {
  [[gnu::always_inline]] explicit Load(const double* from) {
    __builtin_memcpy(&lanes, from, sizeof lanes);
  }
  Lanes lanes;
};

[[gnu::always_inline]] inline void Store(double* to, const Lanes& lanes) {
  __builtin_memcpy(to, &lanes, sizeof lanes);
}

}  // namespace
}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_LANES_H_
