#include "engine/release/parallel.h"

#include <algorithm>
#include <atomic>
#include <thread>
#include <vector>

namespace ratebound::release {

absl::Status ForEachIndex(int count, int thread_count, const std::function<bool()>& stop,
                          const std::function<void(int)>& work) {
  std::atomic<int> next = 0;
  std::atomic<bool> stopped = false;
  const auto run = [&] {
    for (int i = next++; i < count && !stopped; i = next++) {
      if (stop && stop()) {
        stopped = true;
        return;
      }
      work(i);
    }
  };
  {
    std::vector<std::jthread> threads;
    const int helpers = std::min(thread_count, count) - 1;
    for (int i = 0; i < helpers; ++i) threads.emplace_back(run);
    run();
  }
  if (stopped) return absl::CancelledError("stopped by the caller");
  return absl::OkStatus();
}

}  // namespace ratebound::release
