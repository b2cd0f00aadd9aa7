// Local minima of the largest of several functions inside a region: candidates, no proof.
//
// The largest m of the alternatives g_k, subject to cuts c_i >= 0 and to the unit box,
// is replaced by the smooth
//   phi(x) = min_t { t + sum_k max(0, g_k - t)^2 / (2 tau) }
//            + sum_i max(0, e_i - c_i)^2 / (2 tau_i)
// whose minima go to those of m as tau does to 0 (quadratic penalty; Nocedal and Wright,
// "Numerical Optimization", 2nd ed., 2006, section 17.1). Its gradient is
//   sum_k mu_k grad g_k - sum_i lambda_i grad c_i
// with mu_k = max(0, g_k - t) / tau of sum 1 and lambda_i = max(0, e_i - c_i) / tau_i: at
// a minimum these are the multipliers of the first-order conditions. Each tau is solved
// by projected Newton steps from the minimum before; small e_i move the last one inside
// the cuts. No randomness: same input, same minima.
#ifndef RATEBOUND_ENGINE_BOUND_MINIMAX_SEARCH_H_
#define RATEBOUND_ENGINE_BOUND_MINIMAX_SEARCH_H_

#include <span>
#include <vector>

#include "engine/bound/box_bound.h"

namespace ratebound::bound {

struct MinimaxPoint {
  BoxBounder::Vector at{};
  double value = 0;                 // of the largest alternative
  double least_cut = 0;             // relative to the cuts' size; below 0 outside
  std::vector<double> weights;      // mu, adding up to 1 but for rounding
  std::vector<double> multipliers;  // lambda
};

// Distinct minima, those inside the cuts first, by rising value; none where the search
// found no point. All bounders stand over one box; those of `cuts` are of the cuts
// themselves. At least one alternative.
std::vector<MinimaxPoint> FindMinimaxPoints(std::span<BoxBounder> alternatives,
                                            std::span<BoxBounder> cuts);

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_MINIMAX_SEARCH_H_
