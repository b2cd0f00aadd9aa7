// The root of a function that changes its sign between two places: bisection, with
// inverse quadratic interpolation wherever the three last points allow it.
//
// Example:
//   std::optional<double> t = BracketedRoot([](double x) { return x * x - 2; }, 0, 2);
//
// Converges for every continuous function: to two adjacent doubles' worth (4 ulp of the
// root, or `absolute` if larger), commonly in 6 to 10 evaluations. Empty where both ends
// have one sign or a value is NaN. Thread-safety: that of the function.
//
// Source: Chandrupatla, A new hybrid quadratic/bisection algorithm for finding the zero
// of a nonlinear function without using derivatives, Advances in Engineering Software
// 28(3), 1997.
#ifndef RATEBOUND_ENGINE_FLUID_BRACKETED_ROOT_H_
#define RATEBOUND_ENGINE_FLUID_BRACKETED_ROOT_H_

#include <cmath>
#include <limits>
#include <optional>
#include <utility>

namespace ratebound::fluid {

template <typename Function>
std::optional<double> BracketedRoot(const Function& function, double low, double high,
                                    double absolute = 0) {
  constexpr double kUlps = 4 * std::numeric_limits<double>::epsilon();
  // a is the latest point, b the end on the other side of the root, c the point before.
  double b = low, a = high, c = low;
  double fb = function(b), fa = function(a), fc = fb;
  if (fa == 0) return a;
  if (fb == 0) return b;
  if (!((fa < 0 && fb > 0) || (fa > 0 && fb < 0))) return std::nullopt;
  double fraction = 0.5;
  for (int i = 0; i < 200; ++i) {
    const double x = a + fraction * (b - a);
    const double fx = function(x);
    if (std::isnan(fx)) return std::nullopt;
    c = a;
    fc = fa;
    if ((fx < 0) != (fa < 0)) {
      c = b;
      fc = fb;
      b = a;
      fb = fa;
    }
    a = x;
    fa = fx;
    const double best = std::fabs(fa) < std::fabs(fb) ? a : b;
    const double tolerance = kUlps * std::fabs(best) + absolute;
    const double narrow = tolerance / std::fabs(b - a);
    if (fa == 0 || narrow > 0.5) return best;
    // Inverse quadratic interpolation is monotone between the points if this holds.
    const double xi = (a - b) / (c - b);
    const double phi = (fa - fb) / (fc - fb);
    fraction = 0.5;
    if (phi * phi < xi && (1 - phi) * (1 - phi) < 1 - xi) {
      fraction = fa / (fb - fa) * (fc / (fb - fc)) +
                 (c - a) / (b - a) * (fa / (fc - fa)) * (fb / (fc - fb));
    }
    fraction = std::fmin(1 - narrow, std::fmax(narrow, fraction));
  }
  return std::fabs(fa) < std::fabs(fb) ? a : b;
}

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_BRACKETED_ROOT_H_
