// The inner loops of the factorisation and its refinement, over raw padded columns. There
// are two builds of one text (kernels_text.h): for baseline x86-64 and for AVX2. Neither
// contracts a*b + c, and each sum is written out in its order, so both give the same
// bits; a test compares them. Inside of SolveLeastSquares.
//
// Row counts are multiples of four; pointers need no alignment.
#ifndef RATEBOUND_ENGINE_FIT_KERNELS_H_
#define RATEBOUND_ENGINE_FIT_KERNELS_H_

namespace ratebound::fit {

// The scaled system of augmented residuals; see AugmentedSystem.
struct ResidualInput {
  int rows;
  int columns;
  const double* matrix;      // by columns, `rows` apart
  const double* matrix_low;  // likewise, or null for zero
  const double* b_high;
  const double* b_low;  // null for zero, as the other low parts
  const double* x_high;
  const double* x_low;
  const double* r_high;
  const double* r_low;
};

struct Kernels {
  // Sum of a[i] * b[i] over [begin, end), in eight interleaved partial sums.
  double (*dot)(const double* a, const double* b, int begin, int end);
  // x -= tau * (v . x) * v from row `begin` on, for each of `count` columns x.
  void (*reflect)(const double* v, double tau, double* const* columns, int count,
                  int begin, int end);
  // result := b - r - A x, accumulated in twice the working precision.
  void (*row_residuals)(const ResidualInput& input, double* result);
  // result := -A' r, likewise.
  void (*column_residuals)(const ResidualInput& input, double* result);
};

extern const Kernels kBaselineKernels;
extern const Kernels kAvx2Kernels;  // only where CpuHasAvx2()

bool CpuHasAvx2();
const Kernels& FastestKernels();

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_KERNELS_H_
