// The search for a point that refutes a claim: tested, in the region, and missed there by
// every stage that may serve, on some side each.
//
// Example:
//   if (auto missed = FindMissedByAll(problem, set.frame, region, {worst_point})) ...
//
// What is found is shown by evaluation in interval arithmetic; not to find one shows
// nothing. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_REFUTING_SEARCH_H_
#define RATEBOUND_ENGINE_CLAIM_REFUTING_SEARCH_H_

#include <optional>
#include <vector>

#include "engine/bound/prove_region.h"
#include "engine/claim/problem.h"

namespace ratebound::claim {

// A point where the margin is judged: which alternative and side it is of.
struct JudgedPoint {
  const Alternative* alternative = nullptr;
  const SideMargin* side = nullptr;
  std::vector<double> z;
  double margin_si = 0;  // of the banded function, in its own unit
};

// What the banded function of a side is divided by, at a point, to be a margin of the
// quantity.
double MarginDivisor(const SideMargin& side, const std::vector<double>& z);

// The point is judged by the stage that misses least. Empty where a stage that may serve
// has no model, as it could keep what all others miss.
std::optional<JudgedPoint> FindMissedByAll(const Problem& problem, const Frame& frame,
                                           const bound::Region& region,
                                           std::vector<std::vector<double>> starts);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_REFUTING_SEARCH_H_
