// A unit whose figures a function gives by name: what is easiest to write down for a
// table or a formula. Ratings themselves ask a FigureSource (figure_source.h), and of a
// RatedUnit through RatedUnitSource (function_figure_source.h).
//
// Example:
//   RatedUnit rated{.unit = unit, .mode = unit.modes[0]};
//   rated.evaluate = [&](int stage, std::span<const QuantityValue> conditions) { ... };
//   ASSIGN_OR_RETURN(document::Rating rating, RateUnit(procedure, rated));
//
// All values are SI. `evaluate` must give the same figures for the same question.
#ifndef RATEBOUND_ENGINE_RATING_RATED_UNIT_H_
#define RATEBOUND_ENGINE_RATING_RATED_UNIT_H_

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/measure.h"

namespace ratebound::rating {

struct QuantityValue {
  std::string quantity;
  double value_si = 0;
};

// What one stage does: capacity, power and whatever else is known of it.
struct StageFigures {
  std::vector<QuantityValue> quantities;
  document::Footing footing = document::Footing::kUnspecified;
  std::string footing_reason;  // why the footing is no better; may be empty
  std::vector<std::string> test_points = {};  // the one tested there, or the nearest

  // Null where the quantity is not known.
  const double* Find(const std::string& quantity) const;
};

struct RatedUnit {
  document::Unit unit;
  // The mode that is rated. Its stages and conditions are what `evaluate` is asked for,
  // its held conditions are what the figures hold at without asking.
  document::Mode mode;
  // `stage` counts from 0 in the order of mode.stages; `conditions` are those of
  // mode.conditions, in that order. An error means that the stage has no figures there,
  // and becomes a refusal.
  std::function<absl::StatusOr<StageFigures>(int stage,
                                             std::span<const QuantityValue> conditions)>
      evaluate;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_RATED_UNIT_H_
