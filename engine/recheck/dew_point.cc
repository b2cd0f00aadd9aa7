#include "engine/recheck/dew_point.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "engine/base/status_macros.h"
#include "engine/fluid/psychrometric_limit.h"
#include "engine/recheck/fit.h"

namespace ratebound::recheck {
namespace {

constexpr char kDewPoint[] = "leaving_air_dew_point";
constexpr char kHumidityRatio[] = "leaving_air_humidity_ratio";
// The tangent is a secant this long, and so much more is taken off for sums before.
constexpr double kSecantK = 0.01;
constexpr double kRoundingK = 1e-9;

}  // namespace

bool FollowsFromHumidity(const document::Claim& claim, const document::StageMap& map) {
  return claim.IsPlain() && claim.quantity == kDewPoint && !claim.against &&
         !claim.limit_line && ProofSurfaceOf(map, kDewPoint) == nullptr &&
         ProofSurfaceOf(map, kHumidityRatio) != nullptr;
}

absl::StatusOr<Formula> DewPointFormula(const PromiseInputs& inputs,
                                        const document::StageMap& map,
                                        const LimitSide& side) {
  std::optional<double> pressure_pa;
  for (const document::HeldCondition& held : inputs.mode.held_conditions) {
    if (held.quantity == "barometric_pressure") pressure_pa = held.value_si;
  }
  if (!pressure_pa) {
    return absl::InvalidArgumentError("a dew point without a barometric pressure");
  }
  const double limit = side.limit_si;
  const double allowance = inputs.AllowanceAt(inputs.claim.allowance.absolute_si, limit);
  const auto humidity = [&](double dew_point, fluid::Side rounding) {
    return fluid::HumidityRatioLimit({dew_point, rounding}, *pressure_pa,
                                     fluid::PhaseAt<fluid::Si>(limit));
  };
  ASSIGN_OR_RETURN(const double at, humidity(limit, fluid::Side::kAtMost));
  ASSIGN_OR_RETURN(const double beyond, humidity(limit + kSecantK, fluid::Side::kAtMost));
  ASSIGN_OR_RETURN(const double below, humidity(limit - allowance, fluid::Side::kAtMost));
  ASSIGN_OR_RETURN(const double above,
                   humidity(limit + allowance, fluid::Side::kAtLeast));
  const double slope = (beyond - at) / kSecantK;  // kg/kg by K
  const size_t n = inputs.size();
  Formula formula{.sign = side.sign};
  formula.numerator = {{&map, kHumidityRatio, NumberIn(n, Span(1) / Span(slope))}};
  formula.free = NumberIn(n, Span(limit) - Span(at) / Span(slope));
  formula.over_factor = NumberIn(n, 1);
  formula.limit = NumberIn(n, limit);
  formula.allowance_si = std::max(at - below, above - at) / slope + kRoundingK;
  return formula;
}

}  // namespace ratebound::recheck
