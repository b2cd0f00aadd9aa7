#include "engine/bound/cover_region.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <tuple>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::bound {
namespace {

// Along `variable`: sorts so that boxes alike in all other sides follow each other by
// their lower end, and joins those that touch. Returns whether any did.
bool MergeAlong(int variable, std::vector<Box>& boxes) {
  const auto without = [variable](std::vector<double> ends) {
    ends.erase(ends.begin() + variable);
    return ends;
  };
  struct Entry {
    std::vector<double> lo, hi;  // without the variable
    size_t index;
  };
  std::vector<Entry> order;
  order.reserve(boxes.size());
  for (size_t b = 0; b < boxes.size(); ++b) {
    order.push_back({without(boxes[b].lo), without(boxes[b].hi), b});
  }
  std::sort(order.begin(), order.end(), [&](const Entry& a, const Entry& b) {
    return std::tie(a.lo, a.hi, boxes[a.index].lo[variable]) <
           std::tie(b.lo, b.hi, boxes[b.index].lo[variable]);
  });
  std::vector<Box> merged;
  bool any = false;
  for (size_t k = 0; k < order.size(); ++k) {
    Box& next = boxes[order[k].index];
    if (k > 0 && order[k].lo == order[k - 1].lo && order[k].hi == order[k - 1].hi &&
        merged.back().hi[variable] == next.lo[variable]) {
      merged.back().hi[variable] = next.hi[variable];
      any = true;
    } else {
      merged.push_back(std::move(next));
    }
  }
  boxes = std::move(merged);
  return any;
}

}  // namespace

std::vector<Box> MergeBoxes(std::vector<Box> boxes) {
  if (boxes.empty()) return boxes;
  const int n = boxes[0].variables();
  for (bool any = true; any;) {
    any = false;
    for (int i = 0; i < n; ++i) any = MergeAlong(i, boxes) || any;
  }
  std::sort(boxes.begin(), boxes.end(), [](const Box& a, const Box& b) {
    return std::tie(a.lo, a.hi) < std::tie(b.lo, b.hi);
  });
  return boxes;
}

absl::StatusOr<Cover> CoverRegion(const Box& box,
                                  const std::function<Membership(const Box&)>& classify,
                                  const CoverOptions& options) {
  RETURN_IF_ERROR(CheckBox(box, box.variables()));
  constexpr int kMostHalvings = 52;
  if (options.max_boxes < 1 || options.max_halvings < 0 ||
      options.max_halvings > kMostHalvings || options.max_out_boxes < 0) {
    return absl::InvalidArgumentError(
        absl::StrCat("cover options: max_boxes ", options.max_boxes, ", max_halvings ",
                     options.max_halvings, ", max_out_boxes ", options.max_out_boxes,
                     "; give at least one box, 0 to ", kMostHalvings,
                     " halvings and nothing negative"));
  }
  const int n = box.variables();
  struct Part {
    Box box;
    int halvings;
  };
  std::deque<Part> open = {{box, 0}};
  Cover cover;
  std::vector<Box> out;
  for (; !open.empty(); open.pop_front()) {
    const Part& part = open.front();
    const double share = std::ldexp(1.0, -part.halvings);
    if (cover.boxes >= options.max_boxes) {
      cover.unknown += share;
      continue;
    }
    ++cover.boxes;
    const Membership membership = classify(part.box);
    if (membership == Membership::kIn) {
      cover.in += share;
      continue;
    }
    if (membership == Membership::kOut) {
      cover.out += share;
      out.push_back(part.box);
      continue;
    }
    int split = -1;
    double widest = 0;
    for (int i = 0; i < n; ++i) {
      const double whole = box.hi[i] - box.lo[i];
      const double width = (part.box.hi[i] - part.box.lo[i]) / whole;
      const double middle = 0.5 * part.box.lo[i] + 0.5 * part.box.hi[i];
      // A middle that rounds to an end leaves nothing to halve.
      if (whole > 0 && width > widest && part.box.lo[i] < middle &&
          middle < part.box.hi[i]) {
        split = i;
        widest = width;
      }
    }
    if (split < 0 || part.halvings >= options.max_halvings) {
      cover.unknown += share;
      continue;
    }
    const double middle = 0.5 * part.box.lo[split] + 0.5 * part.box.hi[split];
    Part lower{part.box, part.halvings + 1};
    Part upper{part.box, part.halvings + 1};
    lower.box.hi[split] = middle;
    upper.box.lo[split] = middle;
    open.push_back(std::move(lower));
    open.push_back(std::move(upper));
  }
  cover.out_boxes = MergeBoxes(std::move(out));
  const size_t most = options.max_out_boxes;
  if (cover.out_boxes.size() > most) {
    const auto share = [&box](const Box& part) {
      double product = 1;
      for (int i = 0; i < box.variables(); ++i) {
        const double whole = box.hi[i] - box.lo[i];
        if (whole > 0) product *= (part.hi[i] - part.lo[i]) / whole;
      }
      return product;
    };
    std::stable_sort(
        cover.out_boxes.begin(), cover.out_boxes.end(),
        [&share](const Box& a, const Box& b) { return share(a) > share(b); });
    cover.out_boxes.resize(most);
    cover.out_boxes_cut = true;
  }
  return cover;
}

}  // namespace ratebound::bound
