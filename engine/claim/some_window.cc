#include "engine/claim/some_window.h"

#include <algorithm>
#include <utility>

#include "engine/base/status_macros.h"

namespace ratebound::claim {
namespace {

constexpr int64_t kMostBounds = 50'000;
constexpr int64_t kBoundsOfAPart = 64;
constexpr int kMostHalvings = 40;

struct Part {
  bound::Box box;
  int halvings = 0;
};

}  // namespace

absl::StatusOr<WindowProof> ProveSomeWindow(
    const std::vector<const Alternative*>& alternatives, const bound::Region& region) {
  WindowProof proof;
  const auto look = [&](const std::vector<double>& z) {
    int best = -1, best_side = 0;
    double most = 0;
    for (size_t k = 0; k < alternatives.size(); ++k) {
      double least = 0;
      int side = -1;
      for (size_t s = 0; s < alternatives[k]->sides.size(); ++s) {
        const double value = bound::Evaluate(alternatives[k]->sides[s].pessimistic, z).lo;
        if (side < 0 || value < least) {
          least = value;
          side = static_cast<int>(s);
        }
      }
      if (best < 0 || least > most) {
        most = least;
        best = static_cast<int>(k);
        best_side = side;
      }
    }
    if (proof.alternative >= 0 && most >= proof.value_at_worst) return;
    proof.alternative = best;
    proof.side = best_side;
    proof.worst_point = z;
    proof.value_at_worst = most;
  };
  const auto in_region = [&](const std::vector<double>& z) {
    const std::vector<bound::Interval> x(z.begin(), z.end());
    return std::all_of(
        region.cuts.begin(), region.cuts.end(),
        [&](const bound::Polynomial& cut) { return cut.Evaluate(x).lo >= 0; });
  };
  std::vector<Part> open = {{region.box, 0}};
  bool all = true;
  while (!open.empty()) {
    const Part part = std::move(open.back());
    open.pop_back();
    bool shown = false;
    for (size_t k = 0; k < alternatives.size(); ++k) {
      bool holds = true, empty = false;
      for (const SideMargin& side : alternatives[k]->sides) {
        ASSIGN_OR_RETURN(
            const bound::RegionProof one,
            bound::ProveOver({{side.pessimistic}}, {.box = part.box, .cuts = region.cuts},
                             {.max_boxes = kBoundsOfAPart}));
        proof.boxes += one.boxes;
        if (!one.worst_point.empty()) look(one.worst_point);
        empty = one.outcome == bound::RegionProof::kEmpty;
        if (empty) break;
        holds = one.outcome == bound::RegionProof::kHolds;
        if (!holds) break;
      }
      if (!holds) continue;
      shown = true;
      if (!empty) proof.parts.push_back({part.box, k});
      break;
    }
    if (shown) continue;
    std::vector<double> centre;
    int widest = -1;
    double width = 0;
    for (int i = 0; i < part.box.variables(); ++i) {
      centre.push_back((part.box.lo[i] + part.box.hi[i]) / 2);
      const double whole = region.box.hi[i] - region.box.lo[i];
      const double share = whole > 0 ? (part.box.hi[i] - part.box.lo[i]) / whole : 0;
      if (share > width) {
        width = share;
        widest = i;
      }
    }
    if (in_region(centre)) {
      look(centre);
      // Here no stage keeps its window: no halving will show that one does.
      if (proof.value_at_worst < 0) return proof;
    }
    if (widest < 0 || part.halvings >= kMostHalvings || proof.boxes >= kMostBounds) {
      proof.budget_ended = true;
      all = false;
      break;
    }
    for (int half = 0; half < 2; ++half) {
      Part next{part.box, part.halvings + 1};
      (half == 0 ? next.box.hi : next.box.lo)[widest] = centre[widest];
      open.push_back(std::move(next));
    }
  }
  proof.holds = all;
  return proof;
}

}  // namespace ratebound::claim
