// Surfaces for the recheck: those that stand in a release, and fits done once more from
// its points where a proof stands on a combination that no surface is of.
//
// Example (capacity less 3.2 times power, at the degree of both):
//   const FitPart parts[] = {{"total_capacity", 1}, {"power_input", -3.2}};
//   ASSIGN_OR_RETURN(Fitted fitted, FitOnceMore(map, release.points, parts, 2, scale));
//
// Weighted least squares by Cholesky in long double, with the covariance CR2 of Bell and
// McCaffrey (Survey Methodology 28 (2002) 169) by Newton's iteration for the root of a
// matrix: none of it is engine/fit, and the weights are written out again from what
// map/model_weights.h says of them. Coefficients agree with the prover's fit to kAlike of
// the largest, and entries of the covariance to kAlike of their standard errors; this is
// how close a certificate is held to them.
//
// Degrees of freedom after Satterthwaite are the fewest of the points of greatest
// leverage. The prover looks for the fewest at any tested place and starts from these, so
// they bound what a certificate may take from one side: on the demo lines the factor of a
// band could be 1 to 4 % smaller. Where the release's verdict states the degrees of
// freedom of a fit, against_release.cc holds the factor to those.
//
// Errors: INVALID_ARGUMENT where surface, points or quantities are missing or do not
// fit each other. FAILED_PRECONDITION: a surface of transformed quantities, which no
// polynomial is derived from; or more points than can be fitted once more. Thread-safety:
// pure.
#ifndef RATEBOUND_ENGINE_RECHECK_FIT_H_
#define RATEBOUND_ENGINE_RECHECK_FIT_H_

#include <span>
#include <string>

#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/document/points.h"
#include "engine/recheck/polynomial.h"

namespace ratebound::recheck {

inline constexpr double kAlike = 1e-10;

struct Fitted {
  SpanPolynomial value;
  SpanPolynomial variance;
  // Of Student's t of a proof at most; of a band over all conditions.
  double degrees_of_freedom = 0;
  double band_degrees = 0;
};

// The surface for proofs of a quantity; null where there is none.
const document::Surface* ProofSurfaceOf(const document::StageMap& map,
                                        const std::string& quantity);

absl::StatusOr<Fitted> FittedIn(const document::StageMap& map,
                                const document::Surface& surface,
                                const ConditionScale& scale);

struct FitPart {
  std::string quantity;
  double factor = 1;
};

absl::StatusOr<Fitted> FitOnceMore(const document::StageMap& map,
                                   std::span<const document::TestPoint> points,
                                   std::span<const FitPart> parts, int degree,
                                   const ConditionScale& scale);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_FIT_H_
