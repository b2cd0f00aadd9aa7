#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/check_line_parts.h"
#include "engine/document/check_parts.h"

namespace ratebound::document {
namespace {

// What the mode fits.
Names FittedBy(const v1::Mode& mode) {
  std::vector<std::string> names = {mode.capacity_quantity(), mode.power_quantity()};
  names.insert(names.end(), mode.other_responses().begin(), mode.other_responses().end());
  return Names(std::move(names));
}

// The quantity, where the mode fits it.
const quantity::Quantity* CheckFittedHere(const Node& node, int field,
                                          const std::string& name, const Names& fitted) {
  if (name.empty() || !CheckReference(node, field, "fitted quantity", name, fitted)) {
    return nullptr;
  }
  const auto found = quantity::FindQuantity(name);
  return found.ok() ? *found : nullptr;  // the mode's own check tells which is unknown
}

void CheckUnused(const v1::ShapeFact& fact, const Node& node) {
  using F = v1::ShapeFact;
  const bool slope =
      fact.kind() == v1::SHAPE_KIND_RISES || fact.kind() == v1::SHAPE_KIND_FALLS;
  const auto fault = [&](int field, bool used) {
    if (used || !node.Has(field)) return;
    node.Fault(field, "has no meaning for this kind of fact", "leave it out");
  };
  fault(F::kConditionFieldNumber, slope);
  fault(F::kOtherQuantityFieldNumber, fact.kind() == v1::SHAPE_KIND_AT_MOST_OTHER);
  fault(F::kLimitFieldNumber, !slope);
}

void CheckFact(const v1::Mode& mode, const v1::ShapeFact& fact, const Names& fitted,
               const Node& node) {
  using F = v1::ShapeFact;
  node.Require({F::kIdFieldNumber, F::kKindFieldNumber, F::kQuantityFieldNumber,
                F::kReasonFieldNumber});
  CheckId(node, F::kIdFieldNumber, fact.id());
  const auto* quantity =
      CheckFittedHere(node, F::kQuantityFieldNumber, fact.quantity(), fitted);
  if (fact.kind() != v1::SHAPE_KIND_UNSPECIFIED) CheckUnused(fact, node);
  if (fact.has_limit()) {
    node.Require({F::kUnitFieldNumber});
  } else if (node.Has(F::kUnitFieldNumber)) {
    node.Fault(F::kUnitFieldNumber, "is the unit of no limit", "leave it out");
  }
  switch (fact.kind()) {
    case v1::SHAPE_KIND_RISES:
    case v1::SHAPE_KIND_FALLS:
      node.Require({F::kConditionFieldNumber});
      CheckReference(node, F::kConditionFieldNumber, "condition of the mode",
                     fact.condition(),
                     Names({mode.conditions().begin(), mode.conditions().end()}));
      break;
    case v1::SHAPE_KIND_AT_MOST_OTHER: {
      node.Require({F::kOtherQuantityFieldNumber});
      const auto* other = CheckFittedHere(node, F::kOtherQuantityFieldNumber,
                                          fact.other_quantity(), fitted);
      if (quantity != nullptr && other != nullptr &&
          (other == quantity || other->dimension != quantity->dimension)) {
        node.Fault(F::kOtherQuantityFieldNumber,
                   absl::StrCat("'", fact.other_quantity(), "' cannot be compared with '",
                                fact.quantity(), "'"),
                   "name another quantity in the same unit");
      }
      if (quantity != nullptr && fact.has_limit()) {
        CheckUncertaintyUnit(node, F::kUnitFieldNumber, fact.unit(), *quantity,
                             "an offset");
      }
      break;
    }
    default:
      if (quantity != nullptr && fact.has_limit()) {
        CheckUnit(node, F::kUnitFieldNumber, fact.unit(), quantity->dimension);
      }
  }
}

void CheckBalance(const v1::EnergyBalance& balance, const Names& fitted,
                  const Node& node) {
  using B = v1::EnergyBalance;
  using T = v1::BalanceTerm;
  node.Require({B::kIdFieldNumber, B::kTermsFieldNumber});
  CheckId(node, B::kIdFieldNumber, balance.id());
  if (balance.terms_size() == 1) {
    node.Fault(B::kTermsFieldNumber, "has one term, and so ties nothing",
               "name at least two quantities");
  }
  Unique quantities("quantity");
  for (int i = 0; i < balance.terms_size(); ++i) {
    const v1::BalanceTerm& term = balance.terms(i);
    const Node child = node.Child(B::kTermsFieldNumber, i);
    child.Require({T::kQuantityFieldNumber, T::kFactorFieldNumber});
    const auto* quantity =
        CheckFittedHere(child, T::kQuantityFieldNumber, term.quantity(), fitted);
    quantities.Check(child, T::kQuantityFieldNumber, term.quantity());
    if (quantity != nullptr && quantity->dimension != quantity::Dimension::kPower) {
      child.Fault(T::kQuantityFieldNumber,
                  absl::StrCat("'", term.quantity(), "' is not in watts"));
    }
    if (child.Has(T::kFactorFieldNumber) && term.factor() == 0) {
      child.Fault(T::kFactorFieldNumber, "is 0", "write 1 or -1");
    }
  }
  if (balance.has_tolerance_fraction()) {
    CheckBetween(node, B::kToleranceFractionFieldNumber, balance.tolerance_fraction(), 0,
                 1);
  }
}

}  // namespace

void CheckShapes(const v1::Mode& mode, const Node& node) {
  using M = v1::Mode;
  const Names fitted = FittedBy(mode);
  Unique facts("shape fact");
  for (int i = 0; i < mode.shape_facts_size(); ++i) {
    const Node child = node.Child(M::kShapeFactsFieldNumber, i);
    CheckFact(mode, mode.shape_facts(i), fitted, child);
    facts.Check(child, v1::ShapeFact::kIdFieldNumber, mode.shape_facts(i).id());
  }
  if (mode.constrain_to_shape_facts() && mode.shape_facts_size() == 0) {
    node.Fault(M::kConstrainToShapeFactsFieldNumber, "has no facts to constrain to",
               "declare shape_facts, or leave it out");
  }
  Unique balances("balance");
  for (int i = 0; i < mode.energy_balances_size(); ++i) {
    const Node child = node.Child(M::kEnergyBalancesFieldNumber, i);
    CheckBalance(mode.energy_balances(i), fitted, child);
    balances.Check(child, v1::EnergyBalance::kIdFieldNumber,
                   mode.energy_balances(i).id());
  }
}

}  // namespace ratebound::document
