// Whether at every point of a region some stage keeps both sides of a window.
//
// "Some stage" over windows is the largest over stages of the least over sides, which the
// proof over several functions (bound/prove_region.h) does not take: the region is halved
// until over each part one stage keeps all sides.
//
// Deterministic; budgets count bounds. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_SOME_WINDOW_H_
#define RATEBOUND_ENGINE_CLAIM_SOME_WINDOW_H_

#include <cstdint>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/prove_region.h"
#include "engine/claim/problem.h"

namespace ratebound::claim {

struct WindowProof {
  bool holds = false;
  bool budget_ended = false;
  int64_t boxes = 0;
  // Where the best stage is worst off of the points looked at: stage and side; -1 where
  // none was.
  int alternative = -1;
  int side = -1;
  std::vector<double> worst_point;
  double value_at_worst = 0;
  // Where it holds: over each part one alternative keeps all sides. Parts without a point
  // of the region are left out.
  struct Part {
    bound::Box box;
    size_t alternative = 0;
  };
  std::vector<Part> parts;
};

absl::StatusOr<WindowProof> ProveSomeWindow(
    const std::vector<const Alternative*>& alternatives, const bound::Region& region);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_SOME_WINDOW_H_
