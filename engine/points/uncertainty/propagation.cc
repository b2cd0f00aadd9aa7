#include "engine/points/uncertainty/propagation.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/number/distribution.h"

namespace ratebound::points {
namespace {

size_t Size(int count) { return static_cast<size_t>(count); }

double SumOfSquares(std::span<const double> loadings) {
  double sum = 0;
  for (const double loading : loadings) sum += loading * loading;
  return sum;
}

// The sums over causes of (u_k / u)^4 / nu_k (GUM G.2b), of each part.
struct WelchSatterthwaite {
  double random = 0;
  double systematic = 0;
};

OutputUncertainty Summarize(const InputUncertainty& inputs,
                            std::span<const double> loadings) {
  const size_t random_count = Size(inputs.random_factor_count());
  const double random = SumOfSquares(loadings.first(random_count));
  const double systematic = SumOfSquares(loadings.subspan(random_count));
  const double total = random + systematic;
  // Relative to the whole, so that no unit makes fourth powers underflow.
  WelchSatterthwaite sums;
  for (const Cause& cause : inputs.causes()) {
    if (std::isinf(cause.degrees_of_freedom) || total == 0) continue;
    const double share = SumOfSquares(loadings.subspan(Size(cause.first_factor),
                                                       Size(cause.factor_count))) /
                         total;
    (cause.systematic ? sums.systematic : sums.random) +=
        share * share / cause.degrees_of_freedom;
  }
  const auto part = [&](double variance, double sum) {
    StandardUncertainty result{.standard = std::sqrt(variance)};
    const double share = variance / total;
    if (sum > 0) result.degrees_of_freedom = share * share / sum;
    return result;
  };
  return {.total = part(total, sums.random + sums.systematic),
          .random = part(random, sums.random),
          .systematic = part(systematic, sums.systematic)};
}

// Student's t from the normal deviate z, for many degrees of freedom (Abramowitz and
// Stegun, Handbook of Mathematical Functions, 1964, 26.7.5). Above 128 and for z up to 4
// within 1e-8 of itself, at a hundredth of the cost of the exact quantile.
constexpr double kLargestExpanded = 4;
double ExpandedInDegreesOfFreedom(double z, double degrees_of_freedom) {
  const double s = z * z;
  const double g1 = z * (s + 1) / 4;
  const double g2 = z * ((5 * s + 16) * s + 3) / 96;
  const double g3 = z * (((3 * s + 19) * s + 17) * s - 15) / 384;
  const double g4 = z * ((((79 * s + 776) * s + 1482) * s - 1920) * s - 945) / 92160;
  const double v = degrees_of_freedom;
  return z + (g1 + (g2 + (g3 + g4 / v) / v) / v) / v;
}

absl::Status CheckGradients(const InputUncertainty& inputs,
                            std::span<const double> gradients) {
  const size_t input_count = Size(inputs.input_count());
  if (gradients.size() % input_count != 0) {
    return absl::InvalidArgumentError(absl::StrCat("gradients have ", gradients.size(),
                                                   " elements, no multiple of ",
                                                   input_count, " inputs"));
  }
  for (size_t i = 0; i < gradients.size(); ++i) {
    if (std::isfinite(gradients[i])) continue;
    return absl::InvalidArgumentError(
        absl::StrCat("the gradient of output ", i / input_count, " over input ",
                     i % input_count, " is ", base::ShortestText(gradients[i]),
                     "; the outputs have no linear approximation here"));
  }
  return absl::OkStatus();
}

std::vector<BudgetLine> BudgetOf(const InputUncertainty& inputs,
                                 std::span<const double> gradient,
                                 std::span<const double> weights,
                                 std::span<const double> loadings) {
  const std::span<const Component> components = inputs.components();
  std::vector<double> variances(components.size());
  inputs.AttributeVariance(gradient, weights, loadings, variances);
  double total = 0;
  for (const double variance : variances) total += variance;
  std::vector<BudgetLine> budget;
  for (size_t c = 0; c < components.size(); ++c) {
    const double sensitivity = gradient[Size(components[c].input)];
    budget.push_back(
        {.component = static_cast<int>(c),
         .sensitivity = sensitivity,
         .contribution = std::fabs(sensitivity) * components[c].standard_uncertainty,
         .percent = total > 0 ? 100 * variances[c] / total : 0});
  }
  return budget;
}

OutputMatrix CovarianceMatrix(std::span<const double> loadings, int output_count,
                              int factor_count, int first, int count) {
  OutputMatrix matrix{
      .size = output_count,
      .values = std::vector<double>(Size(output_count) * Size(output_count))};
  const auto row = [&](int output) {
    return loadings.subspan(Size(output) * Size(factor_count) + Size(first), Size(count));
  };
  for (int a = 0; a < output_count; ++a) {
    for (int b = 0; b < output_count; ++b) {
      matrix.values[Size(a) * Size(output_count) + Size(b)] =
          CovarianceOf(row(a), row(b));
    }
  }
  return matrix;
}

}  // namespace

void Propagate(const InputUncertainty& inputs, std::span<const double> weights,
               std::span<const double> gradients, std::span<double> loadings,
               std::span<OutputUncertainty> outputs) {
  const size_t input_count = Size(inputs.input_count());
  const size_t factor_count = Size(inputs.factor_count());
  for (size_t output = 0; output < outputs.size(); ++output) {
    const std::span<double> row = loadings.subspan(output * factor_count, factor_count);
    inputs.Load(gradients.subspan(output * input_count, input_count), weights, row);
    outputs[output] = Summarize(inputs, row);
  }
}

double CovarianceOf(std::span<const double> loadings_a,
                    std::span<const double> loadings_b) {
  double sum = 0;
  for (size_t k = 0; k < loadings_a.size(); ++k) sum += loadings_a[k] * loadings_b[k];
  return sum;
}

CoverageFactors::CoverageFactors(double probability)
    : probability_(probability > 0 && probability < 1
                       ? probability
                       : std::numeric_limits<double>::quiet_NaN()),
      normal_(-number::NormalQuantile((1 - probability_) / 2)) {
  for (int i = 0; i < kTabulated; ++i) {
    by_degrees_of_freedom_[Size(i)] =
        -number::StudentTQuantile((1 - probability_) / 2, i + 1);
  }
}

double CoverageFactors::For(double degrees_of_freedom) const {
  if (std::isinf(degrees_of_freedom)) return normal_;
  if (!(degrees_of_freedom >= 1)) {
    return -number::StudentTQuantile((1 - probability_) / 2, degrees_of_freedom);
  }
  // Rounding must not cost a whole degree: 4 computed as 3.9999999999999996 is 4.
  constexpr double kRounding = 1e-12;
  const double whole = std::floor(degrees_of_freedom * (1 + kRounding));
  if (whole <= kTabulated) return by_degrees_of_freedom_[static_cast<size_t>(whole) - 1];
  if (normal_ < kLargestExpanded) return ExpandedInDegreesOfFreedom(normal_, whole);
  return -number::StudentTQuantile((1 - probability_) / 2, whole);
}

ExpandedUncertainty Expand(const StandardUncertainty& uncertainty,
                           const CoverageFactors& factors) {
  const double factor = factors.For(uncertainty.degrees_of_freedom);
  return {.standard = uncertainty.standard,
          .degrees_of_freedom = uncertainty.degrees_of_freedom,
          .coverage_factor = factor,
          .expanded = factor * uncertainty.standard};
}

OutputMatrix CorrelationOf(const OutputMatrix& covariance) {
  OutputMatrix correlation = covariance;
  for (int row = 0; row < covariance.size; ++row) {
    for (int column = 0; column < covariance.size; ++column) {
      double& value =
          correlation.values[Size(row) * Size(covariance.size) + Size(column)];
      const double scale =
          std::sqrt(covariance.at(row, row)) * std::sqrt(covariance.at(column, column));
      if (row == column) {
        value = 1;
      } else {
        value = scale > 0 ? std::clamp(value / scale, -1.0, 1.0) : 0;
      }
    }
  }
  return correlation;
}

absl::StatusOr<Propagation> Propagate(const InputUncertainty& inputs,
                                      std::span<const double> gradients,
                                      double probability) {
  if (const absl::Status status = CheckGradients(inputs, gradients); !status.ok()) {
    return status;
  }
  if (!(probability > 0 && probability < 1)) {
    return absl::InvalidArgumentError(absl::StrCat(
        "probability ", base::ShortestText(probability), " is not between 0 and 1"));
  }
  const size_t input_count = Size(inputs.input_count());
  const int factor_count = inputs.factor_count();
  const size_t output_count = gradients.size() / input_count;
  std::vector<double> weights(Size(inputs.weight_count()));
  inputs.Weigh(inputs.standard_uncertainties(), weights);
  std::vector<double> loadings(output_count * Size(factor_count));
  std::vector<OutputUncertainty> outputs(output_count);
  Propagate(inputs, weights, gradients, loadings, outputs);

  const CoverageFactors factors(probability);
  Propagation result;
  for (size_t i = 0; i < output_count; ++i) {
    result.outputs.push_back(
        {.total = Expand(outputs[i].total, factors),
         .random = Expand(outputs[i].random, factors),
         .systematic = Expand(outputs[i].systematic, factors),
         .budget = BudgetOf(
             inputs, gradients.subspan(i * input_count, input_count), weights,
             std::span(loadings).subspan(i * Size(factor_count), Size(factor_count)))});
  }
  const int outputs_as_int = static_cast<int>(output_count);
  const int random_count = inputs.random_factor_count();
  result.covariance =
      CovarianceMatrix(loadings, outputs_as_int, factor_count, 0, factor_count);
  result.random_covariance =
      CovarianceMatrix(loadings, outputs_as_int, factor_count, 0, random_count);
  result.systematic_covariance = CovarianceMatrix(
      loadings, outputs_as_int, factor_count, random_count, factor_count - random_count);
  return result;
}

}  // namespace ratebound::points
