#include "engine/fit/kernels.h"

#include "engine/fit/kernels_text.h"

namespace ratebound::fit {

constinit const Kernels kBaselineKernels = kTheseKernels;

bool CpuHasAvx2() { return __builtin_cpu_supports("avx2") != 0; }

const Kernels& FastestKernels() { return CpuHasAvx2() ? kAvx2Kernels : kBaselineKernels; }

}  // namespace ratebound::fit
