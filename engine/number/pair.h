// Two doubles computed on together, in the two lanes that every x86-64 processor has.
// Each lane has the bits that the same operations on a double would give; Exp and Log
// take a quarter and half of the time.
//
// Example:
//   template <typename T> T Saturation(const T& t) { return Exp(a / t + b * Log(t)); }
//   for (size_t i = 0; i + 1 < n; i += 2) {
//     Saturation(Pair::Load(&kelvin[i])).Store(&pascal[i]);   // as Saturation(kelvin[i])
//   }
//
// Exp and Log are SLEEF's deterministic SSE2 functions, which are the same algorithms as
// the scalar ones of elementary.h: no difference over 60 million arguments of the usual
// size and 30 million random bit patterns each. pair_test.cc repeats a part of it.
// Thread-safety: values.
#ifndef RATEBOUND_ENGINE_NUMBER_PAIR_H_
#define RATEBOUND_ENGINE_NUMBER_PAIR_H_

#include <emmintrin.h>

namespace ratebound::number {

class Pair {
 public:
  Pair() : lanes_(_mm_setzero_pd()) {}
  // The same in both lanes: implicit, so that formulas mix pairs and constants.
  Pair(double both) : lanes_(_mm_set1_pd(both)) {}  // NOLINT(google-explicit-constructor)
  Pair(double first, double second) : lanes_(_mm_set_pd(second, first)) {}
  explicit Pair(__m128d lanes) : lanes_(lanes) {}

  // Two adjacent doubles, of any alignment.
  static Pair Load(const double* two) { return Pair(_mm_loadu_pd(two)); }
  void Store(double* two) const { _mm_storeu_pd(two, lanes_); }

  double first() const { return _mm_cvtsd_f64(lanes_); }
  double second() const { return _mm_cvtsd_f64(_mm_unpackhi_pd(lanes_, lanes_)); }
  __m128d lanes() const { return lanes_; }

  Pair operator-() const { return Pair(_mm_xor_pd(lanes_, _mm_set1_pd(-0.0))); }
  friend Pair operator+(const Pair& a, const Pair& b) {
    return Pair(_mm_add_pd(a.lanes_, b.lanes_));
  }
  friend Pair operator-(const Pair& a, const Pair& b) {
    return Pair(_mm_sub_pd(a.lanes_, b.lanes_));
  }
  friend Pair operator*(const Pair& a, const Pair& b) {
    return Pair(_mm_mul_pd(a.lanes_, b.lanes_));
  }
  friend Pair operator/(const Pair& a, const Pair& b) {
    return Pair(_mm_div_pd(a.lanes_, b.lanes_));
  }
  Pair& operator+=(const Pair& b) { return *this = *this + b; }
  Pair& operator-=(const Pair& b) { return *this = *this - b; }
  Pair& operator*=(const Pair& b) { return *this = *this * b; }
  Pair& operator/=(const Pair& b) { return *this = *this / b; }

 private:
  __m128d lanes_;
};

inline Pair Sqrt(const Pair& x) { return Pair(_mm_sqrt_pd(x.lanes())); }
Pair Exp(const Pair& x);
Pair Log(const Pair& x);

}  // namespace ratebound::number

#endif  // RATEBOUND_ENGINE_NUMBER_PAIR_H_
