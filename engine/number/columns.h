// Exp and Log of whole columns, with the bits of the scalar functions of elementary.h and
// a fraction of their time: four at a time where the processor has AVX, two elsewhere.
//
// Example:
//   std::vector<double> log_t(t.size());
//   LogColumn(t, log_t);           // log_t[i] == Log(t[i]), to the bit
//
// `out` holds as many as `x` and may be `x` itself, but must not overlap it otherwise.
// The SLEEF functions behind the variants are one algorithm at different widths: no
// difference over 80 million arguments, half of them random bit patterns, and
// columns_test.cc repeats a part of it. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_NUMBER_COLUMNS_H_
#define RATEBOUND_ENGINE_NUMBER_COLUMNS_H_

#include <span>

namespace ratebound::number {

void ExpColumn(std::span<const double> x, std::span<double> out);
void LogColumn(std::span<const double> x, std::span<double> out);

namespace internal {
// Both variants, so that a test can hold them against each other.
void ExpByTwo(const double* x, double* out, int count);
void LogByTwo(const double* x, double* out, int count);
bool HasAvx();
void ExpByFour(const double* x, double* out, int count);  // only where HasAvx()
void LogByFour(const double* x, double* out, int count);
}  // namespace internal

}  // namespace ratebound::number

#endif  // RATEBOUND_ENGINE_NUMBER_COLUMNS_H_
