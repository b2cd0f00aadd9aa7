#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/document/check_parts.h"

namespace ratebound::document {
namespace {

constexpr int kMostAxisValues = 200;
constexpr int kMostDecimals = 6;

void CheckAxis(const v1::TableAxis& axis, const Node& node) {
  using A = v1::TableAxis;
  node.Require({A::kQuantityFieldNumber, A::kUnitFieldNumber, A::kValuesFieldNumber});
  if (axis.values_size() > kMostAxisValues) {
    node.Fault(A::kValuesFieldNumber, absl::StrCat("has ", axis.values_size(), " values"),
               absl::StrCat("write at most ", kMostAxisValues));
    return;
  }
  for (int i = 1; i < axis.values_size(); ++i) {
    if (!(axis.values(i) <= axis.values(i - 1))) continue;
    node.Fault(A::kValuesFieldNumber,
               absl::StrCat(base::ShortestText(axis.values(i)), " does not follow ",
                            base::ShortestText(axis.values(i - 1))),
               "write the values in ascending order", i);
  }
  const auto* quantity =
      CheckQuantity(node, A::kQuantityFieldNumber, axis.quantity(), Use::kCondition);
  if (quantity == nullptr) return;
  const auto unit =
      CheckUnit(node, A::kUnitFieldNumber, axis.unit(), quantity->dimension);
  if (!unit.has_value()) return;
  for (int i = 0; i < axis.values_size(); ++i) {
    CheckPlausible(node, A::kValuesFieldNumber, axis.values(i), *unit, *quantity, i);
  }
}

const v1::Unit* FindUnit(const v1::LineManifest& manifest, const std::string& id) {
  for (const v1::Unit& unit : manifest.units()) {
    if (unit.id() == id) return &unit;
  }
  return nullptr;
}

const v1::Mode* FindMode(const v1::Unit& unit, const std::string& id) {
  for (const v1::Mode& mode : unit.modes()) {
    if (mode.id() == id) return &mode;
  }
  return nullptr;
}

// The mode that the table is of, or null with a fault.
const v1::Mode* CheckPlace(const v1::TableRequest& request,
                           const v1::LineManifest& manifest, const Node& node) {
  using T = v1::TableRequest;
  if (!CheckReference(node, T::kUnitFieldNumber, "unit", request.unit(),
                      IdsOf(manifest.units()))) {
    return nullptr;
  }
  const v1::Unit& unit = *FindUnit(manifest, request.unit());
  if (!CheckReference(node, T::kModeFieldNumber, "mode", request.mode(),
                      IdsOf(unit.modes()))) {
    return nullptr;
  }
  const v1::Mode* mode = FindMode(unit, request.mode());
  CheckReference(node, T::kStageFieldNumber, "stage", request.stage(),
                 IdsOf(mode->stages()));
  return mode;
}

// Each condition of the mode exactly once, as an axis or fixed.
class ConditionsOfTable {
 public:
  ConditionsOfTable(const v1::Mode& mode)
      : conditions_(mode.conditions().begin(), mode.conditions().end()) {
    for (const v1::HeldCondition& held : mode.held_conditions()) {
      held_.push_back(held.quantity());
    }
  }

  void Give(const Node& node, int field, const std::string& quantity) {
    if (quantity.empty() || !quantity::FindQuantity(quantity).ok()) return;
    unique_.Check(node, field, quantity);
    given_.push_back(quantity);
    if (std::find(held_.begin(), held_.end(), quantity) != held_.end()) {
      node.Fault(field,
                 absl::StrCat("'", quantity, "' is held at one value in this mode"),
                 "leave it out");
    } else if (std::find(conditions_.begin(), conditions_.end(), quantity) ==
               conditions_.end()) {
      node.Fault(field, absl::StrCat("'", quantity, "' is no condition of this mode"),
                 absl::StrCat("its conditions are ", Listed(conditions_)));
    }
  }

  void RequireAll(const Node& node) const {
    for (const std::string& condition : conditions_) {
      if (std::find(given_.begin(), given_.end(), condition) != given_.end()) continue;
      node.Fault(v1::TableRequest::kFixedConditionsFieldNumber,
                 absl::StrCat("the condition '", base::Printable(condition),
                              "' has no value in this table"),
                 "give it as rows, columns or a fixed condition");
    }
  }

 private:
  std::vector<std::string> conditions_;
  std::vector<std::string> held_;
  std::vector<std::string> given_;
  Unique unique_{"condition"};
};

void CheckFigures(const v1::TableRequest& request, const v1::Mode* mode,
                  const Node& node) {
  using F = v1::TableFigure;
  std::vector<std::string> known = DerivedEfficiencies();
  if (mode != nullptr) {
    known.push_back(mode->capacity_quantity());
    known.push_back(mode->power_quantity());
    known.insert(known.end(), mode->other_responses().begin(),
                 mode->other_responses().end());
  }
  for (int i = 0; i < request.figures_size(); ++i) {
    const v1::TableFigure& figure = request.figures(i);
    const Node child = node.Child(v1::TableRequest::kFiguresFieldNumber, i);
    child.Require({F::kQuantityFieldNumber, F::kUnitFieldNumber});
    CheckBetween(child, F::kDecimalCountFieldNumber, figure.decimal_count(), 0,
                 kMostDecimals);
    const auto* quantity =
        CheckQuantity(child, F::kQuantityFieldNumber, figure.quantity(), Use::kResponse);
    if (quantity == nullptr) continue;
    CheckUnit(child, F::kUnitFieldNumber, figure.unit(), quantity->dimension);
    if (mode == nullptr) continue;
    CheckReference(child, F::kQuantityFieldNumber, "figure of this mode",
                   figure.quantity(), Names(known));
  }
}

}  // namespace

void CheckTableRequest(const v1::TableRequest& request, const v1::LineManifest& manifest,
                       const Node& node) {
  using T = v1::TableRequest;
  node.Require({T::kIdFieldNumber, T::kTitleFieldNumber, T::kUnitFieldNumber,
                T::kModeFieldNumber, T::kStageFieldNumber, T::kRowsFieldNumber,
                T::kFiguresFieldNumber});
  CheckId(node, T::kIdFieldNumber, request.id());
  if (request.has_confidence()) {
    CheckBetween(node, T::kConfidenceFieldNumber, request.confidence(), 0.5, 0.9999);
  }
  if (request.has_rows()) CheckAxis(request.rows(), node.Child(T::kRowsFieldNumber));
  if (request.has_columns()) {
    CheckAxis(request.columns(), node.Child(T::kColumnsFieldNumber));
  }
  for (int i = 0; i < request.fixed_conditions_size(); ++i) {
    CheckMeasure(request.fixed_conditions(i),
                 node.Child(T::kFixedConditionsFieldNumber, i), Use::kCondition);
  }
  const v1::Mode* mode = CheckPlace(request, manifest, node);
  CheckFigures(request, mode, node);
  if (mode == nullptr) return;
  ConditionsOfTable conditions(*mode);
  if (request.has_rows()) {
    conditions.Give(node.Child(T::kRowsFieldNumber), v1::TableAxis::kQuantityFieldNumber,
                    request.rows().quantity());
  }
  if (request.has_columns()) {
    conditions.Give(node.Child(T::kColumnsFieldNumber),
                    v1::TableAxis::kQuantityFieldNumber, request.columns().quantity());
  }
  for (int i = 0; i < request.fixed_conditions_size(); ++i) {
    conditions.Give(node.Child(T::kFixedConditionsFieldNumber, i),
                    v1::Measure::kQuantityFieldNumber,
                    request.fixed_conditions(i).quantity());
  }
  conditions.RequireAll(node);
}

}  // namespace ratebound::document
