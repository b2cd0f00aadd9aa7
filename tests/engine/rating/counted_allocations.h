// How often the calling thread has asked for memory: for tests of what must not allocate.
// Linking counted_allocations.cc replaces operator new for the whole program.
#ifndef RATEBOUND_TESTS_ENGINE_RATING_COUNTED_ALLOCATIONS_H_
#define RATEBOUND_TESTS_ENGINE_RATING_COUNTED_ALLOCATIONS_H_

namespace ratebound::rating {

int AllocationsOfThread();

}  // namespace ratebound::rating

#endif  // RATEBOUND_TESTS_ENGINE_RATING_COUNTED_ALLOCATIONS_H_
