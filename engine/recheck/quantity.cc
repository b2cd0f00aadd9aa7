#include "engine/recheck/quantity.h"

#include <algorithm>
#include <optional>

#include "absl/strings/str_cat.h"
#include "engine/fluid/water_heat.h"

namespace ratebound::recheck {
namespace {

using document::StageMap;

// A condition, or one that is held.
std::optional<SpanPolynomial> GivenIn(const PromiseInputs& inputs, const StageMap& map,
                                      const std::string& quantity) {
  for (size_t i = 0; i < map.conditions.size(); ++i) {
    if (map.conditions[i] == quantity) return ConditionIn(inputs.scale, i);
  }
  for (size_t i = 0; i < map.held_conditions.size(); ++i) {
    if (map.held_conditions[i] == quantity) {
      return NumberIn(inputs.size(), map.held_values_si[i]);
    }
  }
  return std::nullopt;
}

struct WaterSide {
  const char* leaving;
  const char* entering;  // empty for the difference
  const char* flow;
};
constexpr WaterSide kWaterSides[] = {
    {"leaving_water_temp", "entering_water_temp", "water_flow"},
    {"leaving_condenser_water_temp", "entering_condenser_water_temp",
     "condenser_water_flow"},
    {"water_temperature_difference", "", "water_flow"},
};

}  // namespace

absl::StatusOr<ReadQuantity> QuantityOf(const PromiseInputs& inputs, const StageMap& map,
                                        const std::string& quantity) {
  const size_t n = inputs.size();
  const auto one = [&](const std::string& name, double factor) {
    return FormulaTerm{&map, name, NumberIn(n, factor)};
  };
  ReadQuantity read{.over_factor = NumberIn(n, 1)};
  const bool fitted =
      std::any_of(map.surfaces.begin(), map.surfaces.end(),
                  [&](const auto& surface) { return surface.quantity == quantity; });
  if (fitted) {
    read.terms = {one(quantity, 1)};
    return read;
  }
  if (auto given = GivenIn(inputs, map, quantity)) {
    read.free = *std::move(given);
    return read;
  }
  const std::string& capacity = inputs.mode.capacity_quantity;
  const std::string& power = inputs.mode.power_quantity;
  const bool heating = inputs.mode.kind == document::ModeKind::kHeating;
  // Work becomes heat of the warm side.
  const double work = heating ? -1 : 1;
  if (quantity == "coefficient_of_performance" || quantity == "energy_efficiency_ratio") {
    read.terms = {one(capacity, 1)};
    read.over = power;
    return read;
  }
  if (quantity == "sensible_heat_ratio") {
    read.terms = {one("sensible_capacity", 1)};
    read.over = "total_capacity";
    return read;
  }
  if (quantity == "heat_rejection" || quantity == "heat_absorbed") {
    read.terms = {one(capacity, 1), one(power, work)};
    return read;
  }
  for (const WaterSide& side : kWaterSides) {
    if (quantity != side.leaving) continue;
    const auto flow = GivenIn(inputs, map, side.flow);
    const auto entering = *side.entering == 0 ? std::optional(SpanPolynomial())
                                              : GivenIn(inputs, map, side.entering);
    if (!flow || !entering) break;
    const Span per_k =
        Span(fluid::kWaterDensityKgPerM3) * fluid::kWaterSpecificHeatJPerKgK;
    const double sign = heating ? -1 : 1;  // the water gives what is absorbed
    read.terms = {one(capacity, sign), one(power, sign * work)};
    read.over_factor = Times(*flow, per_k);
    read.free = Product(*entering, read.over_factor);
    return read;
  }
  return absl::InvalidArgumentError(
      absl::StrCat("the release has no surface that ", quantity, " follows from"));
}

}  // namespace ratebound::recheck
