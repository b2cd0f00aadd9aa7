// Which of several models to take, by what each makes of points left out.
//
// Example:
//   ASSIGN_OR_RETURN(CandidateChoice choice,
//                    ChooseCandidate({.candidates = errors, .blocks = test_day}));
//   choice.chosen;                 // number of the simplest that is good enough
//   choice.scores[k].standard_error;
//
// A candidate's score is the root of the mean square of its errors at left-out points
// (weighted, where there are weights), all in the response's own unit, whatever the
// candidate was fitted to. Its standard error counts blocks, where there are blocks,
// since the errors of a block go together: with s the mean square and m_g, w_g the sum of
// squares and of weights of block g,
//   SE(s)^2 = G / (G - 1) * sum over g of (m_g - s w_g)^2 / (sum of w_g)^2,
// and SE(root s) = SE(s) / (2 root s), to first order.
//
// Rules. kLeastError takes the smallest score. kOneStandardError takes the simplest
// candidate whose mean square is within one standard error of the smallest (Breiman,
// Friedman, Olshen and Stone, Classification and Regression Trees, 1984, 3.4.3): what
// chance may have made better is no reason for more terms. Simplest is with the fewest
// terms, and among these the first in the list.
//
// Neither makes a band at the chosen model honest: see model_choice.h.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_FIT_CANDIDATE_CHOICE_H_
#define RATEBOUND_ENGINE_FIT_CANDIDATE_CHOICE_H_

#include <span>
#include <vector>

#include "absl/status/statusor.h"

namespace ratebound::fit {

enum class ChoiceRule { kLeastError, kOneStandardError };

struct CandidateErrors {
  int terms = 0;
  // One for each row; empty for a candidate that cannot be chosen.
  std::vector<double> left_out;
};

struct CandidateChoiceProblem {
  std::span<const CandidateErrors> candidates;
  std::span<const double> weights = {};  // as in LeastSquaresProblem
  std::span<const int> blocks = {};
  ChoiceRule rule = ChoiceRule::kOneStandardError;
  // Scores that differ by less are the same; in the unit of the response.
  double rounding = 0;
};

struct CandidateScore {
  double rms = 0;  // 0 for one that cannot be chosen, as is its standard error
  double standard_error = 0;
};

struct CandidateChoice {
  std::vector<CandidateScore> scores;  // one for each candidate
  int least = 0;                       // the simplest of those with the smallest score
  int chosen = 0;
};

// INVALID_ARGUMENT for sizes that do not match; FAILED_PRECONDITION where no candidate
// can be chosen.
absl::StatusOr<CandidateChoice> ChooseCandidate(const CandidateChoiceProblem& problem);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_CANDIDATE_CHOICE_H_
