// Collects how a point was reduced: each intermediate value in the unit of the method
// that asks for it, with the formula in words and where it stands.
//
// Example:
//   StepRecorder steps;
//   RETURN_IF_ERROR(Reduce(plan, readings, results, &steps));
//   for (const document::TraceStep& step : steps.steps()) ...
//
// Thread-safety: as a std::vector.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_STEP_RECORDER_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_STEP_RECORDER_H_

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/document/citation.h"
#include "engine/document/rating.h"

namespace ratebound::points {

class StepRecorder {
 public:
  void Add(int depth, std::string_view label, double value, std::string_view unit,
           std::string how, const document::Citation& citation = {}) {
    steps_.push_back({.depth = depth,
                      .label = std::string(label),
                      .value = value,
                      .unit = std::string(unit),
                      .how = std::move(how),
                      .clause = citation.source,
                      .basis = citation.basis,
                      .footing = document::Footing::kTested});
  }
  const std::vector<document::TraceStep>& steps() const { return steps_; }
  void Clear() { steps_.clear(); }

 private:
  std::vector<document::TraceStep> steps_;
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_STEP_RECORDER_H_
