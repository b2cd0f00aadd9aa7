// Whether a surface misses more than the scatter of repeats explains: the lack-of-fit F
// test.
//
// Example:
//   ASSIGN_OR_RETURN(LackOfFit test, TestLackOfFit(fit, {.response = power_w,
//                                                        .groups = same_condition}));
//   if (test.p_value < 0.05) ...                   // the form of the surface is not good
//   enough
//
// Source: Draper and Smith, Applied Regression Analysis (3rd ed. 1998), section 2.1: the
// residual sum of squares is split into that of repeats about their own means (pure
// error) and the rest. Pure error must hold all that moves repeats: repeats run back to
// back understate it.
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FIT_LACK_OF_FIT_H_
#define RATEBOUND_ENGINE_FIT_LACK_OF_FIT_H_

#include <span>

#include "absl/status/statusor.h"
#include "engine/fit/least_squares.h"

namespace ratebound::fit {

struct RepeatedResponses {
  std::span<const double> response;      // as fitted
  std::span<const double> weights = {};  // as fitted
  // For each row the id of its condition; rows of one id are repeats.
  std::span<const int> groups;
};

struct LackOfFit {
  double f = 0;
  int lack_degrees_of_freedom = 0;        // groups - terms
  int pure_error_degrees_of_freedom = 0;  // rows - groups
  double p_value = 0;                     // chance of so large an f if the form is right
  double lack_of_fit_sum_of_squares = 0;
  double pure_error_sum_of_squares = 0;
  double pure_error_sd = 0;  // repeatability of a response of weight 1
};

// INVALID_ARGUMENT for sizes that do not match. FAILED_PRECONDITION when there are no
// repeats, not more groups than terms, or when all repeats agree exactly.
absl::StatusOr<LackOfFit> TestLackOfFit(const LeastSquaresFit& fit,
                                        const RepeatedResponses& repeats);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_LACK_OF_FIT_H_
