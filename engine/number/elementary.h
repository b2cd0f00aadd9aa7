// Elementary functions with the same bits on every x86-64 machine.
//
// The C library picks variants of exp, log, pow and sin by the processor it runs on, and
// their last bits differ; a rating must not. These are the deterministic functions of
// SLEEF 3.5 (Shibata and Petrogalli, IEEE TPDS 31(6), 2020), built without FMA: at
// most 1.0 ulp from the exact value. The engine takes from the C library only sqrt, fabs,
// floor and ceil, which IEEE 754 rounds one way.
//
// Example:
//   double saturation_pa = Exp(a / kelvin + b * Log(kelvin));
//   double squared = IntegerPower(x, 2);
//
// Edge cases (each is tested): NaN in, NaN out, but Pow(x, 0) = Pow(1, y) = 1 for any x,
// y, as C says. Results below the smallest normal number are gradual, not flushed to
// zero, to a few units of the least positive number. Sinh and Cosh overflow from 709.8
// on, not from 710.4. Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_NUMBER_ELEMENTARY_H_
#define RATEBOUND_ENGINE_NUMBER_ELEMENTARY_H_

#include <cmath>

namespace ratebound::number {

// Exp(-inf) = 0, Exp(inf) = inf; overflows to inf above 709.78, is 0 below -745.14.
double Exp(double x);
// exp(x) - 1 without cancellation near 0; Expm1(-inf) = -1; keeps the sign of zero.
double Expm1(double x);
// Log(0) = -inf, Log(x < 0) = NaN, Log(inf) = inf. Subnormal x is taken at its value.
double Log(double x);
// log(1 + x) without cancellation near 0; Log1p(-1) = -inf, Log1p(x < -1) = NaN.
double Log1p(double x);
double Log10(double x);
// x^y by C's rules: Pow(0, y < 0) = inf, Pow(x < 0, y not an integer) = NaN.
double Pow(double x, double y);
double CubeRoot(double x);

// Radians, any finite size; NaN for infinities. Sin and Tan keep the sign of zero.
double Sin(double x);
double Cos(double x);
double Tan(double x);
double Asin(double x);  // NaN outside [-1, 1]
double Acos(double x);  // NaN outside [-1, 1]
double Atan(double x);
double Atan2(double y, double x);

double Sinh(double x);
double Cosh(double x);
double Tanh(double x);

// Correctly rounded; here so that generic code can call it for doubles and dual numbers
// alike.
inline double Sqrt(double x) { return std::sqrt(x); }

// x^n by repeated squaring from the lowest bit of n up, always the same products in the
// same order: IntegerPower(x, 2) is x * x and IntegerPower(x, 3) is x * (x * x), to the
// bit. Negative n is 1 over the positive power; IntegerPower(x, 0) is 1 for every x, NaN
// included. T is double or anything with * and / and a constructor from 1.0.
template <typename T>
T IntegerPower(const T& x, int n) {
  // Unsigned, so that the most negative n has a magnitude.
  unsigned bits = n < 0 ? 0u - static_cast<unsigned>(n) : static_cast<unsigned>(n);
  if (bits == 0) return T(1.0);
  T square = x;
  while ((bits & 1u) == 0) {
    square = square * square;
    bits >>= 1;
  }
  T power = square;
  for (bits >>= 1; bits != 0; bits >>= 1) {
    square = square * square;
    if ((bits & 1u) != 0) power = power * square;
  }
  return n < 0 ? T(1.0) / power : power;
}

}  // namespace ratebound::number

#endif  // RATEBOUND_ENGINE_NUMBER_ELEMENTARY_H_
