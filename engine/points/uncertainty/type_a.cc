#include "engine/points/uncertainty/type_a.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/number/sum.h"

namespace ratebound::points {
namespace {

absl::Status CheckReadings(std::span<const double> readings) {
  if (readings.size() < 2) {
    return absl::InvalidArgumentError(absl::StrCat(
        readings.size(), " readings have no scatter to judge by; take at least 2"));
  }
  for (size_t i = 0; i < readings.size(); ++i) {
    if (std::isfinite(readings[i])) continue;
    return absl::InvalidArgumentError(absl::StrCat(
        "reading ", i + 1, " is ", base::ShortestText(readings[i]), ", not a number"));
  }
  return absl::OkStatus();
}

std::vector<double> Deviations(std::span<const double> readings, double mean) {
  std::vector<double> deviations(readings.begin(), readings.end());
  for (double& deviation : deviations) deviation -= mean;
  return deviations;
}

// n times the autocovariance at `lag`.
double LaggedSum(std::span<const double> deviations, size_t lag) {
  const size_t count = deviations.size() - lag;
  return number::Dot(deviations.first(count), deviations.subspan(lag));
}

double AutocorrelationTime(std::span<const double> deviations) {
  const double at_lag_0 = LaggedSum(deviations, 0);
  if (at_lag_0 == 0) return 1;
  double time = -1;
  for (size_t m = 0; 2 * m + 1 <= deviations.size() / 2; ++m) {
    const double pair =
        (LaggedSum(deviations, 2 * m) + LaggedSum(deviations, 2 * m + 1)) / at_lag_0;
    if (!(pair > 0)) break;
    time += 2 * pair;
  }
  return time;
}

}  // namespace

absl::StatusOr<MeanOfReadings> MeanOfIndependent(std::span<const double> readings) {
  RETURN_IF_ERROR(CheckReadings(readings));
  const double mean = number::Mean(readings);
  const double n = static_cast<double>(readings.size());
  const double squares = number::SumOfSquares(Deviations(readings, mean));
  return MeanOfReadings{.mean = mean,
                        .standard_deviation = std::sqrt(squares / (n - 1)),
                        .standard_uncertainty = std::sqrt(squares / (n * (n - 1))),
                        .degrees_of_freedom = n - 1,
                        .readings = static_cast<int>(readings.size()),
                        .effective_readings = n};
}

absl::StatusOr<MeanOfReadings> MeanOfLog(std::span<const double> readings) {
  RETURN_IF_ERROR(CheckReadings(readings));
  const double mean = number::Mean(readings);
  const double n = static_cast<double>(readings.size());
  const std::vector<double> deviations = Deviations(readings, mean);
  const double effective =
      std::max(2.0, n / std::max(1.0, AutocorrelationTime(deviations)));
  const double variance = number::SumOfSquares(deviations) / (n * (1 - 1 / effective));
  return MeanOfReadings{.mean = mean,
                        .standard_deviation = std::sqrt(variance),
                        .standard_uncertainty = std::sqrt(variance / effective),
                        .degrees_of_freedom = effective - 1,
                        .readings = static_cast<int>(readings.size()),
                        .effective_readings = effective};
}

absl::StatusOr<double> CorrelationOfMeans(std::span<const double> first,
                                          std::span<const double> second) {
  RETURN_IF_ERROR(CheckReadings(first));
  RETURN_IF_ERROR(CheckReadings(second));
  if (first.size() != second.size()) {
    return absl::InvalidArgumentError(
        absl::StrCat(first.size(), " and ", second.size(),
                     " readings were not taken together; give pairs"));
  }
  const std::vector<double> a = Deviations(first, number::Mean(first));
  const std::vector<double> b = Deviations(second, number::Mean(second));
  const double scale =
      std::sqrt(number::SumOfSquares(a)) * std::sqrt(number::SumOfSquares(b));
  return scale > 0 ? std::clamp(number::Dot(a, b) / scale, -1.0, 1.0) : 0.0;
}

Component FromMean(std::string name, int input, const MeanOfReadings& mean) {
  return {.name = std::move(name),
          .input = input,
          .standard_uncertainty = mean.standard_uncertainty,
          .degrees_of_freedom = mean.degrees_of_freedom};
}

}  // namespace ratebound::points
