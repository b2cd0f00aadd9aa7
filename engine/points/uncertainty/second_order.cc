#include "engine/points/uncertainty/second_order.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"

namespace ratebound::points {
namespace {

// Of a standard uncertainty: the difference of a function that curves by a tenth over one
// is off by 1e-5, and rounding is multiplied by 256.
constexpr double kStep = 0x1p-4;

size_t Size(int count) { return static_cast<size_t>(count); }

// Loadings of every output at the estimates displaced along one factor.
class DisplacedLoadings {
 public:
  DisplacedLoadings(const InputUncertainty& inputs, std::span<const double> estimates,
                    int output_count, const GradientFunction& gradients)
      : inputs_(inputs),
        estimates_(estimates),
        output_count_(output_count),
        gradients_(gradients),
        weights_(Size(inputs.weight_count())),
        factors_(Size(inputs.factor_count())),
        point_(Size(inputs.input_count())),
        gradient_(Size(output_count) * Size(inputs.input_count())) {
    inputs.Weigh(inputs.standard_uncertainties(), weights_);
  }

  // Along `factor` by `step` standard uncertainties; outputs x factors.
  absl::Status At(int factor, double step, std::vector<double>& loadings) {
    factors_[Size(factor)] = step;
    inputs_.AddUp(factors_, weights_, 1, point_);
    factors_[Size(factor)] = 0;
    for (size_t i = 0; i < point_.size(); ++i) point_[i] += estimates_[i];
    gradients_(point_, gradient_);
    const size_t input_count = point_.size();
    for (size_t i = 0; i < gradient_.size(); ++i) {
      if (std::isfinite(gradient_[i])) continue;
      return absl::InvalidArgumentError(absl::StrCat(
          "the gradient of output ", i / input_count, " over input ", i % input_count,
          " is ", base::ShortestText(gradient_[i]), " near the estimates"));
    }
    const size_t factor_count = factors_.size();
    loadings.resize(Size(output_count_) * factor_count);
    for (size_t output = 0; output < Size(output_count_); ++output) {
      inputs_.Load(std::span(gradient_).subspan(output * input_count, input_count),
                   weights_,
                   std::span(loadings).subspan(output * factor_count, factor_count));
    }
    return absl::OkStatus();
  }

 private:
  const InputUncertainty& inputs_;
  std::span<const double> estimates_;
  int output_count_;
  const GradientFunction& gradients_;
  std::vector<double> weights_;
  std::vector<double> factors_;
  std::vector<double> point_;
  std::vector<double> gradient_;
};

std::vector<int> CauseOfFactor(const InputUncertainty& inputs) {
  std::vector<int> cause_of(Size(inputs.factor_count()));
  const std::span<const Cause> causes = inputs.causes();
  for (size_t c = 0; c < causes.size(); ++c) {
    for (int k = 0; k < causes[c].factor_count; ++k) {
      cause_of[Size(causes[c].first_factor + k)] = static_cast<int>(c);
    }
  }
  return cause_of;
}

void AddTerm(int cause_a, int cause_b, double variance, SecondOrder& output) {
  if (variance == 0) return;
  const auto [first, second] = std::minmax(cause_a, cause_b);
  for (SecondOrderTerm& term : output.terms) {
    if (term.first_cause != first || term.second_cause != second) continue;
    term.variance += variance;
    return;
  }
  output.terms.push_back(
      {.first_cause = first, .second_cause = second, .variance = variance});
}

}  // namespace

double SecondOrder::Increase() const {
  if (!standard.has_value()) return std::numeric_limits<double>::infinity();
  if (*standard == first_order_standard) return 0;
  return *standard / first_order_standard - 1;
}

absl::StatusOr<std::vector<SecondOrder>> CheckSecondOrder(
    const InputUncertainty& inputs, std::span<const double> estimates, int output_count,
    const GradientFunction& gradients) {
  if (estimates.size() != Size(inputs.input_count()) || output_count < 1 ||
      !std::ranges::all_of(estimates, [](double x) { return std::isfinite(x); })) {
    return absl::InvalidArgumentError(absl::StrCat(
        "the check takes ", inputs.input_count(), " finite estimates and an output, not ",
        estimates.size(), " and ", output_count));
  }
  if (inputs.factor_count() == 0) return std::vector<SecondOrder>(Size(output_count));

  DisplacedLoadings displaced(inputs, estimates, output_count, gradients);
  std::vector<double> center;
  RETURN_IF_ERROR(displaced.At(0, 0, center));
  const size_t factor_count = Size(inputs.factor_count());
  const std::vector<int> cause_of = CauseOfFactor(inputs);
  std::vector<SecondOrder> results(Size(output_count));
  std::vector<double> above;
  std::vector<double> below;
  for (size_t l = 0; l < factor_count; ++l) {
    RETURN_IF_ERROR(displaced.At(static_cast<int>(l), kStep, above));
    RETURN_IF_ERROR(displaced.At(static_cast<int>(l), -kStep, below));
    for (size_t output = 0; output < results.size(); ++output) {
      for (size_t k = 0; k < factor_count; ++k) {
        const size_t at = output * factor_count + k;
        const double mixed = (above[at] - below[at]) / (2 * kStep);  // f_kl
        const double third = ((above[at] - center[at]) + (below[at] - center[at])) /
                             (kStep * kStep);  // f_kll
        AddTerm(cause_of[k], cause_of[l], mixed * mixed / 2 + center[at] * third,
                results[output]);
        if (k == l) results[output].value_shift += mixed / 2;
      }
    }
  }
  for (size_t output = 0; output < results.size(); ++output) {
    SecondOrder& result = results[output];
    double variance = 0;
    for (size_t k = 0; k < factor_count; ++k) {
      const double loading = center[output * factor_count + k];
      variance += loading * loading;
    }
    result.first_order_standard = std::sqrt(variance);
    for (const SecondOrderTerm& term : result.terms) variance += term.variance;
    if (variance >= 0) result.standard = std::sqrt(variance);
  }
  return results;
}

}  // namespace ratebound::points
