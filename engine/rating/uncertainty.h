// How sure a metric is: the scatter of the tests, carried through every surface, load
// point and bin that it rests on, and what the instruments may be off by.
//
// Example:
//   ASSIGN_OR_RETURN(Variation variation, Variation::Create(source, manifest, points));
//   ASSIGN_OR_RETURN(document::MetricUncertainty sure,
//                    FirstOrderUncertainty(metric, source, variation, {}));
//   sure.low, sure.high;            // both parts in it, in the unit of the metric
//   ASSIGN_OR_RETURN(document::MetricUncertainty drawn,
//                    MonteCarloUncertainty(metric, source, variation, {.draws =
//                    100'000}));
//
// Random part, first order (JCGM 100:2008, 5.1.2). The coefficients' errors are sums over
// independent test days, so the metric's variance is the sum over days of the square of
// what the metric changes by when all surfaces move by that day's deviation: central
// differences over one standard error each way. Errors that capacity and power of several
// stages share are in it. Student's t with the least degrees of freedom among the
// surfaces.
//
// Systematic part. Each instrument's expanded uncertainty moves all that it reads at
// once, all stages and conditions; the effects on the metric are added as absolute
// values, never in quadrature, and added linearly to the random part:
//   low = value - t s - b,  high = value + t s + b.
//
// Monte Carlo (JCGM 101:2008). The days' deviations are multiplied by independent normal
// numbers. `standard_error` is the standard deviation of the draws; low and high are the
// ends of their symmetric interval, stretched about the value by the ratio of Student's
// to the normal quantile, with b added as above. Where a procedure jumps (a window, a
// lock- out) draws fall on both sides of the jump, which first order cannot see; the
// notes say how far both answers are apart, in the sense of JCGM 101, clause 8.
//
// Draw i depends on seed and i alone, so that results have the same bits on any number of
// threads. Errors: FAILED_PRECONDITION where the metric has no value, or no surface an
// estimate of its scatter; INVALID_ARGUMENT for options out of range. Thread-safety:
// pure.
#ifndef RATEBOUND_ENGINE_RATING_UNCERTAINTY_H_
#define RATEBOUND_ENGINE_RATING_UNCERTAINTY_H_

#include <cstdint>
#include <functional>

#include "absl/status/statusor.h"
#include "engine/document/rating.h"
#include "engine/rating/map_figure_source.h"
#include "engine/rating/metric.h"
#include "engine/rating/varied_source.h"

namespace ratebound::rating {

inline constexpr int64_t kLeastDraws = 1'000;
inline constexpr int64_t kMostDraws = 10'000'000;

struct UncertaintyOptions {
  double confidence = 0.95;  // two-sided, over 0.5 and under 1
  int64_t draws = 100'000;   // of Monte Carlo, kLeastDraws to kMostDraws
  uint64_t seed = 0;         // take it from the content
  int thread_count = 1;
  std::function<bool()> stop;  // asked now and then; CANCELLED. May be empty
};

absl::StatusOr<document::MetricUncertainty> FirstOrderUncertainty(
    const Metric& metric, const MapFigureSource& source, const Variation& variation,
    const UncertaintyOptions& options);

absl::StatusOr<document::MetricUncertainty> MonteCarloUncertainty(
    const Metric& metric, const MapFigureSource& source, const Variation& variation,
    const UncertaintyOptions& options);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_UNCERTAINTY_H_
