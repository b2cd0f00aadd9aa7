// A few points side by side: two in SSE2 registers, four where this is compiled for AVX2;
// and their dual numbers. Each lane has the bits that the same operations on doubles
// give, since exp and log are SLEEF's deterministic ones in every width (those of
// engine/number) and nothing is contracted.
//
// Only for files that are compiled once for each instruction set: hence the unnamed
// namespace, which keeps the wider code out of functions shared with the rest of the
// program.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_LANES_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_LANES_H_

#include <immintrin.h>
#include <sleef.h>

#include "engine/fluid/moist_air_formulation.h"

namespace ratebound::points {
namespace {

#ifdef __AVX2__
inline constexpr int kLanes = 4;
using RawLanes = __m256d;
#else
inline constexpr int kLanes = 2;
using RawLanes = __m128d;
#endif
using RawMask = decltype(RawLanes() < RawLanes());

#define RATEBOUND_LANE [[gnu::always_inline]] inline

struct Lanes {
  RawLanes raw;

  Lanes() = default;
  RATEBOUND_LANE Lanes(RawLanes lanes) : raw(lanes) {}         // NOLINT
  RATEBOUND_LANE Lanes(double all) : raw(RawLanes{} + all) {}  // NOLINT

  RATEBOUND_LANE static Lanes Load(const double* from) {
    Lanes lanes;
    __builtin_memcpy(&lanes.raw, from, sizeof lanes.raw);
    return lanes;
  }
  RATEBOUND_LANE void Store(double* to) const { __builtin_memcpy(to, &raw, sizeof raw); }

  RATEBOUND_LANE friend Lanes operator+(const Lanes& a, const Lanes& b) {
    return a.raw + b.raw;
  }
  RATEBOUND_LANE friend Lanes operator-(const Lanes& a, const Lanes& b) {
    return a.raw - b.raw;
  }
  RATEBOUND_LANE friend Lanes operator*(const Lanes& a, const Lanes& b) {
    return a.raw * b.raw;
  }
  RATEBOUND_LANE friend Lanes operator/(const Lanes& a, const Lanes& b) {
    return a.raw / b.raw;
  }
};

RATEBOUND_LANE Lanes Sqrt(const Lanes& x) {
#ifdef __AVX2__
  return Lanes(_mm256_sqrt_pd(x.raw));
#else
  return Lanes(_mm_sqrt_pd(x.raw));
#endif
}
RATEBOUND_LANE Lanes Exp(const Lanes& x) {
#ifdef __AVX2__
  return Lanes(Sleef_cinz_expd4_u10avx(x.raw));
#else
  return Lanes(Sleef_cinz_expd2_u10sse2(x.raw));
#endif
}
RATEBOUND_LANE Lanes Log(const Lanes& x) {
#ifdef __AVX2__
  return Lanes(Sleef_cinz_logd4_u10avx(x.raw));
#else
  return Lanes(Sleef_cinz_logd2_u10sse2(x.raw));
#endif
}
RATEBOUND_LANE const Lanes& ValueOf(const Lanes& x) { return x; }

// ln of the saturation pressure over water, and its slope, in the order of
// engine/fluid/moist_air_inline.h.
template <class Form>
RATEBOUND_LANE Lanes LogSaturationOfLanes(const Lanes& t) {
  constexpr fluid::SaturationCoefficients c = Form::kOverWater;
  return c.c1 / t + c.c2 + t * (c.c3 + t * (c.c4 + t * (c.c5 + t * c.c6))) +
         c.c7 * Log(t);
}
template <class Form>
RATEBOUND_LANE Lanes LaneSaturationPressure(const Lanes& temperature) {
  return Exp(LogSaturationOfLanes<Form>(temperature - Form::kAbsoluteZero));
}

// As number::Dual.
template <int N>
struct LaneDual {
  Lanes value;
  Lanes derivative[N];

  LaneDual() = default;
  RATEBOUND_LANE LaneDual(double constant) : value(constant) {  // NOLINT
    for (int i = 0; i < N; ++i) derivative[i] = Lanes(0.0);
  }
  RATEBOUND_LANE static LaneDual Chain(const LaneDual& a, const Lanes& value,
                                       const Lanes& slope) {
    LaneDual result;
    result.value = value;
    for (int i = 0; i < N; ++i) result.derivative[i] = slope * a.derivative[i];
    return result;
  }
  RATEBOUND_LANE static LaneDual Plus(const LaneDual& a, const Lanes& value) {
    LaneDual result = a;
    result.value = value;
    return result;
  }

  RATEBOUND_LANE friend LaneDual operator+(const LaneDual& a, const LaneDual& b) {
    LaneDual result;
    result.value = a.value + b.value;
    for (int i = 0; i < N; ++i) {
      result.derivative[i] = a.derivative[i] + b.derivative[i];
    }
    return result;
  }
  RATEBOUND_LANE friend LaneDual operator-(const LaneDual& a, const LaneDual& b) {
    LaneDual result;
    result.value = a.value - b.value;
    for (int i = 0; i < N; ++i) {
      result.derivative[i] = a.derivative[i] - b.derivative[i];
    }
    return result;
  }
  RATEBOUND_LANE friend LaneDual operator*(const LaneDual& a, const LaneDual& b) {
    LaneDual result;
    result.value = a.value * b.value;
    for (int i = 0; i < N; ++i) {
      result.derivative[i] = b.value * a.derivative[i] + a.value * b.derivative[i];
    }
    return result;
  }
  RATEBOUND_LANE friend LaneDual operator/(const LaneDual& a, const LaneDual& b) {
    LaneDual result;
    result.value = a.value / b.value;
    const Lanes per_b = 1.0 / b.value;
    for (int i = 0; i < N; ++i) {
      result.derivative[i] = per_b * (a.derivative[i] - result.value * b.derivative[i]);
    }
    return result;
  }
  RATEBOUND_LANE friend LaneDual operator+(const LaneDual& a, const Lanes& b) {
    return Plus(a, a.value + b);
  }
  RATEBOUND_LANE friend LaneDual operator+(const Lanes& a, const LaneDual& b) {
    return Plus(b, a + b.value);
  }
  RATEBOUND_LANE friend LaneDual operator-(const LaneDual& a, const Lanes& b) {
    return Plus(a, a.value - b);
  }
  RATEBOUND_LANE friend LaneDual operator-(const Lanes& a, const LaneDual& b) {
    return Chain(b, a - b.value, -1.0);
  }
  RATEBOUND_LANE friend LaneDual operator*(const LaneDual& a, const Lanes& b) {
    return Chain(a, a.value * b, b);
  }
  RATEBOUND_LANE friend LaneDual operator*(const Lanes& a, const LaneDual& b) {
    return Chain(b, a * b.value, a);
  }
  RATEBOUND_LANE friend LaneDual operator/(const LaneDual& a, const Lanes& b) {
    return Chain(a, a.value / b, 1.0 / b);
  }
  RATEBOUND_LANE friend LaneDual operator/(const Lanes& a, const LaneDual& b) {
    const Lanes quotient = a / b.value;
    return Chain(b, quotient, (0.0 - quotient) / b.value);
  }
  // Scalars are lanes that are all alike; without these they would be duals.
  RATEBOUND_LANE friend LaneDual operator+(const LaneDual& a, double b) {
    return a + Lanes(b);
  }
  RATEBOUND_LANE friend LaneDual operator+(double a, const LaneDual& b) {
    return Lanes(a) + b;
  }
  RATEBOUND_LANE friend LaneDual operator-(const LaneDual& a, double b) {
    return a - Lanes(b);
  }
  RATEBOUND_LANE friend LaneDual operator-(double a, const LaneDual& b) {
    return Lanes(a) - b;
  }
  RATEBOUND_LANE friend LaneDual operator*(const LaneDual& a, double b) {
    return a * Lanes(b);
  }
  RATEBOUND_LANE friend LaneDual operator*(double a, const LaneDual& b) {
    return Lanes(a) * b;
  }
  RATEBOUND_LANE friend LaneDual operator/(const LaneDual& a, double b) {
    return a / Lanes(b);
  }
  RATEBOUND_LANE friend LaneDual operator/(double a, const LaneDual& b) {
    return Lanes(a) / b;
  }
};

template <int N>
RATEBOUND_LANE const Lanes& ValueOf(const LaneDual<N>& x) {
  return x.value;
}
template <int N>
RATEBOUND_LANE LaneDual<N> Sqrt(const LaneDual<N>& x) {
  const Lanes root = Sqrt(x.value);
  return LaneDual<N>::Chain(x, root, 0.5 / root);
}

template <class Form, int N>
RATEBOUND_LANE LaneDual<N> LaneSaturationPressure(const LaneDual<N>& temperature) {
  constexpr fluid::SaturationCoefficients c = Form::kOverWater;
  const Lanes t = temperature.value - Form::kAbsoluteZero;
  const Lanes pressure = Exp(LogSaturationOfLanes<Form>(t));
  const Lanes per_t = 1.0 / t;
  const Lanes slope = per_t * (c.c7 - c.c1 * per_t) +
                      (c.c3 + t * (2 * c.c4 + t * (3 * c.c5 + t * (4 * c.c6))));
  return LaneDual<N>::Chain(temperature, pressure, pressure * slope);
}

#undef RATEBOUND_LANE

}  // namespace
}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_LANES_H_
