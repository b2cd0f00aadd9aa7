// Residuals of the augmented system of least squares, r + A x = b and A' r = 0, to twice
// the working precision, and the correction they call for (Björck, BIT 7 (1967) 257;
// Higham, Accuracy and Stability of Numerical Algorithms, 2nd ed. 2002, section 20.5).
// Sums by compensated dot products (Ogita, Rump and Oishi, SIAM J. Sci. Comput. 26 (2005)
// 1955). Inside of SolveLeastSquares.
//
// Each step shrinks the error by a factor of about condition * 2^-53. In a scaled
// orthogonal basis one step gives x as if computed in twice the precision and rounded,
// and the next fills in the low parts; raw powers need more.
//
// Thread-safety: as a std::vector.
#ifndef RATEBOUND_ENGINE_FIT_REFINEMENT_H_
#define RATEBOUND_ENGINE_FIT_REFINEMENT_H_

#include <vector>

#include "engine/fit/pivoted_qr.h"

namespace ratebound::fit {

// x and r as sums of a high and a low part. Lengths: b, r padded to qr.stride(); x in the
// order of the matrix's columns. An empty b_low is zero.
struct AugmentedSystem {
  const std::vector<double>* matrix_low = nullptr;  // like the columns of qr, or null
  std::vector<double> b_high, b_low;
  std::vector<double> x_high, x_low;
  std::vector<double> r_high, r_low;

  // x := least-squares solution, r := residuals, both to working precision. Full rank.
  void Solve(const PivotedQr& qr);
  // One step; needs qr.FormQ().
  void Refine(const PivotedQr& qr);

 private:
  bool refined_ = false;
  std::vector<double> f_, g_, h_;
};

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_REFINEMENT_H_
