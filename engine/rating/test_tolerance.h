// How far the figures of a laboratory test may be from the rated ones: the tolerance at a
// load, and what it makes of capacity, efficiency, specific power and pressure drop.
//
// Example:
//   // 550/590: 10 K at full load, half load.
//   ASSIGN_OR_RETURN(double tolerance,
//                    ToleranceFraction(tolerances, "capacity-and-efficiency", 0.5, 10));
//   if (tested_cop < LeastEfficiency(rated_cop, tolerance)) ...
//
// Formula, its constants data of ratings/procedures/tolerances with their sources:
//   tolerance = constant + per_load * load + over_difference / (difference * load)
// with load left out of the last term, and the second term left out, for a tolerance that
// is regardless of load. Evaluated in the document's own unit of temperature difference.
//
// Errors: NOT_FOUND for an unknown tolerance, INVALID_ARGUMENT for a load outside (0, 1]
// or a difference that is not above 0. Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_RATING_TEST_TOLERANCE_H_
#define RATEBOUND_ENGINE_RATING_TEST_TOLERANCE_H_

#include <string_view>

#include "absl/status/statusor.h"
#include "engine/document/test_tolerance.h"

namespace ratebound::rating {

// `load_fraction` is capacity over full-load capacity, `difference_k` the temperature
// difference of the liquid at full load.
absl::StatusOr<double> ToleranceFraction(const document::TestTolerances& tolerances,
                                         std::string_view id, double load_fraction,
                                         double difference_k);

// Least tested capacity that still confirms the rated one.
inline double LeastCapacity(double rated, double tolerance_fraction) {
  return rated * (1 - tolerance_fraction);
}
// Least tested efficiency (capacity over power).
inline double LeastEfficiency(double rated, double tolerance_fraction) {
  return rated / (1 + tolerance_fraction);
}
// Greatest tested power over capacity.
inline double GreatestSpecificPower(double rated, double tolerance_fraction) {
  return rated * (1 + tolerance_fraction);
}

// Greatest tested pressure drop; FAILED_PRECONDITION where the document has no rule.
absl::StatusOr<double> GreatestPressureDropPa(const document::TestTolerances& tolerances,
                                              double rated_pa);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_TEST_TOLERANCE_H_
