// Polynomials with spans for coefficients, by which the recheck forms once more what a
// certificate should state. Written apart from engine/bound/polynomial.h on purpose.
//
// Example:
//   SpanPolynomial margin = Times(value, 1);
//   AddTimes(margin, NumberIn(2, 1), -limit_si);
//   if (!Same(function.value, margin)) ...          // states something else
//
// Sums and products hold every result that rounding could have made of them, so two ways
// to the same polynomial share all coefficients.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RECHECK_POLYNOMIAL_H_
#define RATEBOUND_ENGINE_RECHECK_POLYNOMIAL_H_

#include <map>
#include <vector>

#include "engine/document/certificate.h"
#include "engine/document/region_pieces.h"
#include "engine/recheck/span.h"

namespace ratebound::recheck {

// Coefficients by exponents, one for each condition. Empty: 0.
using SpanPolynomial = std::map<std::vector<int>, Span>;

// The conditions are scaled: z = (x - centre) / half_range.
struct ConditionScale {
  std::vector<double> centre_si;
  std::vector<double> half_range_si;

  size_t size() const { return centre_si.size(); }
};

SpanPolynomial NumberIn(size_t variables, const Span& value);
// A condition itself, in SI.
SpanPolynomial ConditionIn(const ConditionScale& scale, size_t condition);
// Not negative just where the half-space holds.
SpanPolynomial CutIn(const ConditionScale& scale, const document::HalfSpace& half_space);

void AddTo(SpanPolynomial& p, const std::vector<int>& row, const Span& value);
void AddTimes(SpanPolynomial& sum, const SpanPolynomial& p, const Span& factor);
SpanPolynomial Times(const SpanPolynomial& p, const Span& factor);
SpanPolynomial Product(const SpanPolynomial& a, const SpanPolynomial& b);
SpanPolynomial SlopeOf(const SpanPolynomial& p, size_t variable);

// Whether it is the same everywhere, and then what it is.
bool IsNumber(const SpanPolynomial& p);
Span NumberOf(const SpanPolynomial& p);
// Whether it is nothing, but for what denormal numbers hold.
bool IsNothing(const SpanPolynomial& p);

// Whether it is shown to be above 0 over a box, by halving it a few times.
bool IsPositive(const SpanPolynomial& p, const std::vector<double>& low,
                const std::vector<double>& high);

// Whether each coefficient of the certificate may be the one derived. An error bound that
// is wide would let anything pass, and is refused.
bool Same(const document::CertifiedPolynomial& certified, const SpanPolynomial& derived);

}  // namespace ratebound::recheck

#endif  // RATEBOUND_ENGINE_RECHECK_POLYNOMIAL_H_
