// A fitted surface as polynomials that the prover takes, in the scaled conditions z.
#ifndef RATEBOUND_ENGINE_MAP_SURFACE_POLYNOMIALS_H_
#define RATEBOUND_ENGINE_MAP_SURFACE_POLYNOMIALS_H_

#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/box.h"
#include "engine/bound/polynomial.h"
#include "engine/document/map.h"

namespace ratebound::map {

absl::StatusOr<bound::Polynomial> ValuePolynomial(const document::Surface& surface);

// z' M z over the terms, for a matrix given by its lower triangle row by row: the
// variance of the surface for its covariance, the leverage for its leverage matrix.
absl::StatusOr<bound::Polynomial> FormPolynomial(
    const document::Surface& surface, const std::vector<double>& lower_triangle);

// A box of conditions in SI, as one in z that holds it.
bound::Box ScaledBox(const document::Surface& surface, const std::vector<double>& low_si,
                     const std::vector<double>& high_si);

// A point in z, as conditions in SI.
std::vector<double> UnscaledPoint(const document::Surface& surface,
                                  const std::vector<double>& z);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_SURFACE_POLYNOMIALS_H_
