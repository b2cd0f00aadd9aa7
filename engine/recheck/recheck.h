// Whether a certificate shows what it says: a checker that shares nothing with the
// prover.
//
// It uses interval arithmetic of its own (end points moved outward by nextafter), no
// code of engine/bound, and one bound: the Taylor form at a recorded point with recorded
// multipliers. What it checks, for every part that holds:
//  - the halvings and leaves make up the whole box, which the unit coordinates cover;
//  - each leaf is either outside a cut (the cut's Taylor form is negative throughout), or
//    its combination, with weights and multipliers that are not negative, is at least the
//    leaf's bound, and that is not negative;
//  - the lower bound of the part is at most every leaf's bound over its weights' sum.
// And for a part that does not: the point lies in the box and inside every cut, and every
// function, what is missing there, is positive, and at least `missing`. The seal must be
// that of the contents, so that no number can change unseen.
//
// Recheck shows that the functions keep what is said of them. That they are those of the
// claim is RecheckAgainst's: it forms them once more from claim, surfaces and points of a
// release. Read from the claim: which stages must keep which limits where
// (duties.h, kinds.cc), the cuts of its region, what a quantity follows
// from (quantity.h). Formed again: margins with everything taken off them
// (margin.h), fits of combinations and of single specimens (fit.h). Then
// the parts must hold every duty's box between them (cover.h), at factors that
// the level asks for, and the region inside the tested ranges. With the prover it shares
// what reads documents and units, Student's quantile, psychrometric limits, and the
// geometry of polygons.
//
// Not checked: whether points are near enough, and the leverage small enough, inside the
// tested ranges (map/tested_region.h). Squares are taken to be nowhere negative by
// Recheck alone; RecheckAgainst takes those of the release, to within fit.h's kAlike.
//
// Not formed again, and listed as such: surfaces of transformed quantities; the factors
// of a refutation, which are the release's own where it states them; ratings
// (rating.h).
//
// Theorem (Taylor form). As box_bound.h, forms 1 and 2: for any s_j > 0
// w_j sqrt(Q_j) <= s_j Q_j + w_j^2 / (4 s_j), so h >= p, a polynomial. With u in the part
// about the anchor, |u_i| <= 1, p = t_0 + b'u + u'Au + rest, and over it either every
// variable is bounded alone, or the terms of third and higher order are taken into the
// diagonal of A and the quadratic form is completed by an interval Cholesky
// factorisation.
//
// Errors: INVALID_ARGUMENT naming part and leaf, and what does not follow.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_RECHECK_H_
#define RATEBOUND_ENGINE_RECHECK_RECHECK_H_

#include <functional>
#include <string>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/document/certificate.h"
#include "engine/document/release.h"

namespace ratebound::recheck {

// Asked now and then; true: CANCELLED.
using Stop = std::function<bool()>;

// OK where the certificate shows what it says of its own functions.
absl::Status Recheck(const document::Certificate& certificate, const Stop& stop = {});

struct RecheckReport {
  // One for each function: whether it was formed once more from the release, or why that
  // could not be.
  struct Tie {
    std::string function;  // "part 0, stage low, total_capacity"
    bool derived = false;
    std::string why;  // empty where it was
  };
  std::vector<Tie> ties;
  bool all_derived() const;
};

// Recheck, and whether claim, digest, level, region and functions are those of the
// release. INVALID_ARGUMENT where one differs; a function that cannot be derived is no
// error but stands in the report.
absl::StatusOr<RecheckReport> RecheckAgainst(const document::Certificate& certificate,
                                             const document::Release& release,
                                             const Stop& stop = {});

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_RECHECK_H_
