// Closed intervals of doubles that surely hold the real result.
//
// An operation computes its end points in round-to-nearest and widens each by at least
// one unit in the last place, so the rounding mode is never changed and no compiler
// option that keeps IEEE 754 semantics can make it unsound (build with -ffp-contract=off,
// no fast-math).
//
// Example:
//   Interval x{0.1, 0.2};
//   Interval y = Sqr(x) - 3 * x;   // holds x*x - 3*x for every real x of [0.1, 0.2]
//
// Theorem. For a real operation r on reals out of the operands, lo <= r <= hi holds for
// the result, underflow and overflow included. An end point may be infinite (the value is
// then finite but unbounded); a NaN end point makes the result the whole line. Operands
// are non-empty.
//
// Source of Pred and Succ: Rump, Zimmermann, Boldo, Melquiond, "Computing predecessor and
// successor in rounding to nearest", BIT Numerical Mathematics 49 (2009), 419-431: with
// u = 2^-53, eta = 2^-1074 and phi = u(1 + 2u), fl(c - fl(fl(phi|c|) + eta)) is at most
// the predecessor of c (and one more unit away only next to the subnormal range).
#ifndef RATEBOUND_ENGINE_BOUND_INTERVAL_H_
#define RATEBOUND_ENGINE_BOUND_INTERVAL_H_

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace ratebound::bound {

inline constexpr double kInfinity = std::numeric_limits<double>::infinity();
inline constexpr double kUnitRoundoff = 0x1p-53;
inline constexpr double kSmallestSubnormal = 0x1p-1074;

// Every widening of this room comes from here: tests build a copy of the room without any
// (RATEBOUND_BOUND_WITHOUT_WIDENING) to see that they catch what it would let pass.
#ifdef RATEBOUND_BOUND_WITHOUT_WIDENING
inline constexpr double kWidening = 0;
#else
inline constexpr double kWidening = 1;
#endif

// At most the next double below c. +infinity stands for an overflowed value, so it gives
// the largest double.
inline double Pred(double c) {
  if constexpr (kWidening == 0) return c;
  constexpr double kPhi = kUnitRoundoff * (1 + 2 * kUnitRoundoff);
  const double e = kPhi * std::fabs(c) + kSmallestSubnormal;
  return c == kInfinity ? std::numeric_limits<double>::max() : c - e;
}

// At least the next double above c.
inline double Succ(double c) { return -Pred(-c); }

struct Interval {
  double lo = 0;
  double hi = 0;

  constexpr Interval() = default;
  // A point; implicit, so that 2 * x reads as it should.
  constexpr Interval(double point) : lo(point), hi(point) {}  // NOLINT
  constexpr Interval(double low, double high) : lo(low), hi(high) {}

  static constexpr Interval Entire() { return {-kInfinity, kInfinity}; }

  bool Contains(double x) const { return lo <= x && x <= hi; }
  bool Contains(const Interval& x) const { return lo <= x.lo && x.hi <= hi; }
  // Some point inside; no bound of anything.
  double Middle() const { return 0.5 * lo + 0.5 * hi; }
  // At least the width.
  double Width() const { return Succ(hi - lo); }
  // The largest absolute value.
  double Magnitude() const { return std::max(std::fabs(lo), std::fabs(hi)); }

  friend bool operator==(const Interval&, const Interval&) = default;
};

namespace internal {

// Widens rounded end points; NaN becomes the whole line.
inline Interval Outward(double lo, double hi) {
  const double low = Pred(lo);
  const double high = Succ(hi);
  return {low >= -kInfinity ? low : -kInfinity, high <= kInfinity ? high : kInfinity};
}

// The set product: nothing times an unbounded, but finite, value is nothing.
inline double Multiply(double a, double b) { return a == 0 || b == 0 ? 0 : a * b; }

inline double PowerDown(double x, int exponent) {
  double result = x;
  for (int i = 1; i < exponent; ++i) result = std::max(0.0, Pred(result * x));
  return result;
}

inline double PowerUp(double x, int exponent) {
  double result = x;
  for (int i = 1; i < exponent; ++i) result = Succ(Multiply(result, x));
  return result;
}

}  // namespace internal

inline Interval operator-(const Interval& a) { return {-a.hi, -a.lo}; }

inline Interval operator+(const Interval& a, const Interval& b) {
  return internal::Outward(a.lo + b.lo, a.hi + b.hi);
}

inline Interval operator-(const Interval& a, const Interval& b) {
  return internal::Outward(a.lo - b.hi, a.hi - b.lo);
}

inline Interval operator*(const Interval& a, const Interval& b) {
  const double ll = internal::Multiply(a.lo, b.lo);
  const double lh = internal::Multiply(a.lo, b.hi);
  const double hl = internal::Multiply(a.hi, b.lo);
  const double hh = internal::Multiply(a.hi, b.hi);
  // std::min may drop a NaN.
  if (std::isnan(ll) || std::isnan(lh) || std::isnan(hl) || std::isnan(hh)) {
    return Interval::Entire();
  }
  return internal::Outward(std::min(std::min(ll, lh), std::min(hl, hh)),
                           std::max(std::max(ll, lh), std::max(hl, hh)));
}

// Division by an interval with 0 inside gives the whole line; with 0 as an end point, the
// half that is left.
inline Interval operator/(const Interval& a, const Interval& b) {
  if (!(b.lo > 0 || b.hi < 0)) {
    if (b.lo == 0 && b.hi > 0) {
      if (a.lo >= 0) return {std::max(0.0, Pred(a.lo / b.hi)), kInfinity};
      if (a.hi <= 0) return {-kInfinity, std::min(0.0, Succ(a.hi / b.hi))};
    }
    if (b.hi == 0 && b.lo < 0) return -(a / -b);
    return Interval::Entire();
  }
  // An infinite end of the divisor stands for finite values without bound: the quotient
  // goes to 0, which is also right for an unbounded dividend of the other end.
  const auto quotient = [](double x, double y) {
    return std::isinf(y) ? (std::isinf(x) ? std::nan("") : 0.0) : x / y;
  };
  const double ll = quotient(a.lo, b.lo);
  const double lh = quotient(a.lo, b.hi);
  const double hl = quotient(a.hi, b.lo);
  const double hh = quotient(a.hi, b.hi);
  if (std::isnan(ll) || std::isnan(lh) || std::isnan(hl) || std::isnan(hh)) {
    return Interval::Entire();
  }
  return internal::Outward(std::min(std::min(ll, lh), std::min(hl, hh)),
                           std::max(std::max(ll, lh), std::max(hl, hh)));
}

inline Interval& operator+=(Interval& a, const Interval& b) { return a = a + b; }
inline Interval& operator-=(Interval& a, const Interval& b) { return a = a - b; }
inline Interval& operator*=(Interval& a, const Interval& b) { return a = a * b; }

// x^exponent for exponent >= 0; sharper than repeated products where x holds 0.
inline Interval Power(const Interval& x, int exponent) {
  if (exponent == 0) return 1;
  if (exponent == 1) return x;
  if (!(x.lo <= x.hi)) return Interval::Entire();
  if (x.lo >= 0) {
    return {internal::PowerDown(x.lo, exponent), internal::PowerUp(x.hi, exponent)};
  }
  const bool even = exponent % 2 == 0;
  if (x.hi <= 0) {
    const Interval p{internal::PowerDown(-x.hi, exponent),
                     internal::PowerUp(-x.lo, exponent)};
    return even ? p : -p;
  }
  const double from_low = internal::PowerUp(-x.lo, exponent);
  const double from_high = internal::PowerUp(x.hi, exponent);
  return even ? Interval{0, std::max(from_low, from_high)}
              : Interval{-from_low, from_high};
}

inline Interval Sqr(const Interval& x) { return Power(x, 2); }

// The square root of the part of x that is not negative. An x that is negative throughout
// has no such part and gives the whole line, from which nothing can be proven.
inline Interval Sqrt(const Interval& x) {
  if (!(x.hi >= 0)) return Interval::Entire();
  const double low = x.lo > 0 ? std::max(0.0, Pred(std::sqrt(x.lo))) : 0;
  return {low, x.hi == 0 ? 0 : Succ(std::sqrt(x.hi))};
}

// The smallest interval that holds both.
inline Interval Hull(const Interval& a, const Interval& b) {
  return {std::min(a.lo, b.lo), std::max(a.hi, b.hi)};
}

// What both hold; nothing where they are apart.
inline std::optional<Interval> Intersect(const Interval& a, const Interval& b) {
  const Interval both{std::max(a.lo, b.lo), std::min(a.hi, b.hi)};
  if (!(both.lo <= both.hi)) return std::nullopt;
  return both;
}

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_INTERVAL_H_
