// Whether at every point of a region at least one of several functions is not negative:
// "some stage serves, wherever the wet bulb is at most the dry bulb".
//
// The region is a box cut by polynomial inequalities c_i(x) >= 0. The functions
// ("alternatives") are polynomials with statistical bands (banded_function.h), one for
// each stage, say; one alternative alone is the plain case.
//
// Example:
//   Region region{.box = box, .cuts = {dry_bulb_less_wet_bulb}};
//   ASSIGN_OR_RETURN(RegionProof proof,
//                    ProveOver({{stage_1_margin, stage_2_margin}}, region, {}));
//   if (proof.outcome == RegionProof::kViolated) ...   // no stage serves at worst_point
//
// Theorem. Let m(x) be the largest of the alternatives at x, each taken as any member of
// its family (polynomial.h), and R the points of the box where every member of every cut
// is not negative or may be (points where rounding hides the sign of a cut count).
//   kHolds      m(x) >= lower_bound >= 0 at every real point x of R
//   kViolated   worst_point lies in the region, as every cut is >= 0 there for every
//               member, and every alternative is negative there: value_at_worst.hi < 0
//   kEmpty      the box has no point in the region: the cuts rule out all of it
//   kUndecided  none of these was shown with the given means
// In each case m(x) >= lower_bound over the whole region.
//
// Method. Branch and bound over halvings of the box. A part is done when (a) some cut is
// negative throughout, or (b) for weights mu_k >= 0 with sum 1 and multipliers lambda_i
// >= 0 the single function
//   h = sum_k mu_k g_k - sum_i lambda_i c_i
// is shown to be >= 0 over the part (box_bound.h), for m >= sum mu_k g_k >= h in the
// region. Each alternative alone is one such combination; others come from the minima of
// m over the region that a local search finds, where mu and lambda are the multipliers of
// its first-order conditions (Kuhn-Tucker): h then has a smooth minimum there even where
// m has an edge or the region ends, and no cluster of small boxes arises.
//
// A result depends on neither time nor threads. Budgets count parts looked at, whatever
// the number of alternatives. One alternative without cuts, tree or shares is proven by
// ProveNonNegative, at its cost. Claims, not boxes, are what to run in parallel.
//
// Shares are parts of the region's volume in the given coordinates. Where a cut runs
// through a part of the box, how much of that part lies inside is estimated on a fixed
// set of points, so shares are for reports and prove nothing; the lists of boxes do.
//
// Thread-safety: functions without state.
#ifndef RATEBOUND_ENGINE_BOUND_PROVE_REGION_H_
#define RATEBOUND_ENGINE_BOUND_PROVE_REGION_H_

#include <cstdint>
#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/banded_function.h"
#include "engine/bound/box.h"
#include "engine/bound/interval.h"
#include "engine/bound/polynomial.h"

namespace ratebound::bound {

struct Region {
  Box box;
  std::vector<Polynomial> cuts;  // inside where all are >= 0
};

struct RegionOptions {
  int64_t max_boxes = 100'000;  // parts looked at, at most; never a time
  // See ProofOptions::tolerance.
  double tolerance = 0;
  // Boxes listed at most, of undecided and of violated parts each.
  int max_listed = 64;
  // Goes on after a violation, to tell how much of the region holds.
  bool shares = false;
  // Parts of the box smaller than this, as part of its volume, are not halved further for
  // the sake of shares.
  double least_part = 0x1p-14;
  // Keeps the tree of a proof that holds, for a certificate; bounds then come from the
  // forms that a small checker can follow, which takes more boxes.
  bool tree = false;
};

// What shows that the claim holds over a part: weights of the alternatives, not negative
// and with a sum of about 1, and multipliers of the cuts, not negative.
struct Combination {
  std::vector<double> weights;
  std::vector<double> multipliers;
  friend bool operator==(const Combination&, const Combination&) = default;
};

// A proof as a tree of halvings, in the unit coordinates v of UnitMap (unit_box.h), x_i =
// centre_i + radius_i v_i, |v_i| <= 1; sides of no width stay at v_i = 0.
struct ProofTree {
  struct Leaf {
    // Which combination is shown to be not negative here; -1 where a cut is negative.
    int combination = -1;
    int cut = -1;
    // Point of the expansion: `anchors[anchor]` moved into the part, or its centre for
    // -1.
    int anchor = -1;
    // Not negative; the combination is at least this over the part. 0 where a cut is
    // negative.
    double bound = 0;
    // The s_j of box_bound.h: one for each term of the alternatives with a weight above
    // 0, in their order. Empty for a cut.
    std::vector<double> tangents;
  };
  std::vector<double> centre;
  std::vector<double> radius;
  std::vector<Combination> combinations;
  std::vector<std::vector<double>> anchors;
  // In preorder, lower half first: the variable that is halved, or -1 for the next leaf.
  std::vector<int> splits;
  std::vector<Leaf> leaves;
};

struct RegionProof {
  enum Outcome { kHolds, kViolated, kEmpty, kUndecided };
  Outcome outcome = kUndecided;
  double lower_bound = 0;  // infinite for kEmpty
  // The lowest point found inside the region; empty where none was found. Its value is
  // that of the best alternative there.
  std::vector<double> worst_point;
  Interval value_at_worst;
  int best_alternative = -1;  // at the worst point
  int64_t boxes = 0;
  // Of the region's volume, adding up to 1; only with RegionOptions::shares, else all 0.
  // Violated: no alternative is >= 0 anywhere in the part.
  double proven_fraction = 0;
  double violated_fraction = 0;
  double undecided_fraction = 0;
  // For each alternative the part of the region that it was first to be shown to hold
  // over, alone; parts shown by several together are in none. Only with shares.
  std::vector<double> alternative_fraction;
  // Part of the box that the region takes, about. Only with shares.
  double region_fraction = 0;
  // Corners rounded, neighbours merged.
  std::vector<Box> undecided;
  int64_t undecided_boxes = 0;
  std::vector<Box> violated;
  int64_t violated_boxes = 0;
  // Only for kHolds with RegionOptions::tree.
  ProofTree tree;
};

// INVALID_ARGUMENT, with every fault: no alternative, or see CheckBandedFunction, for
// each of them; a cut of another number of variables or that is not rangeable
// (bernstein.h); an option out of range.
absl::StatusOr<RegionProof> ProveOver(std::span<const BandedFunction> alternatives,
                                      const Region& region, const RegionOptions& options);

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_PROVE_REGION_H_
