// One surface over the points of one stage: a full polynomial of a total degree, with its
// covariance, leverages and diagnostics, in powers of scaled conditions
// (document::Surface).
//
// Example:
//   ASSIGN_OR_RETURN(FittedSurface fitted,
//                    FitResponse({.quantity = "power_input", .values = power_w,
//                                 .conditions = names, .columns = columns,
//                                 .point_ids = ids, .blocks = blocks},
//                                2, SurfacePurpose::kTable));
//
// Covariance: residual variance times (X'X)^-1 with points - terms degrees of freedom;
// where points carry blocks, the delete-one-block jackknife with blocks - 1
// (engine/fit/clusters.h). It is empty, with the reason in no_covariance, where blocks
// are not more than terms or one block alone decides a term; a single block says nothing
// of how blocks differ. For a proof each point is a block of its own where none is named
// (block_count is then 0), because scatter mostly grows with the response and the
// residual variance, a mean over all points, is too small where a claim of at most is
// decided: simulated error 6.4 % there at a nominal 2.5 %, and 2.7 % by the jackknife (96
// points of a quadratic over two conditions; with 20 points 5.2 and 3.8 %). Lack of fit
// is tested on repeats (engine/fit/lack_of_fit.h): points whose conditions agree with
// those of the first of them within kRepeatFraction of each tested range; in different
// blocks, where points carry blocks.
//
// Thread-safety: pure. Deterministic: the same bits for the same points in the same
// order.
#ifndef RATEBOUND_ENGINE_MAP_FIT_RESPONSE_H_
#define RATEBOUND_ENGINE_MAP_FIT_RESPONSE_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/map.h"

namespace ratebound::map {

// A laboratory's set points scatter: by some 0.1 degF and half a percent of a flow, 2 to
// 3 % of a range. Common practice, no source.
inline constexpr double kRepeatFraction = 0.03;

inline constexpr int kGreatestTableDegree = 3;
inline constexpr int kGreatestDegree = kGreatestTableDegree + 1;

// Refers to the caller's data. SI.
struct ResponseProblem {
  std::string quantity;                          // of the surface
  std::span<const double> values;                // one for each point
  std::span<const std::string> conditions;       // names
  std::span<const std::vector<double>> columns;  // one for each condition
  std::span<const std::string> point_ids;
  std::span<const int> blocks = {};               // numbers from 0; empty: no blocks
  std::span<const std::string> block_names = {};  // by number
};

struct FittedSurface {
  document::Surface surface;
  // Why the surface has no covariance; empty where it has one.
  std::string no_covariance;
};

// FAILED_PRECONDITION with a sentence that names the conditions, terms, points or blocks
// where the points cannot carry the degree: too few levels of a condition
// (points::CountLevels), not more points than terms, terms that depend on others.
// INVALID_ARGUMENT for sizes that do not match, values that are not finite, or a degree
// outside 1 to kGreatestDegree.
absl::StatusOr<FittedSurface> FitResponse(const ResponseProblem& problem, int degree,
                                          document::SurfacePurpose purpose);

// The surface of the degree, 1 to kGreatestTableDegree, that predicts left-out points
// best (whole blocks where there are blocks; engine/fit/model_choice.h), with the degrees
// that were tried. FAILED_PRECONDITION with the reasons where none can be used.
absl::StatusOr<FittedSurface> FitBestResponse(const ResponseProblem& problem);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_FIT_RESPONSE_H_
