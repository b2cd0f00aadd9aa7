// Heat or cooling that a procedure adds where the supply air misses a limit, such as
// electric heat below the least supply temperature of an outdoor-air unit:
//
//   heat  = flow * factor * (limit - supply temperature), or the other way round
//   power = heat / coefficient of performance
#ifndef RATEBOUND_ENGINE_RATING_SUPPLY_AIR_ADDITION_H_
#define RATEBOUND_ENGINE_RATING_SUPPLY_AIR_ADDITION_H_

#include <span>
#include <string>
#include <utility>

#include "absl/status/statusor.h"
#include "engine/document/procedure_forms.h"
#include "engine/rating/figure_term.h"
#include "engine/rating/flow_pressure_correction.h"

namespace ratebound::rating {

// How far a value is on the wrong side of the limit; 0 on the right one.
inline double DistanceFrom(double value, double limit, document::LimitSide wrong_side) {
  const double distance =
      wrong_side == document::LimitSide::kBelow ? limit - value : value - limit;
  return distance < 0 ? 0 : distance;
}

class SupplyAirTerm {
 public:
  static absl::StatusOr<SupplyAirTerm> Create(
      const CompileContext& context, const document::SupplyAirAddition& addition);

  // W; NaN where flow or supply temperature is not known.
  double HeatW(std::span<const double> figures_si,
               std::span<const double> conditions_si) const {
    const double distance =
        DistanceFrom(supply_.In(figures_si, conditions_si), limit_, rule_.wrong_side);
    const double heat = flow_.Value(figures_si, conditions_si) * distance;
    return quantity::ToSi(heat, heat_unit_);
  }
  double InCapacityW(double heat_w) const { return Signed(rule_.in_capacity, heat_w); }
  double InPowerW(double heat_w) const { return heat_w / coefficient_of_performance_; }
  TraceNode Trace(std::span<const double> figures_si,
                  std::span<const double> conditions_si) const;

 private:
  SupplyAirTerm(const document::SupplyAirAddition& rule, RunQuantity supply, Term flow)
      : rule_(rule), supply_(std::move(supply)), flow_(std::move(flow)) {}

  const document::SupplyAirAddition& rule_;
  RunQuantity supply_;
  Term flow_;
  quantity::Unit heat_unit_;
  double limit_ = 0;
  double coefficient_of_performance_ = 1;
  std::vector<TraceNode> constants_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SUPPLY_AIR_ADDITION_H_
