// What each point of a fit counts by, from the random uncertainty of its response.
//
// Example:
//   const std::vector<double> standard_w = CountingStandard(
//       columns, power_w, RandomStandardOf(points, "power_input"));
//   std::vector<double> weights = WeightsOf(standard_w);   // empty: all alike
//
// The random part of one test says how well its readings repeat within the test. Tests of
// different days and set-ups differ by more, which no test tells of itself and which is
// the same for all. So a point's variance is that of its readings and a common part: what
// the residuals of an unweighted quadratic (of a plane, where the points carry no more)
// scatter beyond the readings,
//   tau^2 = max(0, s^2 - mean of u_i^2),
// by the method of moments, as random effects are pooled in meta-analysis (DerSimonian
// and Laird, Controlled Clinical Trials 7 (1986) 177). Where days decide, points count
// nearly alike; weights by the readings alone made standard errors of the measured lines
// up to half as large again. What the quadratic misses makes weights more even.
//
// Weights are inverse variances, with 1 for a point of the median uncertainty. An
// uncertainty below kLeastOfMedian of the median counts as that, so that no point counts
// more than 1 / kLeastOfMedian^2 times what a median one does. Common practice, no
// source.
//
// Where a model is fitted to something else than the response (model_form.h), a point's
// uncertainty is divided by the slope there, to first order.
//
// Thread-safety: pure. Deterministic: the same bits for the same points in the same
// order.
#ifndef RATEBOUND_ENGINE_MAP_MODEL_WEIGHTS_H_
#define RATEBOUND_ENGINE_MAP_MODEL_WEIGHTS_H_

#include <span>
#include <string_view>
#include <vector>

#include "engine/document/points.h"

namespace ratebound::map {

inline constexpr double kLeastOfMedian = 0.5;

// Empty where a point has no uncertainty of the quantity, and where the median of what
// there is is not above 0.
std::vector<double> RandomStandardOf(std::span<const document::TestPoint* const> points,
                                     std::string_view quantity);

// The uncertainty of each point with the common part; empty for no uncertainties, or
// where not even a plane can be fitted.
std::vector<double> CountingStandard(std::span<const std::vector<double>> columns,
                                     std::span<const double> values,
                                     std::span<const double> random_standard);

// One for each point; empty for no uncertainties, or where their median is not above 0.
std::vector<double> WeightsOf(std::span<const double> standard);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_MODEL_WEIGHTS_H_
