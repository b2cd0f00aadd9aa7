// Eigenvalues and vectors of a small symmetric matrix by Jacobi's cyclic rotations (Golub
// and Van Loan, Matrix Computations, 4th ed. 2013, 8.5), in a written-out order. Inside
// of BlockIntervals.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_FIT_INTERVALS_EIGEN_H_
#define RATEBOUND_ENGINE_FIT_INTERVALS_EIGEN_H_

#include <vector>

namespace ratebound::fit {

struct SymmetricEigen {
  std::vector<double> values;   // in no order
  std::vector<double> vectors;  // size x size by rows; column k belongs to values[k]
};

// `matrix` is size x size by rows.
SymmetricEigen EigenOf(std::vector<double> matrix, int size);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_INTERVALS_EIGEN_H_
