// How sure a verdict must be, and how many standard errors that takes.
//
// Example:
//   double level = LookLevel(0.95, 1);                      // 0.025
//   double of_stage = ServingLevel(level, 3, ServingRule::kSome);  // a third of it
//   double t = ProvingFactor(of_stage, 29);            // one-sided Student quantile
//   double k = RefutingFactor(RefutingLevel(level, 3), 15, 29, true);  // simultaneous
//                                                       // over all conditions
//
// Proving: the claim fails only if the surface is below its limit somewhere, so every
// point is tested at the level and the whole claim holds at that level with no correction
// for looking at many points (intersection-union; Berger, Technometrics 24 (1982) 295).
// Refuting searches for the worst point, so it takes the band that holds at all points at
// once (Scheffé, Biometrika 40 (1953) 87). Where the covariance is cluster-robust the
// band is Hotelling's, with as many degrees of freedom as blocks less one (Anderson, An
// Introduction to Multivariate Statistical Analysis, 3rd ed., 2003, 5.2.3).
//
// Several stages, or several surfaces: each direction pays where its own search is.
// - Some stage serves: a claim that is false fails in every stage at one and the same
//   point, and it is called proven where any of the K stages looks good enough there; so
//   each takes level / K (Bonferroni). Every stage, a stage fixed for each part of the
//   region, the lowest, the highest, and both sides of a window: the claim is false if
//   any part is false, so each part takes the whole level (intersection-union).
// - A true claim is called refuted where any of the stages looked at is misjudged: for
//   "every" one is enough, and for "some" the stage that serves changes from point to
//   point. So refuting divides by the number of stages that are looked at, whatever the
//   rule. The band below is two-sided: a window takes it once.
// - A figure of several surfaces with a band each (a sum or product that is no fitted
//   combination) holds where all its bands do: JointLevel.
//
// Looks: the k-th decision on added data uses level / (k (k + 1)); these add up to at
// most the level however often data are added. The first look thus uses half of it.
#ifndef RATEBOUND_ENGINE_CLAIM_LEVEL_H_
#define RATEBOUND_ENGINE_CLAIM_LEVEL_H_

#include <optional>

#include "engine/document/map.h"

namespace ratebound::claim {

// `look` counts from 1.
double LookLevel(double confidence, int look);

// Which of K stages may serve a region.
enum class ServingRule {
  kSome,   // at every condition at least one holds, whichever
  kEvery,  // all hold
  kFixed,  // the claim says where which serves; the lowest or the highest alone, too
};

// The level of each stage's band in a proof, of each in a refutation, and of each of the
// bands of one figure; of no stages or surfaces as of one.
double ServingLevel(double level, int stage_count, ServingRule rule);
double RefutingLevel(double level, int stage_count);
double JointLevel(double level, int surface_count);

// Student's one-sided quantile; degrees_of_freedom above 0.
double ProvingFactor(double level, double degrees_of_freedom);

// Of the band over all conditions: with a cluster-robust covariance, blocks less one
// (points less one, where each is a block of its own). Fewer than these are a surface's
// degrees of freedom for t at its worst place, which say nothing of all places together.
double BandDegrees(const document::Surface& surface);

// Empty where there are too few blocks for a band over so many terms.
std::optional<double> RefutingFactor(double level, int terms, double degrees_of_freedom,
                                     bool cluster_robust);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_LEVEL_H_
