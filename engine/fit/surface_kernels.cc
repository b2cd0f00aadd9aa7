#include "engine/fit/surface_kernels.h"

#include "engine/fit/surface_kernels_text.h"

namespace ratebound::fit {

constinit const SurfaceKernels kBaselineSurfaceKernels = TheseSurfaceKernels();

}  // namespace ratebound::fit
