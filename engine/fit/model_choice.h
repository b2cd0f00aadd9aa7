// Which total degree the points support: the one that predicts left-out points best.
//
// Example:
//   ASSIGN_OR_RETURN(DegreeChoice choice, ChooseDegree({.columns = columns, .response =
//   power_w,
//                                                       .blocks = test_day}));
//   choice.degree;                       // 2
//   choice.candidates[2].refused;        // "18 points cannot determine 20 terms and ..."
//
// Criterion: root mean square of the leave-one-out residuals (PRESS; Allen, Technometrics
// 16 (1974) 125), or of leave-one-block-out residuals where blocks are given, since a
// point left out alone is predicted by the rest of its block (Roberts et al., Ecography
// 40 (2017) 913).
//
// A band computed at the chosen degree ignores that the same points chose it and is too
// narrow (simulated: up to 24 % errors at a nominal 5 %). It serves for tables; a proof
// takes a degree declared beforehand, or one above the chosen.
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FIT_MODEL_CHOICE_H_
#define RATEBOUND_ENGINE_FIT_MODEL_CHOICE_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/fit/design_matrix.h"

namespace ratebound::fit {

struct DegreeChoiceProblem {
  Columns columns;
  std::span<const double> response;
  std::span<const double> weights = {};  // as in LeastSquaresProblem
  std::span<const int> blocks = {};
  int least_degree = 1;
  int greatest_degree = 3;
};

struct DegreeCandidate {
  int degree = 0;
  int terms = 0;
  bool estimable = false;  // the points tell all terms apart
  // Why it cannot be chosen; empty if it can. A candidate may be estimable and still
  // refused, when a single point or block decides some term alone.
  std::string refused;
  // For estimable candidates; units of the response.
  double residual_sd = 0;
  double loo_rms = 0;
  std::optional<double> leave_block_out_rms;
};

struct DegreeChoice {
  int degree = 0;
  std::vector<DegreeCandidate> candidates;  // by rising degree
};

// The lowest degree whose criterion no other beats by more than rounding.
// INVALID_ARGUMENT as PolynomialBasis and SolveLeastSquares; FAILED_PRECONDITION when
// every degree is refused, with the reasons.
absl::StatusOr<DegreeChoice> ChooseDegree(const DegreeChoiceProblem& problem);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_MODEL_CHOICE_H_
