#include "engine/number/special.h"

#include <sleef.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/number/elementary.h"

namespace ratebound::number {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kTwoPi = 6.283185307179586477;
// Relative change at which a series or fraction has settled.
constexpr double kSettled = 0x1p-53;

// Enough for parameters to about 1e11; past that the fraction stops short of the last
// digits.
int MostSteps(double largest_parameter) {
  return 1000 + static_cast<int>(std::min(2e6, 8 * std::sqrt(largest_parameter)));
}

// Keeps a Lentz denominator off zero.
double AwayFromZero(double x) { return std::fabs(x) < 1e-300 ? 1e-300 : x; }

// log(ratio) - excess, where ratio = 1 + excess; each is given with its own digits.
double LogMinusExcess(double ratio, double excess) {
  return std::fabs(excess) <= 0.5 ? Log1pMinusX(excess) : Log(ratio) - excess;
}

// x^a y^b / B(a, b): where x = a/(a+b) the exponent is zero and has a zero slope.
double BetaFactor(double a, double b, double x, double y) {
  const double off_center = x * b - y * a;
  const double exponent = a * LogMinusExcess(x * ((a + b) / a), off_center / a) +
                          b * LogMinusExcess(y * ((a + b) / b), -off_center / b);
  const double remainder =
      StirlingRemainder(a + b) - StirlingRemainder(a) - StirlingRemainder(b);
  return std::sqrt(a / (a + b) * b / kTwoPi) * Exp(exponent + remainder);
}

// x^a e^-x / gamma(a).
double GammaFactor(double a, double x) {
  return std::sqrt(a / kTwoPi) *
         Exp(a * LogMinusExcess(x / a, (x - a) / a) - StirlingRemainder(a));
}

// I_x(a, b) over BetaFactor, for x below about a/(a+b): the even part of the fraction of
// DLMF 8.17.22, from its numerators a_n and denominators b_n. x enters b_n through a y -
// b x, which keeps its digits where 1 - (a+b)/(a+1) x would not.
double BetaFraction(double a, double b, double x, double y) {
  const double off_center = a * y - b * x;
  double value = AwayFromZero(a * (off_center + 1) / (a + 1));
  double c = value;
  double d = 0;
  const int most = MostSteps(std::max(a, b));
  for (int n = 1; n <= most; ++n) {
    const double step = n * (b - n) * x;
    const double before = a + 2 * n - 1;
    const double numerator = (a + n - 1) / before * ((a + b + n - 1) / before) * step * x;
    const double denominator =
        n + step / before + (a + n) * (off_center + 1 + n * (1 + y)) / (before + 2);
    d = 1 / AwayFromZero(denominator + numerator * d);
    c = AwayFromZero(denominator + numerator / c);
    const double change = d * c;
    value *= change;
    if (std::fabs(change - 1) <= kSettled) break;
  }
  return 1 / value;
}

// P(a, x) over GammaFactor / a.
double GammaSeries(double a, double x) {
  double term = 1;
  double sum = 1;
  const int most = MostSteps(a);
  for (int n = 1; n <= most && term > kSettled * sum; ++n) {
    term *= x / (a + n);
    sum += term;
  }
  return sum;
}

// Q(a, x) over GammaFactor.
double GammaFraction(double a, double x) {
  double b = x + 1 - a;
  double c = 1e300;
  double d = 1 / AwayFromZero(b);
  double value = d;
  const int most = MostSteps(a);
  for (int n = 1; n <= most; ++n) {
    const double numerator = n * (a - n);
    b += 2;
    d = 1 / AwayFromZero(numerator * d + b);
    c = AwayFromZero(b + numerator / c);
    const double change = d * c;
    value *= change;
    if (std::fabs(change - 1) <= kSettled) break;
  }
  return value;
}

}  // namespace

double Erf(double x) { return Sleef_cinz_erfd1_u10purec(x); }
double Erfc(double x) { return Sleef_cinz_erfcd1_u15purec(x); }

double LogGamma(double x) { return x > 0 ? Sleef_cinz_lgammad1_u10purec(x) : kNan; }

double StirlingRemainder(double x) {
  if (!(x > 0)) return kNan;
  // Below 15 by recurrence, as gamma(x + 1) = x gamma(x).
  double shift = 0;
  while (x < 15) {
    // For tiny x log1p(1/x) overflows no earlier than 1/x does.
    shift += (x + 0.5) * (x < 1e-300 ? -Log(x) : Log1p(1 / x)) - 1;
    x += 1;
  }
  const double r = 1 / x;
  const double s = r * r;
  // B_2k / (2k (2k-1)), DLMF 5.11.1; the first left out is 3617/122400 / 15^15 = 7e-20.
  const double series =
      1.0 / 12 + s * (-1.0 / 360 +
                      s * (1.0 / 1260 +
                           s * (-1.0 / 1680 + s * (1.0 / 1188 + s * (-691.0 / 360360 +
                                                                     s * (1.0 / 156))))));
  return series * r + shift;
}

double Log1pMinusX(double x) {
  if (!(std::fabs(x) <= 0.5)) return Log1p(x) - x;
  // With r = x/(2+x): log(1+x) = 2 atanh(r) = 2 (r + r^3/3 + r^5/5 + ...), and x =
  // 2r/(1-r).
  const double r = x / (2 + x);
  const double s = r * r;
  double power = 1;
  double sum = 0;
  for (int k = 3; power > 0x1p-56; k += 2) {
    sum += power / k;
    power *= s;
  }
  return r * (2 * s * sum - x);
}

IncompleteIntegral IncompleteBeta(double a, double b, double x, double y) {
  const bool inside = a > 0 && b > 0 && std::isfinite(a) && std::isfinite(b) && x >= 0 &&
                      y >= 0 && std::fabs((x - 0.5) + (y - 0.5)) <= 1e-15;
  if (!inside) return {kNan, kNan, kNan};
  if (x == 0) return {0, 1, 0};
  if (y == 0) return {1, 0, 0};
  const double factor = BetaFactor(a, b, x, y);
  if (x * (b + 1) < y * (a + 1)) {  // x < (a+1)/(a+b+2)
    const double lower = std::min(1.0, factor * BetaFraction(a, b, x, y));
    return {lower, 1 - lower, factor};
  }
  const double upper = std::min(1.0, factor * BetaFraction(b, a, y, x));
  return {1 - upper, upper, factor};
}

IncompleteIntegral IncompleteGamma(double a, double x) {
  if (!(a > 0 && std::isfinite(a) && x >= 0)) return {kNan, kNan, kNan};
  if (x == 0) return {0, 1, 0};
  if (std::isinf(x)) return {1, 0, 0};
  const double factor = GammaFactor(a, x);
  if (x < a + 1) {
    const double lower = std::min(1.0, factor / a * GammaSeries(a, x));
    return {lower, 1 - lower, factor};
  }
  const double upper = std::min(1.0, factor * GammaFraction(a, x));
  return {1 - upper, upper, factor};
}

}  // namespace ratebound::number
