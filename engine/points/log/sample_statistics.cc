#include "engine/points/log/sample_statistics.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "engine/points/uncertainty/type_a.h"

namespace ratebound::points {
namespace {

constexpr int kMostBatches = 64;
constexpr size_t kLanes = 4;

double Total(const std::array<double, kLanes>& lanes) {
  return (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]);
}

}  // namespace

// Sums run in four lanes, a reading's lane being its place modulo 4, which a processor
// adds side by side; the order is fixed all the same.
SampleStatistics StatisticsOf(std::span<const double> readings) {
  SampleStatistics statistics{.count = static_cast<int>(readings.size())};
  const auto n = static_cast<double>(readings.size());
  const size_t whole = readings.size() / kLanes * kLanes;
  const double first = readings[0];
  std::array<double, kLanes> sum = {}, least, greatest;
  least.fill(first);
  greatest.fill(first);
  const auto take = [&](size_t i, size_t lane) {
    sum[lane] += readings[i] - first;
    least[lane] = std::min(least[lane], readings[i]);
    greatest[lane] = std::max(greatest[lane], readings[i]);
  };
  for (size_t i = 0; i < whole; i += kLanes) {
    for (size_t lane = 0; lane < kLanes; ++lane) take(i + lane, lane);
  }
  for (size_t i = whole; i < readings.size(); ++i) take(i, i - whole);
  statistics.least = std::min({least[0], least[1], least[2], least[3]});
  statistics.greatest = std::max({greatest[0], greatest[1], greatest[2], greatest[3]});
  const double offset = Total(sum) / n;
  statistics.mean = first + offset;
  if (readings.size() < 2) return statistics;
  std::array<double, kLanes> squares = {}, rest = {};
  const auto square = [&](size_t i, size_t lane) {
    const double residual = (readings[i] - first) - offset;
    squares[lane] += residual * residual;
    rest[lane] += residual;
  };
  for (size_t i = 0; i < whole; i += kLanes) {
    for (size_t lane = 0; lane < kLanes; ++lane) square(i + lane, lane);
  }
  for (size_t i = whole; i < readings.size(); ++i) square(i, i - whole);
  const double lost = Total(rest);
  statistics.standard_deviation =
      std::sqrt(std::max(0.0, (Total(squares) - lost * lost / n) / (n - 1)));
  return statistics;
}

int EffectiveReadings(std::span<const double> readings, double deviation) {
  const int count = static_cast<int>(readings.size());
  if (count <= 2) return count;
  if (deviation == 0) return count;
  const int batch = (count + kMostBatches - 1) / kMostBatches;
  std::vector<double> means;
  for (int begin = count % batch; begin < count; begin += batch) {
    double sum = 0;
    for (int i = begin; i < begin + batch; ++i) {
      sum += readings[static_cast<size_t>(i)] - readings[0];
    }
    means.push_back(sum / batch);  // from the first reading: their scatter counts
  }
  const auto mean = MeanOfLog(means);
  if (!mean.ok()) return 2;
  const double ratio = deviation / mean->standard_uncertainty;
  if (!(ratio * ratio < count)) return count;
  return std::max(2, static_cast<int>(std::floor(ratio * ratio)));
}

}  // namespace ratebound::points
