// One point's values with their uncertainty: what both the table of points and the chain
// of one point are made of. Inside of this room.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_POINTS_PIPELINE_POINT_FIGURES_H_
#define RATEBOUND_ENGINE_POINTS_PIPELINE_POINT_FIGURES_H_

#include <optional>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/points.h"
#include "engine/points/pipeline/mode_plans.h"
#include "engine/points/pipeline/reading_uncertainty.h"
#include "engine/points/reduction/reduce.h"
#include "engine/points/uncertainty/propagation.h"

namespace ratebound::points {

// Coverage of every expanded uncertainty.
inline constexpr double kCoverage = 0.95;

// What a point was read as and what follows. `gradients` has a row over inputs.quantities
// for each of `quantities`.
struct PointFigures {
  PointInputs inputs;
  std::vector<std::string>
      quantities;  // readings first, as in inputs; then computed ones
  std::vector<double> values_si;
  std::vector<double> gradients;
  std::vector<std::string> warnings;
};

// `entry` may be null: readings only. INVALID_ARGUMENT: what Of and Reduce refuse, and a
// figure that has no value or slope at these readings.
absl::StatusOr<PointFigures> FiguresOf(const ReadingUncertainty& uncertainty,
                                       const ModePlans::Entry* entry,
                                       const document::TestPoint& point);

// The readings of a point as its plan takes them.
Readings<double> PlanReadings(const ReductionPlan& plan, const PointInputs& inputs);

document::ValueUncertainty ToValueUncertainty(const OutputUncertainty& output,
                                              const CoverageFactors& factors);

// Whether any input that the row of gradients uses has a component, and those among them
// whose instrument is not known.
struct Knowledge {
  bool any = false;
  std::vector<std::string> missing;
};
Knowledge KnowledgeOf(const PointFigures& figures, size_t row);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_PIPELINE_POINT_FIGURES_H_
