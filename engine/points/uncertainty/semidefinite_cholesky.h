// The Cholesky factor of a correlation matrix, which may be singular.
//
// Example:
//   std::vector<double> r = {1, 1, 1, 1};                      // fully correlated
//   FactorSemidefinite(r, 2);                                  // {1, 0, 1, 0}
//
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_POINTS_UNCERTAINTY_SEMIDEFINITE_CHOLESKY_H_
#define RATEBOUND_ENGINE_POINTS_UNCERTAINTY_SEMIDEFINITE_CHOLESKY_H_

#include <span>

namespace ratebound::points {

// Replaces the symmetric size x size matrix (unit diagonal, by rows) by its lower factor
// L, matrix = L L'. False, with the matrix left unspecified, where it is not positive
// semidefinite within rounding. Columns without a pivot are 0.
//
// Source: Golub and Van Loan, Matrix Computations, 4th ed. 2013, 4.2.8 (without
// pivoting: in a semidefinite matrix a zero pivot has a zero column below it).
bool FactorSemidefinite(std::span<double> matrix, int size);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UNCERTAINTY_SEMIDEFINITE_CHOLESKY_H_
