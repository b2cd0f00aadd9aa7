#include "engine/claim/expression.h"

#include <algorithm>
#include <optional>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/fluid/water_heat.h"

namespace ratebound::claim {
namespace {

using bound::Polynomial;

struct WaterSide {
  const char* leaving;
  const char* entering;
  const char* flow;
};
constexpr WaterSide kWaterSides[] = {
    {"leaving_water_temp", "entering_water_temp", "water_flow"},
    {"leaving_condenser_water_temp", "entering_condenser_water_temp",
     "condenser_water_flow"},
    {"water_temperature_difference", "", "water_flow"},
};

bool Has(const document::StageMap& map, const std::string& quantity) {
  return std::any_of(
      map.surfaces.begin(), map.surfaces.end(),
      [&](const document::Surface& surface) { return surface.quantity == quantity; });
}

// A condition or held condition.
std::optional<Factor> Given(const document::StageMap& map, const Frame& frame,
                            const std::string& quantity) {
  for (size_t i = 0; i < map.conditions.size(); ++i) {
    if (map.conditions[i] != quantity) continue;
    auto polynomial = ConditionIn(frame, static_cast<int>(i));
    if (!polynomial.ok()) return std::nullopt;
    return Factor{.is_number = false, .polynomial = *std::move(polynomial)};
  }
  for (size_t i = 0; i < map.held_conditions.size(); ++i) {
    if (map.held_conditions[i] == quantity) return Factor::Number(map.held_values_si[i]);
  }
  return std::nullopt;
}

bool IsHeating(const document::Mode& mode) {
  return mode.kind == document::ModeKind::kHeating;
}

// Capacity and power with the sign of power in the heat that the water takes or gives.
std::vector<ExpressionTerm> Heat(const document::Mode& mode, double sign) {
  return {{mode.capacity_quantity, Factor::Number(sign)},
          {mode.power_quantity, Factor::Number(IsHeating(mode) ? -sign : sign)}};
}

}  // namespace

absl::StatusOr<Polynomial> Factor::As(int variables) const {
  if (is_number) return Polynomial::Constant(variables, number);
  return polynomial;
}

absl::StatusOr<Factor> Factor::Plus(const Factor& a, const Factor& b) {
  if (a.is_number && b.is_number) return Number(a.number + b.number);
  const int n = a.is_number ? b.polynomial.variables() : a.polynomial.variables();
  ASSIGN_OR_RETURN(const Polynomial left, a.As(n));
  ASSIGN_OR_RETURN(const Polynomial right, b.As(n));
  Factor sum{.is_number = false};
  ASSIGN_OR_RETURN(sum.polynomial, Sum(left, right));
  return sum;
}

absl::StatusOr<Factor> Factor::Times(const Factor& a, const Factor& b) {
  if (a.is_number && b.is_number) return Number(a.number * b.number);
  Factor product{.is_number = false};
  if (a.is_number) {
    product.polynomial = b.polynomial.Scale(a.number);
  } else if (b.is_number) {
    product.polynomial = a.polynomial.Scale(b.number);
  } else {
    ASSIGN_OR_RETURN(product.polynomial, Product(a.polynomial, b.polynomial));
  }
  return product;
}

bool IsEfficiency(const std::string& quantity) {
  return quantity == "coefficient_of_performance" ||
         quantity == "energy_efficiency_ratio";
}

const document::Surface* FindProofSurface(const document::StageMap& map,
                                          const std::string& quantity) {
  for (const document::Surface& surface : map.surfaces) {
    if (surface.quantity == quantity &&
        surface.purpose == document::SurfacePurpose::kProof) {
      return &surface;
    }
  }
  return nullptr;
}

absl::StatusOr<Expression> MakeExpression(const std::string& quantity,
                                          const document::Mode& mode,
                                          const document::StageMap& map,
                                          const Frame& frame) {
  Expression expression;
  if (!Has(map, quantity)) {
    if (auto given = Given(map, frame, quantity)) {
      expression.free = *std::move(given);
      return expression;
    }
    if (IsEfficiency(quantity)) {
      expression.terms = {{mode.capacity_quantity, Factor::Number(1)}};
      expression.over = mode.power_quantity;
      return expression;
    }
    if (quantity == "sensible_heat_ratio") {
      expression.terms = {{"sensible_capacity", Factor::Number(1)}};
      expression.over = "total_capacity";
      return expression;
    }
    if (quantity == "heat_rejection" || quantity == "heat_absorbed") {
      expression.terms = Heat(mode, 1);
      return expression;
    }
    for (const WaterSide& side : kWaterSides) {
      if (quantity != side.leaving) continue;
      const auto flow = Given(map, frame, side.flow);
      const auto entering =
          *side.entering == 0 ? Factor::Number(0) : Given(map, frame, side.entering);
      if (!flow || !entering) break;
      const double per_k = fluid::kWaterDensityKgPerM3 * fluid::kWaterSpecificHeatJPerKgK;
      // In heating the water gives what the machine absorbs.
      expression.terms = Heat(mode, IsHeating(mode) ? -1 : 1);
      ASSIGN_OR_RETURN(expression.over_factor,
                       Factor::Times(Factor::Number(per_k), *flow));
      ASSIGN_OR_RETURN(expression.free, Factor::Times(*entering, expression.over_factor));
      return expression;
    }
  }
  // With a surface; without one, the caller says why there is none.
  expression.terms = {{quantity, Factor::Number(1)}};
  return expression;
}

std::vector<std::string> RestsOn(const Expression& expression) {
  std::vector<std::string> names;
  const auto add = [&](const std::string& name) {
    if (!name.empty() && std::find(names.begin(), names.end(), name) == names.end()) {
      names.push_back(name);
    }
  };
  for (const ExpressionTerm& term : expression.terms) add(term.quantity);
  add(expression.over);
  return names;
}

}  // namespace ratebound::claim
