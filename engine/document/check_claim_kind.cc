#include "absl/strings/str_cat.h"
#include "engine/document/check_claim_parts.h"
#include "engine/document/region_pieces.h"
#include "engine/quantity/unit.h"

namespace ratebound::document {
namespace {

using C = v1::Claim;

void CheckTurndown(const v1::Claim& claim, const Node& claim_node) {
  using T = v1::Turndown;
  const Node node = claim_node.Child(C::kTurndownFieldNumber);
  node.Require({T::kCapacityFractionFieldNumber});
  if (node.Has(T::kCapacityFractionFieldNumber)) {
    const double part = claim.turndown().capacity_fraction();
    CheckBetween(node, T::kCapacityFractionFieldNumber, part, 0, 1);
    if (part == 0) node.Fault(T::kCapacityFractionFieldNumber, "is 0");
  }
  if (claim.relation() == v1::RELATION_WITHIN) {
    claim_node.Fault(C::kRelationFieldNumber, "has two sides, and a turndown has one",
                     "make two claims of it");
  }
  if (!claim.turndown().lowest_stage().empty() &&
      claim.turndown().lowest_stage() == claim.turndown().highest_stage()) {
    node.Fault(T::kHighestStageFieldNumber, "is the lowest stage, too");
  }
}

void CheckSteps(const v1::CapacitySteps& steps, const Node& node) {
  using S = v1::CapacitySteps;
  node.Require({S::kLeastCountFieldNumber, S::kDistinctFractionFieldNumber});
  if (node.Has(S::kLeastCountFieldNumber) && steps.least_count() < 1) {
    node.Fault(S::kLeastCountFieldNumber, "is no number of steps", "write 1 or more");
  }
  CheckBetween(node, S::kDistinctFractionFieldNumber, steps.distinct_fraction(), 0, 1);
  if (steps.has_greatest_gap_fraction()) {
    CheckBetween(node, S::kGreatestGapFractionFieldNumber, steps.greatest_gap_fraction(),
                 0, 1);
  }
}

void CheckEquivalence(const v1::Claim& claim, const Node& claim_node) {
  using E = v1::Equivalence;
  const v1::Equivalence& equivalence = claim.equivalence();
  const Node node = claim_node.Child(C::kEquivalenceFieldNumber);
  node.Require({E::kSpecimenFieldNumber, E::kReferenceSpecimenFieldNumber,
                E::kWithinFractionFieldNumber});
  if (!equivalence.specimen().empty() &&
      equivalence.specimen() == equivalence.reference_specimen()) {
    node.Fault(E::kReferenceSpecimenFieldNumber, "compares a specimen with itself");
  }
  if (node.Has(E::kWithinFractionFieldNumber)) {
    CheckBetween(node, E::kWithinFractionFieldNumber, equivalence.within_fraction(), 0,
                 1);
    if (equivalence.within_fraction() == 0) {
      node.Fault(E::kWithinFractionFieldNumber, "is 0, which nothing can show");
    }
  }
  const auto* quantity = CheckQuantity(claim_node, C::kQuantityFieldNumber,
                                       claim.quantity(), Use::kResponse);
  if (quantity != nullptr && quantity->dimension == quantity::Dimension::kTemperature) {
    claim_node.Fault(C::kQuantityFieldNumber,
                     "is a temperature, and a part of it depends on where its scale "
                     "starts",
                     "compare a capacity, a power or a flow");
  }
}

void CheckEnvelope(const v1::Claim& claim, const Node& claim_node) {
  using P = v1::PolygonCut;
  using V = v1::PolygonVertex;
  const Node envelope = claim_node.Child(C::kOperatingEnvelopeFieldNumber);
  envelope.Require({v1::OperatingEnvelope::kPolygonFieldNumber});
  if (!envelope.Has(v1::OperatingEnvelope::kPolygonFieldNumber)) return;
  const Node node = envelope.Child(v1::OperatingEnvelope::kPolygonFieldNumber);
  const v1::PolygonCut& polygon = claim.operating_envelope().polygon();
  node.Require({P::kQuantityFieldNumber, P::kUnitFieldNumber,
                P::kOtherQuantityFieldNumber, P::kOtherUnitFieldNumber,
                P::kVerticesFieldNumber});
  const auto unit_of = [&](int quantity_field, const std::string& name, int unit_field,
                           const std::string& unit) -> std::optional<quantity::Unit> {
    const auto* quantity = CheckQuantity(node, quantity_field, name, Use::kAny);
    if (quantity == nullptr) return {};
    return CheckUnit(node, unit_field, unit, quantity->dimension);
  };
  const auto unit = unit_of(P::kQuantityFieldNumber, polygon.quantity(),
                            P::kUnitFieldNumber, polygon.unit());
  const auto other_unit = unit_of(P::kOtherQuantityFieldNumber, polygon.other_quantity(),
                                  P::kOtherUnitFieldNumber, polygon.other_unit());
  bool sound = unit.has_value() && other_unit.has_value();
  if (sound && polygon.quantity() == polygon.other_quantity()) {
    node.Fault(P::kOtherQuantityFieldNumber, "is the first quantity once more");
    sound = false;
  }
  std::vector<PolygonVertex> vertices_si;
  for (int i = 0; i < polygon.vertices_size(); ++i) {
    const Node vertex = node.Child(P::kVerticesFieldNumber, i);
    vertex.Require({V::kValueFieldNumber, V::kOtherValueFieldNumber});
    if (!sound) continue;
    vertices_si.push_back(
        {quantity::ToSi(polygon.vertices(i).value(), *unit),
         quantity::ToSi(polygon.vertices(i).other_value(), *other_unit)});
  }
  if (sound && polygon.vertices_size() > 0) {
    const auto pieces = ConvexPieces(vertices_si);
    if (!pieces.ok()) {
      node.Fault(P::kVerticesFieldNumber, std::string(pieces.status().message()));
    }
  }
  if (claim.serving().rule() == v1::SERVING_RULE_SOME) {
    claim_node.Child(C::kServingFieldNumber)
        .Fault(v1::Serving::kRuleFieldNumber, "does not go with operating_envelope",
               "say for every stage, or for one");
  }
}

void CheckSeasonal(const v1::Claim& claim, const Node& claim_node) {
  using S = v1::SeasonalFloor;
  const Node node = claim_node.Child(C::kSeasonalFloorFieldNumber);
  node.Require({S::kProcedureFieldNumber, S::kAtLeastFieldNumber, S::kUnitFieldNumber});
  CheckAnyUnit(node, S::kUnitFieldNumber, claim.seasonal_floor().unit());
}

void CheckSteadiness(const v1::Steadiness& steady, const Node& node) {
  using S = v1::Steadiness;
  node.Require({S::kLogFieldNumber, S::kQuantityFieldNumber, S::kTargetFieldNumber,
                S::kUnitFieldNumber, S::kMeanWithinFieldNumber, S::kBandFieldNumber});
  const auto* quantity =
      CheckQuantity(node, S::kQuantityFieldNumber, steady.quantity(), Use::kAny);
  if (quantity != nullptr) {
    const auto unit =
        CheckUnit(node, S::kUnitFieldNumber, steady.unit(), quantity->dimension);
    if (unit.has_value() && node.Has(S::kTargetFieldNumber)) {
      CheckPlausible(node, S::kTargetFieldNumber, steady.target(), *unit, *quantity);
    }
  }
  for (int field : {S::kMeanWithinFieldNumber, S::kBandFieldNumber}) {
    const double figure =
        field == S::kBandFieldNumber ? steady.band() : steady.mean_within();
    if (figure < 0) node.Fault(field, "is negative", "write it without a sign");
  }
}

}  // namespace

void CheckPromise(const v1::Claim& claim, const Node& node) {
  switch (claim.promise_case()) {
    case C::PROMISE_NOT_SET:
      return;
    case C::kTurndown:
      return CheckTurndown(claim, node);
    case C::kCapacitySteps:
      return CheckSteps(claim.capacity_steps(), node.Child(C::kCapacityStepsFieldNumber));
    case C::kEquivalence:
      return CheckEquivalence(claim, node);
    case C::kOperatingEnvelope:
      return CheckEnvelope(claim, node);
    case C::kSeasonalFloor:
      return CheckSeasonal(claim, node);
    case C::kSteadiness:
      return CheckSteadiness(claim.steadiness(), node.Child(C::kSteadinessFieldNumber));
  }
}

}  // namespace ratebound::document
