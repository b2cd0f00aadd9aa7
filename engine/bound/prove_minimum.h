// Whether a polynomial with a statistical band is nowhere negative over a box: proven or
// refuted for every real point, not sampled.
//
// Example:
//   BandedFunction margin{.f = capacity_less_limit, .terms = {{t_quantile, variance}}};
//   ASSIGN_OR_RETURN(Proof proof, ProveNonNegative(margin, region, {}));
//   if (proof.outcome == Proof::kViolated) ...   // proof.worst_point shows it
//
// Theorem. Let G be the set of functions f - sum_j w_j sqrt(Q_j) with f and Q_j in the
// families of the given polynomials (polynomial.h) and Q_j >= 0 over the box. Then
//   kHolds     every g of G has g(x) >= lower_bound >= 0 at every real point x of the
//   box; kViolated  every g of G is negative at worst_point, as value_at_worst.hi < 0;
//   kUndecided neither was shown with the given means.
// In each case g(x) >= lower_bound holds over the whole box, and value_at_worst holds
// g(worst_point). The arithmetic model is IEEE 754 doubles in round-to-nearest; what each
// step rests on is written in interval.h, unit_box.h, bernstein.h and box_bound.h.
//
// Method. Branch and bound. A local search finds the lowest minimum first, so that a
// false claim is refuted at once. Boxes are then bounded about that minimum, or about
// their centre, and halved where the bound falls short, depth first. How a box is bounded
// and split depends on the box and on the minima found at the start, so a result depends
// on neither time nor threads.
//
// A minimum of exactly nothing cannot be told from one just below: rounding hides the
// sign. Such a claim comes back kUndecided, without using up the budget, with lower_bound
// next to 0; who can stand a small deficit compares lower_bound with it.
//
// Thread-safety: functions without state.
#ifndef RATEBOUND_ENGINE_BOUND_PROVE_MINIMUM_H_
#define RATEBOUND_ENGINE_BOUND_PROVE_MINIMUM_H_

#include <cstdint>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/banded_function.h"
#include "engine/bound/box.h"
#include "engine/bound/interval.h"

namespace ratebound::bound {

struct ProofOptions {
  // Bounds computed at most; never a time.
  int64_t max_boxes = 100'000;
  // A box whose bound is above -tolerance is not halved further: the outcome is then
  // kUndecided with lower_bound >= -tolerance, and far cheaper than the last digits.
  double tolerance = 0;
  // Boxes given in Proof::undecided at most.
  int max_undecided = 64;
};

struct Proof {
  enum Outcome { kHolds, kViolated, kUndecided };
  Outcome outcome = kUndecided;
  double lower_bound = 0;
  std::vector<double> worst_point;
  Interval value_at_worst;
  int64_t boxes = 0;
  // Where g was not shown to be >= 0 (corners rounded), deepest first; and how many there
  // were, with those left out.
  std::vector<Box> undecided;
  int64_t undecided_boxes = 0;
};

// INVALID_ARGUMENT: see CheckBandedFunction; or an option out of range.
absl::StatusOr<Proof> ProveNonNegative(const BandedFunction& g, const Box& box,
                                       const ProofOptions& options);

struct MinimumEnclosure {
  // Holds the minimum over the box of every g of G.
  Interval value;
  // A point where g is at most value.hi.
  std::vector<double> location;
  int64_t boxes = 0;
  // Whether value is as narrow as asked for (rounding and the budget permitting).
  bool reached = false;
};

// Encloses the minimum to an absolute tolerance > 0.
absl::StatusOr<MinimumEnclosure> EncloseMinimum(const BandedFunction& g, const Box& box,
                                                double tolerance,
                                                int64_t max_boxes = 1'000'000);

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_PROVE_MINIMUM_H_
