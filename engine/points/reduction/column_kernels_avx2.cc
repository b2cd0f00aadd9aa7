// Compiled with -mavx2 (see CMakeLists.txt); entered only where the processor has it.
#include "engine/points/reduction/column_kernels_text.h"

namespace ratebound::points {

constinit const ColumnKernel kAvx2ColumnKernel = &RunColumns;

}  // namespace ratebound::points
