#include "engine/points/uncertainty/coverage_interval.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/number/elementary.h"

namespace ratebound::points {
namespace {

// The number of draws that an interval spans: pM rounded, but never the whole.
size_t DrawsSpanned(size_t count, double probability) {
  const double spanned = std::floor(probability * static_cast<double>(count) + 0.5);
  return std::min(static_cast<size_t>(spanned), count - 1);
}

}  // namespace

Interval SymmetricInterval(std::span<const double> sorted_draws, double probability) {
  const size_t count = sorted_draws.size();
  const size_t spanned = DrawsSpanned(count, probability);
  // r = (M - q)/2, or the integer part of (M - q + 1)/2, counted from 1.
  const size_t low = std::min((count - spanned + 1) / 2, count - spanned) - 1;
  return {sorted_draws[low], sorted_draws[low + spanned]};
}

Interval SymmetricIntervalOf(std::span<double> draws, double probability) {
  const size_t count = draws.size();
  const size_t spanned = DrawsSpanned(count, probability);
  const size_t low = std::min((count - spanned + 1) / 2, count - spanned) - 1;
  const auto at = [&](size_t i) {
    return draws.begin() + static_cast<std::ptrdiff_t>(i);
  };
  std::nth_element(draws.begin(), at(low), draws.end());
  std::nth_element(at(low + 1), at(low + spanned), draws.end());
  return {draws[low], draws[low + spanned]};
}

Interval ShortestInterval(std::span<const double> sorted_draws, double probability) {
  const size_t spanned = DrawsSpanned(sorted_draws.size(), probability);
  Interval shortest{sorted_draws[0], sorted_draws[spanned]};
  for (size_t low = 1; low + spanned < sorted_draws.size(); ++low) {
    const Interval candidate{sorted_draws[low], sorted_draws[low + spanned]};
    if (candidate.width() < shortest.width()) shortest = candidate;
  }
  return shortest;
}

double NumericalTolerance(double standard_uncertainty, int digits) {
  if (!(standard_uncertainty > 0) || std::isinf(standard_uncertainty)) return 0;
  int exponent =
      static_cast<int>(std::floor(number::Log10(standard_uncertainty))) + 1 - digits;
  const auto significand = [&] {
    return std::floor(standard_uncertainty / number::IntegerPower(10.0, exponent) + 0.5);
  };
  // The logarithm may be a digit off next to a power of ten, and rounding may carry.
  const double first_with_more_digits = number::IntegerPower(10.0, digits);
  while (significand() >= first_with_more_digits) ++exponent;
  return 0.5 * number::IntegerPower(10.0, exponent);
}

Adequacy CheckAdequacy(double value, double expanded, const Interval& interval,
                       double standard_uncertainty, int digits) {
  Adequacy result{.low_difference = std::fabs(value - expanded - interval.low),
                  .high_difference = std::fabs(value + expanded - interval.high),
                  .tolerance = NumericalTolerance(standard_uncertainty, digits)};
  result.is_adequate = result.low_difference <= result.tolerance &&
                       result.high_difference <= result.tolerance;
  const std::string ends = absl::StrFormat(
      "the linear interval [%.6g, %.6g] and the Monte Carlo interval [%.6g, %.6g] differ "
      "by %.2g at the low end and %.2g at the high end",
      value - expanded, value + expanded, interval.low, interval.high,
      result.low_difference, result.high_difference);
  const std::string counted =
      absl::StrCat(digits, digits == 1 ? " significant digit" : " significant digits");
  if (result.is_adequate) {
    result.sentence =
        absl::StrFormat("The linear answer is adequate to %s: %s, within %.2g.", counted,
                        ends, result.tolerance);
  } else {
    result.sentence = absl::StrFormat(
        "The linear answer is not adequate: %s, and no more than %.2g is allowed for %s "
        "of its standard uncertainty; report the Monte Carlo interval.",
        ends, result.tolerance, counted);
  }
  return result;
}

}  // namespace ratebound::points
