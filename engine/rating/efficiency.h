// The metric's own figure for a capacity and a power.
#ifndef RATEBOUND_ENGINE_RATING_EFFICIENCY_H_
#define RATEBOUND_ENGINE_RATING_EFFICIENCY_H_

#include "engine/document/procedure.h"

namespace ratebound::rating {

// Whether the metric is power over capacity (kW/ton), so that less is better. Such
// figures are weighted harmonically; a metric of capacity over power by the plain mean.
inline bool IsSpecificPower(const document::Procedure& procedure) {
  return procedure.aggregation == document::Aggregation::kWeightedHarmonic;
}

// Capacity over power, or power over capacity, in the unit of the metric. Both above 0.
inline double FigureOf(const document::Procedure& procedure, double capacity_w,
                       double power_w) {
  const double unit_constant = procedure.unit_constant.value;
  return IsSpecificPower(procedure) ? unit_constant * power_w / capacity_w
                                    : unit_constant * capacity_w / power_w;
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_EFFICIENCY_H_
