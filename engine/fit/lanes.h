// Four doubles worked on alike: one AVX or two SSE2 registers, with the same bits.
//
// Only for files that are compiled once for each instruction set: hence the unnamed
// namespace, which keeps the wider code out of functions shared with the rest of the
// program.
#ifndef RATEBOUND_ENGINE_FIT_LANES_H_
#define RATEBOUND_ENGINE_FIT_LANES_H_

namespace ratebound::fit {
namespace {

// Never passed by value, which would depend on the instruction set.
using Lanes = double __attribute__((vector_size(32), aligned(8), may_alias));

inline const Lanes& At(const double* x) { return *reinterpret_cast<const Lanes*>(x); }
inline Lanes& At(double* x) { return *reinterpret_cast<Lanes*>(x); }

}  // namespace
}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_LANES_H_
