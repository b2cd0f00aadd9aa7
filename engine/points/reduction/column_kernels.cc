#include "engine/points/reduction/column_kernels_text.h"

namespace ratebound::points {

constinit const ColumnKernel kBaselineColumnKernel = &RunColumns;

ColumnKernel BestColumnKernel() {
  return __builtin_cpu_supports("avx2") != 0 ? kAvx2ColumnKernel : kBaselineColumnKernel;
}

}  // namespace ratebound::points
