#include "engine/screen/balances.h"

#include <cmath>
#include <optional>
#include <string_view>

#include "absl/strings/str_format.h"
#include "engine/screen/check.h"

namespace ratebound::screen {
namespace {

// Liquid water at 20 degC and 0.1 MPa, IAPWS-IF97 region 1 (IAPWS R7-97(2012)), rounded,
// from memory; good to 1 % between 5 and 50 degC, within the tolerance of a balance.
constexpr double kWaterHeatJPerM3K = 998.2 * 4184;

double UncertaintyK(const document::LineManifest& manifest, std::string_view quantity) {
  for (const document::SystematicUncertainty& u : manifest.systematic_uncertainties) {
    if (u.quantity == quantity) return u.absolute_si;
  }
  return kWaterTemperatureSlackK;
}

struct WaterSide {
  std::string_view entering;
  std::string_view leaving;
  std::string_view flow;
};
constexpr WaterSide kWaterSides[] = {
    {"entering_water_temp", "leaving_water_temp", "water_flow"},
    {"entering_condenser_water_temp", "leaving_condenser_water_temp",
     "condenser_water_flow"},
};

}  // namespace

std::vector<std::string> CheckBalances(const document::LineManifest& manifest,
                                       const document::Mode& mode,
                                       const document::TestPoint& point) {
  std::vector<std::string> sentences;
  const bool heating = mode.kind == document::ModeKind::kHeating;
  const std::string_view net = heating ? "heating_capacity" : "total_capacity";
  const std::optional<double> capacity_w = point.Find(net);
  const std::optional<double> power_w = point.Find("power_input");
  const auto compare = [&](std::string_view what, double measured_w, double slack_w) {
    const double expected_w = heating ? *capacity_w - *power_w : *capacity_w + *power_w;
    const double apart_w = measured_w - expected_w;
    if (std::fabs(apart_w) <= kBalanceTolerance * std::fabs(expected_w) + slack_w) return;
    sentences.push_back(absl::StrFormat(
        "energy balance: %s of %.6g W is %.1f %% %s %s %s power_input, %.6g W", what,
        measured_w, 100 * std::fabs(apart_w / expected_w),
        apart_w > 0 ? "above" : "below", net, heating ? "less" : "plus", expected_w));
  };
  if (capacity_w && power_w) {
    const std::string_view heat = heating ? "heat_absorbed" : "heat_rejection";
    if (const std::optional<double> heat_w = point.Find(heat)) compare(heat, *heat_w, 0);
    for (const WaterSide& side : kWaterSides) {
      const std::optional<double> entering_c = point.Find(side.entering);
      const std::optional<double> leaving_c = point.Find(side.leaving);
      const std::optional<double> flow_m3_per_s = point.Find(side.flow);
      if (!entering_c || !leaving_c || !flow_m3_per_s) continue;
      const double w_per_k = kWaterHeatJPerM3K * *flow_m3_per_s;
      const double change_k =
          heating ? *entering_c - *leaving_c : *leaving_c - *entering_c;
      const double slack_k =
          UncertaintyK(manifest, side.entering) + UncertaintyK(manifest, side.leaving);
      compare(heating ? "heat taken from the water" : "heat given to the water",
              w_per_k * change_k, w_per_k * slack_k);
    }
  }
  const std::optional<double> total_w = point.Find("total_capacity");
  const std::optional<double> sensible_w = point.Find("sensible_capacity");
  if (total_w && sensible_w && *sensible_w > *total_w * (1 + kSensibleExcess)) {
    sentences.push_back(
        absl::StrFormat("sensible_capacity of %.6g W is above total_capacity, %.6g W",
                        *sensible_w, *total_w));
  }
  return sentences;
}

}  // namespace ratebound::screen
