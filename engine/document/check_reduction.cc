#include <set>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/document/check_line_parts.h"

namespace ratebound::document {
namespace {

using quantity::Dimension;

void CheckNozzles(const v1::AirSide& air, const Node& node) {
  using A = v1::AirSide;
  if (air.flow() == v1::AIR_FLOW_SOURCE_NOZZLES) {
    node.Require({A::kNozzleMethodFieldNumber, A::kNozzlesFieldNumber});
  } else if (air.flow() != v1::AIR_FLOW_SOURCE_UNSPECIFIED) {
    for (int field : {A::kNozzleMethodFieldNumber, A::kNozzlesFieldNumber}) {
      if (!node.Has(field)) continue;
      node.Fault(field, "air flow is not computed from nozzles",
                 "leave it out, or write flow: AIR_FLOW_SOURCE_NOZZLES");
    }
  }
  CheckFolderId(node, A::kNozzleMethodFieldNumber, air.nozzle_method());
  for (int i = 0; i < air.nozzles_size(); ++i) {
    using N = v1::Nozzle;
    const v1::Nozzle& nozzle = air.nozzles(i);
    const Node child = node.Child(A::kNozzlesFieldNumber, i);
    child.Require({N::kDiameterFieldNumber, N::kUnitFieldNumber});
    if (child.Has(N::kDiameterFieldNumber)) {
      CheckAbove(child, N::kDiameterFieldNumber, nozzle.diameter(), 0);
    }
    CheckUnit(child, N::kUnitFieldNumber, nozzle.unit(), Dimension::kLength);
    if (nozzle.has_count() && nozzle.count() < 1) {
      child.Fault(N::kCountFieldNumber,
                  absl::StrCat(nozzle.count(), " is no number of nozzles"),
                  "write 1 or more; what was shut is left out");
    }
  }
}

void CheckAirSide(const v1::AirSide& air, const Node& node) {
  using A = v1::AirSide;
  node.Require({A::kMethodFieldNumber, A::kFlowFieldNumber});
  CheckFolderId(node, A::kMethodFieldNumber, air.method());
  CheckNozzles(air, node);
  if (air.duct_loss_w_per_k() < 0) {
    node.Fault(A::kDuctLossWPerKFieldNumber, "is negative", "write it without a sign");
  }
}

void CheckLiquidSide(const v1::LiquidSide& side, const Node& node) {
  using S = v1::LiquidSide;
  node.Require({S::kMethodFieldNumber, S::kRoleFieldNumber, S::kLiquidFieldNumber,
                S::kEnteringFieldNumber, S::kLeavingFieldNumber, S::kFlowFieldNumber});
  CheckFolderId(node, S::kMethodFieldNumber, side.method());
  CheckLiquid(side, node);
  CheckMeasures(node, S::kEnteringFieldNumber, side.entering(),
                {Dimension::kTemperature});
  CheckMeasures(node, S::kLeavingFieldNumber, side.leaving(), {Dimension::kTemperature});
  if (!side.entering().empty() && side.entering() == side.leaving()) {
    node.Fault(S::kLeavingFieldNumber, "is the entering temperature", "name another");
  }
  const auto* flow = CheckMeasures(node, S::kFlowFieldNumber, side.flow(),
                                   {Dimension::kVolumeFlow, Dimension::kMassFlow});
  if (side.flow_at_leaving() && flow != nullptr &&
      flow->dimension == Dimension::kMassFlow) {
    node.Fault(S::kFlowAtLeavingFieldNumber,
               "a mass flow is the same at both temperatures", "leave it out");
  }
  CheckMeasures(node, S::kDifferenceFieldNumber, side.difference(),
                {Dimension::kTemperatureDifference});
  if (side.has_pressure_pa()) {
    CheckAbove(node, S::kPressurePaFieldNumber, side.pressure_pa(), 0);
  }
}

void CheckCorrection(const v1::FanPumpCorrection& correction, const Node& node) {
  using C = v1::FanPumpCorrection;
  node.Require({C::kMethodFieldNumber, C::kKindFieldNumber, C::kFlowFieldNumber,
                C::kPressureFieldNumber});
  CheckFolderId(node, C::kMethodFieldNumber, correction.method());
  CheckMeasures(node, C::kFlowFieldNumber, correction.flow(),
                {Dimension::kVolumeFlow, Dimension::kMassFlow});
  CheckMeasures(node, C::kPressureFieldNumber, correction.pressure(),
                {Dimension::kPressureDifference});
}

void CheckSaturation(const v1::SaturationTable& table, const Node& node) {
  using T = v1::SaturationTable;
  using E = v1::SaturationEntry;
  constexpr double kAbsoluteZeroC = -273.15;
  node.Require(
      {T::kRefrigerantFieldNumber, T::kSourceFieldNumber, T::kEntriesFieldNumber});
  if (table.entries_size() == 1) {
    node.Fault(T::kEntriesFieldNumber, "is only one: no line goes through it",
               "write at least two");
  }
  for (int i = 0; i < table.entries_size(); ++i) {
    const v1::SaturationEntry& entry = table.entries(i);
    const Node child = node.Child(T::kEntriesFieldNumber, i);
    child.Require({E::kTemperatureCFieldNumber, E::kPressurePaFieldNumber});
    CheckAbove(child, E::kTemperatureCFieldNumber, entry.temperature_c(), kAbsoluteZeroC);
    if (child.Has(E::kPressurePaFieldNumber)) {
      CheckAbove(child, E::kPressurePaFieldNumber, entry.pressure_pa(), 0);
    }
    if (i == 0) continue;
    const auto check_rise = [&](int field, double value, double before) {
      if (!child.Has(field) || value > before) return;
      child.Fault(field, absl::StrFormat("%.10g does not rise from %.10g", value, before),
                  "write the entries by rising temperature");
    };
    const v1::SaturationEntry& before = table.entries(i - 1);
    check_rise(E::kTemperatureCFieldNumber, entry.temperature_c(),
               before.temperature_c());
    check_rise(E::kPressurePaFieldNumber, entry.pressure_pa(), before.pressure_pa());
  }
}

// Methods that the mode names, in the order of its parts.
Names MethodsOf(const v1::Mode& mode) {
  const v1::Reduction& reduction = mode.reduction();
  std::vector<std::string> methods;
  std::set<std::string> seen;
  const auto add = [&](const std::string& method) {
    if (!method.empty() && seen.insert(method).second) methods.push_back(method);
  };
  add(reduction.air_side().method());
  add(reduction.air_side().nozzle_method());
  for (const v1::LiquidSide& side : reduction.liquid_sides()) add(side.method());
  for (const v1::FanPumpCorrection& c : reduction.corrections()) add(c.method());
  add(mode.steadiness_method());
  return Names(std::move(methods));
}

void CheckMethodInputs(const v1::Mode& mode, const Node& node) {
  using I = v1::MethodInput;
  const v1::Reduction& reduction = mode.reduction();
  const Names methods = MethodsOf(mode);
  Unique inputs("input");
  for (int i = 0; i < reduction.inputs_size(); ++i) {
    const v1::MethodInput& input = reduction.inputs(i);
    const Node child = node.Child(v1::Reduction::kInputsFieldNumber, i);
    child.Require({I::kMethodFieldNumber, I::kInputFieldNumber, I::kValueFieldNumber});
    CheckReference(child, I::kMethodFieldNumber, "method of this mode", input.method(),
                   methods);
    if (input.input().empty()) continue;
    inputs.Check(child, I::kInputFieldNumber,
                 absl::StrCat(input.method(), "/", input.input()));
  }
}

void CheckBasis(const v1::Reduction& reduction, const Node& node) {
  constexpr int kField = v1::Reduction::kCapacityBasisFieldNumber;
  const bool air = reduction.has_air_side();
  const bool liquid = reduction.liquid_sides_size() > 0;
  bool liquid_is_capacity = false;
  for (const v1::LiquidSide& side : reduction.liquid_sides()) {
    liquid_is_capacity = liquid_is_capacity || side.role() == v1::LIQUID_ROLE_CAPACITY;
  }
  switch (reduction.capacity_basis()) {
    case v1::CAPACITY_BASIS_UNSPECIFIED:
      if (air && liquid_is_capacity) {
        node.Fault(kField, "is missing: both sides give the capacity",
                   "write capacity_basis: and one of CAPACITY_BASIS_AIR_SIDE, "
                   "CAPACITY_BASIS_LIQUID_SIDE, CAPACITY_BASIS_MEAN");
      }
      return;
    case v1::CAPACITY_BASIS_AIR_SIDE:
      if (!air) node.Fault(kField, "there is no air side");
      return;
    case v1::CAPACITY_BASIS_LIQUID_SIDE:
      if (!liquid) node.Fault(kField, "there is no liquid side");
      return;
    case v1::CAPACITY_BASIS_MEAN:
      if (!air || !liquid) node.Fault(kField, "there is only one side");
      return;
    default:
      return;
  }
}

}  // namespace

void CheckReduction(const v1::Mode& mode, const Node& node) {
  using R = v1::Reduction;
  const v1::Reduction& reduction = mode.reduction();
  if (!reduction.has_air_side() && reduction.liquid_sides_size() == 0) {
    node.Fault(R::kAirSideFieldNumber, "is missing, and so is 'liquid_sides'",
               "write one of them, or leave out the reduction");
  }
  if (reduction.has_air_side()) {
    CheckAirSide(reduction.air_side(), node.Child(R::kAirSideFieldNumber));
  }
  Unique roles("role");
  for (int i = 0; i < reduction.liquid_sides_size(); ++i) {
    const v1::LiquidSide& side = reduction.liquid_sides(i);
    const Node child = node.Child(R::kLiquidSidesFieldNumber, i);
    CheckLiquidSide(side, child);
    if (side.role() == v1::LIQUID_ROLE_UNSPECIFIED) continue;
    roles.Check(child, v1::LiquidSide::kRoleFieldNumber,
                v1::LiquidRole_Name(side.role()));
  }
  Unique corrections("correction");
  for (int i = 0; i < reduction.corrections_size(); ++i) {
    const v1::FanPumpCorrection& correction = reduction.corrections(i);
    const Node child = node.Child(R::kCorrectionsFieldNumber, i);
    CheckCorrection(correction, child);
    if (correction.kind() == v1::FAN_PUMP_CASE_UNSPECIFIED) continue;
    constexpr size_t kPrefix = std::string_view("FAN_PUMP_CASE_").size();
    corrections.Check(
        child, v1::FanPumpCorrection::kKindFieldNumber,
        absl::StrCat(v1::FanPumpCase_Name(correction.kind()).substr(kPrefix), " ",
                     correction.flow(), " ", correction.pressure()));
  }
  CheckBasis(reduction, node);
  if (reduction.has_balance_limit_fraction()) {
    CheckBetween(node, R::kBalanceLimitFractionFieldNumber,
                 reduction.balance_limit_fraction(), 0, 1);
  }
  CheckMethodInputs(mode, node);
  if (reduction.has_refrigerant_saturation()) {
    CheckSaturation(reduction.refrigerant_saturation(),
                    node.Child(R::kRefrigerantSaturationFieldNumber));
  }
}

}  // namespace ratebound::document
