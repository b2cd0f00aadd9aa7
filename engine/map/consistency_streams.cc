#include "engine/map/consistency_streams.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/status_macros.h"
#include "engine/fluid/liquid.h"
#include "engine/map/consistency.h"
#include "engine/map/fit_line.h"
#include "engine/map/shape.h"
#include "engine/map/shape_change.h"

namespace ratebound::map {
namespace {

using document::ConsistencyResult;
using document::ShapeOutcome;
using document::StageMap;
using document::Surface;

constexpr double kWaterPressurePa = fluid::kUsualLiquidPressurePa;
constexpr double kStandardAirKgPerM3 = 1.2;
constexpr double kMoistAirSpecificHeatJPerKgK = 1020;

enum class Side { kFar, kConditioned, kAir };

struct Stream {
  const char* leaving;
  const char* entering;
  const char* flow;
  Side side;
};

constexpr Stream kStreams[] = {
    {"leaving_water_temp", "entering_water_temp", "water_flow", Side::kFar},
    {"leaving_condenser_water_temp", "entering_condenser_water_temp",
     "condenser_water_flow", Side::kFar},
    {"leaving_chilled_water_temp", "entering_chilled_water_temp", "chilled_water_flow",
     Side::kConditioned},
    {"leaving_air_db", "entering_air_db", "standard_air_flow", Side::kAir},
};

// A condition of each point, or the value that it is held at.
struct Input {
  int condition = -1;
  double held_si = 0;

  double At(const StageMap& map, size_t point) const {
    return condition < 0
               ? held_si
               : map.point_conditions_si[point * map.conditions.size() + condition];
  }
};

std::optional<Input> FindInput(const StageMap& map, const std::string& quantity) {
  if (const int index = ConditionIndex(map, quantity); index >= 0) {
    return Input{.condition = index};
  }
  for (size_t i = 0; i < map.held_conditions.size(); ++i) {
    if (map.held_conditions[i] == quantity)
      return Input{.held_si = map.held_values_si[i]};
  }
  return {};
}

struct HeatTerm {
  const Surface* surface;
  double factor;
};

// The heat that the stream takes up, as a sum of surfaces.
absl::StatusOr<std::vector<HeatTerm>> HeatOf(const Stream& stream,
                                             const document::Mode& mode,
                                             const StageMap& map) {
  const bool cooling = mode.kind == document::ModeKind::kCooling;
  std::vector<std::pair<std::string, double>> wanted;
  switch (stream.side) {
    case Side::kFar:
      wanted = {{mode.capacity_quantity, cooling ? 1.0 : -1.0}, {mode.power_quantity, 1}};
      break;
    case Side::kConditioned:
      wanted = {{mode.capacity_quantity, cooling ? -1.0 : 1.0}};
      break;
    case Side::kAir:
      wanted = {
          {cooling ? "sensible_capacity" : mode.capacity_quantity, cooling ? -1.0 : 1.0}};
      break;
  }
  std::vector<HeatTerm> heat;
  for (const auto& [quantity, factor] : wanted) {
    ASSIGN_OR_RETURN(const Surface* surface, JudgedSurface(map, quantity));
    heat.push_back({surface, factor});
  }
  return heat;
}

absl::Status Judge(const Stream& stream, const document::Mode& mode, const StageMap& map,
                   const Input& entering, const Input& flow, ConsistencyResult& result) {
  ASSIGN_OR_RETURN(const Surface* leaving, JudgedSurface(map, stream.leaving));
  ASSIGN_OR_RETURN(const std::vector<HeatTerm> heat, HeatOf(stream, mode, map));
  const size_t n = map.conditions.size();
  for (size_t k = 0; k < map.point_ids.size(); ++k) {
    double heat_w = 0;
    for (const HeatTerm& term : heat) {
      heat_w +=
          term.factor * ValueAtScaled(*term.surface, ScaledPoint(map, *term.surface, k));
    }
    const double entering_c = entering.At(map, k);
    const double leaving_c = ValueAtScaled(*leaving, ScaledPoint(map, *leaving, k));
    double heat_per_m3_k = kStandardAirKgPerM3 * kMoistAirSpecificHeatJPerKgK;
    if (stream.side != Side::kAir) {
      const fluid::Liquid water;
      const double mean_c = 0.5 * (entering_c + leaving_c);
      RETURN_IF_ERROR(fluid::CheckLiquid(water, mean_c, kWaterPressurePa));
      heat_per_m3_k = fluid::Density(water, mean_c, kWaterPressurePa) *
                      fluid::SpecificHeat(water, mean_c, kWaterPressurePa);
    }
    const double stream_w = flow.At(map, k) * heat_per_m3_k * (leaving_c - entering_c);
    const double mismatch_w = stream_w - heat_w;
    const auto place = [&map, k, n] {
      const auto row = map.point_conditions_si.begin() + static_cast<int64_t>(k * n);
      return std::vector<double>(row, row + static_cast<int64_t>(n));
    };
    if (k == 0 || std::fabs(mismatch_w) > std::fabs(result.greatest_mismatch_w)) {
      result.greatest_mismatch_w = mismatch_w;
      result.mismatch_bound_w = std::fabs(mismatch_w);
      result.greatest_mismatch_at_si = place();
    }
    const double fraction = heat_w == 0 ? 0 : std::fabs(mismatch_w / heat_w);
    if (k == 0 || fraction > result.greatest_fraction) {
      result.greatest_fraction = fraction;
      result.greatest_fraction_at_si = place();
    }
  }
  const bool within = result.greatest_fraction <= result.tolerance_fraction;
  result.outcome = within ? ShapeOutcome::kUndecided : ShapeOutcome::kRefuted;
  result.reason = absl::StrFormat(
      "%s at the %d tested points, and only looked at there: flow times temperature is "
      "no "
      "sum of surfaces; the greatest mismatch is %.6g W, and %.3g %% of the heat at %s, "
      "against a tolerance of %.3g %%",
      within ? "closes" : "does not close", map.point_ids.size(),
      result.greatest_mismatch_w, 100 * result.greatest_fraction,
      PlaceText(map, result.greatest_fraction_at_si), 100 * result.tolerance_fraction);
  return absl::OkStatus();
}

}  // namespace

std::vector<ConsistencyResult> JudgeStreams(const document::Mode& mode,
                                            const StageMap& map) {
  std::vector<ConsistencyResult> results;
  for (const Stream& stream : kStreams) {
    const auto entering = FindInput(map, stream.entering);
    const auto flow = FindInput(map, stream.flow);
    if (!entering || !flow ||
        FindSurface(map, stream.leaving, document::SurfacePurpose::kTable) == nullptr) {
      continue;
    }
    if (stream.side != Side::kAir && FindInput(map, "fluid_concentration")) continue;
    ConsistencyResult result{
        .id = stream.leaving,
        .text = absl::StrCat("heat = ", stream.flow, " * density * specific heat * (",
                             stream.leaving, " - ", stream.entering, ")"),
        .at_points_only = true,
        .tolerance_fraction = kBalanceTolerance};
    const absl::Status status = Judge(stream, mode, map, *entering, *flow, result);
    if (!status.ok()) {
      result.outcome = ShapeOutcome::kNotJudged;
      result.reason = std::string(status.message());
    }
    results.push_back(std::move(result));
  }
  return results;
}

}  // namespace ratebound::map
