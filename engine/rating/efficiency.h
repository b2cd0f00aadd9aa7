// The metric's own figure for a capacity and a power.
#ifndef RATEBOUND_ENGINE_RATING_EFFICIENCY_H_
#define RATEBOUND_ENGINE_RATING_EFFICIENCY_H_

#include "engine/document/procedure.h"

namespace ratebound::rating {

// Whether the metric is power over capacity (kW/ton), so that less is better. Such
// figures are weighted harmonically; a metric of capacity over power by the plain mean.
bool IsSpecificPower(const document::Procedure& procedure);

class EfficiencyRule {
 public:
  explicit EfficiencyRule(const document::Procedure& procedure)
      : specific_power_(IsSpecificPower(procedure)),
        unit_constant_(procedure.unit_constant.value) {}

  bool specific_power() const { return specific_power_; }

  // Capacity over power, or power over capacity, in the unit of the metric. Both above 0
  // and in the procedure's units.
  double FigureOf(double capacity, double power) const {
    return specific_power_ ? unit_constant_ * power / capacity
                           : unit_constant_ * capacity / power;
  }
  // The figure of an efficiency that is `factor` times that of `figure`.
  double Scaled(double figure, double factor) const {
    return specific_power_ ? figure / factor : figure * factor;
  }

 private:
  bool specific_power_;
  double unit_constant_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_EFFICIENCY_H_
