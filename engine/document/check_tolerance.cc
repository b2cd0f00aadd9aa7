#include "engine/document/check_tolerance.h"

#include <algorithm>

#include "engine/document/check_citation.h"
#include "engine/document/check_parts.h"

namespace ratebound::document {
namespace {

void CheckFigure(const v1::ToleranceFigure& figure, const quantity::Quantity* quantity,
                 const Node& node) {
  using F = v1::ToleranceFigure;
  if (figure.has_relative_fraction() == figure.has_absolute()) {
    node.Fault(F::kRelativeFractionFieldNumber,
               figure.has_absolute() ? "is given, and so is 'absolute'"
                                     : "is missing, and so is 'absolute'",
               "write one of them");
  }
  if (figure.has_relative_fraction()) {
    CheckAbove(node, F::kRelativeFractionFieldNumber, figure.relative_fraction(), 0);
    CheckPart(node, F::kRelativeFractionFieldNumber,
              std::max(figure.relative_fraction(), 0.0), quantity);
  }
  if (figure.has_absolute()) {
    CheckAbove(node, F::kAbsoluteFieldNumber, figure.absolute(), 0);
    node.Require({F::kUnitFieldNumber});
    if (quantity != nullptr) {
      CheckUncertaintyUnit(node, F::kUnitFieldNumber, figure.unit(), *quantity,
                           "a tolerance");
    }
  } else if (!figure.unit().empty()) {
    node.Fault(F::kUnitFieldNumber, "a part has no unit", "leave it out");
  }
}

}  // namespace

void CheckTolerances(
    const google::protobuf::RepeatedPtrField<v1::TestTolerance>& tolerances, int field,
    const Node& owner) {
  using T = v1::TestTolerance;
  Unique quantities("quantity");
  for (int i = 0; i < tolerances.size(); ++i) {
    const v1::TestTolerance& tolerance = tolerances[i];
    const Node node = owner.Child(field, i);
    node.Require({T::kQuantityFieldNumber});
    CheckCited(tolerance, node);
    const auto* quantity =
        CheckQuantity(node, T::kQuantityFieldNumber, tolerance.quantity(), Use::kAny);
    quantities.Check(node, T::kQuantityFieldNumber, tolerance.quantity());
    bool asks = false;
    const auto check = [&](int figure_field, const v1::ToleranceFigure& figure) {
      if (!node.Has(figure_field)) return;
      asks = true;
      CheckFigure(figure, quantity, node.Child(figure_field));
    };
    check(T::kGreatestSpreadFieldNumber, tolerance.greatest_spread());
    check(T::kGreatestDeviationFieldNumber, tolerance.greatest_deviation());
    check(T::kGreatestStandardDeviationFieldNumber,
          tolerance.greatest_standard_deviation());
    check(T::kMeanDeviationFieldNumber, tolerance.mean_deviation());
    if (asks) continue;
    node.Fault(T::kQuantityFieldNumber, "the tolerance asks nothing",
               "write greatest_spread, greatest_deviation, greatest_standard_deviation "
               "or mean_deviation");
  }
}

}  // namespace ratebound::document
