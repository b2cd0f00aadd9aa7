// Whether two specimens agree within a stated margin at a condition: two one-sided tests.
//
// Example:
//   // Within 4 % of the mean of the second: difference of the fits, its standard error.
//   ASSIGN_OR_RETURN(EquivalenceTest test,
//                    TestEquivalence({.difference = 310, .standard_error = 240,
//                                     .degrees_of_freedom = 11, .margin = 2000},
//                                    0.05));
//   test.equivalent;      // |difference| below the margin, shown at 5 %
//   test.p_value;         // the greater of the two one-sided ones
//
// The specimens are equivalent where both "difference > -margin" and "difference <
// margin" are shown at the level; being an intersection of two claims it holds at that
// level without correction (Schuirmann, Journal of Pharmacokinetics and Biopharmaceutics
// 15 (1987) 657; Berger, Technometrics 24 (1982) 295). It is the same as a two-sided
// interval of confidence 1 - 2 level inside the margins. A test that finds no difference
// shows no equivalence.
//
// A margin of x % of the other specimen's value takes RatioMargins: both sides are then
// linear in the two values, y1 - (1 - x) y2 > 0 and (1 + x) y2 - y1 > 0 (after Fieller,
// J. Royal Stat. Soc. B 16 (1954) 175), so that the uncertainty of y2 is not left out.
// Systematic uncertainty, of what the two do not share, is taken off each side linearly.
//
// Over a region the two sides are two claims at every point, decided each at the level
// (level.h). Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_CLAIM_EQUIVALENCE_STATISTICS_H_
#define RATEBOUND_ENGINE_CLAIM_EQUIVALENCE_STATISTICS_H_

#include <array>
#include <optional>

#include "absl/status/statusor.h"

namespace ratebound::claim {

// Any unit, the same for all.
struct EquivalenceProblem {
  double difference = 0;
  double standard_error = 0;      // of the difference, at least 0
  double degrees_of_freedom = 0;  // above 0
  double margin = 0;              // above 0
  double systematic = 0;          // expanded, at least 0
};

// One side: shown above 0 where statistic > critical.
struct OneSidedTest {
  double statistic = 0;  // (what is left - systematic) / standard error; may be infinite
  double p_value = 1;
};

struct EquivalenceTest {
  bool equivalent = false;
  double p_value = 1;   // of the worse side
  double critical = 0;  // Student's one-sided quantile
  OneSidedTest above;   // difference > -margin
  OneSidedTest below;   // difference < margin
  // The least margin that would be shown with these data: |difference| + systematic +
  // critical * standard_error.
  double least_margin = 0;
};

// INVALID_ARGUMENT for a level outside (0, 0.5) or figures out of the ranges above.
absl::StatusOr<EquivalenceTest> TestEquivalence(const EquivalenceProblem& problem,
                                                double level);

// Two values, the first and the second specimen's, with their covariance.
struct SpecimenPair {
  double first = 0;
  double second = 0;
  double first_variance = 0;
  double second_variance = 0;
  double covariance = 0;  // 0 for tests on different days with different instruments
  double degrees_of_freedom = 0;   // SatterthwaiteDegrees where the two are independent
  double systematic_fraction = 0;  // of either value, expanded, what they do not share
};

// first / second within 1 -+ fraction (0 < fraction < 1); `second` must be shown above 0
// at the level, or it is not equivalent and least_margin is empty.
struct RatioEquivalence {
  bool equivalent = false;
  double p_value = 1;
  double critical = 0;
  OneSidedTest above;                    // first > (1 - fraction) second
  OneSidedTest below;                    // first < (1 + fraction) second
  std::optional<double> least_fraction;  // that would be shown; none below 1: empty
};
absl::StatusOr<RatioEquivalence> TestRatioEquivalence(const SpecimenPair& pair,
                                                      double fraction, double level);

// The factors of (first, second) in the two claims that must be above 0 everywhere: for
// a fitted combination over a region.
std::array<std::array<double, 2>, 2> RatioMargins(double fraction);

// Of the sum of two independent variances (Satterthwaite, Biometrics Bulletin 2 (1946)
// 110; Welch, Biometrika 29 (1938) 350).
double SatterthwaiteDegrees(double first_variance, double first_degrees,
                            double second_variance, double second_degrees);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_EQUIVALENCE_STATISTICS_H_
