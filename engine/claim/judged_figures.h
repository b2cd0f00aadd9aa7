// The figures of a verdict: the model that it presumes, and estimate, bound and margin at
// the point that it is judged by.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_JUDGED_FIGURES_H_
#define RATEBOUND_ENGINE_CLAIM_JUDGED_FIGURES_H_

#include <string>

#include "engine/claim/margin.h"
#include "engine/claim/refuting_search.h"
#include "engine/claim/stated_region.h"
#include "engine/document/claim.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {

// Surfaces, degrees and terms of a side, and the conditions that were held.
std::string ModelText(const OneSide& side);
// The least of its surfaces.
double LeastDegreesOfFreedom(const OneSide& side);

// The promise that a point is judged by, in the unit of the verdict.
struct JudgedPromise {
  double limit = 0;
  double sign = 1;   // 1 for at least, -1 for at most
  std::string what;  // which of several promises; empty where there is one
};

struct JudgedFigures {
  const document::Claim& claim;
  const quantity::Unit& unit;
  const Frame& frame;
  const StatedRegion& region;
  bool several_stages = false;
  // The uncertainties are granted to the claim (a refutation) rather than taken off.
  bool granted = false;
};

// Writes worst point, estimate, errors, bound and margin.
JudgedPromise RecordFigures(const JudgedFigures& how, const JudgedPoint& point,
                            document::Verdict& verdict);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_JUDGED_FIGURES_H_
