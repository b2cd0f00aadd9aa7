#include "engine/map/stage_model.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/fluid/water_heat.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::map {
namespace {

using document::SurfacePurpose;

// Rounding of unit conversions does not put a condition outside a range.
constexpr double kEdgeFraction = 1e-9;
constexpr double kLeverageSlack = 1e-9;

struct WaterSide {
  std::string_view leaving;
  std::string_view entering;
  std::string_view flow;
};
constexpr WaterSide kWaterSides[] = {
    {"leaving_water_temp", "entering_water_temp", "water_flow"},
    {"leaving_condenser_water_temp", "entering_condenser_water_temp",
     "condenser_water_flow"},
};

// The unit that a quantity is written in; empty for an unknown quantity.
std::optional<quantity::Unit> UnitOf(std::string_view quantity,
                                     const StageModel::UnitsByQuantity& units) {
  if (const auto given = units.find(quantity); given != units.end()) return given->second;
  const auto found = quantity::FindQuantity(quantity);
  if (!found.ok()) return {};
  return quantity::SiUnit((*found)->dimension);
}

// "28.5 degC", in the engine's unit of the quantity where no other is given.
std::string Shown(std::string_view quantity, double value_si,
                  const StageModel::UnitsByQuantity& units = {}) {
  const auto unit = UnitOf(quantity, units);
  if (!unit) return absl::StrFormat("%.6g", value_si);
  return absl::StrFormat("%.6g %s", quantity::FromSi(value_si, *unit),
                         std::string(unit->name));
}

// "28 to 30.5 degC"
std::string ShownRange(std::string_view quantity, double low_si, double high_si,
                       const StageModel::UnitsByQuantity& units) {
  const auto unit = UnitOf(quantity, units);
  return absl::StrFormat("%.6g to %s", unit ? quantity::FromSi(low_si, *unit) : low_si,
                         Shown(quantity, high_si, units));
}

absl::Status Malformed(const std::string& what) {
  return absl::InvalidArgumentError(absl::StrCat("performance map: ", what));
}

bool AllFinite(std::span<const double> values) {
  return std::all_of(values.begin(), values.end(),
                     [](double x) { return std::isfinite(x); });
}

}  // namespace

absl::StatusOr<StageModel> StageModel::Create(document::StageMap map) {
  StageModel model;
  model.map_ = std::move(map);
  const document::StageMap& m = model.map_;
  const size_t conditions = m.conditions.size();
  const size_t held = m.held_conditions.size();
  if (conditions == 0 || m.tested_low_si.size() != conditions ||
      m.tested_high_si.size() != conditions ||
      m.point_conditions_si.size() != m.point_ids.size() * conditions ||
      m.held_values_si.size() != held || m.held_tolerances_si.size() != held) {
    return Malformed("numbers of conditions, ranges and points do not fit together");
  }
  if (!AllFinite(m.tested_low_si) || !AllFinite(m.tested_high_si) ||
      !AllFinite(m.point_conditions_si) || !AllFinite(m.held_values_si) ||
      !AllFinite(m.held_tolerances_si) || !(m.nearest_point_fraction > 0) ||
      !std::isfinite(m.nearest_point_fraction)) {
    return Malformed("a range, point, held condition or distance is not a finite number");
  }
  for (size_t j = 0; j < conditions; ++j) {
    const double range = m.tested_high_si[j] - m.tested_low_si[j];
    if (!(range >= 0)) {
      return Malformed(absl::StrCat("tested range of ", m.conditions[j], " is reversed"));
    }
    model.range_si_.push_back(range);
  }
  for (const document::Surface& surface : m.surfaces) {
    RETURN_IF_ERROR(model.AddSurface(surface));
  }
  model.AddDerived();
  return model;
}

absl::Status StageModel::AddSurface(const document::Surface& surface) {
  const auto malformed = [&](const absl::Status& why) {
    return Malformed(absl::StrCat("surface of ", surface.quantity, ": ", why.message()));
  };
  auto evaluator = ModelSurface::Create(surface, map_.conditions);
  if (!evaluator.ok()) return malformed(evaluator.status());
  if (surface.purpose != SurfacePurpose::kTable) return absl::OkStatus();
  if (FindFitted(surface.quantity) != nullptr) {
    return malformed(absl::InvalidArgumentError("there are two for tables"));
  }
  if (!leverage_ || surface.quantity == map_.capacity_quantity) {
    auto leverage =
        ModelSurface::Create(surface, map_.conditions, SurfaceMatrix::kLeverage);
    if (!leverage.ok()) return malformed(leverage.status());
    leverage_ = *std::move(leverage);
    greatest_leverage_ = surface.greatest_leverage;
  }
  fitted_.push_back(
      {surface.quantity, *std::move(evaluator), surface.degrees_of_freedom});
  return absl::OkStatus();
}

std::optional<StageModel::Input> StageModel::FindInput(std::string_view quantity) const {
  for (size_t j = 0; j < map_.conditions.size(); ++j) {
    if (map_.conditions[j] == quantity) return Input{.condition = static_cast<int>(j)};
  }
  for (size_t j = 0; j < map_.held_conditions.size(); ++j) {
    if (map_.held_conditions[j] == quantity)
      return Input{.held_si = map_.held_values_si[j]};
  }
  return {};
}

void StageModel::AddDerived() {
  if (FindFitted(map_.capacity_quantity) == nullptr ||
      FindFitted(map_.power_quantity) == nullptr) {
    return;
  }
  const auto add = [&](Derived derived) {
    if (FindFitted(derived.quantity) == nullptr) derived_.push_back(std::move(derived));
  };
  add({.quantity = "coefficient_of_performance", .formula = Formula::kRatio});
  if (!map_.heating)
    add({.quantity = "energy_efficiency_ratio", .formula = Formula::kRatio});
  const std::string_view net = map_.heating ? "heating_capacity" : "total_capacity";
  if (map_.capacity_quantity != net || map_.power_quantity != "power_input") return;
  add({.quantity = map_.heating ? "heat_absorbed" : "heat_rejection",
       .formula = Formula::kHeat});
  for (const WaterSide& side : kWaterSides) {
    const std::optional<Input> entering = FindInput(side.entering);
    const std::optional<Input> flow = FindInput(side.flow);
    if (!entering || !flow) continue;
    add({.quantity = std::string(side.leaving),
         .formula = Formula::kLeavingTemperature,
         .entering_temp = *entering,
         .flow = *flow});
  }
}

const StageModel::Fitted* StageModel::FindFitted(std::string_view quantity) const {
  for (const Fitted& fitted : fitted_) {
    if (fitted.quantity == quantity) return &fitted;
  }
  return nullptr;
}

const StageModel::Derived* StageModel::FindDerived(std::string_view quantity) const {
  for (const Derived& derived : derived_) {
    if (derived.quantity == quantity) return &derived;
  }
  return nullptr;
}

std::vector<std::string> StageModel::AvailableQuantities() const {
  std::vector<std::string> names;
  for (const Fitted& fitted : fitted_) names.push_back(fitted.quantity);
  for (const Derived& derived : derived_) names.push_back(derived.quantity);
  std::sort(names.begin(), names.end());
  return names;
}

bool StageModel::Has(std::string_view quantity) const {
  return FindFitted(quantity) != nullptr || FindDerived(quantity) != nullptr;
}

absl::Status StageModel::UnknownQuantity(std::string_view quantity) const {
  const std::vector<std::string> names = AvailableQuantities();
  const std::string where = absl::StrCat(map_.unit, "/", map_.mode, "/", map_.stage);
  if (names.empty()) {
    return absl::InvalidArgumentError(
        absl::StrCat(where, " has no surfaces: ", absl::StrJoin(map_.refusals, "; ")));
  }
  return absl::InvalidArgumentError(absl::StrCat(
      where, " has no surface of '", base::Printable(quantity), "'",
      base::DidYouMean(quantity, names), "; it gives ", absl::StrJoin(names, ", ")));
}

absl::Status StageModel::CheckConditions(std::span<const double> conditions_si) const {
  if (conditions_si.size() != map_.conditions.size()) {
    return absl::InvalidArgumentError(absl::StrCat(
        "the map takes ", map_.conditions.size(), " conditions (",
        absl::StrJoin(map_.conditions, ", "), "); ", conditions_si.size(), " given"));
  }
  for (size_t j = 0; j < conditions_si.size(); ++j) {
    if (!std::isfinite(conditions_si[j])) {
      return absl::InvalidArgumentError(
          absl::StrCat(map_.conditions[j], " is not a finite number"));
    }
  }
  return absl::OkStatus();
}

absl::StatusOr<double> StageModel::Combine(const Derived& derived, double capacity_w,
                                           double power_w, double entering_c,
                                           double flow_m3_per_s) const {
  if (derived.formula == Formula::kRatio) {
    if (power_w > 0) return capacity_w / power_w;
    return absl::FailedPreconditionError(
        absl::StrCat(derived.quantity, " has no value: ", map_.power_quantity, " is ",
                     Shown(map_.power_quantity, power_w), " here, not above 0"));
  }
  const double heat_w = map_.heating ? capacity_w - power_w : capacity_w + power_w;
  if (derived.formula == Formula::kHeat) return heat_w;
  if (!(flow_m3_per_s > 0)) {
    return absl::FailedPreconditionError(
        absl::StrCat(derived.quantity, " has no value: the flow is not above 0"));
  }
  const double change_k = heat_w / (fluid::kWaterDensityKgPerM3 *
                                    fluid::kWaterSpecificHeatJPerKgK * flow_m3_per_s);
  return map_.heating ? entering_c - change_k : entering_c + change_k;
}

absl::StatusOr<Estimate> StageModel::Evaluate(
    std::string_view quantity, std::span<const double> conditions_si) const {
  RETURN_IF_ERROR(CheckConditions(conditions_si));
  const auto estimate = [&](const Fitted& fitted) {
    Estimate e{.value_si = fitted.surface.At(conditions_si)};
    if (fitted.surface.has_band()) {
      e.standard_error_si = fitted.surface.StandardErrorAt(conditions_si);
      e.degrees_of_freedom = fitted.degrees_of_freedom;
    }
    return e;
  };
  if (const Fitted* fitted = FindFitted(quantity)) return estimate(*fitted);
  const Derived* derived = FindDerived(quantity);
  if (derived == nullptr) return UnknownQuantity(quantity);

  const Estimate capacity = estimate(*FindFitted(map_.capacity_quantity));
  const Estimate power = estimate(*FindFitted(map_.power_quantity));
  const auto input = [&](const Input& in) {
    return in.condition < 0 ? in.held_si : conditions_si[in.condition];
  };
  Estimate result;
  const double flow_m3_per_s = input(derived->flow);
  ASSIGN_OR_RETURN(result.value_si,
                   Combine(*derived, capacity.value_si, power.value_si,
                           input(derived->entering_temp), flow_m3_per_s));
  if (!capacity.standard_error_si || !power.standard_error_si) return result;
  result.degrees_of_freedom =
      std::min(capacity.degrees_of_freedom, power.degrees_of_freedom);
  const double capacity_se_w = *capacity.standard_error_si;
  const double power_se_w = *power.standard_error_si;
  switch (derived->formula) {
    case Formula::kRatio:
      result.standard_error_si =
          (capacity_se_w + std::fabs(result.value_si) * power_se_w) / power.value_si;
      break;
    case Formula::kHeat:
      result.standard_error_si = capacity_se_w + power_se_w;
      break;
    case Formula::kLeavingTemperature:
      result.standard_error_si = (capacity_se_w + power_se_w) /
                                 (fluid::kWaterDensityKgPerM3 *
                                  fluid::kWaterSpecificHeatJPerKgK * flow_m3_per_s);
      break;
  }
  return result;
}

absl::Status StageModel::EvaluateColumns(
    std::string_view quantity, std::span<const std::span<const double>> columns_si,
    std::span<double> values_si) const {
  if (columns_si.size() != map_.conditions.size()) {
    return absl::InvalidArgumentError(
        absl::StrCat("the map takes ", map_.conditions.size(), " columns of conditions; ",
                     columns_si.size(), " given"));
  }
  for (size_t j = 0; j < columns_si.size(); ++j) {
    if (columns_si[j].size() != values_si.size()) {
      return absl::InvalidArgumentError(
          "columns of conditions and values differ in length");
    }
    for (size_t i = 0; i < columns_si[j].size(); ++i) {
      if (std::isfinite(columns_si[j][i])) continue;
      return absl::InvalidArgumentError(
          absl::StrCat("row ", i, ": ", map_.conditions[j], " is not a finite number"));
    }
  }
  if (const Fitted* fitted = FindFitted(quantity)) {
    return fitted->surface.Evaluate(columns_si, values_si);
  }
  const Derived* derived = FindDerived(quantity);
  if (derived == nullptr) return UnknownQuantity(quantity);
  std::vector<double> power_w(values_si.size());
  RETURN_IF_ERROR(
      FindFitted(map_.capacity_quantity)->surface.Evaluate(columns_si, values_si));
  RETURN_IF_ERROR(FindFitted(map_.power_quantity)->surface.Evaluate(columns_si, power_w));
  const auto input = [&](const Input& in, size_t i) {
    return in.condition < 0 ? in.held_si : columns_si[in.condition][i];
  };
  for (size_t i = 0; i < values_si.size(); ++i) {
    const auto value = Combine(*derived, values_si[i], power_w[i],
                               input(derived->entering_temp, i), input(derived->flow, i));
    if (!value.ok()) {
      return absl::Status(value.status().code(),
                          absl::StrCat("row ", i, ": ", value.status().message()));
    }
    values_si[i] = *value;
  }
  return absl::OkStatus();
}

std::string StageModel::DescribeOutside(std::span<const double> conditions_si,
                                        const UnitsByQuantity& units) const {
  for (size_t j = 0; j < conditions_si.size(); ++j) {
    const double slack = kEdgeFraction * range_si_[j];
    const bool below = conditions_si[j] < map_.tested_low_si[j] - slack;
    const bool above = conditions_si[j] > map_.tested_high_si[j] + slack;
    if (!below && !above) continue;
    const std::string& name = map_.conditions[j];
    return absl::StrCat(
        name, " of ", Shown(name, conditions_si[j], units), " is ",
        below ? "below" : "above", " the tested range, ",
        ShownRange(name, map_.tested_low_si[j], map_.tested_high_si[j], units));
  }
  return "";
}

double StageModel::Leverage(std::span<const double> conditions_si) const {
  return leverage_->QuadraticAt(conditions_si);
}

FootingAnswer StageModel::FootingInside(std::span<const double> conditions_si,
                                        bool explain,
                                        const UnitsByQuantity& units) const {
  const size_t conditions = conditions_si.size();
  double nearest =
      std::numeric_limits<double>::infinity();  // greatest share of all conditions
  size_t nearest_point = 0;
  size_t nearest_condition = 0;
  for (size_t i = 0; i < map_.point_ids.size(); ++i) {
    double distance = 0;
    size_t furthest = 0;
    for (size_t j = 0; j < conditions && distance < nearest; ++j) {
      const double apart =
          std::fabs(conditions_si[j] - map_.point_conditions_si[i * conditions + j]);
      // Where only one value was tested, any other is infinitely far.
      const double share = apart == 0 ? 0 : apart / range_si_[j];
      if (share > distance) {
        distance = share;
        furthest = j;
      }
    }
    if (distance < nearest) {
      nearest = distance;
      nearest_point = i;
      nearest_condition = furthest;
    }
  }
  const auto answer = [&](document::Footing footing, const auto& reason) {
    return FootingAnswer{footing, explain ? std::string(reason()) : std::string()};
  };
  if (nearest <= kSamePointFraction) {
    return answer(document::Footing::kTested, [&] {
      return absl::StrCat("tested at point ", map_.point_ids[nearest_point]);
    });
  }
  if (std::string outside = DescribeOutside(conditions_si, units); !outside.empty()) {
    return answer(document::Footing::kExtrapolated, [&] { return outside; });
  }
  if (leverage_ && Leverage(conditions_si) > greatest_leverage_ * (1 + kLeverageSlack)) {
    return answer(document::Footing::kExtrapolated, [&] {
      return absl::StrFormat(
          "each condition is inside its tested range, and the combination is further out "
          "than "
          "any tested point (leverage %.3f, greatest tested %.3f)",
          Leverage(conditions_si), greatest_leverage_);
    });
  }
  if (!(nearest <= map_.nearest_point_fraction)) {
    return answer(document::Footing::kExtrapolated, [&] {
      return absl::StrFormat(
          "the nearest tested point, %s, is %.2f of the tested range of %s away, more "
          "than %.2f",
          map_.point_ids[nearest_point], nearest, map_.conditions[nearest_condition],
          map_.nearest_point_fraction);
    });
  }
  return answer(document::Footing::kInterpolated,
                [] { return "inside the tested region"; });
}

absl::StatusOr<FootingAnswer> StageModel::Footing(
    std::span<const double> conditions_si, std::span<const document::SiValue> held_si,
    const UnitsByQuantity& units) const {
  RETURN_IF_ERROR(CheckConditions(conditions_si));
  for (const document::SiValue& given : held_si) {
    const auto found = std::find(map_.held_conditions.begin(), map_.held_conditions.end(),
                                 given.quantity);
    if (found == map_.held_conditions.end()) {
      return absl::InvalidArgumentError(
          absl::StrCat("mode ", map_.mode, " neither fits nor holds ", given.quantity));
    }
    const size_t k = static_cast<size_t>(found - map_.held_conditions.begin());
    // Negated so that NaN is away, too.
    if (!(std::fabs(given.value_si - map_.held_values_si[k]) <=
          map_.held_tolerances_si[k])) {
      return FootingAnswer{
          document::Footing::kExtrapolated,
          absl::StrCat(
              given.quantity, " of ", Shown(given.quantity, given.value_si, units),
              " is away from what every point was held at, ",
              ShownRange(given.quantity,
                         map_.held_values_si[k] - map_.held_tolerances_si[k],
                         map_.held_values_si[k] + map_.held_tolerances_si[k], units))};
    }
  }
  return FootingInside(conditions_si, true, units);
}

absl::Status StageModel::FootingColumns(
    std::span<const std::span<const double>> columns_si,
    std::span<document::Footing> footings) const {
  std::vector<double> row(map_.conditions.size());
  if (columns_si.size() != row.size()) {
    return absl::InvalidArgumentError(absl::StrCat("the map takes ", row.size(),
                                                   " columns of conditions; ",
                                                   columns_si.size(), " given"));
  }
  for (const std::span<const double> column : columns_si) {
    if (column.size() != footings.size()) {
      return absl::InvalidArgumentError(
          "columns of conditions and footings differ in length");
    }
  }
  for (size_t i = 0; i < footings.size(); ++i) {
    for (size_t j = 0; j < row.size(); ++j) row[j] = columns_si[j][i];
    if (const absl::Status status = CheckConditions(row); !status.ok()) {
      return absl::Status(status.code(), absl::StrCat("row ", i, ": ", status.message()));
    }
    footings[i] = FootingInside(row, false, {}).footing;
  }
  return absl::OkStatus();
}

}  // namespace ratebound::map
