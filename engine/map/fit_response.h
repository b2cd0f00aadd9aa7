// One surface over the points of one stage: a polynomial, with its covariance, leverages
// and diagnostics, in powers of scaled conditions (document::Surface).
//
// Example:
//   ASSIGN_OR_RETURN(FittedSurface fitted,
//                    FitResponse({.quantity = "power_input", .values = power_w,
//                                 .conditions = names, .columns = columns,
//                                 .point_ids = ids, .blocks = blocks},
//                                2, SurfacePurpose::kTable));
//
// Covariance: residual variance times (X'WX)^-1 with points - terms degrees of freedom;
// where points carry blocks, the delete-one-block jackknife with blocks - 1
// (engine/fit/clusters.h). It is empty, with the reason in no_covariance, where blocks
// are not more than terms or one block alone decides a term; a single block says nothing
// of how blocks differ. For a proof each point is a block of its own where none is named
// (block_count is then 0), because scatter mostly grows with the response and the
// residual variance, a mean over all points, is too small where a claim of at most is
// decided: simulated error 6.4 % there at a nominal 2.5 % (96 points of a quadratic over
// two conditions). A proof takes CR2 and the degrees of freedom that belong to it
// (proof_spread.h). Lack of fit is tested on repeats (engine/fit/lack_of_fit.h): points
// whose conditions agree with those of the first of them within kRepeatFraction of each
// tested range; in different blocks, where points carry blocks.
//
// Weights (model_weights.h) where every point has a random uncertainty, in tables and
// proofs alike.
//
// Choice (model_candidates.h, engine/fit/candidate_choice.h): by the error at points left
// out. Where the manifest asks for families, the one-standard-error rule takes the
// simplest that is as good as the best; without a request the degree of the least error
// is taken, as fits of the same points always were. What was tried, and why it was taken
// or not, stands in Surface::candidates.
//
// Thread-safety: pure. Deterministic: the same bits for the same points in the same
// order.
#ifndef RATEBOUND_ENGINE_MAP_FIT_RESPONSE_H_
#define RATEBOUND_ENGINE_MAP_FIT_RESPONSE_H_

#include <string>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/map.h"
#include "engine/map/model_candidates.h"
#include "engine/map/model_fit.h"
#include "engine/map/model_stages.h"

namespace ratebound::map {

inline constexpr int kGreatestDegree = kGreatestTableDegree + 1;

struct FittedSurface {
  document::Surface surface;
  // Why the surface has no covariance; empty where it has one.
  std::string no_covariance;
  // Greatest total degree of a term, of the surface and of the candidate with the least
  // error. A proof takes one more, whichever rule chose the surface.
  int highest_degree = 0;
};

struct ModelOptions {
  const document::ModelRequest* request = nullptr;  // null: degrees alone
  bool is_power = false;                            // of the mode
  bool heating = false;
  const JointPoints* joint = nullptr;  // null: the stage stands alone
  // Sets Surface::diagnostics; with a robust fit beside, which costs as much as a
  // thousand fits.
  bool diagnose = false;
  bool robust = false;
};

// FAILED_PRECONDITION with a sentence that names the conditions, terms, points or blocks
// where the points cannot carry the degree: too few levels of a condition
// (points::CountLevels), not more points than terms, terms that depend on others.
// INVALID_ARGUMENT for sizes that do not match, values that are not finite, or a degree
// outside 1 to kGreatestDegree.
absl::StatusOr<FittedSurface> FitResponse(const ResponseProblem& problem, int degree,
                                          document::SurfacePurpose purpose,
                                          const ModelOptions& options = {});

// The surface for tables of the candidate that the rule takes, with those that were
// tried. FAILED_PRECONDITION with the reasons where none can be used.
absl::StatusOr<FittedSurface> FitBestResponse(const ResponseProblem& problem,
                                              const ModelOptions& options = {});

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_FIT_RESPONSE_H_
