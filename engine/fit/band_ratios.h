// Simulated errors of a fitted surface over many places at once, for a band that holds at
// all of them: of each draw how far the surface comes to lie above its truth, in its own
// standard errors, at the place where that is most.
//
// The errors of the terms, Z in the coordinates of Q, are normal with any direction
// equally likely and a length that does not depend on the direction, nor, for normal
// errors alike and independent of point to point, on the residuals. So only the
// direction U = Z / |Z| and the residuals are drawn; of each draw the ratio
//   max over places c of c'U / s(c)
// is kept, and the length, whose square is chi-square with as many degrees of freedom as
// terms, is left to whoever reads the ratios (engine/claim/regional_constant.h). Each
// draw serves twice, with U and with -U.
//
// The working model (errors alike and independent) is that of the degrees of freedom of
// intervals_by_block.h. Where errors of a block go together the estimate over blocks
// follows them; the ratio then hardly changes, which the tests' claims_campaign measures.
//
// Determinism: draws are those of number::RandomStream with a fixed key: the same ratios
// for the same design on every machine. Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_FIT_BAND_RATIOS_H_
#define RATEBOUND_ENGINE_FIT_BAND_RATIOS_H_

#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/fit/design_matrix.h"
#include "engine/fit/least_squares.h"

namespace ratebound::fit {

// With the standard error from CR2 over the problem's blocks. `places` are rows of the
// design's form. The response is not read. 2 * draws ratios, each above 0.
// INVALID_ARGUMENT without blocks or places, or where sizes do not match;
// FAILED_PRECONDITION as BlockIntervals::Create.
absl::StatusOr<std::vector<double>> RatiosOverBlocks(const LeastSquaresProblem& problem,
                                                     const DesignMatrix& places,
                                                     int draws);

// With the true standard error, |c|: `places` are rows in coordinates in which errors of
// the terms are independent and alike. A ratio is then at most 1 and may be below 0.
// Terms and draws above 0.
std::vector<double> RatiosOfDirections(const DesignMatrix& places, int draws);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_BAND_RATIOS_H_
