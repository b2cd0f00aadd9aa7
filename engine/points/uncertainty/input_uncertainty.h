// The checked uncertainty of a measurement's inputs, turned into independent factors.
//
// Example:
//   ASSIGN_OR_RETURN(InputUncertainty inputs,
//                    InputUncertainty::Create(8, components, correlations));
//   // once for all test points; then see propagation.h and monte_carlo.h
//
// Every input's error is written as a sum of factors of unit variance, independent of one
// another: one for each unshared component, one for each `shared` cause, and for inputs
// under explicit correlations as many as there are inputs, by the Cholesky factor of
// their correlation matrix. An output's gradient then gives one *loading* for each
// factor; variances and covariances of outputs are sums of products of loadings, and
// cannot be negative. Random factors come before systematic ones.
//
// Thread-safety: const after creation.
#ifndef RATEBOUND_ENGINE_POINTS_UNCERTAINTY_INPUT_UNCERTAINTY_H_
#define RATEBOUND_ENGINE_POINTS_UNCERTAINTY_INPUT_UNCERTAINTY_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/points/uncertainty/component.h"

namespace ratebound::points {

// What errs independently of all else: a component, a shared cause, or a set of inputs
// under explicit correlations.
struct Cause {
  enum class Kind { kComponent, kShared, kCorrelated };
  Kind kind = Kind::kComponent;
  bool systematic = false;
  int first_factor = 0;
  int factor_count = 1;
  // Of the correlated kind: the least among its components. For means of simultaneous
  // readings, which all have n - 1, any combination of them has exactly n - 1.
  double degrees_of_freedom = kExactlyKnown;
  Distribution distribution = Distribution::kNormal;
  std::vector<int> components;
};

class InputUncertainty {
 public:
  // INVALID_ARGUMENT, with all faults at once: an input that is not there; a standard
  // uncertainty that is negative or not finite; degrees of freedom not above 0; members
  // of a shared cause that disagree; a coefficient outside [-1, 1], given twice, of an
  // input with itself, or of an input without an unshared component of that part; inputs
  // that are both explicitly correlated and share a cause in that part; coefficients that
  // no joint distribution can have (their matrix is not positive semidefinite).
  static absl::StatusOr<InputUncertainty> Create(
      int input_count, std::vector<Component> components,
      std::vector<Correlation> correlations = {});

  int input_count() const { return input_count_; }
  std::span<const Component> components() const { return components_; }
  std::span<const Cause> causes() const { return causes_; }  // random ones first
  int factor_count() const { return factor_count_; }
  int random_factor_count() const { return random_factor_count_; }

  // The components' own standard uncertainties, in their order. Where they change from
  // point to point (a share of the reading), give others in that order to Weigh.
  std::span<const double> standard_uncertainties() const {
    return standard_uncertainties_;
  }

  // How strongly each factor acts on each input: weight_count() numbers for Load.
  // Neither function allocates.
  int weight_count() const { return static_cast<int>(entries_.size()); }
  void Weigh(std::span<const double> standard_uncertainties,
             std::span<double> weights) const;
  // loadings[factor] = sum over inputs of gradient[input] * its weight; factor_count().
  void Load(std::span<const double> gradient, std::span<const double> weights,
            std::span<double> loadings) const;
  // The errors of the inputs for `count` draws of the factors: errors[input * count +
  // draw] from factors[factor * count + draw].
  void AddUp(std::span<const double> factors, std::span<const double> weights, int count,
             std::span<double> errors) const;
  // Each component's covariance with the output that has these loadings (of the
  // components' own standard uncertainties); their sum is the output's variance. One
  // number for each component.
  void AttributeVariance(std::span<const double> gradient,
                         std::span<const double> weights,
                         std::span<const double> loadings,
                         std::span<double> variances) const;

 private:
  // One non-zero element of the matrix inputs x factors: the standard uncertainty of one
  // component, or for a correlated input that of all its unshared components of the part,
  // together, times an element of the Cholesky factor.
  struct Entry {
    int input = 0;
    int factor = 0;
    int first_member = 0;  // in entry_components_
    int member_count = 0;
    double share = 1;
  };
  // The checked correlations of one part, as a matrix inputs x inputs.
  struct PartCorrelations;

  InputUncertainty() = default;
  void AddCauses(bool systematic, const PartCorrelations& correlations);
  void AddSharedCause(int first_component);
  void AddCorrelatedCause(int first_input, bool systematic,
                          const PartCorrelations& correlations);
  void AddEntry(int input, int factor, std::span<const int> members, double share);

  int input_count_ = 0;
  int factor_count_ = 0;
  int random_factor_count_ = 0;
  std::vector<Component> components_;
  std::vector<double> standard_uncertainties_;
  std::vector<Cause> causes_;
  std::vector<Entry> entries_;
  std::vector<int> entry_components_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_UNCERTAINTY_INPUT_UNCERTAINTY_H_
