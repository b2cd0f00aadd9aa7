#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_citation.h"
#include "engine/document/check_parts.h"

namespace ratebound::document {
namespace {

using base::ShortestText;

void CheckCitedValue(const v1::CitedValue& value, const Node& node) {
  node.Require({v1::CitedValue::kValueFieldNumber});
  CheckAnyUnit(node, v1::CitedValue::kUnitFieldNumber, value.unit());
  CheckCited(value, node);
}

// A value in the unit of the metric, or a plain number of that unit; above zero.
void CheckMetricValue(const v1::CitedValue& value, const std::string& metric_unit,
                      const Node& node) {
  CheckCitedValue(value, node);
  if (!value.unit().empty() && value.unit() != metric_unit) {
    node.Fault(
        v1::CitedValue::kUnitFieldNumber,
        absl::StrCat("'", base::Printable(value.unit()), "' is not the metric's unit"),
        absl::StrCat("write ", base::Printable(metric_unit)));
  }
  if (node.Has(v1::CitedValue::kValueFieldNumber)) {
    CheckAbove(node, v1::CitedValue::kValueFieldNumber, value.value(), 0);
  }
}

// A number of percent.
void CheckPercent(const v1::CitedValue& value, double low, double high,
                  const Node& node) {
  using V = v1::CitedValue;
  node.Require({V::kValueFieldNumber});
  if (!value.unit().empty() && value.unit() != "%") {
    node.Fault(V::kUnitFieldNumber,
               absl::StrCat("'", base::Printable(value.unit()), "' is no percentage"),
               "write %");
  }
  CheckBetween(node, V::kValueFieldNumber, value.value(), low, high);
  CheckCited(value, node);
}

void CheckPlainNumber(const v1::CitedValue& value, const Node& node) {
  node.Require({v1::CitedValue::kValueFieldNumber});
  if (!value.unit().empty() && value.unit() != "1") {
    node.Fault(v1::CitedValue::kUnitFieldNumber, "a plain number has no unit",
               "leave it out");
  }
  CheckCited(value, node);
}

class ProcedureCheck {
 public:
  explicit ProcedureCheck(const v1::Procedure& procedure)
      : procedure_(procedure),
        inputs_(NamesOf(procedure.required_inputs())),
        added_powers_(NamesOf(procedure.added_powers())) {}

  void Check(const Node& node) const {
    using P = v1::Procedure;
    CheckHead(node);
    CheckScope(node);
    Unique common("condition");
    CheckConditions(procedure_, P::kCommonConditionsFieldNumber,
                    procedure_.common_conditions(), node, common);
    CheckLoadPoints(node, common);
    if (procedure_.load_points_size() > 1) node.Require({P::kPartLoadFieldNumber});
    if (procedure_.has_part_load()) CheckPartLoad(node.Child(P::kPartLoadFieldNumber));
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
                  P::kLoadPointsFieldNumber, P::kAggregationFieldNumber,
                  P::kAggregationCitationFieldNumber, P::kWeightSumFieldNumber,
                  P::kRoundingStepFieldNumber, P::kUnitConstantFieldNumber});
    CheckFolderId(node, P::kIdFieldNumber, procedure_.id());
    CheckUnit(node, P::kMetricUnitFieldNumber, procedure_.metric_unit(),
              quantity::Dimension::kEnergyRatio);
    const std::string& kind = procedure_.mode_kind();
    if (!kind.empty() && kind != "cooling" && kind != "heating") {
      node.Fault(P::kModeKindFieldNumber,
                 absl::StrCat("unknown kind of mode '", base::Printable(kind), "'"),
                 "write cooling or heating");
    }
    CheckPowerLike(node, P::kCapacityQuantityFieldNumber, procedure_.capacity_quantity());
    CheckPowerLike(node, P::kPowerQuantityFieldNumber, procedure_.power_quantity());
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

  static void CheckPowerLike(const Node& node, int field, const std::string& name) {
    const auto* quantity = CheckQuantity(node, field, name, Use::kResponse);
    if (quantity == nullptr || quantity->dimension == quantity::Dimension::kPower) return;
    node.Fault(field, absl::StrCat("'", name, "' is not in watts"));
  }

  void CheckScope(const Node& node) const {
    using S = v1::Scope;
    if (!procedure_.has_scope()) return;
    const v1::Scope& scope = procedure_.scope();
    const Node child = node.Child(v1::Procedure::kScopeFieldNumber);
    child.Require({S::kEquipmentClassesFieldNumber});
    CheckCited(scope, child);
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
    const auto unit =
        CheckUnit(node, V::kUnitFieldNumber, value.unit(), quantity::Dimension::kPower);
    if (!unit.has_value() || !std::isfinite(value.value())) return {};
    return quantity::ToSi(value.value(), *unit);
  }

  template <typename Owner, typename Conditions>
  void CheckConditions(const Owner&, int field, const Conditions& conditions,
                       const Node& node, Unique& unique) const {
    for (int i = 0; i < conditions.size(); ++i) {
      const Node child = node.Child(field, i);
      CheckCondition(conditions[i], child);
      unique.Check(child, v1::CitedCondition::kQuantityFieldNumber,
                   conditions[i].quantity());
    }
  }

  void CheckCondition(const v1::CitedCondition& condition, const Node& node) const {
    using C = v1::CitedCondition;
    node.Require({C::kQuantityFieldNumber});
    const auto* quantity = CheckQuantity(node, C::kQuantityFieldNumber,
                                         condition.quantity(), Use::kCondition);
    switch (condition.at_case()) {
      case C::kValue: {
        const Node value = node.Child(C::kValueFieldNumber);
        value.Require(
            {v1::CitedValue::kValueFieldNumber, v1::CitedValue::kUnitFieldNumber});
        CheckCited(condition.value(), value);
        if (quantity == nullptr) return;
        const auto unit = CheckUnit(value, v1::CitedValue::kUnitFieldNumber,
                                    condition.value().unit(), quantity->dimension);
        if (!unit.has_value() || !value.Has(v1::CitedValue::kValueFieldNumber)) return;
        CheckPlausible(value, v1::CitedValue::kValueFieldNumber,
                       condition.value().value(), *unit, *quantity);
        return;
      }
      case C::kInput:
        node.Require({C::kInputFieldNumber});
        CheckReference(node, C::kInputFieldNumber, "required input", condition.input(),
                       inputs_);
        return;
      case C::kLoadLine:
        CheckLoadLine(condition.load_line(), quantity,
                      node.Child(C::kLoadLineFieldNumber));
        return;
      case C::AT_NOT_SET:
        node.Fault(C::kQuantityFieldNumber, "the condition has no value",
                   "write value, input or load_line");
        return;
    }
  }

  void CheckLoadLine(const v1::LoadLine& line, const quantity::Quantity* quantity,
                     const Node& node) const {
    using L = v1::LoadLine;
    node.Require(
        {L::kPercentLowFieldNumber, L::kConstantFieldNumber, L::kUnitFieldNumber});
    CheckCited(line, node);
    if (line.full_load_input().empty()) {
      node.Require({L::kSlopePerPercentFieldNumber, L::kInterceptFieldNumber});
    } else {
      CheckReference(node, L::kFullLoadInputFieldNumber, "required input",
                     line.full_load_input(), inputs_);
      for (int field : {L::kSlopePerPercentFieldNumber, L::kInterceptFieldNumber}) {
        if (node.Has(field)) {
          node.Fault(field, "the input at full load gives the line", "leave it out");
        }
      }
    }
    if (node.Has(L::kPercentLowFieldNumber)) {
      CheckBetween(node, L::kPercentLowFieldNumber, line.percent_low(), 0, 100);
    }
    if (quantity == nullptr) return;
    const auto unit =
        CheckUnit(node, L::kUnitFieldNumber, line.unit(), quantity->dimension);
    if (!unit.has_value() || !node.Has(L::kConstantFieldNumber)) return;
    CheckPlausible(node, L::kConstantFieldNumber, line.constant(), *unit, *quantity);
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
        const Node weight = child.Child(L::kWeightFieldNumber);
        CheckPlainNumber(point.weight(), weight);
        if (point.weight().value() < 0) {
          weight.Fault(v1::CitedValue::kValueFieldNumber, "is negative");
        }
        weight_sum += point.weight().value();
      }
      Unique with_common = common;
      CheckConditions(point, L::kConditionsFieldNumber, point.conditions(), child,
                      with_common);
    }
    // Weights have a few decimals; what is left is the rounding of their sum.
    constexpr double kRounding = 1e-9;
    if (std::isfinite(weight_sum) && node.Has(v1::Procedure::kWeightSumFieldNumber) &&
        procedure_.load_points_size() > 0 &&
        std::fabs(weight_sum - procedure_.weight_sum()) > kRounding) {
      node.Fault(v1::Procedure::kWeightSumFieldNumber,
                 absl::StrCat("the weights add up to ", ShortestText(weight_sum),
                              " and not to ", ShortestText(procedure_.weight_sum())),
                 "look at each weight, then at the sum");
    }
  }

  void CheckPartLoad(const Node& node) const {
    using P = v1::PartLoad;
    const v1::PartLoad& part_load = procedure_.part_load();
    node.Require({P::kWindowPercentFieldNumber, P::kBracketConditionFieldNumber,
                  P::kInterpolatedFieldNumber, P::kBracketCitationFieldNumber,
                  P::kDegradationSlopeFieldNumber, P::kDegradationInterceptFieldNumber,
                  P::kCyclingCitationFieldNumber});
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
    CheckConditions(part_load, P::kLoadLinesFieldNumber, part_load.load_lines(), node,
                    lines);
    Unique powers("power");
    CheckPowers(part_load.cycling_powers(), P::kCyclingPowersFieldNumber, node, powers);
    CheckPowers(part_load.continuous_powers(), P::kContinuousPowersFieldNumber, node,
                powers);
  }

  // Each is a quantity of power or one that the procedure adds.
  template <typename Powers>
  void CheckPowers(const Powers& powers, int field, const Node& node,
                   Unique& unique) const {
    for (int i = 0; i < powers.size(); ++i) {
      unique.Check(node, field, powers[i], i);
      if (added_powers_.Contains(powers[i])) continue;
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
      CheckReference(child, A::kInputFieldNumber, "required input", power.input(),
                     inputs_);
      CheckReference(child, A::kCyclingPartInputFieldNumber, "required input",
                     power.cycling_part_input(), inputs_);
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
  Names inputs_;
  Names added_powers_;
};

}  // namespace

void CheckProcedure(const v1::Procedure& procedure, const Node& node) {
  if (!node.RequireAtMostMessages(kMostMessages)) return;
  node.RequireSoundValues();
  ProcedureCheck(procedure).Check(node);
}

}  // namespace ratebound::document
