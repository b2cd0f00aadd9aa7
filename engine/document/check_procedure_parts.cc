#include "engine/document/check_procedure_parts.h"

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::document {

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

void CheckWeight(const v1::CitedValue& weight, const Node& node) {
  CheckPlainNumber(weight, node);
  if (weight.value() < 0) {
    node.Fault(v1::CitedValue::kValueFieldNumber, "is negative");
  }
}

void CheckWeightSum(double sum, const v1::Procedure& procedure, const Node& root) {
  // Weights have a few decimals; what is left is the rounding of their sum.
  constexpr double kRounding = 1e-9;
  constexpr int kField = v1::Procedure::kWeightSumFieldNumber;
  if (!std::isfinite(sum) || !root.Has(kField) ||
      std::fabs(sum - procedure.weight_sum()) <= kRounding) {
    return;
  }
  root.Fault(kField,
             absl::StrCat("the weights add up to ", base::ShortestText(sum),
                          " and not to ", base::ShortestText(procedure.weight_sum())),
             "look at each weight, then at the sum");
}

void CheckNumber(const v1::CitedNumber& number, const RequiredInputs& inputs,
                 const Node& node) {
  using N = v1::CitedNumber;
  switch (number.from_case()) {
    case N::kValue:
      CheckCitedValue(number.value(), node.Child(N::kValueFieldNumber));
      return;
    case N::kInput:
      node.Require({N::kInputFieldNumber});
      inputs.Check(node, N::kInputFieldNumber, number.input());
      return;
    case N::FROM_NOT_SET:
      node.Fault(N::kValueFieldNumber, "the number is missing", "write value or input");
      return;
  }
}

void CheckPlainFactor(const v1::CitedNumber& number, const RequiredInputs& inputs,
                      const Node& node) {
  using N = v1::CitedNumber;
  switch (number.from_case()) {
    case N::kValue:
      return CheckPlainNumber(number.value(), node.Child(N::kValueFieldNumber));
    case N::kInput:
      node.Require({N::kInputFieldNumber});
      return inputs.CheckPlain(node, N::kInputFieldNumber, number.input());
    case N::FROM_NOT_SET:
      return CheckNumber(number, inputs, node);
  }
}

void CheckNumberOf(quantity::Dimension dimension, const v1::CitedNumber& number,
                   const RequiredInputs& inputs, const Node& node) {
  if (number.has_input()) {
    node.Require({v1::CitedNumber::kInputFieldNumber});
    inputs.CheckMeasures(node, v1::CitedNumber::kInputFieldNumber, number.input(),
                         dimension);
    return;
  }
  CheckNumber(number, inputs, node);
  // An unknown unit has been reported.
  const std::string& unit = number.value().unit();
  if (!number.has_value() || !quantity::FindUnit(unit).ok()) return;
  CheckUnit(node.Child(v1::CitedNumber::kValueFieldNumber),
            v1::CitedValue::kUnitFieldNumber, unit, dimension);
}

// Where the quantity is not known, in any unit.
static void CheckInputOf(const quantity::Quantity* quantity, const RequiredInputs& inputs,
                         const std::string& name, int field, const Node& node) {
  if (quantity == nullptr) {
    inputs.Check(node, field, name);
  } else {
    inputs.CheckMeasures(node, field, name, quantity->dimension);
  }
}

static void CheckLoadLine(const v1::LoadLine& line, const quantity::Quantity* quantity,
                          const RequiredInputs& inputs, const Node& node) {
  using L = v1::LoadLine;
  node.Require({L::kPercentLowFieldNumber, L::kConstantFieldNumber, L::kUnitFieldNumber});
  CheckCited(line, node);
  if (line.full_load_input().empty()) {
    node.Require({L::kSlopePerPercentFieldNumber, L::kInterceptFieldNumber});
  } else {
    CheckInputOf(quantity, inputs, line.full_load_input(), L::kFullLoadInputFieldNumber,
                 node);
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

void CheckCondition(const v1::CitedCondition& condition, const RequiredInputs& inputs,
                    const Node& node) {
  using C = v1::CitedCondition;
  node.Require({C::kQuantityFieldNumber});
  const auto* quantity =
      CheckQuantity(node, C::kQuantityFieldNumber, condition.quantity(), Use::kCondition);
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
      CheckPlausible(value, v1::CitedValue::kValueFieldNumber, condition.value().value(),
                     *unit, *quantity);
      return;
    }
    case C::kInput:
      node.Require({C::kInputFieldNumber});
      CheckInputOf(quantity, inputs, condition.input(), C::kInputFieldNumber, node);
      return;
    case C::kLoadLine:
      CheckLoadLine(condition.load_line(), quantity, inputs,
                    node.Child(C::kLoadLineFieldNumber));
      return;
    case C::AT_NOT_SET:
      node.Fault(C::kQuantityFieldNumber, "the condition has no value",
                 "write value, input or load_line");
      return;
  }
}

void CheckConditions(
    const google::protobuf::RepeatedPtrField<v1::CitedCondition>& conditions, int field,
    const RequiredInputs& inputs, Unique& unique, const Node& owner) {
  for (int i = 0; i < conditions.size(); ++i) {
    const Node child = owner.Child(field, i);
    CheckCondition(conditions[i], inputs, child);
    unique.Check(child, v1::CitedCondition::kQuantityFieldNumber,
                 conditions[i].quantity());
  }
}

}  // namespace ratebound::document
