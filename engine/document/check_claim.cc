#include "absl/strings/str_cat.h"
#include "engine/document/check_parts.h"

namespace ratebound::document {
namespace {

constexpr double kLeastConfidence = 0.5;
constexpr double kGreatestConfidence = 0.9999;

void CheckAllowance(const v1::Allowance& allowance, const Node& node) {
  using A = v1::Allowance;
  node.Require({A::kReasonFieldNumber});
  if (!allowance.has_relative_fraction() && !allowance.has_absolute()) {
    node.Fault(A::kRelativeFractionFieldNumber, "is missing, and so is 'absolute'",
               "write one of them, 0 if that is what you mean");
  }
  CheckBetween(node, A::kRelativeFractionFieldNumber, allowance.relative_fraction(), 0,
               1);
  if (allowance.absolute() < 0) {
    node.Fault(A::kAbsoluteFieldNumber, "is negative",
               "an allowance is taken off the margin: write it without a sign");
  }
}

void CheckLimit(const v1::Claim& claim, const Node& node) {
  using C = v1::Claim;
  const auto* quantity =
      CheckQuantity(node, C::kQuantityFieldNumber, claim.quantity(), Use::kResponse);
  if (quantity == nullptr) return;
  const auto unit =
      CheckUnit(node, C::kLimitUnitFieldNumber, claim.limit_unit(), quantity->dimension);
  if (!unit.has_value()) return;
  if (unit->reciprocal) {
    node.Fault(
        C::kLimitUnitFieldNumber,
        absl::StrCat("'", claim.limit_unit(),
                     "' falls where efficiency rises, so that at least and at most "
                     "change places"),
        "write the limit in W/W or Btu/Wh");
    return;
  }
  if (quantity->dimension == quantity::Dimension::kTemperature &&
      claim.allowance().relative_fraction() > 0 &&
      claim.allowance().relative_fraction() <= 1) {
    node.Child(C::kAllowanceFieldNumber)
        .Fault(v1::Allowance::kRelativeFractionFieldNumber,
               "is a part of a temperature, which depends on where its scale starts",
               "write 'absolute', a difference");
  }
  if (node.Has(C::kLimitFieldNumber)) {
    CheckPlausible(node, C::kLimitFieldNumber, claim.limit(), *unit, *quantity);
  }
}

void CheckClaim(const v1::Claim& claim, const Node& node) {
  using C = v1::Claim;
  node.Require({C::kIdFieldNumber, C::kUnitFieldNumber, C::kModeFieldNumber,
                C::kStageFieldNumber, C::kQuantityFieldNumber, C::kRelationFieldNumber,
                C::kLimitFieldNumber, C::kLimitUnitFieldNumber, C::kRegionFieldNumber,
                C::kConfidenceFieldNumber, C::kAllowanceFieldNumber});
  CheckId(node, C::kIdFieldNumber, claim.id());
  CheckLimit(claim, node);
  Unique conditions("condition");
  for (int i = 0; i < claim.region_size(); ++i) {
    const Node range = node.Child(C::kRegionFieldNumber, i);
    CheckMeasureRange(claim.region(i), range, Use::kCondition);
    conditions.Check(range, v1::MeasureRange::kQuantityFieldNumber,
                     claim.region(i).quantity());
  }
  if (node.Has(C::kConfidenceFieldNumber)) {
    CheckBetween(node, C::kConfidenceFieldNumber, claim.confidence(), kLeastConfidence,
                 kGreatestConfidence);
  }
  if (claim.has_allowance()) {
    CheckAllowance(claim.allowance(), node.Child(C::kAllowanceFieldNumber));
  }
}

}  // namespace

void CheckClaimDocument(const v1::ClaimDocument& claims, const Node& node) {
  if (!node.RequireAtMostMessages(kMostMessages)) return;
  node.Require({v1::ClaimDocument::kClaimsFieldNumber});
  node.RequireSoundValues();
  Unique ids("claim");
  for (int i = 0; i < claims.claims_size(); ++i) {
    const Node claim = node.Child(v1::ClaimDocument::kClaimsFieldNumber, i);
    CheckClaim(claims.claims(i), claim);
    ids.Check(claim, v1::Claim::kIdFieldNumber, claims.claims(i).id());
  }
}

}  // namespace ratebound::document
