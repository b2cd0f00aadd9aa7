#include <algorithm>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/document/check_claim_parts.h"
#include "engine/document/convert.h"
#include "engine/document/region_pieces.h"

namespace ratebound::document {
namespace {

using C = v1::Claim;

std::vector<std::string> ConditionsOf(const v1::Claim& claim) {
  std::vector<std::string> names;
  for (const v1::MeasureRange& range : claim.region()) names.push_back(range.quantity());
  return names;
}

bool CheckRange(const v1::Claim& claim, const v1::MeasureRange& range, const Node& node) {
  using R = v1::MeasureRange;
  CheckMeasureRange(range, node, Use::kCondition);
  return range.low() <= range.high() &&
         CheckConditionOfRegion(claim, node, R::kQuantityFieldNumber, range.quantity(),
                                R::kUnitFieldNumber, range.unit());
}

bool CheckLinear(const v1::Claim& claim, const v1::LinearCut& cut, const Node& node) {
  using L = v1::LinearCut;
  using T = v1::LinearCutTerm;
  node.Require({L::kTermsFieldNumber, L::kAtMostFieldNumber});
  bool sound = node.Has(L::kTermsFieldNumber) && node.Has(L::kAtMostFieldNumber);
  Unique conditions("condition");
  for (int i = 0; i < cut.terms_size(); ++i) {
    const Node term = node.Child(L::kTermsFieldNumber, i);
    term.Require({T::kQuantityFieldNumber, T::kFactorFieldNumber, T::kUnitFieldNumber});
    sound &= CheckConditionOfRegion(claim, term, T::kQuantityFieldNumber,
                                    cut.terms(i).quantity(), T::kUnitFieldNumber,
                                    cut.terms(i).unit());
    conditions.Check(term, T::kQuantityFieldNumber, cut.terms(i).quantity());
    if (term.Has(T::kFactorFieldNumber) && cut.terms(i).factor() == 0) {
      term.Fault(T::kFactorFieldNumber, "is 0", "leave the term out");
      sound = false;
    }
  }
  return sound;
}

bool CheckOrder(const v1::Claim& claim, const v1::OrderCut& cut, const Node& node) {
  using O = v1::OrderCut;
  node.Require({O::kQuantityFieldNumber, O::kNotAboveFieldNumber});
  bool sound =
      CheckConditionOfRegion(claim, node, O::kQuantityFieldNumber, cut.quantity(), 0, "");
  sound &= CheckConditionOfRegion(claim, node, O::kNotAboveFieldNumber, cut.not_above(),
                                  0, "");
  if (!sound) return false;
  const auto* below =
      CheckQuantity(node, O::kQuantityFieldNumber, cut.quantity(), Use::kCondition);
  const auto* above =
      CheckQuantity(node, O::kNotAboveFieldNumber, cut.not_above(), Use::kCondition);
  if (below == nullptr || above == nullptr) return false;
  if (cut.quantity() == cut.not_above()) {
    node.Fault(O::kNotAboveFieldNumber, "compares a condition with itself");
    return false;
  }
  if (below->dimension != above->dimension) {
    node.Fault(O::kNotAboveFieldNumber,
               absl::StrCat("'", cut.not_above(), "' does not measure the same as '",
                            cut.quantity(), "'"));
    return false;
  }
  if (cut.unit().empty()) {
    if (cut.offset() == 0) return true;
    node.Require({O::kUnitFieldNumber});
    return false;
  }
  return CheckDifferenceUnit(node, O::kUnitFieldNumber, cut.unit(), below->dimension)
      .has_value();
}

bool CheckBound(const v1::Claim& claim, const v1::BoundCut& cut, const Node& node) {
  using B = v1::BoundCut;
  const auto fields = {B::kQuantityFieldNumber, B::kSideFieldNumber,
                       B::kUnitFieldNumber,     B::kConstantFieldNumber,
                       B::kSlopeFieldNumber,    B::kOtherQuantityFieldNumber,
                       B::kOtherUnitFieldNumber};
  bool sound = true;
  for (int field : fields) {
    node.Require({field});
    sound &= node.Has(field);
  }
  sound &= CheckConditionOfRegion(claim, node, B::kQuantityFieldNumber, cut.quantity(),
                                  B::kUnitFieldNumber, cut.unit());
  sound &= CheckConditionOfRegion(claim, node, B::kOtherQuantityFieldNumber,
                                  cut.other_quantity(), B::kOtherUnitFieldNumber,
                                  cut.other_unit());
  if (sound && cut.quantity() == cut.other_quantity()) {
    node.Fault(B::kOtherQuantityFieldNumber, "binds a condition by itself");
    return false;
  }
  return sound;
}

bool CheckPolygon(const v1::Claim& claim, const v1::PolygonCut& cut, const Node& node) {
  using P = v1::PolygonCut;
  using V = v1::PolygonVertex;
  bool sound = true;
  for (int field :
       {P::kQuantityFieldNumber, P::kUnitFieldNumber, P::kOtherQuantityFieldNumber,
        P::kOtherUnitFieldNumber, P::kVerticesFieldNumber}) {
    node.Require({field});
    sound &= node.Has(field);
  }
  sound &= CheckConditionOfRegion(claim, node, P::kQuantityFieldNumber, cut.quantity(),
                                  P::kUnitFieldNumber, cut.unit());
  sound &= CheckConditionOfRegion(claim, node, P::kOtherQuantityFieldNumber,
                                  cut.other_quantity(), P::kOtherUnitFieldNumber,
                                  cut.other_unit());
  for (int i = 0; i < cut.vertices_size(); ++i) {
    const Node vertex = node.Child(P::kVerticesFieldNumber, i);
    vertex.Require({V::kValueFieldNumber, V::kOtherValueFieldNumber});
    sound &= vertex.Has(V::kValueFieldNumber) && vertex.Has(V::kOtherValueFieldNumber);
  }
  return sound;
}

// Whether the fields of a cut are sound; what it says together is judged by PiecesOf.
bool CheckCut(const v1::Claim& claim, const v1::RegionCut& cut, const Node& node) {
  using R = v1::RegionCut;
  switch (cut.cut_case()) {
    case R::kLinear:
      return CheckLinear(claim, cut.linear(), node.Child(R::kLinearFieldNumber));
    case R::kOrder:
      return CheckOrder(claim, cut.order(), node.Child(R::kOrderFieldNumber));
    case R::kPolygon:
      return CheckPolygon(claim, cut.polygon(), node.Child(R::kPolygonFieldNumber));
    case R::kBound:
      return CheckBound(claim, cut.bound(), node.Child(R::kBoundFieldNumber));
    case R::CUT_NOT_SET:
      break;
  }
  node.Fault(R::kLinearFieldNumber, "is missing, and so is any other relation",
             "write linear, order, polygon or bound");
  return false;
}

bool CheckServing(const v1::Claim& claim, const Node& node) {
  using S = v1::Serving;
  using P = v1::ServingPart;
  const v1::Serving& serving = claim.serving();
  node.Require({S::kRuleFieldNumber});
  const bool parts = serving.rule() == v1::SERVING_RULE_PER_PART;
  if (parts) node.Require({S::kPartsFieldNumber});
  const int left_out = parts ? S::kStagesFieldNumber : S::kPartsFieldNumber;
  if (node.Has(left_out)) {
    node.Fault(left_out, "does not go with this rule", "leave it out");
    return false;
  }
  Unique stages("stage");
  for (int i = 0; i < serving.stages_size(); ++i) {
    stages.Check(node, S::kStagesFieldNumber, serving.stages(i), i);
  }
  bool sound = true;
  for (int i = 0; i < serving.parts_size(); ++i) {
    const Node part = node.Child(S::kPartsFieldNumber, i);
    part.Require({P::kStageFieldNumber, P::kRangesFieldNumber});
    for (int j = 0; j < serving.parts(i).ranges_size(); ++j) {
      sound &= CheckRange(claim, serving.parts(i).ranges(j),
                          part.Child(P::kRangesFieldNumber, j));
    }
  }
  return sound;
}

bool CheckRows(const v1::Claim& claim, const Node& node) {
  bool sound = true;
  for (int i = 0; i < claim.limit_table().rows_size(); ++i) {
    const Node row = node.Child(v1::LimitTable::kRowsFieldNumber, i);
    for (int j = 0; j < claim.limit_table().rows(i).ranges_size(); ++j) {
      sound &= CheckRange(claim, claim.limit_table().rows(i).ranges(j),
                          row.Child(v1::LimitRow::kRangesFieldNumber, j));
    }
  }
  return sound;
}

// "entering_air_wb 60 to 62 degF, ...", in the units of the region.
std::string Shown(const ConditionBox& box, const std::vector<MeasureRange>& region) {
  std::vector<std::string> ranges;
  for (size_t i = 0; i < region.size(); ++i) {
    const auto unit = quantity::FindUnit(region[i].unit);
    if (!unit.ok()) continue;
    ranges.push_back(
        absl::StrCat(region[i].quantity, " ",
                     base::ShortestText(quantity::FromSi(box.low_si[i], *unit)), " to ",
                     base::ShortestText(quantity::FromSi(box.high_si[i], *unit)), " ",
                     region[i].unit));
  }
  return absl::StrJoin(ranges, ", ");
}

// Whether parts with ranges of their own hold the whole region.
template <typename Parts>
void CheckCovered(const RegionPieces& region, const Claim& claim,
                  const std::vector<std::string>& conditions, const Parts& parts,
                  const Node& node, int field, const char* what) {
  std::vector<ConditionBox> covers;
  for (const auto& part : parts) {
    const auto within = Within(conditions, region.box, part.ranges);
    if (within.ok() && within->has_value()) covers.push_back(**within);
  }
  if (const auto gap = Uncovered(region, covers)) {
    node.Fault(field, absl::StrCat("no ", what, " holds ", Shown(*gap, claim.region)),
               "add one, or make the region smaller");
  }
}

}  // namespace

bool CheckConditionOfRegion(const v1::Claim& claim, const Node& node, int quantity_field,
                            const std::string& quantity, int unit_field,
                            const std::string& unit) {
  if (quantity.empty() || node.FaultsAreMany()) return false;
  const std::vector<std::string> known = ConditionsOf(claim);
  if (std::find(known.begin(), known.end(), quantity) == known.end()) {
    node.Fault(
        quantity_field,
        absl::StrCat("'", base::Printable(quantity), "' has no range in the region",
                     base::DidYouMean(quantity, known)),
        absl::StrCat("there is ", Listed(known)));
    return false;
  }
  if (unit_field == 0) return true;
  if (unit.empty()) return false;
  const auto found = quantity::FindQuantity(quantity);
  if (!found.ok()) return false;
  const auto sound = CheckUnit(node, unit_field, unit, (*found)->dimension);
  if (!sound.has_value()) return false;
  if (!sound->reciprocal) return true;
  node.Fault(unit_field, absl::StrCat("'", unit, "' is not linear in ", quantity));
  return false;
}

void CheckClaimRegion(const v1::Claim& claim, const Node& node) {
  bool sound = claim.region_size() > 0;
  Unique conditions("condition");
  for (int i = 0; i < claim.region_size(); ++i) {
    const Node range = node.Child(C::kRegionFieldNumber, i);
    CheckMeasureRange(claim.region(i), range, Use::kCondition);
    conditions.Check(range, v1::MeasureRange::kQuantityFieldNumber,
                     claim.region(i).quantity());
    sound &= claim.region(i).low() <= claim.region(i).high();
  }
  for (int i = 0; i < claim.cuts_size(); ++i) {
    sound &= CheckCut(claim, claim.cuts(i), node.Child(C::kCutsFieldNumber, i));
  }
  if (claim.has_serving()) {
    sound &= CheckServing(claim, node.Child(C::kServingFieldNumber));
  }
  if (claim.has_limit_table()) {
    sound &= CheckRows(claim, node.Child(C::kLimitTableFieldNumber));
  }
  if (!sound || node.FaultsAreMany()) return;
  const auto plain = FromMessage(claim);
  if (!plain.ok()) return;  // reported where it stands
  const std::vector<std::string> names = ConditionsOf(claim);
  for (size_t i = 0; i < plain->cuts.size(); ++i) {
    const auto pieces = PiecesOf(names, plain->region, std::span(&plain->cuts[i], 1));
    if (pieces.ok()) continue;
    sound = false;
    // The message begins with "cuts[0]: ", the one that was asked about.
    std::string why(pieces.status().message());
    if (const size_t at = why.find(": "); at != std::string::npos) why.erase(0, at + 2);
    node.Fault(C::kCutsFieldNumber, why, "", static_cast<int>(i));
  }
  if (!sound) return;
  const auto region = PiecesOf(names, plain->region, plain->cuts);
  if (!region.ok()) {
    node.Fault(C::kCutsFieldNumber, std::string(region.status().message()));
    return;
  }
  if (region->pieces.empty()) {
    node.Fault(C::kCutsFieldNumber, "leave nothing of the region",
               "widen the ranges, or drop a cut");
    return;
  }
  if (plain->serving && plain->serving->rule == ServingRule::kPerPart) {
    CheckCovered(*region, *plain, names, plain->serving->parts,
                 node.Child(C::kServingFieldNumber), v1::Serving::kPartsFieldNumber,
                 "part");
  }
  if (plain->limit_table) {
    CheckCovered(*region, *plain, names, plain->limit_table->rows,
                 node.Child(C::kLimitTableFieldNumber), v1::LimitTable::kRowsFieldNumber,
                 "row");
  }
}

}  // namespace ratebound::document
