// Minima of a banded function over the unit box, found by descent: candidates, no proof.
//
// Descents start at the lowest local minima of a fixed grid that holds the vertices and
// the centre. A descent is Newton's method on the variables that no face holds back, with
// the Hessian made positive definite by a multiple of the unit matrix and an Armijo
// search along the projected step (Bertsekas, "Projected Newton methods for optimization
// problems with simple constraints", SIAM J. Control Optim. 20, 1982). No randomness:
// same input, same minima.
#ifndef RATEBOUND_ENGINE_BOUND_LOCAL_SEARCH_H_
#define RATEBOUND_ENGINE_BOUND_LOCAL_SEARCH_H_

#include <vector>

#include "engine/bound/box_bound.h"

namespace ratebound::bound {

struct LocalMinimum {
  BoxBounder::Vector at{};
  double value = 0;
};

// Solves (H + lambda I) d = -g over the free variables, the first `size` of `free`; false
// where that is not positive definite.
bool NewtonStep(int size, const int* free, const BoxBounder::Matrix& hessian,
                double lambda, const BoxBounder::Vector& g, BoxBounder::Vector& d);

// Runs downhill from a point of the unit box; never returns a higher value.
LocalMinimum Descend(BoxBounder& bounder, const BoxBounder::Vector& start);

// Distinct minima by rising value, at least one.
std::vector<LocalMinimum> FindLocalMinima(BoxBounder& bounder);

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_LOCAL_SEARCH_H_
