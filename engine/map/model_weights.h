// What each point of a fit counts by, from the random uncertainty of its response.
//
// Example:
//   std::vector<double> weights = WeightsOf(random_standard_w);   // empty: all alike
//
// Weights are inverse variances, with 1 for a point of the median uncertainty. An
// uncertainty below kLeastOfMedian of the median counts as that: the random part of one
// test says how well its readings repeat within the test, not how tests of different days
// differ, which is the same for all and not known here; so no point may count more than
// 1 / kLeastOfMedian^2 times what a median one does. Common practice, no source.
//
// Where a model is fitted to something else than the response (model_form.h), a point's
// uncertainty is divided by the slope there, to first order.
//
// Thread-safety: pure. The order of points changes nothing.
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

// One for each point; empty for no uncertainties, or where their median is not above 0.
std::vector<double> WeightsOf(std::span<const double> random_standard);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_MODEL_WEIGHTS_H_
