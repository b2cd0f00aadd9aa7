// Compiled with -mavx (see CMakeLists.txt); entered only where the processor has it.
// Nothing is included that could leave wider code in a function shared with the rest of
// the program.
#include <immintrin.h>
#include <sleef.h>

#include "engine/number/columns.h"

namespace ratebound::number::internal {

void ExpByFour(const double* x, double* out, int count) {
  int i = 0;
  for (; i + 4 <= count; i += 4) {
    _mm256_storeu_pd(out + i, Sleef_cinz_expd4_u10avx(_mm256_loadu_pd(x + i)));
  }
  // The caller's code has narrow registers only, and pays for what is left in wide ones.
  _mm256_zeroupper();
  ExpByTwo(x + i, out + i, count - i);
}

void LogByFour(const double* x, double* out, int count) {
  int i = 0;
  for (; i + 4 <= count; i += 4) {
    _mm256_storeu_pd(out + i, Sleef_cinz_logd4_u10avx(_mm256_loadu_pd(x + i)));
  }
  _mm256_zeroupper();
  LogByTwo(x + i, out + i, count - i);
}

}  // namespace ratebound::number::internal
