#include "engine/bound/prove_minimum.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/bound/box_bound.h"
#include "engine/bound/local_search.h"

namespace ratebound::bound {
namespace {

using Vector = BoxBounder::Vector;

// Measured: most claims are proven by fewer boxes, and a tensor costs as much as several.
constexpr int64_t kBoxesBeforeTensor = 256;

class Search {
 public:
  Search(const BandedFunction& g, const Box& box) : g_(g), bounder_(g, box) {
    minima_ = FindLocalMinima(bounder_);
    lowest_ = minima_[0].value;
    Adopt(minima_[0].at);
  }

  // What is known of the minimum, from above.
  const std::vector<double>& point() const { return point_; }
  const Interval& value() const { return value_; }

  struct Cover {
    double lower = kInfinity;  // over the whole box
    int64_t boxes = 0;
    int64_t left = 0;  // parts whose bound fell short
    std::vector<UnitPart> parts_left;
  };

  // Covers the box by parts whose bound is at least wanted(), stopping early once stop()
  // says so. A part within `tolerance` of it, or within what rounding hides, is not
  // halved further.
  template <typename Wanted, typename Stop>
  Cover Run(int64_t max_boxes, int max_left, double tolerance, const Wanted& wanted,
            const Stop& stop) {
    Cover cover;
    struct Open {
      UnitPart part;
      double lower;
    };
    std::vector<Open> open;
    open.reserve(64);
    Open whole{.part = {}, .lower = -kInfinity};
    for (int i = 0; i < bounder_.variables(); ++i) {
      whole.part.lo[i] = bounder_.Varies(i) ? -1 : 0;
      whole.part.hi[i] = bounder_.Varies(i) ? 1 : 0;
    }
    open.push_back(whole);
    const auto leave = [&](const UnitPart& part, double lower) {
      cover.lower = std::min(cover.lower, lower);
      ++cover.left;
      if (static_cast<int>(cover.parts_left.size()) < max_left) {
        cover.parts_left.push_back(part);
      }
    };
    while (!open.empty() && !stop()) {
      const Open next = open.back();
      open.pop_back();
      if (cover.boxes >= max_boxes) {
        leave(next.part, next.lower);
        continue;
      }
      ++cover.boxes;
      const Vector anchor = Anchor(next.part);
      const BoxBounder::Result bound = bounder_.Bound(
          next.part, anchor, wanted(),
          cover.boxes > kBoxesBeforeTensor ? BoxBounder::Forms::kAll
                                           : BoxBounder::Forms::kWithoutTensor);
      // The part lies in its parent.
      const double lower = std::max(bound.lower, next.lower);
      if (bound.value < lowest_) Improve(anchor);
      if (lower >= wanted()) {
        cover.lower = std::min(cover.lower, lower);
        continue;
      }
      const double hidden = std::max(tolerance, 4 * bound.resolved);
      if (bound.split < 0 || lower >= wanted() - hidden) {
        leave(next.part, lower);
        continue;
      }
      Open half{.part = next.part, .lower = lower};
      const double middle = 0.5 * (next.part.lo[bound.split] + next.part.hi[bound.split]);
      half.part.lo[bound.split] = middle;
      open.push_back(half);
      half.part.lo[bound.split] = next.part.lo[bound.split];
      half.part.hi[bound.split] = middle;
      open.push_back(half);
    }
    for (const Open& rest : open) leave(rest.part, rest.lower);
    return cover;
  }

  Box ToBox(const UnitPart& part) const {
    Box box;
    box.lo.resize(bounder_.variables());
    box.hi.resize(bounder_.variables());
    bounder_.map().ToBox(part.lo.data(), box.lo.data());
    bounder_.map().ToBox(part.hi.data(), box.hi.data());
    return box;
  }

 private:
  // The lowest minimum inside the part or next to it, moved into it; else the centre.
  Vector Anchor(const UnitPart& part) const {
    const int n = bounder_.variables();
    for (const LocalMinimum& minimum : minima_) {
      Vector anchor{};
      bool near = true;
      for (int i = 0; i < n && near; ++i) {
        anchor[i] = std::clamp(minimum.at[i], part.lo[i], part.hi[i]);
        near = std::fabs(anchor[i] - minimum.at[i]) <= 0.25 * (part.hi[i] - part.lo[i]);
      }
      if (near) return anchor;
    }
    Vector anchor{};
    for (int i = 0; i < n; ++i) anchor[i] = 0.5 * (part.lo[i] + part.hi[i]);
    return anchor;
  }

  // A lower value than any before: runs downhill from it.
  void Improve(const Vector& from) {
    const LocalMinimum found = Descend(bounder_, from);
    // Rounding alone can lower a value a little; that is no new minimum.
    const bool much = found.value < lowest_ - 1e-12 * std::fabs(lowest_);
    if (!(found.value < lowest_)) return;
    lowest_ = found.value;
    if (much) Adopt(found.at);
  }

  void Adopt(const Vector& at) {
    std::vector<double> point(bounder_.variables());
    bounder_.map().ToBox(at.data(), point.data());
    const Interval value = Evaluate(g_, point);
    if (!point_.empty() && !(value.hi < value_.hi)) return;
    point_ = std::move(point);
    value_ = value;
  }

  const BandedFunction& g_;
  BoxBounder bounder_;
  std::vector<LocalMinimum> minima_;
  double lowest_ = 0;
  std::vector<double> point_;
  Interval value_;
};

}  // namespace

absl::StatusOr<Proof> ProveNonNegative(const BandedFunction& g, const Box& box,
                                       const ProofOptions& options) {
  RETURN_IF_ERROR(CheckBandedFunction(g, box));
  if (options.max_boxes < 1 || !(options.tolerance >= 0) || options.max_undecided < 0) {
    return absl::InvalidArgumentError(
        absl::StrCat("proof options: max_boxes ", options.max_boxes, ", tolerance ",
                     options.tolerance, ", max_undecided ", options.max_undecided,
                     "; give at least one box and nothing negative"));
  }
  Search search(g, box);
  const auto violated = [&search] { return search.value().hi < 0; };
  // A refuted claim needs no cover: one bound over the whole box says how bad it can be.
  const bool refuted_at_once = violated();
  const Search::Cover cover = search.Run(
      refuted_at_once ? 1 : options.max_boxes, options.max_undecided, options.tolerance,
      [] { return 0.0; }, [&] { return !refuted_at_once && violated(); });
  Proof proof{.lower_bound = cover.lower,
              .worst_point = search.point(),
              .value_at_worst = search.value(),
              .boxes = cover.boxes};
  if (violated()) {
    proof.outcome = Proof::kViolated;
    return proof;
  }
  if (cover.left == 0) {
    proof.outcome = Proof::kHolds;
    return proof;
  }
  proof.undecided_boxes = cover.left;
  for (const UnitPart& part : cover.parts_left)
    proof.undecided.push_back(search.ToBox(part));
  return proof;
}

absl::StatusOr<MinimumEnclosure> EncloseMinimum(const BandedFunction& g, const Box& box,
                                                double tolerance, int64_t max_boxes) {
  RETURN_IF_ERROR(CheckBandedFunction(g, box));
  if (!(tolerance > 0) || max_boxes < 1) {
    return absl::InvalidArgumentError(absl::StrCat(
        "tolerance ", tolerance, " and ", max_boxes, " boxes; both must be positive"));
  }
  Search search(g, box);
  // Half for the bound, half for what rounding widens it by.
  const auto wanted = [&search, tolerance] {
    return search.value().hi - 0.5 * tolerance;
  };
  const Search::Cover cover =
      search.Run(max_boxes, 0, 0.25 * tolerance, wanted, [] { return false; });
  // Every part may have been bounded above the value found, when rounding blurs the
  // value.
  const double lower = std::min(cover.lower, search.value().hi);
  return MinimumEnclosure{.value = {lower, search.value().hi},
                          .location = search.point(),
                          .boxes = cover.boxes,
                          .reached = search.value().hi - lower <= tolerance};
}

}  // namespace ratebound::bound
