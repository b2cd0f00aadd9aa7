// Whether the linear approximation is enough: the next terms of the law of propagation.
//
// Where a factor of a product is estimated as zero, its partner's uncertainty drops out
// of the first-order variance, however large. This adds what was left out.
//
// Example, the end gauge of JCGM 100 H.1 (31.7 nm becomes 33.9 nm):
//   ASSIGN_OR_RETURN(std::vector<SecondOrder> checks,
//                    CheckSecondOrder(inputs, estimates, 1, gradient_of_length));
//   if (checks[0].Increase() > 0.05) ...;  // first order understates by over 5 %
//
// Formula, JCGM 100:2008, 5.1.2 note, for factors a_k of unit variance and normal
// distribution: the sum over k and l of f_kl^2 / 2 + f_k f_kll. The factors of
// input_uncertainty.h are independent, so it holds for correlated inputs too. Derivatives
// are differences of the gradient at a sixteenth of a standard uncertainty to either
// side: exact but for rounding where outputs are polynomials of degree 3 at most.
//
// Thread-safety: a pure function, if `gradients` is.
#ifndef RATEBOUND_ENGINE_POINTS_UNCERTAINTY_SECOND_ORDER_H_
#define RATEBOUND_ENGINE_POINTS_UNCERTAINTY_SECOND_ORDER_H_

#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/points/uncertainty/input_uncertainty.h"

namespace ratebound::points {

// Fills gradients (outputs x inputs, by rows) at the given inputs.
using GradientFunction =
    std::function<void(std::span<const double> inputs, std::span<double> gradients)>;

struct SecondOrderTerm {
  int first_cause = 0;  // indexes of InputUncertainty::causes(), first <= second
  int second_cause = 0;
  double variance = 0;  // may be negative where slope and curvature oppose
};

struct SecondOrder {
  double first_order_standard = 0;
  // With the added terms. Empty where they sum to a negative variance: the series is of
  // no use there, and monte_carlo.h is.
  std::optional<double> standard;
  // By how much the mean of the output differs from its value at the mean of the inputs.
  double value_shift = 0;
  std::vector<SecondOrderTerm> terms;  // those that are not 0

  // How much larger the standard uncertainty is than to first order: 0.05 = 5 %.
  // Infinite where that is 0 or where `standard` is empty.
  double Increase() const;
};

// INVALID_ARGUMENT where `estimates` is not input_count() finite numbers, output_count is
// below 1, or a gradient is not finite; the message says where.
absl::StatusOr<std::vector<SecondOrder>> CheckSecondOrder(
    const InputUncertainty& inputs, std::span<const double> estimates, int output_count,
    const GradientFunction& gradients);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UNCERTAINTY_SECOND_ORDER_H_
