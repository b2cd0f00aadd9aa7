// Compiled with -mavx2 (see CMakeLists.txt); entered only where the processor has it.
#include "engine/fit/kernels_text.h"

namespace ratebound::fit {

constinit const Kernels kAvx2Kernels = kTheseKernels;

}  // namespace ratebound::fit
