// How sure a verdict must be, and how many standard errors that takes.
//
// Example:
//   double level = LookLevel(0.95, 1);                      // 0.025
//   double t = ProvingFactor(level, 29);                    // one-sided Student quantile
//   double k = RefutingFactor(level, 15, 29, true);         // simultaneous over all
//   conditions
//
// Proving: the claim fails only if the surface is below its limit somewhere, so every
// point is tested at the level and the whole claim holds at that level with no correction
// for looking at many points (intersection-union; Berger, Technometrics 24 (1982) 295).
// Refuting searches for the worst point, so it takes the band that holds at all points at
// once (Scheffé, Biometrika 40 (1953) 87). Where the covariance is cluster-robust the
// band is Hotelling's, with as many degrees of freedom as blocks less one (Anderson, An
// Introduction to Multivariate Statistical Analysis, 3rd ed., 2003, 5.2.3).
//
// Looks: the k-th decision on added data uses level / (k (k + 1)); these add up to at
// most the level however often data are added. The first look thus uses half of it.
#ifndef RATEBOUND_ENGINE_CLAIM_LEVEL_H_
#define RATEBOUND_ENGINE_CLAIM_LEVEL_H_

#include <optional>

namespace ratebound::claim {

// `look` counts from 1.
double LookLevel(double confidence, int look);

// Student's one-sided quantile; degrees_of_freedom above 0.
double ProvingFactor(double level, double degrees_of_freedom);

// Empty where there are too few blocks for a band over so many terms.
std::optional<double> RefutingFactor(double level, int terms, double degrees_of_freedom,
                                     bool cluster_robust);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_LEVEL_H_
