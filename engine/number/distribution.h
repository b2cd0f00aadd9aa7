// Distributions that tests and confidence bounds are read from: normal, Student's t, F
// and chi-square; with the same bits on every x86-64 machine.
//
// Example:
//   double t = StudentTQuantile(0.95, 7.4);      // 1.88..., degrees of freedom may be
//   any real double p = FUpperTail(3.9, 2, 17);           // significance of a
//   lack-of-fit test double z = -NormalQuantile(1e-12);           // far tails: ask for
//   the small probability
//
// Shapes: probabilities in [0, 1]; degrees of freedom above 0, fractions allowed,
// infinity taken as the limit. At p = 0 and 1 a quantile is the end of the support.
// Anything else, NaN included, gives NaN.
//
// Accuracy: quantiles to at least 12 significant digits for degrees of freedom from 0.5
// to 1e10 (checked against R 4.2.2 tables, expansions and round trips). Tails keep their
// relative accuracy however small. A probability near 1 carries few digits of what is
// above it: use the form that takes the upper tail (or symmetry), which has them.
//
// Cost: 50 ns (normal) to about 5 us (quantiles of t, F, chi-square); for F and
// chi-square it grows with the square root of the degrees of freedom, to 50 us at 1e6.
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_NUMBER_DISTRIBUTION_H_
#define RATEBOUND_ENGINE_NUMBER_DISTRIBUTION_H_

namespace ratebound::number {

// Standard normal. The upper tail is NormalCdf(-z), the upper quantile
// -NormalQuantile(q).
double NormalDensity(double z);
double NormalCdf(double z);
double NormalQuantile(double p);

// Student's t. The upper tail is StudentTCdf(-t, df), the upper quantile
// -StudentTQuantile(q, df).
double StudentTCdf(double t, double degrees_of_freedom);
double StudentTQuantile(double p, double degrees_of_freedom);

// The ratio of mean squares with d1 (above) and d2 (below) degrees of freedom.
double FCdf(double f, double d1, double d2);
double FUpperTail(double f, double d1, double d2);
double FQuantile(double p, double d1, double d2);
// The f that is exceeded with probability q.
double FUpperQuantile(double q, double d1, double d2);

double ChiSquareCdf(double x, double degrees_of_freedom);
double ChiSquareUpperTail(double x, double degrees_of_freedom);
double ChiSquareQuantile(double p, double degrees_of_freedom);
double ChiSquareUpperQuantile(double q, double degrees_of_freedom);

}  // namespace ratebound::number

#endif  // RATEBOUND_ENGINE_NUMBER_DISTRIBUTION_H_
