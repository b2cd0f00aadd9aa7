// Weighted figures made one, with their trace and the weakest footing among them.
#ifndef RATEBOUND_ENGINE_RATING_WEIGHTED_TOTAL_H_
#define RATEBOUND_ENGINE_RATING_WEIGHTED_TOTAL_H_

#include <string>
#include <vector>

#include "engine/document/procedure.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

// What a point comes to, with all that it rests on.
struct WeightedPoint {
  std::string id;
  std::string label;
  document::CitedValue weight;
  double figure = 0;  // in the unit of the metric
  FigureFooting footing = {};
  TraceNode trace = {};  // without label, value, unit and footing

  // Counts the footing of a run in.
  void RestsOn(FigureFooting run);
};

class WeightedTotal {
 public:
  explicit WeightedTotal(const document::Procedure& procedure);

  // In the order of the points.
  void Add(WeightedPoint point);

  // Value, footing and trace; notes are left to the caller.
  Explanation Take() &&;

 private:
  const document::Procedure& procedure_;
  bool specific_power_;
  double sum_ = 0;
  std::vector<std::string> terms_;
  document::Footing footing_ = document::Footing::kUnspecified;
  std::string footing_reason_;
  std::vector<TraceNode> inputs_;
};

// "point A is extrapolated: ...", or "it is ..." for a figure of one point.
std::string FootingText(const std::string& point, const FigureFooting& footing);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_WEIGHTED_TOTAL_H_
