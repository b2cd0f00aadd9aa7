// How many standard errors a one-sided band takes to hold at every place of a region at
// once: fewer than Scheffé's or Hotelling's, which hold at all conditions there are.
//
// Example:
//   ASSIGN_OR_RETURN(std::vector<double> ratios,
//                    fit::RatiosOverBlocks(problem, places, kRegionalDraws));
//   double k = RegionalFactor(ratios, terms, kDrawnError, 0.025);
//   // above f - k s nowhere in the region but with probability 2.5 %
//
// With T the greatest of (estimate - truth) / standard error over the region,
//   P(T > k) = E [ P(|Z|^2 / s^2 > (k / h)^2) ],
// the mean over directions of the terms' errors with their ratios h (band_ratios.h); the
// inner probability is known: chi-square where the standard error is part of the draw,
// or F where it is one estimate for all (after Naiman, Annals of Statistics 14 (1986)
// 896, who integrates the same over directions). The mean is taken over draws with a
// fixed key, and k is where it is the level less kSureness standard errors of the mean: a
// simulated constant with an upper confidence limit, no proven bound. It errs to the safe
// side by 0.5 to 3 % of k. Places between those that were looked at count as far as the
// draws allow; see map::BandPlaces for how dense they are.
//
// Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_CLAIM_REGIONAL_CONSTANT_H_
#define RATEBOUND_ENGINE_CLAIM_REGIONAL_CONSTANT_H_

#include <limits>
#include <optional>
#include <span>

namespace ratebound::claim {

inline constexpr int kRegionalDraws = 1000;
inline constexpr double kSureness = 2.58;  // one-sided 99.5 %

// The standard error is part of each draw.
inline constexpr double kDrawnError = std::numeric_limits<double>::infinity();

// `degrees_of_freedom` is that of a standard error estimated once for all places, or
// kDrawnError. Level in (0, 0.5), at least two ratios, in pairs of one draw. Infinite
// where that many draws cannot tell so small a level.
double RegionalFactor(std::span<const double> ratios, int terms,
                      double degrees_of_freedom, double level);

// The lesser of a band over all conditions (RefutingFactor; empty: there is none) and
// that of the region from its ratios (empty: not asked). Neither looks at the response,
// so taking the lesser costs nothing. Empty where neither can be.
std::optional<double> LesserRefutingFactor(std::optional<double> everywhere,
                                           std::span<const double> ratios, int terms,
                                           double level);

// The probability that is exceeded, and its standard error over draws.
struct ExceedanceEstimate {
  double probability = 0;
  double standard_error = 0;
};
ExceedanceEstimate ExceedanceOf(std::span<const double> ratios, int terms,
                                double degrees_of_freedom, double factor);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_REGIONAL_CONSTANT_H_
