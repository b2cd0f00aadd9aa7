// The interval arithmetic of the recheck: every operation rounds to nearest and moves its
// ends one double outward, which holds the real result because rounding errs by at most
// half a step. Written apart from engine/bound/interval.h on purpose.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_SPAN_H_
#define RATEBOUND_ENGINE_RECHECK_SPAN_H_

#include <algorithm>
#include <cmath>
#include <limits>

namespace ratebound::recheck {

struct Span {
  double lo = 0;
  double hi = 0;

  Span() = default;
  Span(double value) : lo(value), hi(value) {}  // NOLINT: a number is a span
  Span(double low, double high) : lo(low), hi(high) {}

  bool zero() const { return lo == 0 && hi == 0; }
  double greatest() const { return std::max(std::fabs(lo), std::fabs(hi)); }

  // Ends one step further out; anything that is no number becomes all numbers.
  static Span Outward(double low, double high) {
    constexpr double kAll = std::numeric_limits<double>::infinity();
    if (std::isnan(low) || std::isnan(high)) return {-kAll, kAll};
    return {std::nextafter(low, -kAll), std::nextafter(high, kAll)};
  }
};

inline Span operator-(const Span& a) { return {-a.hi, -a.lo}; }
inline Span operator+(const Span& a, const Span& b) {
  if (a.zero()) return b;
  if (b.zero()) return a;
  return Span::Outward(a.lo + b.lo, a.hi + b.hi);
}
inline Span operator-(const Span& a, const Span& b) { return a + -b; }
inline Span operator*(const Span& a, const Span& b) {
  if (a.zero() || b.zero()) return 0;
  const double products[] = {a.lo * b.lo, a.lo * b.hi, a.hi * b.lo, a.hi * b.hi};
  double low = products[0];
  double high = products[0];
  for (const double product : products) {
    if (std::isnan(product)) return Span::Outward(product, product);
    low = std::min(low, product);
    high = std::max(high, product);
  }
  return Span::Outward(low, high);
}
// b is above 0.
inline Span operator/(const Span& a, const Span& b) {
  if (a.zero()) return 0;
  const double quotients[] = {a.lo / b.lo, a.lo / b.hi, a.hi / b.lo, a.hi / b.hi};
  double low = quotients[0];
  double high = quotients[0];
  for (const double quotient : quotients) {
    if (std::isnan(quotient)) return Span::Outward(quotient, quotient);
    low = std::min(low, quotient);
    high = std::max(high, quotient);
  }
  return Span::Outward(low, high);
}
// Of the part that is not negative.
inline Span Root(const Span& a) {
  const Span root =
      Span::Outward(std::sqrt(std::max(0.0, a.lo)), std::sqrt(std::max(0.0, a.hi)));
  return {std::max(0.0, root.lo), root.hi};
}

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_SPAN_H_
