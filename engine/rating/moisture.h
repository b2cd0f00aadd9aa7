// Water taken out of an air stream.
//
//   removal = mass flow of dry air * (entering humidity ratio - leaving humidity ratio)
//
// A flow measured as standard air or by nozzles may be of moist air; it then holds
// 1 / (1 + W) of dry air, W being the humidity ratio where it was measured. Leaving that
// out makes the removal too large by W, 1.0 to 1.7 % for outdoor air in summer.
//
// The difference of humidity ratios is small where the entering air is nearly as dry as
// the supply: entering at a dew point of 56 degF and leaving at 55, a supply dew point
// off by 0.3 degF is a fifth of the removal. Condensate by mass does not suffer from
// that.
#ifndef RATEBOUND_ENGINE_RATING_MOISTURE_H_
#define RATEBOUND_ENGINE_RATING_MOISTURE_H_

#include <optional>
#include <span>
#include <string>

#include "absl/status/statusor.h"
#include "engine/document/procedure_forms.h"
#include "engine/rating/figure_term.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

inline double DryAirFlow(double mass_flow, document::FlowMass mass, double entering_ratio,
                         double leaving_ratio) {
  switch (mass) {
    case document::FlowMass::kDryAir:
      return mass_flow;
    case document::FlowMass::kMoistEntering:
      return mass_flow / (1 + entering_ratio);
    case document::FlowMass::kMoistLeaving:
      return mass_flow / (1 + leaving_ratio);
  }
  return mass_flow;
}

inline double MoistureRemoval(double dry_air_flow, double entering_ratio,
                              double leaving_ratio) {
  return dry_air_flow * (entering_ratio - leaving_ratio);
}

// The humidity ratio of a stream from whatever tells it (ASHRAE Handbook of Fundamentals,
// by engine/fluid).
class StreamHumidity {
 public:
  static absl::StatusOr<StreamHumidity> Create(const CompileContext& context,
                                               const document::HumidityTerm& term,
                                               double pressure_pa);
  // kg/kg; NaN where it is not known or cannot be.
  double Ratio(std::span<const double> figures_si,
               std::span<const double> conditions_si) const;
  TraceNode Trace(const std::string& label, std::span<const double> figures_si,
                  std::span<const double> conditions_si) const;

 private:
  enum class By { kRatio, kWetBulb, kDewPoint, kRelativeHumidity };

  StreamHumidity(By by, RunQuantity humidity, double pressure_pa)
      : by_(by), humidity_(std::move(humidity)), pressure_pa_(pressure_pa) {}

  By by_;
  RunQuantity humidity_;
  std::optional<RunQuantity> dry_bulb_;
  double pressure_pa_;
};

// The removal by the air side, in the procedure's unit of capacity.
class AirSideRemoval {
 public:
  static absl::StatusOr<AirSideRemoval> Create(const CompileContext& context,
                                               const document::AirSideMoisture& rule);
  double Value(std::span<const double> figures_si,
               std::span<const double> conditions_si) const;
  TraceNode Trace(std::span<const double> figures_si,
                  std::span<const double> conditions_si, const std::string& label,
                  const std::string& unit) const;

 private:
  AirSideRemoval(const document::AirSideMoisture& rule, Term flow,
                 StreamHumidity entering, StreamHumidity leaving)
      : rule_(rule),
        flow_(std::move(flow)),
        entering_(std::move(entering)),
        leaving_(std::move(leaving)) {}

  const document::AirSideMoisture& rule_;
  Term flow_;
  StreamHumidity entering_;
  StreamHumidity leaving_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_MOISTURE_H_
