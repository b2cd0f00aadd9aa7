#include "engine/number/columns.h"

#include <emmintrin.h>
#include <sleef.h>

#include "engine/number/elementary.h"

namespace ratebound::number {
namespace internal {

void ExpByTwo(const double* x, double* out, int count) {
  int i = 0;
  for (; i + 2 <= count; i += 2) {
    _mm_storeu_pd(out + i, Sleef_cinz_expd2_u10sse2(_mm_loadu_pd(x + i)));
  }
  if (i < count) out[i] = Exp(x[i]);
}

void LogByTwo(const double* x, double* out, int count) {
  int i = 0;
  for (; i + 2 <= count; i += 2) {
    _mm_storeu_pd(out + i, Sleef_cinz_logd2_u10sse2(_mm_loadu_pd(x + i)));
  }
  if (i < count) out[i] = Log(x[i]);
}

bool HasAvx() {
  static const bool has = __builtin_cpu_supports("avx");
  return has;
}

}  // namespace internal

void ExpColumn(std::span<const double> x, std::span<double> out) {
  const int count = static_cast<int>(x.size());
  if (internal::HasAvx()) {
    internal::ExpByFour(x.data(), out.data(), count);
  } else {
    internal::ExpByTwo(x.data(), out.data(), count);
  }
}

void LogColumn(std::span<const double> x, std::span<double> out) {
  const int count = static_cast<int>(x.size());
  if (internal::HasAvx()) {
    internal::LogByFour(x.data(), out.data(), count);
  } else {
    internal::LogByTwo(x.data(), out.data(), count);
  }
}

}  // namespace ratebound::number
