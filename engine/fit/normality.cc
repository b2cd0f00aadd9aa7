#include "engine/fit/normality.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/number/distribution.h"
#include "engine/number/elementary.h"

namespace ratebound::fit {
namespace {

constexpr size_t kFewest = 3, kMost = 5000;
constexpr double kPi = 3.14159265358979323846;

// AS R94, by rising powers. Corrections of the two outermost weights in 1 / sqrt(n):
constexpr double kOutermost[] = {0, 0.221157, -0.147981, -2.07119, 4.434685, -2.706056};
constexpr double kSecond[] = {0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633};
// Mean and log of the standard deviation of the transformed statistic, in n up to 11 and
// in log n above, and the small samples' shift in n.
constexpr double kSmallMean[] = {0.544, -0.39978, 0.025054, -6.714e-4};
constexpr double kSmallLogSd[] = {1.3822, -0.77857, 0.062767, -0.0020322};
constexpr double kLargeMean[] = {-1.5861, -0.31082, -0.083751, 0.0038915};
constexpr double kLargeLogSd[] = {-0.4803, -0.082676, 0.0030302};
constexpr double kShift[] = {-2.273, 0.459};
constexpr size_t kSmall = 11;

double Polynomial(std::span<const double> coefficients, double x) {
  double value = 0;
  for (size_t k = coefficients.size(); k-- > 0;) value = value * x + coefficients[k];
  return value;
}

// The upper half of the weights, outermost first; the lower half is its negative.
std::vector<double> Weights(size_t count) {
  const size_t half = count / 2;
  if (count == 3) return {std::sqrt(0.5)};
  std::vector<double> weights(half);  // first the expected order statistics
  double squares = 0;
  for (size_t i = 0; i < half; ++i) {
    weights[i] = -number::NormalQuantile((static_cast<double>(i) + 0.625) /
                                         (static_cast<double>(count) + 0.25));
    squares += 2 * weights[i] * weights[i];
  }
  const double root = std::sqrt(squares);
  const double scale = 1 / std::sqrt(static_cast<double>(count));
  const double first = Polynomial(kOutermost, scale) + weights[0] / root;
  size_t corrected = 1;
  double left = squares - 2 * weights[0] * weights[0];
  double share = 1 - 2 * first * first;
  double second = 0;
  if (count > 5) {
    corrected = 2;
    second = Polynomial(kSecond, scale) + weights[1] / root;
    left -= 2 * weights[1] * weights[1];
    share -= 2 * second * second;
  }
  const double factor = std::sqrt(left / share);
  for (size_t i = corrected; i < half; ++i) weights[i] /= factor;
  weights[0] = first;
  if (corrected == 2) weights[1] = second;
  return weights;
}

double UpperProbability(double w, double one_less_w, size_t count) {
  const double n = static_cast<double>(count);
  if (count == 3) {
    // Exact.
    return std::max(0.0, 6 / kPi * (number::Asin(std::sqrt(w)) - kPi / 3));
  }
  if (one_less_w <= 0) return 1;
  double y = number::Log(one_less_w);
  double mean = 0, log_sd = 0;
  if (count <= kSmall) {
    const double shift = Polynomial(kShift, n);
    if (y >= shift) return 0;
    y = -number::Log(shift - y);
    mean = Polynomial(kSmallMean, n);
    log_sd = Polynomial(kSmallLogSd, n);
  } else {
    mean = Polynomial(kLargeMean, number::Log(n));
    log_sd = Polynomial(kLargeLogSd, number::Log(n));
  }
  return number::NormalCdf(-(y - mean) / number::Exp(log_sd));
}

}  // namespace

absl::StatusOr<NormalityTest> TestNormality(std::span<const double> values) {
  const size_t count = values.size();
  if (count < kFewest || count > kMost) {
    return absl::FailedPreconditionError(absl::StrCat("normality is tested for ", kFewest,
                                                      " to ", kMost,
                                                      " values; there are ", count));
  }
  for (size_t i = 0; i < count; ++i) {
    if (std::isfinite(values[i])) continue;
    return absl::InvalidArgumentError(
        absl::StrCat("value ", i, " is not a finite number"));
  }
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  const double range = sorted.back() - sorted.front();
  if (!(range > 0) || !std::isfinite(range)) {
    return absl::FailedPreconditionError(
        range > 0 ? "the values are too large to be compared"
                  : "all values are equal, so their distribution cannot be judged");
  }
  const double middle = sorted.front();
  double mean = 0;
  for (double& value : sorted) {
    value = (value - middle) / range;
    mean += value;
  }
  mean /= static_cast<double>(count);
  const std::vector<double> weights = Weights(count);
  // 1 - w from the distance of weights and values, each of length 1, which does not
  // cancel where they nearly agree.
  double squares = 0, weight_squares = 0, product = 0;
  for (const double value : sorted) squares += (value - mean) * (value - mean);
  for (size_t i = 0; i < weights.size(); ++i) {
    weight_squares += 2 * weights[i] * weights[i];
    product += weights[i] * (sorted[count - 1 - i] - sorted[i]);
  }
  const double root = std::sqrt(squares * weight_squares);
  const double one_less_w = (root - product) * (root + product) / (root * root);
  return NormalityTest{.w = 1 - one_less_w,
                       .p_value = UpperProbability(1 - one_less_w, one_less_w, count)};
}

}  // namespace ratebound::fit
