// Compiled with -mavx2 (see CMakeLists.txt); entered only where the processor has it.
#include "engine/fit/surface_kernels_text.h"

namespace ratebound::fit {

constinit const SurfaceKernels kAvx2SurfaceKernels = TheseSurfaceKernels();

}  // namespace ratebound::fit
