// A linear combination of measured quantities over the points of a fitted stage, such as
// capacity - L * power for a claim on a ratio (Fieller; see engine/claim), as a response
// to fit.
//
// Example:
//   ASSIGN_OR_RETURN(CombinationData data, CombinationOf(map, points, combination));
//   ASSIGN_OR_RETURN(ModelFit fitted, FitModel(data.Problem(map), {.degree = 2},
//   purpose));
//
// Errors: INVALID_ARGUMENT where a point is missing or has no such quantity.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_MAP_COMBINATION_H_
#define RATEBOUND_ENGINE_MAP_COMBINATION_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/map.h"
#include "engine/document/points.h"
#include "engine/map/model_fit.h"

namespace ratebound::map {

// One term of a combination: factor times quantity.
struct WeightedQuantity {
  std::string quantity;
  double factor = 1;
};

struct CombinationData {
  std::string name;  // "total_capacity -3 power_input"
  std::vector<double> values;
  std::vector<std::vector<double>> columns;
  std::vector<int> blocks;  // empty where no point names one
  std::vector<std::string> block_names;
  std::vector<double> standard_si;  // empty: all alike

  // Refers to this and to the map.
  ResponseProblem Problem(const document::StageMap& map) const;
};

// `points` holds at least those that `map` names.
absl::StatusOr<CombinationData> CombinationOf(
    const document::StageMap& map, std::span<const document::TestPoint> points,
    std::span<const WeightedQuantity> combination);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_COMBINATION_H_
