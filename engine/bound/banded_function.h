// A polynomial with a statistical band below it: g(x) = f(x) - sum_j w_j sqrt(Q_j(x)).
//
// f is a fitted surface less its limit, Q_j a variance phi'C phi (w_j a Student quantile)
// or a squared gradient (w_j a sensor's expanded uncertainty).
//
// Example:
//   BandedFunction margin{.f = capacity_less_limit, .terms = {{1.69, variance}}};
#ifndef RATEBOUND_ENGINE_BOUND_BANDED_FUNCTION_H_
#define RATEBOUND_ENGINE_BOUND_BANDED_FUNCTION_H_

#include <span>
#include <vector>

#include "absl/status/status.h"
#include "engine/bound/box.h"
#include "engine/bound/interval.h"
#include "engine/bound/polynomial.h"

namespace ratebound::bound {

struct BandedFunction {
  struct Term {
    double weight = 0;  // not negative
    Polynomial square;  // the caller answers for it being nowhere negative (SumOfSquares)
  };
  Polynomial f;
  std::vector<Term> terms;
};

// INVALID_ARGUMENT with every fault: of the box, a number of variables that differs, a
// weight that is negative or not finite, a polynomial that is not rangeable (see
// bernstein.h).
absl::Status CheckBandedFunction(const BandedFunction& g, const Box& box);

// Holds g(x) at the point x for every member of the families of polynomials.
Interval Evaluate(const BandedFunction& g, std::span<const double> x);

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_BANDED_FUNCTION_H_
