#include "tests/engine/rating/counted_allocations.h"

#include <cstdlib>
#include <new>

static thread_local int allocations = 0;

// Array, aligned and nothrow forms come here or are not used by what is tested.
void* operator new(std::size_t size) {
  ++allocations;
  void* const memory = std::malloc(size == 0 ? 1 : size);
  if (memory == nullptr) throw std::bad_alloc();
  return memory;
}
void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }

namespace ratebound::rating {

int AllocationsOfThread() { return allocations; }

}  // namespace ratebound::rating
