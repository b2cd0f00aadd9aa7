// What a curve says at conditions that somebody asks for, in quantities.
//
// Example:
//   ASSIGN_OR_RETURN(CurveAnswer answer,
//                    AnswerCurve(request, fit, {{"water_flow", 0.0019},
//                                               {"entering_water_temp", 12}}, liquid));
//   answer.figures[0].quantity;    // "water_pressure_drop", in Pa
//
// A liquid's curve takes its flow and temperature, and another liquid than its own where
// one is given; beside the drop it says by how much the drop exceeds that of the liquid
// it was tested with. A fan's takes external_static_pressure, fan_speed where it was
// measured, and entering_air_db and barometric_pressure, without which the air is
// standard air.
//
// INVALID_ARGUMENT, all faults together, for conditions that are missing, unknown to the
// curve or impossible; FAILED_PRECONDITION where the curve has no answer.
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_MAP_CURVE_ANSWER_H_
#define RATEBOUND_ENGINE_MAP_CURVE_ANSWER_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/curve.h"
#include "engine/document/measure.h"
#include "engine/document/points.h"

namespace ratebound::map {

struct AskedLiquid {
  std::string name;  // empty: the curve's own
  double concentration_fraction = 0;
};

struct CurveAnswer {
  std::vector<document::SiValue> figures;
  document::Footing footing = document::Footing::kInterpolated;
  std::string footing_reason;  // empty inside of what was tested
};

absl::StatusOr<CurveAnswer> AnswerCurve(const document::CurveRequest& request,
                                        const document::CurveFit& curve,
                                        std::span<const document::SiValue> conditions,
                                        const AskedLiquid& liquid);

}  // namespace ratebound::map

#endif  // RATEBOUND_ENGINE_MAP_CURVE_ANSWER_H_
