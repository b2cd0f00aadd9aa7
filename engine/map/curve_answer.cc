#include "engine/map/curve_answer.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/fluid/liquid.h"
#include "engine/fluid/moist_air.h"
#include "engine/map/curve_fit.h"

namespace ratebound::map {
namespace {

using document::CurveFit;
using document::CurveRequest;
using document::SiValue;

// The conditions of a question, asked for by name.
class Conditions {
 public:
  Conditions(std::span<const SiValue> values, std::vector<std::string> known)
      : values_(values), known_(std::move(known)) {}

  std::optional<double> Find(const std::string& quantity) const {
    for (const SiValue& value : values_) {
      if (value.quantity == quantity) return value.value_si;
    }
    return {};
  }

  double Need(const std::string& quantity) {
    const std::optional<double> value = Find(quantity);
    if (value) return *value;
    faults_.Add({.field = "conditions",
                 .message = absl::StrCat(quantity, " is missing"),
                 .remedy = absl::StrCat("give it; the curve takes ",
                                        absl::StrJoin(known_, ", "))});
    return 0;
  }

  absl::Status Check() {
    for (const SiValue& value : values_) {
      if (std::find(known_.begin(), known_.end(), value.quantity) != known_.end()) {
        continue;
      }
      faults_.Add(
          {.field = "conditions",
           .message = absl::StrCat("the curve does not depend on ", value.quantity,
                                   base::DidYouMean(value.quantity, known_)),
           .remedy = absl::StrCat("it takes ", absl::StrJoin(known_, ", "))});
    }
    return faults_.ToStatus();
  }

 private:
  std::span<const SiValue> values_;
  std::vector<std::string> known_;
  base::FaultList faults_;
};

// Marks the answer where a value lies outside of what was tested.
void Judge(const CurveFit& curve, const std::string& quantity, double value_si,
           CurveAnswer& answer) {
  for (const document::TestedSpan& span : curve.tested) {
    if (span.quantity != quantity) continue;
    // Half a percent of the value is rounding of units, not another condition.
    const double slack =
        0.005 * std::max(std::fabs(span.low_si), std::fabs(span.high_si));
    if (value_si >= span.low_si - slack && value_si <= span.high_si + slack) return;
    answer.footing = document::Footing::kExtrapolated;
    absl::StrAppendFormat(&answer.footing_reason,
                          "%s%s of %.6g is outside of what was tested, %.6g to %.6g (SI)",
                          answer.footing_reason.empty() ? "" : "; ", quantity, value_si,
                          span.low_si, span.high_si);
  }
}

absl::StatusOr<fluid::LiquidState> StateOf(const std::string& name, double concentration,
                                           double temperature_c) {
  ASSIGN_OR_RETURN(const fluid::LiquidKind kind, fluid::ParseLiquidKind(name));
  return fluid::Describe({kind, kind == fluid::LiquidKind::kWater ? 0 : concentration},
                         temperature_c, fluid::kUsualLiquidPressurePa);
}

absl::StatusOr<CurveAnswer> AnswerLiquid(const CurveRequest& request,
                                         const CurveFit& curve,
                                         std::span<const SiValue> values,
                                         const AskedLiquid& liquid) {
  Conditions conditions(values, {request.flow, request.temperature});
  const double flow = conditions.Need(request.flow);
  const double temperature_c = conditions.Need(request.temperature);
  RETURN_IF_ERROR(conditions.Check());
  const double own_concentration = request.concentration_fraction.value_or(0);
  ASSIGN_OR_RETURN(const fluid::LiquidState own,
                   StateOf(request.liquid, own_concentration, temperature_c));
  const bool other = !liquid.name.empty();
  ASSIGN_OR_RETURN(
      const fluid::LiquidState asked,
      StateOf(other ? liquid.name : request.liquid,
              other ? liquid.concentration_fraction : own_concentration, temperature_c));
  ASSIGN_OR_RETURN(const double drop_pa,
                   PressureDrop(curve, flow, asked.density_kg_m3, asked.viscosity_pa_s));
  CurveAnswer answer;
  answer.figures.push_back({.quantity = request.pressure_drop, .value_si = drop_pa});
  Judge(curve, request.flow, flow, answer);
  if (!other) Judge(curve, request.temperature, temperature_c, answer);
  if (other) {
    ASSIGN_OR_RETURN(const double own_drop_pa,
                     PressureDrop(curve, flow, own.density_kg_m3, own.viscosity_pa_s));
    if (answer.footing == document::Footing::kInterpolated) {
      answer.footing = document::Footing::kPredicted;
    }
    absl::StrAppendFormat(
        &answer.footing_reason,
        "%stested with %s; by density and viscosity %s takes %.3f times its drop",
        answer.footing_reason.empty() ? "" : "; ", request.liquid, liquid.name,
        drop_pa / own_drop_pa);
  }
  return answer;
}

absl::StatusOr<CurveAnswer> AnswerFan(const CurveFit& curve,
                                      std::span<const SiValue> values) {
  const bool knows_speed =
      std::any_of(curve.tested.begin(), curve.tested.end(),
                  [](const auto& span) { return span.quantity == "fan_speed"; });
  std::vector<std::string> known = {"external_static_pressure"};
  if (knows_speed) known.push_back("fan_speed");
  known.push_back("entering_air_db");
  known.push_back("barometric_pressure");
  Conditions conditions(values, std::move(known));
  const double pressure_pa = conditions.Need("external_static_pressure");
  const double speed = knows_speed ? conditions.Need("fan_speed") : 1;
  RETURN_IF_ERROR(conditions.Check());
  const auto dry_bulb = conditions.Find("entering_air_db");
  const double density = dry_bulb ? 1 / fluid::SpecificVolume<fluid::Si>(
                                            *dry_bulb, 0.0,
                                            conditions.Find("barometric_pressure")
                                                .value_or(fluid::Si::kSeaLevelPressure))
                                  : kStandardAirDensity;
  ASSIGN_OR_RETURN(const FanState state, FanAt(curve, pressure_pa, speed, density));
  CurveAnswer answer;
  answer.figures.push_back({.quantity = "air_flow", .value_si = state.air_flow_m3_per_s});
  if (std::isfinite(state.power_w)) {
    answer.figures.push_back({.quantity = "indoor_fan_power", .value_si = state.power_w});
  }
  Judge(curve, "external_static_pressure", pressure_pa, answer);
  if (knows_speed) Judge(curve, "fan_speed", speed, answer);
  return answer;
}

}  // namespace

absl::StatusOr<CurveAnswer> AnswerCurve(const CurveRequest& request,
                                        const CurveFit& curve,
                                        std::span<const SiValue> conditions,
                                        const AskedLiquid& liquid) {
  if (request.kind == document::CurveKind::kFan) return AnswerFan(curve, conditions);
  return AnswerLiquid(request, curve, conditions, liquid);
}

}  // namespace ratebound::map
