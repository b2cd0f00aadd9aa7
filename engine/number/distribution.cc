#include "engine/number/distribution.h"

#include <cmath>
#include <limits>

#include "engine/number/elementary.h"
#include "engine/number/error_free.h"
#include "engine/number/special.h"

namespace ratebound::number {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();
constexpr double kSqrtHalf = 0.70710678118654752440;
constexpr double kInverseSqrtTwoPi = 0.39894228040143267794;

bool IsProbability(double p) { return p >= 0 && p <= 1; }

// Solves tail(x) = probability for x > 0, where distribution(x) gives both tails and
// slope = x d(lower)/dx, on the smaller of the two tails.
//
// Newton on log(tail) as a function of log(x). For F and chi-square the density of log(x)
// is log-concave, hence so are both tails (Bagnoli and Bergstrom 2005, theorems 1 and 3):
// after one step the iterates come from one side and converge from any start; the bracket
// is kept for the rounding and for steps so long that the tail underflows.
template <typename Distribution>
double Solve(const Distribution& distribution, double lower, double upper, double start) {
  constexpr int kMostSteps = 300;
  constexpr double kRoundingStep = 4 * std::numeric_limits<double>::epsilon();
  const bool on_lower = lower <= upper;
  const double wanted = on_lower ? lower : upper;
  double below = 0;
  double above = kInfinity;
  double x = start;
  double last_size = kInfinity;
  for (int i = 0; i < kMostSteps; ++i) {
    const IncompleteIntegral at = distribution(x);
    const double tail = on_lower ? at.lower : at.upper;
    if (tail == wanted) return x;
    (on_lower == (tail > wanted) ? above : below) = x;
    const double excess = (tail - wanted) / wanted;
    const double log_ratio =
        std::fabs(excess) < 0.5 ? Log1p(excess) : Log(tail) - Log(wanted);
    const double step = (on_lower ? -1 : 1) * log_ratio * (tail / at.slope);
    const double size = std::fabs(step);
    double next = x * Exp(step);
    if (size <= kRoundingStep) return next;
    // Quadratic convergence has ended once a small step is no smaller than the last.
    if (size < 1e-11 && size >= 0.5 * last_size) return next;
    last_size = size;
    if (!(next > below && next < above)) {
      if (below == 0) {
        next = above * 0x1p-10;
      } else if (std::isinf(above)) {
        next = below * 0x1p10;
      } else {
        next = std::sqrt(below) * std::sqrt(above);
      }
      last_size = kInfinity;
    }
    if (next == 0 || std::isinf(next) || next == x) return next;
    x = next;
  }
  return x;
}

IncompleteIntegral ChiSquareIntegral(double x, double degrees_of_freedom) {
  return IncompleteGamma(degrees_of_freedom / 2, x / 2);
}

IncompleteIntegral FIntegral(double f, double d1, double d2) {
  if (!(f >= 0 && d1 > 0 && d2 > 0)) return {kNan, kNan, kNan};
  if (f == 0) return {0, 1, 0};
  if (std::isinf(f)) return {1, 0, 0};
  if (std::isinf(d1) && std::isinf(d2)) {
    return f < 1 ? IncompleteIntegral{0, 1, 0} : IncompleteIntegral{1, 0, 0};
  }
  if (std::isinf(d2)) return ChiSquareIntegral(d1 * f, d1);
  if (std::isinf(d1)) {
    const IncompleteIntegral swapped = ChiSquareIntegral(d2 / f, d2);
    return {swapped.upper, swapped.lower, swapped.slope};
  }
  // x = d1 f / (d1 f + d2), by ratios that neither overflow nor lose a side.
  const double odds = f * (d1 / d2);
  const double x = std::isinf(odds) ? 1 : odds / (1 + odds);
  const double y = 1 / (1 + odds);
  return IncompleteBeta(d1 / 2, d2 / 2, x, y);
}

double SolveF(double lower, double upper, double d1, double d2) {
  if (!(IsProbability(lower) && IsProbability(upper) && d1 > 0 && d2 > 0)) return kNan;
  if (lower == 0) return 0;
  if (upper == 0) return kInfinity;
  if (std::isinf(d1) && std::isinf(d2)) return 1;
  return Solve([=](double f) { return FIntegral(f, d1, d2); }, lower, upper, 1.0);
}

double SolveChiSquare(double lower, double upper, double degrees_of_freedom) {
  const bool inside =
      IsProbability(lower) && IsProbability(upper) && degrees_of_freedom > 0;
  if (!inside || std::isinf(degrees_of_freedom)) return kNan;
  if (lower == 0) return 0;
  if (upper == 0) return kInfinity;
  return Solve([=](double x) { return ChiSquareIntegral(x, degrees_of_freedom); }, lower,
               upper, degrees_of_freedom);
}

// The integral over |t|. t^2 is F with 1 and df degrees of freedom, so the odds x/y are
// t^2/df.
IncompleteIntegral SizeOfTIntegral(double size, double degrees_of_freedom) {
  // Far out the tail is a power of t to the last digit, which holds where t^2 overflows.
  constexpr double kFarOut = 1e100;
  const double root = size / std::sqrt(degrees_of_freedom);
  const double odds = root < kFarOut ? root * root : kFarOut * kFarOut;
  IncompleteIntegral integral =
      IncompleteBeta(0.5, degrees_of_freedom / 2, odds / (1 + odds), 1 / (1 + odds));
  integral.slope *= 2;  // by log|t|, not by log of the odds
  if (root > kFarOut) {
    integral.upper *= Pow(root / kFarOut, -degrees_of_freedom);
    integral.lower = 1 - integral.upper;
    integral.slope = degrees_of_freedom * integral.upper;
  }
  return integral;
}

// From this many degrees of freedom on t is turned into an equivalent normal deviate and
// back: by then the expansion below keeps the tails to 1e-16 down to the least number.
constexpr double kNearlyNormal = 1e4;

// Hill 1970, Algorithm 395, Comm. ACM 13(10): with a = df - 1/2, b = 48 a^2 and
// w = sqrt(a log(1 + t^2/df)), the normal deviate with the same tail is
// w + (w^3 + 3w)/b - (4w^7 + 33w^5 + 240w^3 + 855w)/(10 b^2) + ...
double NormalDeviateCorrection(double w, double a) {
  const double b = 48 * a * a;
  const double s = w * w;
  return w * (s + 3) / b - w * (((4 * s + 33) * s + 240) * s + 855) / (10 * b * b);
}

double NormalDeviateOfT(double t, double degrees_of_freedom) {
  if (std::isinf(degrees_of_freedom)) return t;
  const double a = degrees_of_freedom - 0.5;
  // Past w = 100 the tail is 0 and the series no longer holds.
  const double size = std::fabs(t);
  const double w = std::sqrt(a * Log1p(size / degrees_of_freedom * size));
  if (!(w < 100)) return std::isnan(t) ? kNan : std::copysign(100, t);
  return std::copysign(w + NormalDeviateCorrection(w, a), t);
}

double TOfNormalDeviate(double z, double degrees_of_freedom) {
  if (std::isinf(degrees_of_freedom) || std::isinf(z)) return z;
  const double a = degrees_of_freedom - 0.5;
  const double size = std::fabs(z);
  double w = size;
  // The correction is below 1e-8 of w, so each pass adds 8 digits.
  for (int pass = 0; pass < 3; ++pass) w = size - NormalDeviateCorrection(w, a);
  return std::copysign(std::sqrt(degrees_of_freedom * Expm1(w * w / a)), z);
}

// The coefficients of Wichura 1988, Algorithm AS 241 (PPND16), Applied Statistics 37(3),
// each from the highest power down; relative error about 1e-16.
template <int kSize>
double Polynomial(const double (&coefficients)[kSize], double x) {
  double value = coefficients[0];
  for (int i = 1; i < kSize; ++i) value = value * x + coefficients[i];
  return value;
}
constexpr double kCentralAbove[] = {2509.0809287301226727, 33430.575583588128105,
                                    67265.770927008700853, 45921.953931549871457,
                                    13731.693765509461125, 1971.5909503065514427,
                                    133.14166789178437745, 3.387132872796366608};
constexpr double kCentralBelow[] = {5226.495278852545925,  28729.085735721942674,
                                    39307.89580009271061,  21213.794301586595867,
                                    5394.1960214247511077, 687.1870074920579083,
                                    42.313330701600911252, 1};
constexpr double kMiddleAbove[] = {7.7454501427834140764e-4, 0.0227238449892691845833,
                                   0.24178072517745061177,   1.27045825245236838258,
                                   3.64784832476320460504,   5.7694972214606914055,
                                   4.6303378461565452959,    1.42343711074968357734};
constexpr double kMiddleBelow[] = {1.05075007164441684324e-9, 5.475938084995344946e-4,
                                   0.0151986665636164571966,  0.14810397642748007459,
                                   0.68976733498510000455,    1.6763848301838038494,
                                   2.05319162663775882187,    1};
constexpr double kFarAbove[] = {2.01033439929228813265e-7, 2.71155556874348757815e-5,
                                0.0012426609473880784386,  0.026532189526576123093,
                                0.29656057182850489123,    1.7848265399172913358,
                                5.4637849111641143699,     6.6579046435011037772};
constexpr double kFarBelow[] = {2.04426310338993978564e-15, 1.4215117583164458887e-7,
                                1.8463183175100546818e-5,   7.868691311456132591e-4,
                                0.0148753612908506148525,   0.13692988092273580531,
                                0.59983220655588793769,     1};

}  // namespace

double NormalDensity(double z) {
  const auto [square, error] =
      std::fabs(z) < 1e100 ? TwoProduct(z, z) : ValueAndError{z * z, 0};
  return kInverseSqrtTwoPi * Exp(-0.5 * square) * (1 - 0.5 * error);
}

double NormalCdf(double z) {
  // Rounding z / sqrt(2) would cost z^2 ulps of the tail; its error is carried along.
  const double x = -z * kSqrtHalf;
  const double value = 0.5 * Erfc(x);
  if (!(z < -1 && z > -40)) return value;
  constexpr double kSqrtHalfLow = -4.8336466567264567e-17;  // sqrt(1/2) - kSqrtHalf
  const double x_error = TwoProduct(-z, kSqrtHalf).error - z * kSqrtHalfLow;
  // d erfc(x)/dx = -2/sqrt(pi) exp(-x^2), close to -2 erfc(x) (x + 1/(2x)) in the tail.
  return value * (1 - 2 * x_error * (x + 1 / (2 * x)));
}

double NormalQuantile(double p) {
  if (!IsProbability(p)) return kNan;
  if (p == 0) return -kInfinity;
  if (p == 1) return kInfinity;
  const double q = p - 0.5;
  if (std::fabs(q) <= 0.425) {
    const double r = 0.180625 - q * q;
    return q * Polynomial(kCentralAbove, r) / Polynomial(kCentralBelow, r);
  }
  double r = std::sqrt(-Log(q < 0 ? p : 1 - p));
  if (r <= 5) {
    r -= 1.6;
    return std::copysign(Polynomial(kMiddleAbove, r) / Polynomial(kMiddleBelow, r), q);
  }
  r -= 5;
  return std::copysign(Polynomial(kFarAbove, r) / Polynomial(kFarBelow, r), q);
}

double StudentTCdf(double t, double degrees_of_freedom) {
  if (!(degrees_of_freedom > 0) || std::isnan(t)) return kNan;
  if (degrees_of_freedom >= kNearlyNormal) {
    return NormalCdf(NormalDeviateOfT(t, degrees_of_freedom));
  }
  const double half_tail = 0.5 * SizeOfTIntegral(std::fabs(t), degrees_of_freedom).upper;
  return t < 0 ? half_tail : 1 - half_tail;
}

double StudentTQuantile(double p, double degrees_of_freedom) {
  if (!IsProbability(p) || !(degrees_of_freedom > 0)) return kNan;
  if (p == 0.5) return 0;
  if (p == 0 || p == 1) return p == 0 ? -kInfinity : kInfinity;
  if (degrees_of_freedom >= kNearlyNormal) {
    return TOfNormalDeviate(NormalQuantile(p), degrees_of_freedom);
  }
  const double tail = p < 0.5 ? p : 1 - p;
  const double size =
      Solve([=](double t) { return SizeOfTIntegral(t, degrees_of_freedom); },
            1 - 2 * tail, 2 * tail, 1.0);
  return p < 0.5 ? -size : size;
}

double FCdf(double f, double d1, double d2) { return FIntegral(f, d1, d2).lower; }
double FUpperTail(double f, double d1, double d2) { return FIntegral(f, d1, d2).upper; }
double FQuantile(double p, double d1, double d2) { return SolveF(p, 1 - p, d1, d2); }
double FUpperQuantile(double q, double d1, double d2) { return SolveF(1 - q, q, d1, d2); }

double ChiSquareCdf(double x, double degrees_of_freedom) {
  return ChiSquareIntegral(x, degrees_of_freedom).lower;
}
double ChiSquareUpperTail(double x, double degrees_of_freedom) {
  return ChiSquareIntegral(x, degrees_of_freedom).upper;
}
double ChiSquareQuantile(double p, double degrees_of_freedom) {
  return SolveChiSquare(p, 1 - p, degrees_of_freedom);
}
double ChiSquareUpperQuantile(double q, double degrees_of_freedom) {
  return SolveChiSquare(1 - q, q, degrees_of_freedom);
}

}  // namespace ratebound::number
