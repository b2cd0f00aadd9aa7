// A stage of an invented unit, measured on a grid and fitted, for tests of what is judged
// on maps.
#ifndef RATEBOUND_TESTS_ENGINE_MAP_FITTED_STAGE_H_
#define RATEBOUND_TESTS_ENGINE_MAP_FITTED_STAGE_H_

#include <algorithm>
#include <functional>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/map.h"
#include "engine/document/points.h"
#include "engine/map/fit_response.h"
#include "tests/testing/random.h"

namespace ratebound::map {

struct FittedStage {
  document::StageMap map;
  std::vector<document::TestPoint> points;
  std::vector<std::vector<double>> columns;

  // Every combination of the levels, which are evenly spread from low to high.
  FittedStage(std::vector<std::string> conditions, std::vector<double> low,
              std::vector<double> high, int levels) {
    map.unit = "u";
    map.mode = "m";
    map.stage = "s";
    map.conditions = std::move(conditions);
    map.tested_low_si = low;
    map.tested_high_si = high;
    map.capacity_quantity = "total_capacity";
    map.power_quantity = "power_input";
    const size_t n = map.conditions.size();
    columns.resize(n);
    std::vector<int> index(n, 0);
    for (size_t next = 0; next < n;) {
      document::TestPoint point{.id = absl::StrCat("p", points.size())};
      for (size_t i = 0; i < n; ++i) {
        const double x = low[i] + (high[i] - low[i]) * index[i] / (levels - 1);
        columns[i].push_back(x);
        map.point_conditions_si.push_back(x);
        point.values.push_back({.quantity = map.conditions[i], .value_si = x});
      }
      map.point_ids.push_back(point.id);
      points.push_back(std::move(point));
      next = 0;
      while (next < n && ++index[next] == levels) index[next++] = 0;
    }
  }

  using Function = std::function<double(const std::vector<double>&)>;

  // Measures a quantity with noise and fits a surface for tables and one for proofs.
  FittedStage& Measure(const std::string& quantity, int degree, const Function& truth,
                       double noise_sd = 0) {
    testing::Random random(quantity);
    std::vector<double> values;
    for (size_t k = 0; k < points.size(); ++k) {
      std::vector<double> x;
      for (const std::vector<double>& column : columns) x.push_back(column[k]);
      values.push_back(truth(x) + noise_sd * random.Normal());
      points[k].values.push_back({.quantity = quantity, .value_si = values.back()});
    }
    for (const auto purpose :
         {document::SurfacePurpose::kTable, document::SurfacePurpose::kProof}) {
      const auto fitted = FitResponse({.quantity = quantity,
                                       .values = values,
                                       .conditions = map.conditions,
                                       .columns = columns,
                                       .point_ids = map.point_ids},
                                      degree, purpose);
      map.surfaces.push_back(fitted.value().surface);
    }
    return *this;
  }
};

// The value of a surface at conditions in SI.
inline double ValueAt(const document::Surface& surface, const std::vector<double>& x) {
  const size_t n = x.size();
  double sum = 0;
  for (size_t t = 0; t < surface.coefficients_si.size(); ++t) {
    double term = surface.coefficients_si[t];
    for (size_t i = 0; i < n; ++i) {
      const double z = (x[i] - surface.centre_si[i]) / surface.half_range_si[i];
      for (int k = 0; k < surface.exponents[t * n + i]; ++k) term *= z;
    }
    sum += term;
  }
  return sum;
}

}  // namespace ratebound::map

#endif  // RATEBOUND_TESTS_ENGINE_MAP_FITTED_STAGE_H_
