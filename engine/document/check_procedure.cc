#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_procedure_parts.h"
#include "engine/document/check_season.h"

namespace ratebound::document {
namespace {

class ProcedureCheck {
 public:
  explicit ProcedureCheck(const v1::Procedure& procedure)
      : procedure_(procedure),
        inputs_(procedure.required_inputs()),
        added_powers_(NamesOf(procedure.added_powers())) {}

  void Check(const Node& node) const {
    using P = v1::Procedure;
    CheckHead(node);
    CheckScope(node);
    Unique common("condition");
    CheckConditions(procedure_.common_conditions(), P::kCommonConditionsFieldNumber,
                    inputs_, common, node);
    CheckForm(node, common);
    CheckInputs(node);
    CheckAddedPowers(node);
  }

 private:
  void CheckHead(const Node& node) const {
    using P = v1::Procedure;
    node.Require({P::kIdFieldNumber, P::kTitleFieldNumber, P::kDocumentFieldNumber,
                  P::kEditionFieldNumber, P::kMetricFieldNumber,
                  P::kMetricUnitFieldNumber, P::kScopeFieldNumber,
                  P::kModeKindFieldNumber, P::kCapacityBasisFieldNumber,
                  P::kCapacityQuantityFieldNumber, P::kPowerQuantityFieldNumber,
                  P::kRoundingStepFieldNumber, P::kUnitConstantFieldNumber});
    CheckFolderId(node, P::kIdFieldNumber, procedure_.id());
    CheckFolderId(node, P::kEditionOfFieldNumber, procedure_.edition_of());
    CheckUnits(node);
    const std::string& kind = procedure_.mode_kind();
    if (!kind.empty() && kind != "cooling" && kind != "heating") {
      node.Fault(P::kModeKindFieldNumber,
                 absl::StrCat("unknown kind of mode '", base::Printable(kind), "'"),
                 "write cooling or heating");
    }
    if (procedure_.has_capacity_basis()) {
      CheckCitedText(procedure_.capacity_basis(),
                     node.Child(P::kCapacityBasisFieldNumber));
    }
    if (procedure_.has_aggregation_citation()) {
      CheckCitation(procedure_.aggregation_citation(),
                    node.Child(P::kAggregationCitationFieldNumber));
    }
    if (procedure_.has_rounding_step()) {
      CheckMetricValue(procedure_.rounding_step(), procedure_.metric_unit(),
                       node.Child(P::kRoundingStepFieldNumber));
    }
    if (procedure_.has_unit_constant()) {
      CheckMetricValue(procedure_.unit_constant(), procedure_.metric_unit(),
                       node.Child(P::kUnitConstantFieldNumber));
    }
    if (procedure_.has_surveillance_tolerance()) {
      const Node tolerance = node.Child(P::kSurveillanceToleranceFieldNumber);
      tolerance.Require({v1::CitedValue::kUnitFieldNumber});
      CheckPercent(procedure_.surveillance_tolerance(), 0, 100, tolerance);
    }
  }

  // Quantities of capacity and power, their units, and the unit of the metric.
  void CheckUnits(const Node& node) const {
    using P = v1::Procedure;
    CheckRated(node, P::kPowerQuantityFieldNumber, procedure_.power_quantity(),
               P::kPowerUnitFieldNumber, procedure_.power_unit(), false);
    const bool may_be_mass =
        procedure_.has_weighted_conditions() || procedure_.has_compressor_table();
    const bool is_mass =
        CheckRated(node, P::kCapacityQuantityFieldNumber, procedure_.capacity_quantity(),
                   P::kCapacityUnitFieldNumber, procedure_.capacity_unit(), may_be_mass);
    if (procedure_.bin_season().rated_figure() == v1::SEASON_FIGURE_KIND_SPACE) {
      CheckReference(node, P::kMetricUnitFieldNumber, "unit of an efficiency",
                     procedure_.metric_unit(), Names({"%"}));
      return;
    }
    if (!is_mass) {
      CheckUnit(node, P::kMetricUnitFieldNumber, procedure_.metric_unit(),
                quantity::Dimension::kEnergyRatio);
      return;
    }
    CheckReference(node, P::kMetricUnitFieldNumber, "unit of mass for energy",
                   procedure_.metric_unit(), Names({"lb/kWh", "kg/kWh"}));
  }

  // A quantity in watts or, where that is allowed, a mass flow; whether it is the second.
  static bool CheckRated(const Node& node, int field, const std::string& name,
                         int unit_field, const std::string& unit, bool may_be_mass) {
    const auto* quantity = CheckQuantity(node, field, name, Use::kResponse);
    if (quantity == nullptr) return false;
    const bool is_mass =
        may_be_mass && quantity->dimension == quantity::Dimension::kMassFlow;
    if (!is_mass && quantity->dimension != quantity::Dimension::kPower) {
      node.Fault(field, absl::StrCat("'", name, "' is not in watts"));
      return false;
    }
    if (!unit.empty()) CheckUnit(node, unit_field, unit, quantity->dimension);
    return is_mass;
  }

  void CheckForm(const Node& node, const Unique& common) const {
    using P = v1::Procedure;
    const bool by_loads = procedure_.form_case() == P::FORM_NOT_SET;
    if (by_loads || procedure_.has_weighted_conditions()) {
      node.Require({P::kAggregationFieldNumber, P::kAggregationCitationFieldNumber,
                    P::kWeightSumFieldNumber});
    }
    if (by_loads) {
      node.Require({P::kLoadPointsFieldNumber});
      CheckLoadPoints(node, common);
      if (procedure_.load_points_size() > 1) node.Require({P::kPartLoadFieldNumber});
      if (procedure_.has_part_load()) CheckPartLoad(node.Child(P::kPartLoadFieldNumber));
      return;
    }
    for (int field : {P::kLoadPointsFieldNumber, P::kPartLoadFieldNumber}) {
      if (!node.Has(field)) continue;
      node.Fault(field, "belongs to a procedure of weighted load points",
                 "leave it out, or leave out the other form");
    }
    switch (procedure_.form_case()) {
      case P::kOnePoint:
        return CheckOnePoint(procedure_.one_point(), inputs_,
                             node.Child(P::kOnePointFieldNumber));
      case P::kWeightedConditions:
        return CheckWeightedConditions(procedure_, inputs_, common, node);
      case P::kCompressorTable:
        return CheckCompressorTable(procedure_, inputs_,
                                    node.Child(P::kCompressorTableFieldNumber));
      case P::kBinSeason:
        if (procedure_.added_powers_size() > 0) {
          node.Fault(P::kAddedPowersFieldNumber, "a season has no powers added",
                     "leave it out");
        }
        return CheckSeason(procedure_.bin_season(), procedure_, inputs_,
                           node.Child(P::kBinSeasonFieldNumber));
      case P::FORM_NOT_SET:
        return;
    }
  }

  void CheckScope(const Node& node) const {
    using S = v1::Scope;
    if (!procedure_.has_scope()) return;
    const v1::Scope& scope = procedure_.scope();
    const Node child = node.Child(v1::Procedure::kScopeFieldNumber);
    child.Require({S::kEquipmentClassesFieldNumber});
    CheckCited(scope, child);
    const bool has_from = CheckDay(child, S::kValidFromFieldNumber, scope.valid_from());
    const bool has_until =
        CheckDay(child, S::kValidUntilFieldNumber, scope.valid_until());
    if (has_from && has_until && scope.valid_from() >= scope.valid_until()) {
      child.Fault(S::kValidUntilFieldNumber, "is not after valid_from");
    }
    Unique classes("class");
    for (int i = 0; i < scope.equipment_classes_size(); ++i) {
      if (scope.equipment_classes(i).empty()) {
        child.Fault(S::kEquipmentClassesFieldNumber, "is empty", "name a class", i);
      }
      classes.Check(child, S::kEquipmentClassesFieldNumber, scope.equipment_classes(i),
                    i);
    }
    for (int i = 0; i < scope.phase_counts_size(); ++i) {
      if (scope.phase_counts(i) == 1 || scope.phase_counts(i) == 3) continue;
      child.Fault(S::kPhaseCountsFieldNumber,
                  absl::StrCat(scope.phase_counts(i), " is no number of phases"),
                  "write 1 or 3", i);
    }
    std::optional<double> low_w;
    std::optional<double> high_w;
    if (scope.has_capacity_low()) {
      low_w =
          CheckCapacity(scope.capacity_low(), child.Child(S::kCapacityLowFieldNumber));
    }
    if (scope.has_capacity_high()) {
      high_w =
          CheckCapacity(scope.capacity_high(), child.Child(S::kCapacityHighFieldNumber));
    }
    if (low_w.has_value() && high_w.has_value() && !(*low_w < *high_w)) {
      child.Fault(S::kCapacityHighFieldNumber,
                  "the range is reversed: it is not above capacity_low");
    }
  }

  static std::optional<double> CheckCapacity(const v1::CitedValue& value,
                                             const Node& node) {
    using V = v1::CitedValue;
    node.Require({V::kValueFieldNumber, V::kUnitFieldNumber});
    CheckCited(value, node);
    // Heat, or the water that an outdoor-air unit takes out of the air.
    const auto mass_flow =
        quantity::FindUnit(value.unit(), quantity::Dimension::kMassFlow);
    const auto unit = mass_flow.ok() ? std::optional(*mass_flow)
                                     : CheckUnit(node, V::kUnitFieldNumber, value.unit(),
                                                 quantity::Dimension::kPower);
    if (!unit.has_value() || !std::isfinite(value.value())) return {};
    return quantity::ToSi(value.value(), *unit);
  }

  void CheckLoadPoints(const Node& node, const Unique& common) const {
    using L = v1::LoadPoint;
    Unique ids("load point");
    double weight_sum = 0;
    for (int i = 0; i < procedure_.load_points_size(); ++i) {
      const v1::LoadPoint& point = procedure_.load_points(i);
      const Node child = node.Child(v1::Procedure::kLoadPointsFieldNumber, i);
      child.Require(
          {L::kIdFieldNumber, L::kPercentLoadFieldNumber, L::kWeightFieldNumber});
      CheckId(child, L::kIdFieldNumber, point.id());
      ids.Check(child, L::kIdFieldNumber, point.id());
      if (point.has_percent_load()) {
        const Node percent = child.Child(L::kPercentLoadFieldNumber);
        CheckPercent(point.percent_load(), 0, 100, percent);
        if (percent.Has(v1::CitedValue::kValueFieldNumber)) {
          CheckAbove(percent, v1::CitedValue::kValueFieldNumber,
                     std::max(point.percent_load().value(), 0.0), 0);
        }
      }
      if (point.has_weight()) {
        CheckWeight(point.weight(), child.Child(L::kWeightFieldNumber));
        weight_sum += point.weight().value();
      }
      Unique with_common = common;
      CheckConditions(point.conditions(), L::kConditionsFieldNumber, inputs_, with_common,
                      child);
    }
    if (procedure_.load_points_size() > 0) CheckWeightSum(weight_sum, procedure_, node);
  }

  void CheckPartLoad(const Node& node) const {
    using P = v1::PartLoad;
    const v1::PartLoad& part_load = procedure_.part_load();
    node.Require({P::kWindowPercentFieldNumber, P::kBracketConditionFieldNumber,
                  P::kInterpolatedFieldNumber, P::kBracketCitationFieldNumber,
                  P::kCyclingCitationFieldNumber});
    CheckCycling(part_load, node);
    if (part_load.has_window_percent()) {
      CheckPercent(part_load.window_percent(), 0, 100,
                   node.Child(P::kWindowPercentFieldNumber));
    }
    if (part_load.has_bracket_citation()) {
      CheckCitation(part_load.bracket_citation(),
                    node.Child(P::kBracketCitationFieldNumber));
    }
    if (part_load.has_cycling_citation()) {
      CheckCitation(part_load.cycling_citation(),
                    node.Child(P::kCyclingCitationFieldNumber));
    }
    if (part_load.has_degradation_slope()) {
      CheckPlainNumber(part_load.degradation_slope(),
                       node.Child(P::kDegradationSlopeFieldNumber));
    }
    if (part_load.has_degradation_intercept()) {
      CheckPlainNumber(part_load.degradation_intercept(),
                       node.Child(P::kDegradationInterceptFieldNumber));
    }
    Unique lines("condition");
    CheckConditions(part_load.load_lines(), P::kLoadLinesFieldNumber, inputs_, lines,
                    node);
    Unique powers("power");
    CheckPowers(part_load.cycling_powers(), P::kCyclingPowersFieldNumber, node, powers);
    CheckPowers(part_load.continuous_powers(), P::kContinuousPowersFieldNumber, node,
                powers);
  }

  // The rule, and what it needs.
  void CheckCycling(const v1::PartLoad& part_load, const Node& node) const {
    using P = v1::PartLoad;
    const v1::CyclingRule rule = part_load.cycling_rule();
    if (rule == v1::CYCLING_RULE_UNSPECIFIED ||
        rule == v1::CYCLING_RULE_COEFFICIENT_LINE) {
      node.Require(
          {P::kDegradationSlopeFieldNumber, P::kDegradationInterceptFieldNumber});
    } else {
      node.Require({P::kCyclingCoefficientFieldNumber});
      for (int field :
           {P::kDegradationSlopeFieldNumber, P::kDegradationInterceptFieldNumber,
            P::kCyclingPowersFieldNumber, P::kContinuousPowersFieldNumber}) {
        if (!node.Has(field)) continue;
        node.Fault(field, "belongs to CYCLING_RULE_COEFFICIENT_LINE", "leave it out");
      }
    }
    if (part_load.has_cycling_coefficient()) {
      CheckPlainFactor(part_load.cycling_coefficient(), inputs_,
                       node.Child(P::kCyclingCoefficientFieldNumber));
    }
    inputs_.CheckMeasures(node, P::kFullLoadInputFieldNumber, part_load.full_load_input(),
                          quantity::Dimension::kPower);
    Unique powers("power");
    const Names continuous(std::vector<std::string>(part_load.continuous_powers().begin(),
                                                    part_load.continuous_powers().end()));
    for (int i = 0; i < part_load.cycling_parts_size(); ++i) {
      using C = v1::CyclingPart;
      const v1::CyclingPart& part = part_load.cycling_parts(i);
      const Node child = node.Child(P::kCyclingPartsFieldNumber, i);
      child.Require({C::kPowerFieldNumber, C::kInputFieldNumber});
      CheckReference(child, C::kPowerFieldNumber, "continuous power", part.power(),
                     continuous);
      inputs_.CheckPlain(child, C::kInputFieldNumber, part.input());
      powers.Check(child, C::kPowerFieldNumber, part.power());
    }
  }

  // Each is a quantity of power, for which an input of its name may stand in, or one that
  // the procedure adds.
  template <typename Powers>
  void CheckPowers(const Powers& powers, int field, const Node& node,
                   Unique& unique) const {
    for (int i = 0; i < powers.size(); ++i) {
      unique.Check(node, field, powers[i], i);
      if (added_powers_.Contains(powers[i])) continue;
      if (inputs_.names().Contains(powers[i])) {
        inputs_.CheckMeasures(node, field, powers[i], quantity::Dimension::kPower, i);
      }
      const auto* quantity = CheckQuantity(node, field, powers[i], Use::kResponse, i);
      if (quantity == nullptr || quantity->dimension == quantity::Dimension::kPower)
        continue;
      node.Fault(field, absl::StrCat("'", powers[i], "' is not in watts"), "", i);
    }
  }

  void CheckInputs(const Node& node) const {
    constexpr int kField = v1::Procedure::kRequiredInputsFieldNumber;
    Unique names("input");
    CheckRequiredInputs(procedure_.required_inputs(), kField, names, node);
    for (int i = 0; i < procedure_.required_inputs_size(); ++i) {
      CheckAnyUnit(node.Child(kField, i), v1::RequiredInput::kUnitFieldNumber,
                   procedure_.required_inputs(i).unit());
    }
  }

  void CheckAddedPowers(const Node& node) const {
    using A = v1::AddedPower;
    Unique names("power");
    for (int i = 0; i < procedure_.added_powers_size(); ++i) {
      const v1::AddedPower& power = procedure_.added_powers(i);
      const Node child = node.Child(v1::Procedure::kAddedPowersFieldNumber, i);
      child.Require(
          {A::kNameFieldNumber, A::kInputFieldNumber, A::kCyclingPartInputFieldNumber});
      CheckId(child, A::kNameFieldNumber, power.name());
      names.Check(child, A::kNameFieldNumber, power.name());
      inputs_.CheckPlain(child, A::kInputFieldNumber, power.input());
      inputs_.CheckPlain(child, A::kCyclingPartInputFieldNumber,
                         power.cycling_part_input());
      CheckCited(power, child);
    }
  }

  template <typename Repeated>
  static Names NamesOf(const Repeated& items) {
    std::vector<std::string> names;
    for (const auto& item : items) names.push_back(item.name());
    return Names(std::move(names));
  }

  const v1::Procedure& procedure_;
  RequiredInputs inputs_;
  Names added_powers_;
};

}  // namespace

void CheckProcedure(const v1::Procedure& procedure, const Node& node) {
  if (!node.RequireAtMostMessages(kMostMessages)) return;
  node.RequireSoundValues();
  ProcedureCheck(procedure).Check(node);
}

}  // namespace ratebound::document
