#include "engine/points/log/sample_statistics.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "engine/points/uncertainty/type_a.h"

namespace ratebound::points {
namespace {

constexpr int kMostBatches = 256;

}  // namespace

SampleStatistics StatisticsOf(std::span<const double> readings) {
  SampleStatistics statistics{.count = static_cast<int>(readings.size()),
                              .least = readings[0],
                              .greatest = readings[0]};
  const auto n = static_cast<double>(readings.size());
  const double first = readings[0];
  double sum = 0;
  for (const double reading : readings) {
    sum += reading - first;
    statistics.least = std::min(statistics.least, reading);
    statistics.greatest = std::max(statistics.greatest, reading);
  }
  const double offset = sum / n;
  statistics.mean = first + offset;
  if (readings.size() < 2) return statistics;
  double squares = 0;
  double rest = 0;
  for (const double reading : readings) {
    const double residual = (reading - first) - offset;
    squares += residual * residual;
    rest += residual;
  }
  statistics.standard_deviation =
      std::sqrt(std::max(0.0, (squares - rest * rest / n) / (n - 1)));
  return statistics;
}

int EffectiveReadings(std::span<const double> readings) {
  const int count = static_cast<int>(readings.size());
  if (count <= 2) return count;
  const double deviation = StatisticsOf(readings).standard_deviation;
  if (deviation == 0) return count;
  const int batch = (count + kMostBatches - 1) / kMostBatches;
  std::vector<double> means;
  for (int begin = count % batch; begin < count; begin += batch) {
    means.push_back(StatisticsOf(readings.subspan(static_cast<size_t>(begin),
                                                  static_cast<size_t>(batch)))
                        .mean);
  }
  const auto mean = MeanOfLog(means);
  if (!mean.ok()) return 2;
  const double ratio = deviation / mean->standard_uncertainty;
  if (!(ratio * ratio < count)) return count;
  return std::max(2, static_cast<int>(std::floor(ratio * ratio)));
}

}  // namespace ratebound::points
