// Forward-mode dual numbers: a value with its N partial derivatives, carried through
// arithmetic by the chain rule, so that a formula written once gives its exact gradient.
// This is how the uncertainty of measured inputs reaches a computed capacity.
//
// Example:
//   template <typename T> T Power(const T& volts, const T& amperes) { return volts *
//   amperes; } auto p = Power(Dual<2>::Variable(230, 0), Dual<2>::Variable(8, 1));
//   // p.value == 1840, p.derivative == {8, 230}
//
// Generic code calls Exp, Log, Sqrt, Pow, IntegerPower, Fabs, ... by their plain names
// with this namespace's elementary.h, for doubles and duals alike. Comparisons look at
// the value only, so a branch gives the derivative of the branch taken. At a kink or a
// singularity (Fabs and Sqrt at 0) the derivative is what the formula gives there: 0 for
// Fabs, infinite or NaN for Sqrt.
//
// Source: Griewank and Walther, Evaluating Derivatives, 2nd ed., SIAM 2008, chapter 3.
#ifndef RATEBOUND_ENGINE_NUMBER_DUAL_H_
#define RATEBOUND_ENGINE_NUMBER_DUAL_H_

#include <array>
#include <cmath>

#include "engine/number/elementary.h"

namespace ratebound::number {

template <int N>
struct Dual {
  double value = 0;
  std::array<double, N> derivative = {};

  constexpr Dual() = default;
  // A constant: implicit, so that formulas mix doubles and duals.
  constexpr Dual(double constant)
      : value(constant) {}  // NOLINT(google-explicit-constructor)
  // The i-th independent variable.
  static constexpr Dual Variable(double value, int i) {
    Dual variable(value);
    variable.derivative[i] = 1;
    return variable;
  }

  constexpr Dual& operator+=(const Dual& b) { return *this = *this + b; }
  constexpr Dual& operator-=(const Dual& b) { return *this = *this - b; }
  constexpr Dual& operator*=(const Dual& b) { return *this = *this * b; }
  constexpr Dual& operator/=(const Dual& b) { return *this = *this / b; }

  constexpr Dual operator-() const { return Chain(*this, -value, -1); }

  friend constexpr Dual operator+(const Dual& a, const Dual& b) {
    return Combine(a, b, a.value + b.value, 1, 1);
  }
  friend constexpr Dual operator-(const Dual& a, const Dual& b) {
    return Combine(a, b, a.value - b.value, 1, -1);
  }
  friend constexpr Dual operator*(const Dual& a, const Dual& b) {
    return Combine(a, b, a.value * b.value, b.value, a.value);
  }
  friend constexpr Dual operator/(const Dual& a, const Dual& b) {
    const double quotient = a.value / b.value;
    return Combine(a, b, quotient, 1 / b.value, -quotient / b.value);
  }
  // With a double on one side there is half the work and no 0 * infinity from its
  // derivatives.
  friend constexpr Dual operator+(const Dual& a, double b) {
    return Chain(a, a.value + b, 1);
  }
  friend constexpr Dual operator+(double a, const Dual& b) {
    return Chain(b, a + b.value, 1);
  }
  friend constexpr Dual operator-(const Dual& a, double b) {
    return Chain(a, a.value - b, 1);
  }
  friend constexpr Dual operator-(double a, const Dual& b) {
    return Chain(b, a - b.value, -1);
  }
  friend constexpr Dual operator*(const Dual& a, double b) {
    return Chain(a, a.value * b, b);
  }
  friend constexpr Dual operator*(double a, const Dual& b) {
    return Chain(b, a * b.value, a);
  }
  friend constexpr Dual operator/(const Dual& a, double b) {
    return Chain(a, a.value / b, 1 / b);
  }
  friend constexpr Dual operator/(double a, const Dual& b) {
    const double quotient = a / b.value;
    return Chain(b, quotient, -quotient / b.value);
  }

  friend constexpr bool operator==(const Dual& a, const Dual& b) {
    return a.value == b.value;
  }
  friend constexpr auto operator<=>(const Dual& a, const Dual& b) {
    return a.value <=> b.value;
  }

  // f(a) where f has this value and this slope at a.
  static constexpr Dual Chain(const Dual& a, double value, double slope) {
    Dual result(value);
    for (int i = 0; i < N; ++i) result.derivative[i] = slope * a.derivative[i];
    return result;
  }
  static constexpr Dual Combine(const Dual& a, const Dual& b, double value,
                                double slope_a, double slope_b) {
    Dual result(value);
    for (int i = 0; i < N; ++i) {
      result.derivative[i] = slope_a * a.derivative[i] + slope_b * b.derivative[i];
    }
    return result;
  }
};

// The value of a double or a dual, for branches in generic code.
inline constexpr double ValueOf(double x) { return x; }
template <int N>
constexpr double ValueOf(const Dual<N>& x) {
  return x.value;
}

inline double Fabs(double x) { return std::fabs(x); }
template <int N>
Dual<N> Fabs(const Dual<N>& x) {
  const double slope = x.value > 0 ? 1 : x.value < 0 ? -1 : 0;
  return Dual<N>::Chain(x, std::fabs(x.value), slope);
}

template <int N>
Dual<N> Sqrt(const Dual<N>& x) {
  const double root = std::sqrt(x.value);
  return Dual<N>::Chain(x, root, 0.5 / root);
}
template <int N>
Dual<N> Exp(const Dual<N>& x) {
  const double value = Exp(x.value);
  return Dual<N>::Chain(x, value, value);
}
template <int N>
Dual<N> Expm1(const Dual<N>& x) {
  return Dual<N>::Chain(x, Expm1(x.value), Exp(x.value));
}
template <int N>
Dual<N> Log(const Dual<N>& x) {
  return Dual<N>::Chain(x, Log(x.value), 1 / x.value);
}
template <int N>
Dual<N> Log1p(const Dual<N>& x) {
  return Dual<N>::Chain(x, Log1p(x.value), 1 / (1 + x.value));
}
template <int N>
Dual<N> Sin(const Dual<N>& x) {
  return Dual<N>::Chain(x, Sin(x.value), Cos(x.value));
}
template <int N>
Dual<N> Cos(const Dual<N>& x) {
  return Dual<N>::Chain(x, Cos(x.value), -Sin(x.value));
}
template <int N>
Dual<N> Atan(const Dual<N>& x) {
  return Dual<N>::Chain(x, Atan(x.value), 1 / (1 + x.value * x.value));
}
template <int N>
Dual<N> Tanh(const Dual<N>& x) {
  const double value = Tanh(x.value);
  return Dual<N>::Chain(x, value, 1 - value * value);
}

template <int N>
Dual<N> Pow(const Dual<N>& x, double y) {
  return Dual<N>::Chain(x, Pow(x.value, y), y == 0 ? 0 : y * Pow(x.value, y - 1));
}
template <int N>
Dual<N> Pow(double x, const Dual<N>& y) {
  const double power = Pow(x, y.value);
  return Dual<N>::Chain(y, power, power == 0 ? 0 : power * Log(x));
}
// x > 0.
template <int N>
Dual<N> Pow(const Dual<N>& x, const Dual<N>& y) {
  const double power = Pow(x.value, y.value);
  return Dual<N>::Combine(x, y, power, y.value * Pow(x.value, y.value - 1),
                          power * Log(x.value));
}

}  // namespace ratebound::number

#endif  // RATEBOUND_ENGINE_NUMBER_DUAL_H_
