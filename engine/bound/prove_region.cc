#include "engine/bound/prove_region.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/bound/bernstein.h"
#include "engine/bound/box_bound.h"
#include "engine/bound/cover_region.h"
#include "engine/bound/local_search.h"
#include "engine/bound/minimax_search.h"
#include "engine/bound/prove_minimum.h"

namespace ratebound::bound {
namespace {

using Vector = BoxBounder::Vector;
using Forms = BoxBounder::Forms;

absl::Status Check(std::span<const BandedFunction> alternatives, const Region& region,
                   const RegionOptions& options) {
  base::FaultList faults;
  if (alternatives.empty()) {
    faults.Add({.field = "alternatives",
                .message = "there is none",
                .remedy = "give at least one function"});
  }
  for (const BandedFunction& g : alternatives) {
    faults.AddStatus(CheckBandedFunction(g, region.box));
  }
  for (size_t c = 0; c < region.cuts.size(); ++c) {
    if (region.cuts[c].variables() != region.box.variables()) {
      faults.Add(
          {.field = absl::StrCat("cut ", c),
           .message = absl::StrCat(region.cuts[c].variables(), " variables"),
           .remedy = absl::StrCat("give ", region.box.variables(), " as the box has")});
    }
    faults.AddStatus(CheckRangeable(region.cuts[c]));
  }
  if (options.max_boxes < 1 || !(options.tolerance >= 0) || options.max_listed < 0 ||
      !(options.least_part > 0 && options.least_part <= 1)) {
    faults.Add(
        {.field = "region options",
         .message = absl::StrCat("max_boxes ", options.max_boxes, ", tolerance ",
                                 options.tolerance, ", max_listed ", options.max_listed,
                                 ", least_part ", options.least_part),
         .remedy = "give at least one box, a part above 0, nothing negative"});
  }
  return faults.ToStatus();
}

// sum_k mu_k g_k - sum_i lambda_i c_i, or less by rounding.
absl::StatusOr<BandedFunction> Combine(std::span<const BandedFunction> alternatives,
                                       const Region& region,
                                       const Combination& combination) {
  BandedFunction h{.f = Polynomial::Constant(region.box.variables(), 0)};
  for (size_t k = 0; k < alternatives.size(); ++k) {
    const double weight = combination.weights[k];
    if (weight == 0) continue;
    ASSIGN_OR_RETURN(h.f, Sum(h.f, alternatives[k].f.Scale(weight)));
    for (const BandedFunction::Term& term : alternatives[k].terms) {
      if (term.weight == 0) continue;
      h.terms.push_back(
          {weight == 1 ? term.weight : Succ(weight * term.weight), term.square});
    }
  }
  for (size_t c = 0; c < region.cuts.size(); ++c) {
    const double multiplier = combination.multipliers[c];
    if (multiplier == 0) continue;
    ASSIGN_OR_RETURN(h.f, Sum(h.f, region.cuts[c].Scale(-multiplier)));
  }
  return h;
}

// Points of a fixed low-discrepancy sequence (Halton) in [0, 1]^n.
double Halton(int index, int variable) {
  constexpr int kPrimes[kMostVariables] = {2, 3, 5, 7, 11, 13, 17, 19};
  double result = 0;
  double fraction = 1;
  for (int i = index + 1; i > 0; i /= kPrimes[variable]) {
    fraction /= kPrimes[variable];
    result += fraction * (i % kPrimes[variable]);
  }
  return result;
}

class Prover {
 public:
  Prover(std::span<const BandedFunction> alternatives, const Region& region,
         const RegionOptions& options, bool ask_empty = true)
      : ask_empty_(ask_empty),
        alternatives_(alternatives),
        region_(region),
        options_(options),
        map_(region.box),
        forms_(options.tree ? Forms::kWithoutTensor : Forms::kAll) {}

  absl::StatusOr<RegionProof> Run() {
    RETURN_IF_ERROR(Prepare());
    if (point_.empty() && ask_empty_) {
      ASSIGN_OR_RETURN(const bool empty, Empty());
      if (empty) {
        proof_.outcome = RegionProof::kEmpty;
        proof_.lower_bound = kInfinity;
        return std::move(proof_);
      }
    }
    const bool refuted_at_once = Violated() && !options_.shares;
    Cover(refuted_at_once ? 1 : options_.max_boxes, refuted_at_once);
    return Finish();
  }

 private:
  struct Open {
    UnitPart part;
    double lower = -kInfinity;
    double share = 1;     // of the box
    uint64_t inside = 0;  // cuts known to hold throughout
    int first = 0;        // combination to try first
  };

  static constexpr int kMostCutsKnown = 64;

  absl::Status Prepare() {
    const size_t count = alternatives_.size();
    const size_t cut_count = region_.cuts.size();
    for (const Polynomial& cut : region_.cuts) {
      cut_bounders_.emplace_back(BandedFunction{.f = cut}, region_.box, forms_);
      out_bounders_.emplace_back(BandedFunction{.f = cut.Scale(-1)}, region_.box, forms_);
    }
    for (size_t k = 0; k < count; ++k) {
      Combination alone{.weights = std::vector<double>(count, 0.0),
                        .multipliers = std::vector<double>(cut_count, 0.0)};
      alone.weights[k] = 1;
      combinations_.push_back(std::move(alone));
      bounders_.emplace_back(alternatives_[k], region_.box, forms_);
      if (!options_.shares) continue;
      over_bounders_.emplace_back(BandedFunction{.f = alternatives_[k].f.Scale(-1)},
                                  region_.box, forms_);
      square_bounders_.emplace_back();
      for (const BandedFunction::Term& term : alternatives_[k].terms) {
        square_bounders_.back().emplace_back(BandedFunction{.f = term.square},
                                             region_.box, forms_);
      }
    }
    if (count == 1 && cut_count == 0) {
      for (const LocalMinimum& minimum : FindLocalMinima(bounders_[0])) {
        anchors_.push_back(minimum.at);
        best_at_anchor_.push_back(0);
      }
      Adopt(anchors_[0]);
      return absl::OkStatus();
    }
    const std::vector<MinimaxPoint> points = FindMinimaxPoints(bounders_, cut_bounders_);
    for (const MinimaxPoint& point : points) {
      Adopt(point.at);
      Combination combination{point.weights, point.multipliers};
      auto at = std::find(combinations_.begin(), combinations_.end(), combination);
      best_at_anchor_.push_back(static_cast<int>(at - combinations_.begin()));
      anchors_.push_back(point.at);
      if (at != combinations_.end()) continue;
      ASSIGN_OR_RETURN(const BandedFunction h,
                       Combine(alternatives_, region_, combination));
      combinations_.push_back(std::move(combination));
      bounders_.emplace_back(h, region_.box, forms_);
    }
    return absl::OkStatus();
  }

  // No point of the region has been found: whether there is none. Over an empty region
  // even -1 is never negative.
  absl::StatusOr<bool> Empty() {
    const BandedFunction minus_one[] = {{.f = Polynomial::Constant(map_.variables, -1)}};
    const RegionOptions options{.max_boxes = options_.max_boxes};
    ASSIGN_OR_RETURN(const RegionProof proof,
                     Prover(minus_one, region_, options, false).Run());
    proof_.boxes = proof.boxes;
    if (!proof.worst_point.empty()) AdoptPoint(proof.worst_point);
    return proof.outcome == RegionProof::kHolds || proof.outcome == RegionProof::kEmpty;
  }

  bool Violated() const { return !point_.empty() && value_.hi < 0; }

  // Keeps a point if it surely lies in the region and is lower than any before.
  void Adopt(const Vector& at) {
    std::vector<double> x(map_.variables);
    map_.ToBox(at.data(), x.data());
    AdoptPoint(std::move(x));
  }

  void AdoptPoint(std::vector<double> x) {
    const std::vector<Interval> point(x.begin(), x.end());
    for (const Polynomial& cut : region_.cuts) {
      if (!(cut.Evaluate(point).lo >= 0)) return;
    }
    Interval value{-kInfinity, -kInfinity};
    int best = 0;
    for (size_t k = 0; k < alternatives_.size(); ++k) {
      const Interval one = Evaluate(alternatives_[k], x);
      if (one.hi > value.hi) best = static_cast<int>(k);
      value = {std::max(value.lo, one.lo), std::max(value.hi, one.hi)};
    }
    if (!point_.empty() && !(value.hi < value_.hi)) return;
    point_ = std::move(x);
    value_ = value;
    best_ = best;
  }

  // The index of the lowest minimum inside the part or next to it, moved into it; -1 and
  // the centre where there is none.
  int Anchor(const UnitPart& part, Vector& anchor) const {
    const int n = map_.variables;
    for (size_t k = 0; k < anchors_.size(); ++k) {
      bool near = true;
      for (int i = 0; i < n && near; ++i) {
        anchor[i] = std::clamp(anchors_[k][i], part.lo[i], part.hi[i]);
        near = std::fabs(anchor[i] - anchors_[k][i]) <= 0.25 * (part.hi[i] - part.lo[i]);
      }
      if (near) return static_cast<int>(k);
    }
    for (int i = 0; i < n; ++i) anchor[i] = 0.5 * (part.lo[i] + part.hi[i]);
    return -1;
  }

  // The first cut that is negative over the whole part; -1 where none is. Notes the cuts
  // that hold throughout. `split` is the variable to halve for a cut whose sign at the
  // anchor is negative.
  int OutsideCut(Open& open, const Vector& anchor, int* split) {
    *split = -1;
    for (size_t c = 0; c < cut_bounders_.size(); ++c) {
      const bool known = c < kMostCutsKnown;
      if (known && (open.inside >> c & 1) != 0) continue;
      if (cut_bounders_[c].Value(anchor) < 0) {
        const BoxBounder::Result out =
            out_bounders_[c].Bound(open.part, anchor, kSmallestSubnormal);
        if (out.lower > 0) return static_cast<int>(c);
        if (*split < 0) *split = out_bounders_[c].SteepestSplit(open.part);
      } else if (known && cut_bounders_[c].Bound(open.part, anchor, 0).lower >= 0) {
        open.inside |= uint64_t{1} << c;
      }
    }
    return -1;
  }

  struct Shown {
    int combination = -1;       // that reached the limit
    int closest = 0;            // the one of the greatest bound
    double lower = -kInfinity;  // of the largest alternative
    double bound = 0;           // of the combination itself
    double resolved = 0;
    int split = -1;
  };

  Shown Show(const Open& open, const Vector& anchor, int anchor_index) {
    // The likeliest first.
    order_.clear();
    if (anchor_index >= 0) order_.push_back(best_at_anchor_[anchor_index]);
    order_.push_back(open.first);
    for (size_t k = 0; k < bounders_.size(); ++k) order_.push_back(static_cast<int>(k));
    tried_.assign(bounders_.size(), false);
    Shown shown;
    bool any = false;
    for (const int k : order_) {
      if (tried_[k]) continue;
      tried_[k] = true;
      // A function that is negative at the anchor shows nothing; the whole box has no
      // bound from before.
      if (any && open.lower > -kInfinity && bounders_[k].Value(anchor) < 0) continue;
      any = true;
      const BoxBounder::Result bound = bounders_[k].Bound(open.part, anchor, 0);
      const double lower = OfLargest(bound.lower, combinations_[k]);
      if (lower > shown.lower || shown.split < 0) {
        shown.closest = k;
        shown.resolved = bound.resolved;
        // Where functions meet or the region ends, slopes decide, too.
        shown.split = bounders_.size() == 1 && cut_bounders_.empty()
                          ? bound.split
                          : bounders_[k].SteepestSplit(open.part);
      }
      shown.lower = std::max(shown.lower, lower);
      if (bound.lower >= 0) {
        shown.combination = k;
        shown.bound = bound.lower;
        break;
      }
    }
    return shown;
  }

  // h >= bound gives m >= bound / sum of the weights.
  static double OfLargest(double bound, const Combination& combination) {
    Interval sum = 0;
    int count = 0;
    double only = 0;
    for (const double weight : combination.weights) {
      if (weight == 0) continue;
      ++count;
      only = weight;
      sum += weight;
    }
    if (count == 1 && only == 1) return bound;
    return (Interval(bound) / sum).lo;
  }

  // Whether no alternative is >= 0 anywhere in the part.
  bool NoneHolds(const UnitPart& part, const Vector& anchor) {
    for (size_t k = 0; k < alternatives_.size(); ++k) {
      Interval least = over_bounders_[k].Bound(part, anchor, kInfinity).lower;
      for (size_t j = 0; j < alternatives_[k].terms.size(); ++j) {
        const double square = square_bounders_[k][j].Bound(part, anchor, kInfinity).lower;
        if (square > 0) {
          least += Interval(alternatives_[k].terms[j].weight) * Sqrt(Interval(square));
        }
      }
      if (!(least.lo > 0)) return false;
    }
    return true;
  }

  // Part of a part that lies inside the cuts, about.
  double InsideShare(const Open& open) {
    // Large parts count for more.
    const int points = std::max(64, static_cast<int>(8192 * open.share));
    uint64_t all = 0;
    for (size_t c = 0; c < cut_bounders_.size() && c < kMostCutsKnown; ++c) {
      all |= uint64_t{1} << c;
    }
    if (cut_bounders_.size() <= kMostCutsKnown && open.inside == all) return 1;
    int inside = 0;
    for (int p = 0; p < points; ++p) {
      Vector v{};
      for (int i = 0; i < map_.variables; ++i) {
        v[i] = open.part.lo[i] + Halton(p, i) * (open.part.hi[i] - open.part.lo[i]);
      }
      bool in = true;
      for (size_t c = 0; c < cut_bounders_.size() && in; ++c) {
        in = cut_bounders_[c].Value(v) >= 0;
      }
      inside += in;
    }
    return static_cast<double>(inside) / points;
  }

  Box ToBox(const UnitPart& part) const {
    Box box{std::vector<double>(map_.variables), std::vector<double>(map_.variables)};
    map_.ToBox(part.lo.data(), box.lo.data());
    map_.ToBox(part.hi.data(), box.hi.data());
    return box;
  }

  void List(const UnitPart& part, std::vector<Box>* boxes, int64_t* count) const {
    ++*count;
    if (static_cast<int>(boxes->size()) < options_.max_listed) {
      boxes->push_back(ToBox(part));
    }
  }

  void Leave(const Open& open, double lower) {
    lower_ = std::min(lower_, lower);
    List(open.part, &proof_.undecided, &proof_.undecided_boxes);
    if (options_.shares) undecided_share_ += open.share * InsideShare(open);
  }

  void Cover(int64_t max_boxes, bool stop_is_known) {
    alternative_share_.assign(alternatives_.size(), 0.0);
    std::deque<Open> open;
    Open whole;
    for (int i = 0; i < map_.variables; ++i) {
      whole.part.lo[i] = map_.radius[i] > 0 ? -1 : 0;
      whole.part.hi[i] = map_.radius[i] > 0 ? 1 : 0;
    }
    open.push_back(whole);
    while (!open.empty()) {
      if (!stop_is_known && !options_.shares && Violated()) break;
      // Depth first; for shares breadth first, so that a budget is spread evenly.
      Open next = options_.shares ? open.front() : open.back();
      if (options_.shares) {
        open.pop_front();
      } else {
        open.pop_back();
      }
      if (proof_.boxes >= max_boxes) {
        Leave(next, next.lower);
        continue;
      }
      ++proof_.boxes;
      const int split = Look(next);
      if (split < 0) continue;
      if (options_.tree) proof_.tree.splits.push_back(split);
      next.share *= 0.5;
      const double middle = 0.5 * (next.part.lo[split] + next.part.hi[split]);
      Open lower = next;
      lower.part.hi[split] = middle;
      next.part.lo[split] = middle;
      if (options_.shares) std::swap(lower, next);
      open.push_back(next);
      open.push_back(lower);
    }
    for (const Open& rest : open) Leave(rest, rest.lower);
  }

  // Bounds a part; the variable to halve, or -1 where the part is done with.
  int Look(Open& open) {
    Vector anchor{};
    const int anchor_index = Anchor(open.part, anchor);
    int cut_split = -1;
    const int cut = OutsideCut(open, anchor, &cut_split);
    if (cut >= 0) {
      if (options_.tree) Keep({.cut = cut, .anchor = anchor_index});
      return -1;
    }
    const Shown shown = Show(open, anchor, anchor_index);
    const double lower = std::max(open.lower, shown.lower);
    if (shown.combination >= 0) {
      lower_ = std::min(lower_, lower);
      if (options_.tree) {
        ProofTree::Leaf leaf{.combination = shown.combination,
                             .anchor = anchor_index,
                             .bound = shown.bound};
        const BoxBounder& bounder = bounders_[shown.combination];
        for (int j = 0; j < bounder.terms(); ++j) {
          leaf.tangents.push_back(bounder.Tangent(j));
        }
        Keep(std::move(leaf));
      }
      if (options_.shares) {
        const double share = open.share * InsideShare(open);
        proven_share_ += share;
        if (shown.combination < static_cast<int>(alternatives_.size())) {
          alternative_share_[shown.combination] += share;
        }
      }
      return -1;
    }
    open.lower = lower;
    open.first = shown.closest;
    bool all_negative = true;
    for (size_t k = 0; k < alternatives_.size() && all_negative; ++k) {
      all_negative = bounders_[k].Value(anchor) < 0;
    }
    if (all_negative) {
      Adopt(anchor);
      if (options_.shares && NoneHolds(open.part, anchor)) {
        // A bound is still owed for what does not hold.
        lower_ = std::min(lower_, lower);
        const double share = open.share * InsideShare(open);
        violated_share_ += share;
        List(open.part, &proof_.violated, &proof_.violated_boxes);
        return -1;
      }
    }
    const double hidden = std::max(options_.tolerance, 4 * shown.resolved);
    const int split = cut_split >= 0 ? cut_split : shown.split;
    // For shares, a part whose least value rounding hides still has parts that hold.
    const bool enough =
        options_.shares ? open.share <= options_.least_part : lower >= -hidden;
    if (split < 0 || enough) {
      Leave(open, lower);
      return -1;
    }
    return split;
  }

  void Keep(ProofTree::Leaf leaf) {
    proof_.tree.splits.push_back(-1);
    proof_.tree.leaves.push_back(std::move(leaf));
  }

  RegionProof Finish() {
    proof_.lower_bound = lower_;
    proof_.worst_point = point_;
    proof_.value_at_worst = value_;
    proof_.best_alternative = best_;
    if (Violated()) {
      proof_.outcome = RegionProof::kViolated;
    } else if (proof_.undecided_boxes == 0 && proof_.violated_boxes == 0) {
      proof_.outcome = lower_ < kInfinity ? RegionProof::kHolds : RegionProof::kEmpty;
    }
    if (options_.shares) {
      const double region = proven_share_ + violated_share_ + undecided_share_;
      proof_.region_fraction = region;
      if (region > 0) {
        proof_.proven_fraction = proven_share_ / region;
        proof_.violated_fraction = violated_share_ / region;
        proof_.undecided_fraction = undecided_share_ / region;
        for (double& share : alternative_share_) share /= region;
      }
      proof_.alternative_fraction = alternative_share_;
    }
    proof_.undecided = MergeBoxes(std::move(proof_.undecided));
    proof_.violated = MergeBoxes(std::move(proof_.violated));
    if (!options_.tree || proof_.outcome != RegionProof::kHolds) {
      proof_.tree = {};
      return std::move(proof_);
    }
    const int n = map_.variables;
    proof_.tree.centre.assign(map_.centre.begin(), map_.centre.begin() + n);
    proof_.tree.radius.assign(map_.radius.begin(), map_.radius.begin() + n);
    proof_.tree.combinations = combinations_;
    for (const Vector& anchor : anchors_) {
      proof_.tree.anchors.emplace_back(anchor.begin(), anchor.begin() + n);
    }
    return std::move(proof_);
  }

  bool ask_empty_;
  std::span<const BandedFunction> alternatives_;
  const Region& region_;
  const RegionOptions& options_;
  UnitMap map_;
  Forms forms_;
  std::vector<Combination> combinations_;
  std::vector<BoxBounder> bounders_;  // of the combinations
  std::vector<BoxBounder> cut_bounders_;
  std::vector<BoxBounder> out_bounders_;  // of the cuts, negated
  // For shares: of the alternatives negated without their bands, and of the squares.
  std::vector<BoxBounder> over_bounders_;
  std::vector<std::vector<BoxBounder>> square_bounders_;
  std::vector<Vector> anchors_;
  std::vector<int> best_at_anchor_;
  std::vector<int> order_;
  std::vector<bool> tried_;

  std::vector<double> point_;
  Interval value_;
  int best_ = -1;
  double lower_ = kInfinity;
  double proven_share_ = 0;
  double violated_share_ = 0;
  double undecided_share_ = 0;
  std::vector<double> alternative_share_;
  RegionProof proof_;
};

}  // namespace

absl::StatusOr<RegionProof> ProveOver(std::span<const BandedFunction> alternatives,
                                      const Region& region,
                                      const RegionOptions& options) {
  RETURN_IF_ERROR(Check(alternatives, region, options));
  const bool plain =
      alternatives.size() == 1 && region.cuts.empty() && !options.tree && !options.shares;
  if (!plain) return Prover(alternatives, region, options).Run();
  ASSIGN_OR_RETURN(Proof proof, ProveNonNegative(alternatives[0], region.box,
                                                 {.max_boxes = options.max_boxes,
                                                  .tolerance = options.tolerance,
                                                  .max_undecided = options.max_listed}));
  constexpr RegionProof::Outcome kOutcomes[] = {
      RegionProof::kHolds, RegionProof::kViolated, RegionProof::kUndecided};
  return RegionProof{.outcome = kOutcomes[proof.outcome],
                     .lower_bound = proof.lower_bound,
                     .worst_point = std::move(proof.worst_point),
                     .value_at_worst = proof.value_at_worst,
                     .best_alternative = 0,
                     .boxes = proof.boxes,
                     .undecided = std::move(proof.undecided),
                     .undecided_boxes = proof.undecided_boxes};
}

}  // namespace ratebound::bound
