#include "tests/engine/rating/counted_allocations.h"

#include <cstdlib>
#include <new>

static thread_local int allocations = 0;

// Array and aligned forms come here or are not used by what is tested; the nothrow form
// (of std::stable_sort) would be a sanitizer's own, whose memory std::free does not take.
void* operator new(std::size_t size) {
  ++allocations;
  void* const memory = std::malloc(size == 0 ? 1 : size);
  if (memory == nullptr) throw std::bad_alloc();
  return memory;
}
void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
  ++allocations;
  return std::malloc(size == 0 ? 1 : size);
}
void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }

namespace ratebound::rating {

int AllocationsOfThread() { return allocations; }

}  // namespace ratebound::rating
