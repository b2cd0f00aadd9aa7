#include "engine/map/model_weights.h"

#include <algorithm>

namespace ratebound::map {
namespace {

double Median(std::vector<double> values) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : 0.5 * (values[half - 1] + values[half]);
}

}  // namespace

std::vector<double> RandomStandardOf(std::span<const document::TestPoint* const> points,
                                     std::string_view quantity) {
  std::vector<double> standard;
  standard.reserve(points.size());
  for (const document::TestPoint* point : points) {
    const document::SiValue* const value = point->FindValue(quantity);
    if (value == nullptr || !value->uncertainty) return {};
    standard.push_back(value->uncertainty->random_standard_si);
  }
  if (!(Median(standard) > 0)) return {};
  return standard;
}

std::vector<double> WeightsOf(std::span<const double> random_standard) {
  const double median = Median({random_standard.begin(), random_standard.end()});
  std::vector<double> weights;
  if (!(median > 0)) return weights;
  weights.reserve(random_standard.size());
  for (double standard : random_standard) {
    const double ratio = median / std::max(standard, kLeastOfMedian * median);
    weights.push_back(ratio * ratio);
  }
  return weights;
}

}  // namespace ratebound::map
