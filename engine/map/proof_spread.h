// How sure a surface for proofs is: its covariance and the degrees of freedom that
// Student's t takes with it.
//
// Example:
//   ASSIGN_OR_RETURN(ModelFit::OfProof spread, SpreadForProof(fitted));
//   // one-sided: f - t(level, spread.degrees_of_freedom) * sqrt(row' V row)
//
// Covariance: CR2 over blocks (over points where none is named), whose square is unbiased
// where errors are independent and alike, and nearly so where they are not
// (engine/fit/intervals_by_block.h). It rests on few blocks where a place lies far out,
// so t takes Satterthwaite's degrees of freedom after Bell and McCaffrey, and since a
// proof takes one number for all places, the least of them over the places that were
// tested: inside every tested range and of no more leverage than the points have. These
// are looked for on the vertices and middles of the ranges (drawn in to where leverage
// allows), at the points, and downhill from the lowest of them; a search, no proof, of a
// figure that is an approximation itself.
//
// Simulated one-sided error at a nominal 5 %: see DEVELOPERS.md and the tests'
// claims_campaign. The jackknife with blocks less one, which took this place, errs by 7
// to 9 % with 20 to 40 independent points whose scatter grows with the value, and with
// days by 5 to 7 %; this by 2 to 5.7 %.
//
// Thread-safety: pure. Deterministic.
#ifndef RATEBOUND_ENGINE_MAP_PROOF_SPREAD_H_
#define RATEBOUND_ENGINE_MAP_PROOF_SPREAD_H_

#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/fit/intervals_by_block.h"
#include "engine/map/model_fit.h"

namespace ratebound::map {

// Of a fit by blocks with a covariance. Errors: those of fit::BlockIntervals.
absl::StatusOr<ModelFit::OfProof> SpreadForProof(const ModelFit& fitted);

// The least degrees of freedom over a box of conditions, as the basis takes them, where
// the leverage is at most `greatest_leverage` (of a point that counts 1). `points` are
// conditions, point by point; those outside the box are passed over. A box without such a
// place has those of its middle.
double LeastDegrees(const fit::BlockIntervals& intervals,
                    const fit::CandidateBasis& basis, std::span<const double> low,
                    std::span<const double> high, std::span<const double> points,
                    double greatest_leverage);

// Places of a box, as dense as band_ratios.h takes them (regional_ratios.h says how
// dense), where the leverage of a fit is no greater than at its points. At least one: the
// middle, tested or not.
std::vector<std::vector<double>> TestedPlaces(const ModelFit& fitted,
                                              std::span<const double> low,
                                              std::span<const double> high);

// Places of a box to look at first: vertices and middles of its ranges while these are
// few, else vertices, else the middle alone; then the points inside.
std::vector<std::vector<double>> PlacesToLookAt(std::span<const double> low,
                                                std::span<const double> high,
                                                std::span<const double> points);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_PROOF_SPREAD_H_
