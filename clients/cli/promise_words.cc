#include "clients/cli/promise_words.h"

#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "clients/cli/render.h"
#include "engine/quantity/unit.h"

namespace ratebound::cli {
namespace {

using quantity::AfterNumber;

std::string Side(v1::Relation relation) {
  switch (relation) {
    case v1::RELATION_AT_MOST:
      return " at most ";
    case v1::RELATION_WITHIN:
      return " within ";
    default:
      return " at least ";
  }
}

// "3", or "3 to 5" of a window.
std::string Limit(const v1::Claim& claim, double limit, double upper) {
  return claim.relation() == v1::RELATION_WITHIN
             ? absl::StrCat(Number(limit), " to ", Number(upper))
             : Number(limit);
}

std::string PlainWords(const v1::Claim& claim) {
  const std::string unit = AfterNumber(claim.limit_unit());
  const std::string start = absl::StrCat(claim.quantity(), Side(claim.relation()));
  switch (claim.limits_case()) {
    case v1::Claim::kAgainst:
      return absl::StrCat(
          start, claim.against().quantity(), " plus ",
          Limit(claim, claim.against().offset(), claim.against().upper_offset()), unit);
    case v1::Claim::kLimitLine: {
      const v1::LimitLine& line = claim.limit_line();
      return absl::StrCat(start, "the line from ", Number(line.limit()), unit, " where ",
                          line.quantity(), " is ", Number(line.value()),
                          AfterNumber(line.unit()), " to ", Number(line.other_limit()),
                          unit, " at ", Number(line.other_value()),
                          AfterNumber(line.unit()));
    }
    case v1::Claim::kLimitTable: {
      std::vector<std::string> rows;
      for (const v1::LimitRow& row : claim.limit_table().rows()) {
        rows.push_back(absl::StrCat(Limit(claim, row.limit(), row.upper_limit()), unit,
                                    " for ", RegionWords(row.ranges())));
      }
      return absl::StrCat(start, absl::StrJoin(rows, "; "));
    }
    case v1::Claim::LIMITS_NOT_SET:
      break;
  }
  return absl::StrCat(start, Limit(claim, claim.limit(), claim.upper_limit()), unit);
}

std::string PercentOf(double fraction) {
  return absl::StrCat(Number(100 * fraction), " %");
}

std::string PolygonWords(const v1::PolygonCut& polygon) {
  std::vector<std::string> corners;
  for (const v1::PolygonVertex& vertex : polygon.vertices()) {
    corners.push_back(absl::StrCat("(", Number(vertex.value()), ", ",
                                   Number(vertex.other_value()), ")"));
  }
  return absl::StrCat(polygon.quantity(), " [", polygon.unit(), "] and ",
                      polygon.other_quantity(), " [", polygon.other_unit(),
                      "] inside the polygon ", absl::StrJoin(corners, " "));
}

std::string CutWords(const v1::RegionCut& cut) {
  switch (cut.cut_case()) {
    case v1::RegionCut::kLinear: {
      std::vector<std::string> terms;
      for (const v1::LinearCutTerm& term : cut.linear().terms()) {
        terms.push_back(absl::StrCat(Number(term.factor()), " ", term.quantity(), " [",
                                     term.unit(), "]"));
      }
      return absl::StrCat(absl::StrJoin(terms, " + "), " at most ",
                          Number(cut.linear().at_most()));
    }
    case v1::RegionCut::kOrder: {
      const v1::OrderCut& order = cut.order();
      return absl::StrCat(order.quantity(), " not above ", order.not_above(),
                          order.offset() == 0
                              ? ""
                              : absl::StrCat(" plus ", Number(order.offset()),
                                             AfterNumber(order.unit())));
    }
    case v1::RegionCut::kPolygon:
      return PolygonWords(cut.polygon());
    case v1::RegionCut::kBound: {
      const v1::BoundCut& bound = cut.bound();
      return absl::StrCat(
          bound.quantity(),
          bound.side() == v1::BOUND_SIDE_AT_MOST ? " at most " : " at least ",
          Number(bound.constant()), AfterNumber(bound.unit()), " plus ",
          Number(bound.slope()), " times ", bound.other_quantity(), " [",
          bound.other_unit(), "]");
    }
    case v1::RegionCut::CUT_NOT_SET:
      break;
  }
  return "";
}

}  // namespace

std::string RegionWords(
    const google::protobuf::RepeatedPtrField<v1::MeasureRange>& region) {
  std::vector<std::string> parts;
  for (const v1::MeasureRange& range : region) {
    parts.push_back(absl::StrCat(range.quantity(), " ", Number(range.low()), " to ",
                                 Number(range.high()), AfterNumber(range.unit())));
  }
  return absl::StrJoin(parts, ", ");
}

std::string PromiseWords(const v1::Claim& claim) {
  switch (claim.promise_case()) {
    case v1::Claim::kTurndown:
      return absl::StrCat("capacity of the lowest stage", Side(claim.relation()),
                          PercentOf(claim.turndown().capacity_fraction()),
                          " of the highest");
    case v1::Claim::kCapacitySteps: {
      const v1::CapacitySteps& steps = claim.capacity_steps();
      return absl::StrCat("at least ", steps.least_count(),
                          " steps of capacity that differ by more than ",
                          PercentOf(steps.distinct_fraction()),
                          steps.has_greatest_gap_fraction()
                              ? absl::StrCat(", none further apart than ",
                                             PercentOf(steps.greatest_gap_fraction()))
                              : "");
    }
    case v1::Claim::kEquivalence:
      return absl::StrCat(claim.quantity(), " of ", claim.equivalence().specimen(),
                          " within ", PercentOf(claim.equivalence().within_fraction()),
                          " of ", claim.equivalence().reference_specimen());
    case v1::Claim::kOperatingEnvelope:
      return PolygonWords(claim.operating_envelope().polygon());
    case v1::Claim::kSeasonalFloor: {
      const v1::SeasonalFloor& floor = claim.seasonal_floor();
      const auto unit = quantity::FindUnit(floor.unit());
      const bool less_is_better = unit.ok() && unit->reciprocal;
      return absl::StrCat("rating by ", floor.procedure(),
                          less_is_better ? " at most " : " at least ",
                          Number(floor.at_least()), AfterNumber(floor.unit()));
    }
    case v1::Claim::kSteadiness: {
      const v1::Steadiness& steady = claim.steadiness();
      return absl::StrCat(steady.quantity(), " in ", steady.log(), ": mean within ",
                          Number(steady.mean_within()), " and all within ",
                          Number(steady.band()), AfterNumber(steady.unit()), " of ",
                          Number(steady.target()), AfterNumber(steady.unit()));
    }
    case v1::Claim::PROMISE_NOT_SET:
      break;
  }
  return PlainWords(claim);
}

std::string ServingWords(const v1::Claim& claim) {
  if (!claim.has_serving()) {
    return claim.stage().empty() ? "" : absl::StrCat("stage ", claim.stage());
  }
  const v1::Serving& serving = claim.serving();
  const std::string of =
      serving.stages().empty() ? "all stages" : absl::StrJoin(serving.stages(), ", ");
  switch (serving.rule()) {
    case v1::SERVING_RULE_SOME:
      return absl::StrCat("some stage of ", of);
    case v1::SERVING_RULE_EVERY:
      return absl::StrCat("every stage of ", of);
    case v1::SERVING_RULE_LOWEST:
      return absl::StrCat("lowest stage of ", of);
    case v1::SERVING_RULE_HIGHEST:
      return absl::StrCat("highest stage of ", of);
    default:
      break;
  }
  std::vector<std::string> parts;
  for (const v1::ServingPart& part : serving.parts()) {
    parts.push_back(
        absl::StrCat("stage ", part.stage(), " for ", RegionWords(part.ranges())));
  }
  return absl::StrJoin(parts, "; ");
}

std::string CutsWords(const v1::Claim& claim) {
  std::vector<std::string> cuts;
  for (const v1::RegionCut& cut : claim.cuts()) cuts.push_back(CutWords(cut));
  return absl::StrJoin(cuts, "; ");
}

}  // namespace ratebound::cli
