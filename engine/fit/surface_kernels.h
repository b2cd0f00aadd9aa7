// Batch evaluation of nested polynomials, in one build for baseline x86-64 and one for
// AVX2 with the same bits (as kernels.h). Inside of PolynomialSurface.
//
// Order of the nested coefficients, Nested(v, d) for the conditions from v on at total
// degree d: the coefficients of z_v^d, z_v^(d-1), ..., 1 in turn, where that of z_v^k is
// Nested(v + 1, d - k); past the last condition one number.
#ifndef RATEBOUND_ENGINE_FIT_SURFACE_KERNELS_H_
#define RATEBOUND_ENGINE_FIT_SURFACE_KERNELS_H_

namespace ratebound::fit {

inline constexpr int kKernelVariables = 6;
inline constexpr int kKernelDegree = 3;

struct SurfaceInput {
  const double* nested;
  const double* centres;
  const double* reciprocals;
  const double* const* columns;
};

// Evaluates points [begin, end), whose number is a multiple of four.
using SurfaceKernel = void (*)(const SurfaceInput& input, long begin, long end,
                               double* values);

struct SurfaceKernels {
  SurfaceKernel of[kKernelVariables][kKernelDegree + 1];  // [variables - 1][degree]
};

extern const SurfaceKernels kBaselineSurfaceKernels;
extern const SurfaceKernels kAvx2SurfaceKernels;  // only where CpuHasAvx2()

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_SURFACE_KERNELS_H_
