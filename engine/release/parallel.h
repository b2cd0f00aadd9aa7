// Runs independent pieces of work on a few threads; results go by index, so that nothing
// depends on the number of threads.
//
// Example:
//   std::vector<Answer> answers(n);
//   RETURN_IF_ERROR(ForEachIndex(n, 2, stop, [&](int i) { answers[i] = Ask(i); }));
//
// Errors: CANCELLED where `stop` said so before all was done. `work` must not throw.
#ifndef RATEBOUND_ENGINE_RELEASE_PARALLEL_H_
#define RATEBOUND_ENGINE_RELEASE_PARALLEL_H_

#include <functional>

#include "absl/status/status.h"

namespace ratebound::release {

absl::Status ForEachIndex(int count, int thread_count, const std::function<bool()>& stop,
                          const std::function<void(int)>& work);

}  // namespace ratebound::release

#endif  // RATEBOUND_ENGINE_RELEASE_PARALLEL_H_
