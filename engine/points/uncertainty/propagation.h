// The uncertainty of computed outputs by the law of propagation (JCGM 100), with random
// and systematic parts kept apart.
//
// Example, volts and amperes to watts:
//   const Dual<2> power_w = Power(Dual<2>::Variable(230, 0), Dual<2>::Variable(8, 1));
//   ASSIGN_OR_RETURN(InputUncertainty inputs, InputUncertainty::Create(2, components));
//   ASSIGN_OR_RETURN(Propagation p, Propagate(inputs, GradientsOf<2>({&power_w, 1})));
//   p.outputs[0].total.standard;        // combined standard uncertainty, W
//   p.outputs[0].systematic.expanded;   // what a claim adds linearly
//   p.outputs[0].budget[0].percent;     // share of the first component
//
// Formulas, JCGM 100:2008: combined variance 5.1.2 (10) and 5.2.2 (13); covariance of
// outputs H.2.3 (H.9); effective degrees of freedom G.4.1 (G.2b), over independent
// causes only, a shared or correlated cause counting as one contribution; coverage
// factor G.3.4 and G.4.1. This is the first-order answer: second_order.h says when it
// is not enough, monte_carlo.h does without it.
//
// Shapes: gradients are outputs x inputs by rows: gradients[output * inputs + input].
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_POINTS_UNCERTAINTY_PROPAGATION_H_
#define RATEBOUND_ENGINE_POINTS_UNCERTAINTY_PROPAGATION_H_

#include <array>
#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/number/dual.h"
#include "engine/points/uncertainty/input_uncertainty.h"

namespace ratebound::points {

// A standard uncertainty and its effective degrees of freedom, not truncated; infinite
// where the standard uncertainty is 0 or rests on exactly known components only.
struct StandardUncertainty {
  double standard = 0;
  double degrees_of_freedom = kExactlyKnown;
};

struct OutputUncertainty {
  StandardUncertainty total;
  StandardUncertainty random;
  StandardUncertainty systematic;
};

// The core, for many points on one InputUncertainty; allocates nothing and checks
// nothing. `weights` is what inputs.Weigh gave; `loadings` receives outputs x
// factor_count() and `outputs` one item for each output. Takes about 0.2 us for 8 inputs,
// 12 components and 4 outputs.
void Propagate(const InputUncertainty& inputs, std::span<const double> weights,
               std::span<const double> gradients, std::span<double> loadings,
               std::span<OutputUncertainty> outputs);

// The covariance of two outputs from their rows of loadings: over all factors; over the
// first random_factor_count() for the random part; over the others for the systematic.
double CovarianceOf(std::span<const double> loadings_a,
                    std::span<const double> loadings_b);

// The coverage factor of a two-sided interval at `probability`: Student's t at the
// degrees of freedom, truncated down to a whole number where they are at least 1 (GUM
// G.4.1, as H.1.6 does), so that it errs to the safe side. The normal quantile at
// infinity. Values for up to 128 degrees of freedom are
// computed once, on construction; For takes some 10 ns.
class CoverageFactors {
 public:
  // 0 < probability < 1; otherwise factors are not-a-number.
  explicit CoverageFactors(double probability);
  double probability() const { return probability_; }
  double For(double degrees_of_freedom) const;

 private:
  static constexpr int kTabulated = 128;
  double probability_;
  double normal_;
  std::array<double, kTabulated> by_degrees_of_freedom_;
};

struct ExpandedUncertainty {
  double standard = 0;
  double degrees_of_freedom = kExactlyKnown;  // truncate for display only
  double coverage_factor = 0;
  double expanded = 0;  // coverage_factor * standard
};
ExpandedUncertainty Expand(const StandardUncertainty& uncertainty,
                           const CoverageFactors& factors);

struct BudgetLine {
  int component = 0;
  double sensitivity = 0;   // the gradient's element for the component's input
  double contribution = 0;  // |sensitivity| * standard uncertainty, in the output's unit
  // Share of the combined variance. The shares of an output add up to 100 (all are 0
  // where the variance is 0). With correlation, a component's share is its covariance
  // with the whole, which is negative where it cancels others.
  double percent = 0;
};

struct OutputReport {
  ExpandedUncertainty total;
  ExpandedUncertainty random;
  ExpandedUncertainty systematic;
  std::vector<BudgetLine> budget;  // one for each component, in their order
};

// A symmetric matrix outputs x outputs, by rows.
struct OutputMatrix {
  int size = 0;
  std::vector<double> values;
  double at(int row, int column) const {
    return values[static_cast<size_t>(row) * static_cast<size_t>(size) +
                  static_cast<size_t>(column)];
  }
};

struct Propagation {
  std::vector<OutputReport> outputs;
  OutputMatrix covariance;  // total = random + systematic
  OutputMatrix random_covariance;
  OutputMatrix systematic_covariance;
};

// The coefficients of a covariance matrix; 1 on the diagonal, 0 beside a variance of 0.
OutputMatrix CorrelationOf(const OutputMatrix& covariance);

// The whole report. INVALID_ARGUMENT for gradients that are not finite or no multiple of
// input_count(), and for a probability outside (0, 1).
absl::StatusOr<Propagation> Propagate(const InputUncertainty& inputs,
                                      std::span<const double> gradients,
                                      double probability = 0.95);

// The gradients of outputs computed as dual numbers over the inputs.
template <int N>
std::vector<double> GradientsOf(std::span<const number::Dual<N>> outputs) {
  std::vector<double> gradients;
  gradients.reserve(outputs.size() * N);
  for (const number::Dual<N>& output : outputs) {
    gradients.insert(gradients.end(), output.derivative.begin(), output.derivative.end());
  }
  return gradients;
}

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UNCERTAINTY_PROPAGATION_H_
