#include "absl/strings/str_cat.h"
#include "engine/document/check_claim_parts.h"
#include "engine/document/check_parts.h"

namespace ratebound::document {
namespace {

using C = v1::Claim;

constexpr double kLeastConfidence = 0.5;
constexpr double kGreatestConfidence = 0.9999;

// Of a promise that has one, the fields that it must and must not have.
struct PromiseFields {
  std::vector<int> required;
  std::vector<int> left_out;
};

PromiseFields FieldsOf(C::PromiseCase promise) {
  const std::vector<int> limits = {C::kLimitFieldNumber,     C::kUpperLimitFieldNumber,
                                   C::kLimitUnitFieldNumber, C::kAgainstFieldNumber,
                                   C::kLimitLineFieldNumber, C::kLimitTableFieldNumber};
  const auto with = [](std::vector<int> fields, std::initializer_list<int> more) {
    fields.insert(fields.end(), more);
    return fields;
  };
  const std::vector<int> over_region = {C::kModeFieldNumber, C::kRegionFieldNumber,
                                        C::kConfidenceFieldNumber,
                                        C::kAllowanceFieldNumber};
  switch (promise) {
    case C::PROMISE_NOT_SET:
      return {with(over_region, {C::kQuantityFieldNumber, C::kRelationFieldNumber,
                                 C::kLimitUnitFieldNumber}),
              {}};
    case C::kTurndown:
      return {with(over_region, {C::kRelationFieldNumber}),
              with(limits, {C::kStageFieldNumber, C::kServingFieldNumber,
                            C::kQuantityFieldNumber})};
    case C::kCapacitySteps:
      return {over_region,
              with(limits, {C::kStageFieldNumber, C::kServingFieldNumber,
                            C::kQuantityFieldNumber, C::kRelationFieldNumber})};
    case C::kEquivalence:
      return {with(over_region, {C::kStageFieldNumber, C::kQuantityFieldNumber}),
              with(limits, {C::kServingFieldNumber, C::kRelationFieldNumber})};
    case C::kOperatingEnvelope:
      return {over_region,
              with(limits, {C::kQuantityFieldNumber, C::kRelationFieldNumber})};
    case C::kSeasonalFloor:
      return {
          {C::kConfidenceFieldNumber, C::kAllowanceFieldNumber},
          with(limits, {C::kModeFieldNumber, C::kStageFieldNumber, C::kServingFieldNumber,
                        C::kQuantityFieldNumber, C::kRelationFieldNumber,
                        C::kRegionFieldNumber, C::kCutsFieldNumber})};
    case C::kSteadiness:
      return {
          {},
          with(limits, {C::kModeFieldNumber, C::kStageFieldNumber, C::kServingFieldNumber,
                        C::kQuantityFieldNumber, C::kRelationFieldNumber,
                        C::kRegionFieldNumber, C::kCutsFieldNumber,
                        C::kConfidenceFieldNumber, C::kAllowanceFieldNumber})};
  }
  return {};
}

std::string NameOf(C::PromiseCase promise) {
  return C::descriptor()->FindFieldByNumber(promise)->name();
}

void CheckFields(const v1::Claim& claim, const Node& node) {
  node.Require({C::kIdFieldNumber, C::kUnitFieldNumber});
  const PromiseFields fields = FieldsOf(claim.promise_case());
  for (int field : fields.required) node.Require({field});
  for (int field : fields.left_out) {
    if (!node.Has(field)) continue;
    node.Fault(field, absl::StrCat("does not go with ", NameOf(claim.promise_case())),
               "leave it out, or make a claim of its own of it");
  }
  const bool staged = claim.promise_case() == C::PROMISE_NOT_SET ||
                      claim.promise_case() == C::kOperatingEnvelope;
  if (!staged) return;
  if (!node.Has(C::kServingFieldNumber)) {
    node.Require({C::kStageFieldNumber});
  } else if (node.Has(C::kStageFieldNumber)) {
    node.Fault(C::kStageFieldNumber, "is given beside 'serving'",
               "name one stage, or say which of several serve");
  }
}

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

class LimitCheck {
 public:
  LimitCheck(const v1::Claim& claim, const Node& node) : claim_(claim), node_(node) {}

  void Check() {
    const auto* quantity =
        CheckQuantity(node_, C::kQuantityFieldNumber, claim_.quantity(), Use::kResponse);
    if (quantity == nullptr) return;
    const auto unit = CheckUnit(node_, C::kLimitUnitFieldNumber, claim_.limit_unit(),
                                quantity->dimension);
    if (!unit.has_value()) return;
    if (unit->reciprocal) {
      node_.Fault(
          C::kLimitUnitFieldNumber,
          absl::StrCat("'", claim_.limit_unit(),
                       "' falls where efficiency rises, so that at least and at most "
                       "change places"),
          "write the limit in W/W or Btu/Wh");
      return;
    }
    CheckPartOfTemperature(*quantity);
    const bool window = claim_.relation() == v1::RELATION_WITHIN;
    switch (claim_.limits_case()) {
      case C::LIMITS_NOT_SET:
        node_.Require({C::kLimitFieldNumber});
        if (node_.Has(C::kLimitFieldNumber)) {
          CheckPlausible(node_, C::kLimitFieldNumber, claim_.limit(), *unit, *quantity);
        }
        if (claim_.has_upper_limit()) {
          CheckPlausible(node_, C::kUpperLimitFieldNumber, claim_.upper_limit(), *unit,
                         *quantity);
        }
        CheckWindow(node_, C::kUpperLimitFieldNumber, window, claim_.limit(),
                    claim_.has_upper_limit(), claim_.upper_limit());
        return;
      case C::kAgainst:
        return CheckAgainst(*quantity, window);
      case C::kLimitLine:
        return CheckLine(window);
      case C::kLimitTable:
        return CheckTable(*quantity, *unit, window);
    }
  }

 private:
  static void CheckWindow(const Node& node, int upper_field, bool window, double lower,
                          bool has_upper, double upper) {
    if (!window) {
      if (!has_upper) return;
      node.Fault(upper_field, "is given, and the relation has one side",
                 "write relation: RELATION_WITHIN, or leave it out");
      return;
    }
    node.Require({upper_field});
    if (has_upper && upper < lower) node.Fault(upper_field, "is below the lower limit");
  }

  void CheckPartOfTemperature(const quantity::Quantity& quantity) {
    if (quantity.dimension != quantity::Dimension::kTemperature ||
        !(claim_.allowance().relative_fraction() > 0) ||
        claim_.allowance().relative_fraction() > 1) {
      return;
    }
    node_.Child(C::kAllowanceFieldNumber)
        .Fault(v1::Allowance::kRelativeFractionFieldNumber,
               "is a part of a temperature, which depends on where its scale starts",
               "write 'absolute', a difference");
  }

  // Nothing but the limits' own kind gives the limit.
  void RefuseNumbers(const char* kind) {
    for (int field : {C::kLimitFieldNumber, C::kUpperLimitFieldNumber}) {
      if (!node_.Has(field)) continue;
      node_.Fault(field, absl::StrCat("is given beside '", kind, "'"), "keep one");
    }
  }

  void CheckAgainst(const quantity::Quantity& quantity, bool window) {
    using A = v1::AgainstQuantity;
    RefuseNumbers("against");
    const Node node = node_.Child(C::kAgainstFieldNumber);
    node.Require({A::kQuantityFieldNumber});
    const v1::AgainstQuantity& against = claim_.against();
    const auto* other =
        CheckQuantity(node, A::kQuantityFieldNumber, against.quantity(), Use::kAny);
    if (other != nullptr && other->dimension != quantity.dimension) {
      node.Fault(A::kQuantityFieldNumber,
                 absl::StrCat("'", against.quantity(), "' does not measure the same as '",
                              claim_.quantity(), "'"));
    }
    if (against.quantity() == claim_.quantity() && other != nullptr) {
      node.Fault(A::kQuantityFieldNumber, "compares a quantity with itself");
    }
    CheckWindow(node, A::kUpperOffsetFieldNumber, window, against.offset(),
                against.has_upper_offset(), against.upper_offset());
  }

  void CheckLine(bool window) {
    using L = v1::LimitLine;
    RefuseNumbers("limit_line");
    const Node node = node_.Child(C::kLimitLineFieldNumber);
    node.Require({L::kQuantityFieldNumber, L::kUnitFieldNumber, L::kValueFieldNumber,
                  L::kLimitFieldNumber, L::kOtherValueFieldNumber,
                  L::kOtherLimitFieldNumber});
    const v1::LimitLine& line = claim_.limit_line();
    CheckConditionOfRegion(claim_, node, L::kQuantityFieldNumber, line.quantity(),
                           L::kUnitFieldNumber, line.unit());
    if (node.Has(L::kValueFieldNumber) && line.value() == line.other_value()) {
      node.Fault(L::kOtherValueFieldNumber, "is the same condition as the first point's");
    }
    if (window) {
      node_.Fault(C::kRelationFieldNumber, "has two sides, and a line has one",
                  "make two claims of it");
    }
  }

  void CheckTable(const quantity::Quantity& quantity, const quantity::Unit& unit,
                  bool window) {
    using T = v1::LimitTable;
    using R = v1::LimitRow;
    RefuseNumbers("limit_table");
    const Node node = node_.Child(C::kLimitTableFieldNumber);
    node.Require({T::kRowsFieldNumber});
    for (int i = 0; i < claim_.limit_table().rows_size(); ++i) {
      const v1::LimitRow& row = claim_.limit_table().rows(i);
      const Node of_row = node.Child(T::kRowsFieldNumber, i);
      of_row.Require({R::kRangesFieldNumber, R::kLimitFieldNumber});
      if (of_row.Has(R::kLimitFieldNumber)) {
        CheckPlausible(of_row, R::kLimitFieldNumber, row.limit(), unit, quantity);
      }
      if (row.has_upper_limit()) {
        CheckPlausible(of_row, R::kUpperLimitFieldNumber, row.upper_limit(), unit,
                       quantity);
      }
      CheckWindow(of_row, R::kUpperLimitFieldNumber, window, row.limit(),
                  row.has_upper_limit(), row.upper_limit());
    }
  }

  const v1::Claim& claim_;
  const Node& node_;
};

void CheckClaim(const v1::Claim& claim, const Node& node) {
  CheckFields(claim, node);
  CheckId(node, C::kIdFieldNumber, claim.id());
  if (claim.promise_case() == C::PROMISE_NOT_SET) LimitCheck(claim, node).Check();
  CheckPromise(claim, node);
  CheckClaimRegion(claim, node);
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
