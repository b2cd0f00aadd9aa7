#include "engine/recheck/cover.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include "absl/strings/str_cat.h"

namespace ratebound::recheck {
namespace {

// More than claims come to by far: cells, parts looked at for all of them, and cells
// inside of each other.
constexpr int64_t kMostCells = 1'000'000;
constexpr int64_t kMostLooks = 100'000'000;
constexpr int kDeepest = 1'000;

// The first condition over which the part does not hold all of the cell; -1: it does.
int Outside(const Shown& shown, const Reach& cell) {
  for (size_t i = 0; i < cell.low.size(); ++i) {
    if (!((*shown.low)[i] <= cell.low[i] && (*shown.high)[i] >= cell.high[i])) {
      return static_cast<int>(i);
    }
  }
  return -1;
}

class Cover {
 public:
  Cover(size_t sides, const std::function<bool(const Reach&)>& is_empty)
      : sides_(sides), is_empty_(is_empty) {}

  // Divides the cell at the parts' own ends. False with the cell that is left out.
  bool Holds(Reach cell, const std::vector<const Shown*>& shown, int depth = 0) {
    std::vector<const Shown*> near;
    looks_ += static_cast<int64_t>(shown.size());
    for (const Shown* one : shown) {
      bool meets = true;
      for (size_t i = 0; i < cell.low.size(); ++i) {
        const double low = (*one->low)[i], high = (*one->high)[i];
        meets = meets &&
                (cell.low[i] == cell.high[i] ? low <= cell.low[i] && cell.low[i] <= high
                                             : low < cell.high[i] && cell.low[i] < high);
      }
      if (meets) near.push_back(one);
    }
    if (IsHeld(cell, near)) return true;
    if (++cells_ <= kMostCells && looks_ <= kMostLooks && depth < kDeepest) {
      // The end nearest to a middle, so that few divisions follow each other.
      double nearest = 1, at = 0;
      size_t along = 0;
      for (const Shown* one : near) {
        for (size_t i = 0; i < cell.low.size(); ++i) {
          for (const double end : {(*one->low)[i], (*one->high)[i]}) {
            if (!(cell.low[i] < end && end < cell.high[i])) continue;
            const double share = (end - cell.low[i]) / (cell.high[i] - cell.low[i]);
            const double off = std::fabs(share - 0.5);
            if (off >= nearest) continue;
            nearest = off;
            at = end;
            along = i;
          }
        }
      }
      if (nearest < 1) {
        Reach half = cell;
        half.high[along] = cell.low[along] = at;
        return Holds(std::move(half), near, depth + 1) &&
               Holds(std::move(cell), near, depth + 1);
      }
      if (is_empty_(cell)) return true;
    }
    left_out_ = std::move(cell);
    return false;
  }

  const Reach& left_out() const { return left_out_; }

 private:
  bool IsHeld(const Reach& cell, const std::vector<const Shown*>& near) const {
    std::vector<std::pair<int, size_t>> held;
    for (const Shown* one : near) {
      if (Outside(*one, cell) >= 0) continue;
      if (sides_ == 1) return true;
      if (one->way >= 0) held.emplace_back(one->way, one->side);
    }
    std::sort(held.begin(), held.end());
    held.erase(std::unique(held.begin(), held.end()), held.end());
    for (size_t k = 0; k + sides_ <= held.size() && sides_ > 0; ++k) {
      if (held[k].first == held[k + sides_ - 1].first) return true;
    }
    return false;
  }

  const size_t sides_;
  const std::function<bool(const Reach&)>& is_empty_;
  Reach left_out_;
  int64_t cells_ = 0;
  int64_t looks_ = 0;
};

}  // namespace

std::string LeftOut(const Reach& box, const std::vector<Shown>& shown, size_t sides,
                    const std::function<bool(const Reach&)>& is_empty,
                    const std::vector<std::string>& conditions) {
  std::vector<const Shown*> all;
  for (const Shown& one : shown) all.push_back(&one);
  Cover cover(sides, is_empty);
  if (cover.Holds(box, all)) return "";
  int worst = -1;
  for (const Shown& one : shown) worst = std::max(worst, Outside(one, cover.left_out()));
  return worst < 0 ? "of all conditions"
                   : absl::StrCat("of ", conditions[static_cast<size_t>(worst)]);
}

}  // namespace ratebound::recheck
