// Error function, gamma function and the incomplete beta and gamma integrals, with the
// same bits on every x86-64 machine.
//
// Example:
//   IncompleteIntegral i = IncompleteBeta(2.0, 3.0, 0.25, 0.75);
//   // i.lower = I_0.25(2, 3) = 0.26171875, i.upper = 1 - i.lower, each to its own last
//   digits
//
// Arguments outside a stated domain give NaN. Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_NUMBER_SPECIAL_H_
#define RATEBOUND_ENGINE_NUMBER_SPECIAL_H_

namespace ratebound::number {

// SLEEF's functions: 1.0 ulp (Erf), 1.5 ulp (Erfc, where the result is a normal number).
double Erf(double x);
double Erfc(double x);

// log of gamma(x), x > 0: 1.0 ulp, or 1e-15 absolute near the zeros at 1 and 2.
double LogGamma(double x);

// What Stirling's formula leaves: log gamma(x) = (x - 1/2) log x - x + log(2 pi)/2 +
// remainder. x > 0. Tends to 1/(12 x); keeps its digits where the other terms would
// cancel. Source: NIST Digital Library of Mathematical Functions 5.11.1 and 5.5.1.
double StirlingRemainder(double x);

// log(1 + x) - x for x > -1, without cancellation near 0.
double Log1pMinusX(double x);

// An integral of a density from the left end to x and from x to the right end, both over
// the whole, and its growth with x. The smaller of lower and upper is good to about 1e-14
// (1 + |log of it|) relative, not only absolute; their sum is 1.
struct IncompleteIntegral {
  double lower = 0;
  double upper = 0;
  double slope = 0;  // x times the derivative of lower by x; for the beta, x y times it
};

// I_x(a, b), a, b > 0. The point is given as x and y = 1 - x, so that one near either end
// keeps its digits. Continued fraction (even part of DLMF 8.17.22, as Didonato and
// Morris, ACM TOMS 18(3) 1992, equation 9) by the modified Lentz method; the factor
// before it through StirlingRemainder and Log1pMinusX (after Loader 2000, Fast and
// Accurate Computation of Binomial Probabilities), so that large a and b cost no digits.
// Steps grow with the square root of the larger parameter: about 1e4 at 1e8. NaN where x
// or y is outside [0, 1] or they do not add up to 1 within rounding.
IncompleteIntegral IncompleteBeta(double a, double b, double x, double y);

// P(a, x) and Q(a, x), a > 0, x >= 0. Series DLMF 8.11.4 below x = a + 1, continued
// fraction DLMF 8.9.2 above.
IncompleteIntegral IncompleteGamma(double a, double x);

}  // namespace ratebound::number

#endif  // RATEBOUND_ENGINE_NUMBER_SPECIAL_H_
