// The text of the surface kernels, compiled once for each instruction set.
#ifndef RATEBOUND_ENGINE_FIT_SURFACE_KERNELS_TEXT_H_
#define RATEBOUND_ENGINE_FIT_SURFACE_KERNELS_TEXT_H_

#include "engine/fit/lanes.h"
#include "engine/fit/surface_kernels.h"

namespace ratebound::fit {
namespace {

constexpr int TermsOf(int variables, int degree) {
  int count = 1;
  for (int i = 1; i <= degree; ++i) count = count * (variables + i) / i;
  return count;
}

// value := Nested(z, degree) over kVariables conditions, coefficients from kFirst on.
template <int kVariables, int kDegree, int kFirst>
struct Nested {
  [[gnu::always_inline]] static void Evaluate(const double* coefficients, const Lanes* z,
                                              Lanes& value) {
    value = Lanes{0, 0, 0, 0} + coefficients[kFirst];
    Steps<1, kFirst + 1>(coefficients, z, value);
  }

  // The coefficient of z^(kDegree - kStep) is a polynomial of degree kStep in the rest.
  template <int kStep, int kAt>
  [[gnu::always_inline]] static void Steps(const double* coefficients, const Lanes* z,
                                           Lanes& value) {
    if constexpr (kStep <= kDegree) {
      if constexpr (kVariables == 1) {
        value = value * z[0] + coefficients[kAt];
      } else {
        Lanes inner;
        Nested<kVariables - 1, kStep, kAt>::Evaluate(coefficients, z + 1, inner);
        value = value * z[0] + inner;
      }
      Steps<kStep + 1, kAt + TermsOf(kVariables - 1, kStep)>(coefficients, z, value);
    }
  }
};

template <int kVariables, int kDegree>
void EvaluateColumns(const SurfaceInput& input, long begin, long end, double* values) {
  // Local copies, which `values` cannot alias.
  constexpr int kTerms = TermsOf(kVariables, kDegree);
  double coefficients[kTerms], centres[kVariables], reciprocals[kVariables];
  const double* columns[kVariables];
  for (int t = 0; t < kTerms; ++t) coefficients[t] = input.nested[t];
  for (int v = 0; v < kVariables; ++v) {
    centres[v] = input.centres[v];
    reciprocals[v] = input.reciprocals[v];
    columns[v] = input.columns[v];
  }
  for (long i = begin; i < end; i += 4) {
    Lanes z[kVariables];
    for (int v = 0; v < kVariables; ++v)
      z[v] = (Load(columns[v] + i).lanes - centres[v]) * reciprocals[v];
    Lanes value;
    Nested<kVariables, kDegree, 0>::Evaluate(coefficients, z, value);
    Store(values + i, value);
  }
}

template <int kVariables, int kDegree>
constexpr void FillKernels(SurfaceKernels& kernels) {
  kernels.of[kVariables - 1][kDegree] = EvaluateColumns<kVariables, kDegree>;
  if constexpr (kDegree < kKernelDegree) {
    FillKernels<kVariables, kDegree + 1>(kernels);
  } else if constexpr (kVariables < kKernelVariables) {
    FillKernels<kVariables + 1, 0>(kernels);
  }
}

constexpr SurfaceKernels TheseSurfaceKernels() {
  SurfaceKernels kernels = {};
  FillKernels<1, 0>(kernels);
  return kernels;
}

}  // namespace
}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_SURFACE_KERNELS_TEXT_H_
