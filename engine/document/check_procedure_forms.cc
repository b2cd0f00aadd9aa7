#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_procedure_parts.h"

namespace ratebound::document {
namespace {

using quantity::Dimension;

bool IsOfAny(const std::string& unit, std::initializer_list<Dimension> dimensions) {
  return std::any_of(dimensions.begin(), dimensions.end(), [&](Dimension dimension) {
    return quantity::FindUnit(unit, dimension).ok();
  });
}

// The unit may be of any of the dimensions.
void CheckUnitOfAny(const Node& node, int field, const std::string& name,
                    std::initializer_list<Dimension> dimensions) {
  if (!IsOfAny(name, dimensions)) CheckUnit(node, field, name, *dimensions.begin());
}

// The dimension of the quantity or of the input that stands in for it; a quantity that
// may be one of several, as a flow by volume or by mass, is the file's choice.
void CheckTerm(const v1::FigureTerm& term, std::initializer_list<Dimension> dimensions,
               const RequiredInputs& inputs, const Node& node) {
  using T = v1::FigureTerm;
  node.Require({T::kUnitFieldNumber, T::kFactorFieldNumber});
  if (term.quantity().empty() && term.input().empty()) {
    node.Fault(T::kQuantityFieldNumber, "the term is of nothing",
               "write quantity or input");
  }
  // A unit of the term that does not fit is faulted below.
  if (IsOfAny(term.unit(), dimensions)) {
    inputs.CheckConverts(node, T::kInputFieldNumber, term.input(), term.unit());
  } else {
    inputs.Check(node, T::kInputFieldNumber, term.input());
  }
  if (term.has_factor()) {
    CheckPlainFactor(term.factor(), inputs, node.Child(T::kFactorFieldNumber));
  }
  if (term.quantity().empty()) {
    CheckUnitOfAny(node, T::kUnitFieldNumber, term.unit(), dimensions);
    return;
  }
  const auto* quantity =
      CheckMeasures(node, T::kQuantityFieldNumber, term.quantity(), dimensions);
  if (quantity == nullptr) return;
  CheckUnit(node, T::kUnitFieldNumber, term.unit(), quantity->dimension);
}

constexpr std::initializer_list<Dimension> kFlows = {Dimension::kVolumeFlow,
                                                     Dimension::kMassFlow};
constexpr std::initializer_list<Dimension> kPressureDifferences = {
    Dimension::kPressureDifference};

void CheckCorrection(const v1::FlowPressureCorrection& correction,
                     const RequiredInputs& inputs, const Node& node) {
  using C = v1::FlowPressureCorrection;
  node.Require({C::kNameFieldNumber, C::kFlowFieldNumber, C::kPressureFieldNumber,
                C::kDivisorFieldNumber, C::kInPowerFieldNumber,
                C::kInCapacityFieldNumber});
  CheckId(node, C::kNameFieldNumber, correction.name());
  CheckCited(correction, node);
  if (correction.has_flow()) {
    CheckTerm(correction.flow(), kFlows, inputs, node.Child(C::kFlowFieldNumber));
  }
  if (correction.has_pressure()) {
    CheckTerm(correction.pressure(), kPressureDifferences, inputs,
              node.Child(C::kPressureFieldNumber));
  }
  if (correction.has_divisor()) {
    const Node divisor = node.Child(C::kDivisorFieldNumber);
    CheckPlainFactor(correction.divisor(), inputs, divisor);
    if (correction.divisor().has_value()) {
      const Node value = divisor.Child(v1::CitedNumber::kValueFieldNumber);
      if (value.Has(v1::CitedValue::kValueFieldNumber)) {
        CheckAbove(value, v1::CitedValue::kValueFieldNumber,
                   correction.divisor().value().value(), 0);
      }
    }
  }
  if (correction.has_capacity_factor()) {
    CheckPlainFactor(correction.capacity_factor(), inputs,
                     node.Child(C::kCapacityFactorFieldNumber));
  } else if (correction.in_capacity() == v1::TERM_SIGN_ADDED ||
             correction.in_capacity() == v1::TERM_SIGN_SUBTRACTED) {
    node.Require({C::kCapacityFactorFieldNumber});
  }
}

// The tolerance is taken as it is written: in steps of the target's unit, as delta_degF
// of degF.
void CheckSteps(const v1::MixtureTarget& target, Dimension dimension,
                const RequiredInputs& inputs, const Node& tolerance) {
  using N = v1::CitedNumber;
  const v1::CitedNumber& number = target.tolerance();
  const std::string name =
      number.has_input() ? inputs.UnitOf(number.input()) : number.value().unit();
  const auto of_target = quantity::FindUnit(target.unit(), dimension);
  if (name.empty() || !quantity::FindUnit(name).ok() || !of_target.ok()) return;
  const auto unit = quantity::FindUnit(name, quantity::DifferenceOf(dimension));
  const auto step_si = [](const quantity::Unit& of) {
    return quantity::ToSi(1, of) - quantity::ToSi(0, of);
  };
  // Offsets of thermometer scales leave some rounding.
  constexpr double kRounding = 1e-9;
  if (unit.ok() && std::fabs(step_si(*unit) / step_si(*of_target) - 1) <= kRounding) {
    return;
  }
  const std::string fault =
      absl::StrCat("'", base::Printable(name), "' is no difference in ",
                   base::Printable(target.unit()));
  if (number.has_input()) {
    tolerance.Fault(N::kInputFieldNumber,
                    absl::StrCat("required input '", base::Printable(number.input()),
                                 "' is a tolerance, and ", fault),
                    "in required_inputs, ask for it in the unit of the target's steps");
    return;
  }
  tolerance.Child(N::kValueFieldNumber)
      .Fault(v1::CitedValue::kUnitFieldNumber, fault,
             "write the tolerance in the unit of the target and leave this one out");
}

void CheckTarget(const v1::MixtureTarget& target, const RequiredInputs& inputs,
                 const Node& node) {
  using T = v1::MixtureTarget;
  node.Require({T::kQuantityFieldNumber, T::kTargetFieldNumber, T::kUnitFieldNumber,
                T::kToleranceFieldNumber, T::kMixedFieldNumber});
  CheckCited(target, node);
  const auto* quantity =
      CheckQuantity(node, T::kQuantityFieldNumber, target.quantity(), Use::kResponse);
  if (quantity != nullptr) {
    CheckUnit(node, T::kUnitFieldNumber, target.unit(), quantity->dimension);
  }
  if (target.has_target()) {
    const Node child = node.Child(T::kTargetFieldNumber);
    if (quantity == nullptr) {
      CheckNumber(target.target(), inputs, child);
    } else {
      CheckNumberOf(quantity->dimension, target.target(), inputs, child);
    }
  }
  if (target.has_tolerance()) {
    const Node child = node.Child(T::kToleranceFieldNumber);
    CheckNumber(target.tolerance(), inputs, child);
    if (quantity != nullptr) CheckSteps(target, quantity->dimension, inputs, child);
  }
  inputs.CheckPlain(node, T::kCyclingFactorInputFieldNumber,
                    target.cycling_factor_input());
}

void CheckHumidity(const v1::HumidityTerm& term, const Node& node) {
  using H = v1::HumidityTerm;
  node.Require({H::kQuantityFieldNumber});
  const auto* quantity = CheckMeasures(
      node, H::kQuantityFieldNumber, term.quantity(),
      {Dimension::kHumidityRatio, Dimension::kTemperature, Dimension::kFraction});
  if (!term.dry_bulb_quantity().empty()) {
    CheckMeasures(node, H::kDryBulbQuantityFieldNumber, term.dry_bulb_quantity(),
                  {Dimension::kTemperature});
  }
  if (quantity == nullptr || quantity->dimension == Dimension::kHumidityRatio) return;
  const std::string& name = term.quantity();
  const bool by_itself = name.ends_with("_dew_point");
  if (!by_itself && !name.ends_with("_wb") && !name.ends_with("_relative_humidity")) {
    node.Fault(H::kQuantityFieldNumber,
               absl::StrCat("'", name, "' does not tell a humidity"),
               "name a humidity ratio, wet bulb, dew point or relative humidity");
    return;
  }
  if (!by_itself) node.Require({H::kDryBulbQuantityFieldNumber});
}

void CheckAirSide(const v1::AirSideMoisture& moisture, const RequiredInputs& inputs,
                  const Node& node) {
  using A = v1::AirSideMoisture;
  node.Require({A::kFlowFieldNumber, A::kMassFieldNumber, A::kEnteringFieldNumber,
                A::kLeavingFieldNumber, A::kBarometricPressureFieldNumber,
                A::kBarometricPressureUnitFieldNumber});
  CheckCited(moisture, node);
  if (moisture.has_flow()) {
    CheckTerm(moisture.flow(), kFlows, inputs, node.Child(A::kFlowFieldNumber));
  }
  if (moisture.has_entering()) {
    CheckHumidity(moisture.entering(), node.Child(A::kEnteringFieldNumber));
  }
  if (moisture.has_leaving()) {
    CheckHumidity(moisture.leaving(), node.Child(A::kLeavingFieldNumber));
  }
  if (moisture.has_barometric_pressure()) {
    CheckNumberOf(Dimension::kPressure, moisture.barometric_pressure(), inputs,
                  node.Child(A::kBarometricPressureFieldNumber));
  }
  CheckUnit(node, A::kBarometricPressureUnitFieldNumber,
            moisture.barometric_pressure_unit(), Dimension::kPressure);
}

void CheckAddition(const v1::SupplyAirAddition& addition, const RequiredInputs& inputs,
                   const Node& node) {
  using A = v1::SupplyAirAddition;
  node.Require({A::kNameFieldNumber, A::kQuantityFieldNumber, A::kWrongSideFieldNumber,
                A::kLimitFieldNumber, A::kLimitUnitFieldNumber, A::kFlowFieldNumber,
                A::kHeatUnitFieldNumber, A::kCoefficientOfPerformanceFieldNumber,
                A::kInCapacityFieldNumber});
  CheckId(node, A::kNameFieldNumber, addition.name());
  CheckCited(addition, node);
  CheckMeasures(node, A::kQuantityFieldNumber, addition.quantity(),
                {Dimension::kTemperature});
  CheckUnit(node, A::kLimitUnitFieldNumber, addition.limit_unit(),
            Dimension::kTemperature);
  CheckUnit(node, A::kHeatUnitFieldNumber, addition.heat_unit(), Dimension::kPower);
  if (addition.has_limit()) {
    CheckNumberOf(Dimension::kTemperature, addition.limit(), inputs,
                  node.Child(A::kLimitFieldNumber));
  }
  if (addition.has_flow()) {
    CheckTerm(addition.flow(), kFlows, inputs, node.Child(A::kFlowFieldNumber));
  }
  if (addition.has_coefficient_of_performance()) {
    CheckPlainFactor(addition.coefficient_of_performance(), inputs,
                     node.Child(A::kCoefficientOfPerformanceFieldNumber));
  }
}

void CheckSuperheat(const v1::SuperheatCorrection& superheat, bool rates_mass,
                    const RequiredInputs& inputs, const Node& node) {
  using S = v1::SuperheatCorrection;
  node.Require({S::kVolumetricFactorFieldNumber, S::kDensityRatioFieldNumber,
                S::kIsentropicWorkRatioFieldNumber});
  if (!rates_mass) node.Require({S::kEnthalpyDifferenceRatioFieldNumber});
  CheckCited(superheat, node);
  if (superheat.has_volumetric_factor()) {
    CheckPlainFactor(superheat.volumetric_factor(), inputs,
                     node.Child(S::kVolumetricFactorFieldNumber));
  }
  if (superheat.has_density_ratio()) {
    CheckPlainFactor(superheat.density_ratio(), inputs,
                     node.Child(S::kDensityRatioFieldNumber));
  }
  if (superheat.has_isentropic_work_ratio()) {
    CheckPlainFactor(superheat.isentropic_work_ratio(), inputs,
                     node.Child(S::kIsentropicWorkRatioFieldNumber));
  }
  if (superheat.has_enthalpy_difference_ratio()) {
    CheckPlainFactor(superheat.enthalpy_difference_ratio(), inputs,
                     node.Child(S::kEnthalpyDifferenceRatioFieldNumber));
  }
}

}  // namespace

void CheckOnePoint(const v1::OnePoint& form, const RequiredInputs& inputs,
                   const Node& node) {
  using O = v1::OnePoint;
  CheckCited(form, node);
  Unique names("correction");
  for (int i = 0; i < form.corrections_size(); ++i) {
    const Node child = node.Child(O::kCorrectionsFieldNumber, i);
    CheckCorrection(form.corrections(i), inputs, child);
    names.Check(child, v1::FlowPressureCorrection::kNameFieldNumber,
                form.corrections(i).name());
  }
}

void CheckWeightedConditions(const v1::Procedure& procedure, const RequiredInputs& inputs,
                             const Unique& common, const Node& root) {
  using W = v1::WeightedConditions;
  using C = v1::ConditionPoint;
  const v1::WeightedConditions& form = procedure.weighted_conditions();
  const Node node = root.Child(v1::Procedure::kWeightedConditionsFieldNumber);
  node.Require({W::kPointsFieldNumber, W::kStageRuleFieldNumber});
  CheckCited(form, node);
  Unique ids("point");
  double weight_sum = 0;
  for (int i = 0; i < form.points_size(); ++i) {
    const v1::ConditionPoint& point = form.points(i);
    const Node child = node.Child(W::kPointsFieldNumber, i);
    child.Require({C::kIdFieldNumber, C::kWeightFieldNumber});
    CheckId(child, C::kIdFieldNumber, point.id());
    ids.Check(child, C::kIdFieldNumber, point.id());
    if (point.has_weight()) {
      CheckWeight(point.weight(), child.Child(C::kWeightFieldNumber));
      weight_sum += point.weight().value();
    }
    Unique with_common = common;
    CheckConditions(point.conditions(), C::kConditionsFieldNumber, inputs, with_common,
                    child);
  }
  if (form.points_size() > 0) CheckWeightSum(weight_sum, procedure, root);
  const bool mixes = form.stage_rule() == v1::STAGE_RULE_MIXED_TO_TARGET;
  if (mixes) node.Require({W::kTargetFieldNumber});
  if (form.has_target()) {
    if (!mixes) {
      node.Fault(W::kTargetFieldNumber, "belongs to STAGE_RULE_MIXED_TO_TARGET",
                 "leave it out");
    }
    CheckTarget(form.target(), inputs, node.Child(W::kTargetFieldNumber));
  }
  if (form.has_air_side_moisture()) {
    CheckAirSide(form.air_side_moisture(), inputs,
                 node.Child(W::kAirSideMoistureFieldNumber));
  }
  Unique names("addition");
  for (int i = 0; i < form.supply_air_additions_size(); ++i) {
    const Node child = node.Child(W::kSupplyAirAdditionsFieldNumber, i);
    CheckAddition(form.supply_air_additions(i), inputs, child);
    names.Check(child, v1::SupplyAirAddition::kNameFieldNumber,
                form.supply_air_additions(i).name());
  }
}

void CheckCompressorTable(const v1::Procedure& procedure, const RequiredInputs& inputs,
                          const Node& node) {
  using T = v1::CompressorTable;
  const v1::CompressorTable& form = procedure.compressor_table();
  node.Require({T::kEvaporatingQuantityFieldNumber, T::kCondensingQuantityFieldNumber,
                T::kTemperatureUnitFieldNumber, T::kTabulatedFieldNumber});
  CheckCited(form, node);
  CheckMeasures(node, T::kEvaporatingQuantityFieldNumber, form.evaporating_quantity(),
                {Dimension::kTemperature});
  CheckMeasures(node, T::kCondensingQuantityFieldNumber, form.condensing_quantity(),
                {Dimension::kTemperature});
  CheckUnit(node, T::kTemperatureUnitFieldNumber, form.temperature_unit(),
            Dimension::kTemperature);
  Unique names("quantity");
  for (int i = 0; i < form.tabulated_size(); ++i) {
    using Q = v1::TabulatedQuantity;
    const v1::TabulatedQuantity& tabulated = form.tabulated(i);
    const Node child = node.Child(T::kTabulatedFieldNumber, i);
    child.Require({Q::kQuantityFieldNumber, Q::kUnitFieldNumber});
    names.Check(child, Q::kQuantityFieldNumber, tabulated.quantity());
    const auto* quantity = CheckQuantity(child, Q::kQuantityFieldNumber,
                                         tabulated.quantity(), Use::kResponse);
    if (quantity == nullptr) continue;
    CheckUnit(child, Q::kUnitFieldNumber, tabulated.unit(), quantity->dimension);
  }
  if (!form.has_superheat()) return;
  const auto rated = quantity::FindQuantity(procedure.capacity_quantity());
  const bool rates_mass = rated.ok() && (*rated)->dimension == Dimension::kMassFlow;
  CheckSuperheat(form.superheat(), rates_mass, inputs,
                 node.Child(T::kSuperheatFieldNumber));
}

}  // namespace ratebound::document
