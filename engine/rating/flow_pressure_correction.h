// Power of a fan or pump against a pressure, and what a procedure does with it.
//
//   power = (flow * factor) * (pressure * factor) / divisor
//
// as ISO 13256-1:1998 has it for the indoor fan and the liquid pump, in the I-P working
// form of makers' catalogues (cfm * 0.472) * (in_wg * 249) / 300 and
// (gpm * 0.0631) * (ft of water * 2990) / 300, all constants being data of the file. It
// is added to or taken off the power, and, times a constant, the capacity: a fan's heat
// is taken out of a cooling capacity and is part of a heating one.
#ifndef RATEBOUND_ENGINE_RATING_FLOW_PRESSURE_CORRECTION_H_
#define RATEBOUND_ENGINE_RATING_FLOW_PRESSURE_CORRECTION_H_

#include <span>
#include <utility>

#include "absl/status/statusor.h"
#include "engine/document/procedure_forms.h"
#include "engine/rating/figure_term.h"

namespace ratebound::rating {

// Flow and pressure are already times their factors.
inline double FlowPressurePower(double flow, double pressure, double divisor) {
  return flow * pressure / divisor;
}

inline double Signed(document::TermSign sign, double value) {
  switch (sign) {
    case document::TermSign::kAdded:
      return value;
    case document::TermSign::kSubtracted:
      return -value;
    case document::TermSign::kNone:
      break;
  }
  return 0;
}

class FlowPressureTerm {
 public:
  static absl::StatusOr<FlowPressureTerm> Create(
      const CompileContext& context, const document::FlowPressureCorrection& correction);

  // In the procedure's unit of power; NaN where flow or pressure is not known.
  double Power(std::span<const double> figures_si,
               std::span<const double> conditions_si) const {
    return FlowPressurePower(flow_.Value(figures_si, conditions_si),
                             pressure_.Value(figures_si, conditions_si), divisor_);
  }
  // What is added to power and capacity, in their units, for that power.
  double InPower(double power) const { return Signed(in_power_, power); }
  double InCapacity(double power) const {
    return Signed(in_capacity_, capacity_factor_ * power);
  }
  TraceNode Trace(std::span<const double> figures_si,
                  std::span<const double> conditions_si,
                  const std::string& power_unit) const;

 private:
  FlowPressureTerm(const document::FlowPressureCorrection& correction, Term flow,
                   Term pressure)
      : correction_(correction),
        flow_(std::move(flow)),
        pressure_(std::move(pressure)),
        in_power_(correction.in_power),
        in_capacity_(correction.in_capacity) {}

  const document::FlowPressureCorrection& correction_;
  Term flow_;
  Term pressure_;
  document::TermSign in_power_;
  document::TermSign in_capacity_;
  double divisor_ = 1;
  double capacity_factor_ = 0;
  std::vector<TraceNode> constants_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_FLOW_PRESSURE_CORRECTION_H_
