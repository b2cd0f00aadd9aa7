// Two quantities together inside a polygon, at every condition of the region.
//
// Each edge is a half-plane a x + b y + c >= 0 of the two quantities: a combination of
// them, fitted as one response where both are surfaces of the stage. Edges are scaled by
// |a| + |b|, so that a margin is how far both quantities may move at once, either way;
// where they measure unlike things, as parts of the polygon's extents. Where the polygon
// bends inwards, one of the edges there is enough (polygon_clauses.h), and shares the
// level with the others.
#include <algorithm>
#include <cmath>
#include <optional>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/claim/decide_problems.h"
#include "engine/claim/expression.h"
#include "engine/claim/kinds/clauses.h"
#include "engine/claim/kinds/decide_kind.h"
#include "engine/document/polygon_clauses.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::claim {
namespace {

absl::Status Invalid(std::string_view why) {
  return absl::InvalidArgumentError(
      absl::StrCat("operating_envelope.polygon", base::Absl(why)));
}

// One of the two quantities and how its unit is scaled.
struct Axis {
  const quantity::Quantity* quantity = nullptr;
  quantity::Unit unit;
  double zero_si = 0;  // 0 of the unit
  double per_si = 1;   // units for one of the SI
  double extent = 0;   // of the polygon, in the unit
};

absl::StatusOr<Axis> AxisOf(const std::string& name, const std::string& unit) {
  Axis axis;
  ASSIGN_OR_RETURN(axis.quantity, quantity::FindQuantity(name));
  ASSIGN_OR_RETURN(axis.unit, quantity::FindUnit(unit, axis.quantity->dimension));
  if (axis.unit.reciprocal) {
    return Invalid(absl::StrCat(
        ": ", unit, " falls where efficiency rises; write corners in W/W or Btu/Wh"));
  }
  axis.zero_si = quantity::ToSi(0, axis.unit);
  axis.per_si = quantity::DifferenceFromSi(1, axis.unit);
  return axis;
}

class Envelope {
 public:
  static absl::StatusOr<Envelope> Create(const document::Claim& claim) {
    const document::PolygonCut& polygon = claim.operating_envelope->polygon;
    Envelope envelope(polygon);
    ASSIGN_OR_RETURN(envelope.x_, AxisOf(polygon.quantity, polygon.unit));
    ASSIGN_OR_RETURN(envelope.y_, AxisOf(polygon.other_quantity, polygon.other_unit));
    ASSIGN_OR_RETURN(envelope.clauses_, document::ClausesOf(polygon.vertices));
    const auto extent = [&](auto value) {
      const auto [least, most] = std::minmax_element(
          polygon.vertices.begin(), polygon.vertices.end(),
          [&](const auto& a, const auto& b) { return a.*value < b.*value; });
      return (*most).*value - (*least).*value;
    };
    envelope.x_.extent = extent(&document::PolygonVertex::value);
    envelope.y_.extent = extent(&document::PolygonVertex::other_value);
    envelope.alike_ = envelope.x_.quantity->dimension == envelope.y_.quantity->dimension;
    if (claim.allowance.relative_fraction > 0) {
      return absl::InvalidArgumentError(
          "allowance.relative_fraction: an edge has no size to take a part of; state the "
          "allowance as a difference");
    }
    if (!envelope.alike_ && claim.allowance.absolute > 0) {
      return absl::InvalidArgumentError(
          "allowance.absolute: the two quantities measure unlike things, and one "
          "difference does not go for both; move the corners inwards instead and write "
          "0");
    }
    envelope.allowance_si_ =
        quantity::DifferenceToSi(claim.allowance.absolute, envelope.x_.unit);
    return envelope;
  }

  quantity::Unit unit() const {
    quantity::Unit unit = x_.unit;
    unit.shift = {};  // of differences
    return unit;
  }
  bool alike() const { return alike_; }
  const std::vector<document::PolygonClause>& clauses() const { return clauses_; }

  // The margin of a stage inside an edge.
  absl::StatusOr<ClauseSide> SideOf(const document::PolygonSide& edge,
                                    const document::Mode& mode, const StageInputs& stage,
                                    const Frame& frame) const {
    ASSIGN_OR_RETURN(Expression x,
                     MakeExpression(polygon_.quantity, mode, *stage.map, frame));
    ASSIGN_OR_RETURN(Expression y,
                     MakeExpression(polygon_.other_quantity, mode, *stage.map, frame));
    if (!x.over.empty()) return Ratio(".quantity", polygon_.quantity);
    if (!y.over.empty()) return Ratio(".other_quantity", polygon_.other_quantity);
    if (!x.over_factor.is_number && !y.over_factor.is_number) {
      return Invalid(absl::StrCat(": ", polygon_.quantity, " and ",
                                  polygon_.other_quantity,
                                  " are both derived from a flow; measure one of them"));
    }
    if (x.terms.empty() && y.terms.empty()) {
      return Invalid(": both quantities are conditions; cut the region with it instead");
    }
    // Each in SI times its factor, over what both are divided by.
    double a = edge.factor * x_.per_si, b = edge.other_factor * y_.per_si;
    double c = edge.constant - a * x_.zero_si - b * y_.zero_si;
    const double scale = alike_ ? std::fabs(a) + std::fabs(b)
                                : std::fabs(edge.factor) * x_.extent +
                                      std::fabs(edge.other_factor) * y_.extent;
    a /= scale;
    b /= scale;
    c /= scale;
    ClauseSide side;
    side.side.what = absl::StrCat(polygon_.quantity, " and ", polygon_.other_quantity,
                                  " inside of ", edge.edge);
    side.form.allowance_si = alike_ ? allowance_si_ : 0;
    ASSIGN_OR_RETURN(side.form.over_factor, Factor::Times(x.over_factor, y.over_factor));
    RETURN_IF_ERROR(Add(stage, x, y.over_factor, a, side.form));
    RETURN_IF_ERROR(Add(stage, y, x.over_factor, b, side.form));
    ASSIGN_OR_RETURN(const Factor constant,
                     Factor::Times(Factor::Number(c), side.form.over_factor));
    ASSIGN_OR_RETURN(side.form.free, Factor::Plus(side.form.free, constant));
    return side;
  }

 private:
  explicit Envelope(const document::PolygonCut& polygon) : polygon_(polygon) {}

  static absl::Status Ratio(std::string_view field, const std::string& quantity) {
    return Invalid(absl::StrCat(base::Absl(field), ": ", quantity,
                                " is a ratio, which edges of a polygon do not take"));
  }

  static absl::Status Add(const StageInputs& stage, const Expression& expression,
                          const Factor& other_over, double times, MarginForm& form) {
    if (times == 0) return absl::OkStatus();
    ASSIGN_OR_RETURN(const Factor factor,
                     Factor::Times(other_over, Factor::Number(times)));
    for (const ExpressionTerm& term : expression.terms) {
      ASSIGN_OR_RETURN(Factor of_term, Factor::Times(term.factor, factor));
      form.numerator.push_back({&stage, term.quantity, std::move(of_term)});
    }
    ASSIGN_OR_RETURN(const Factor free, Factor::Times(expression.free, factor));
    ASSIGN_OR_RETURN(form.free, Factor::Plus(form.free, free));
    return absl::OkStatus();
  }

  const document::PolygonCut& polygon_;
  Axis x_, y_;
  std::vector<document::PolygonClause> clauses_;
  bool alike_ = true;
  double allowance_si_ = 0;
};

absl::StatusOr<ProblemSet> Problems(const document::Claim& claim,
                                    const ClaimInputs& inputs, const Envelope& envelope,
                                    const std::vector<StageInputs>& stages,
                                    const document::RegionPieces& region, double level) {
  ASSIGN_OR_RETURN(const std::vector<PromisePart> parts,
                   PartsOf(claim, stages, stages.front().map->conditions, region));
  const auto frame = FirstFrame(stages);
  if (!frame) {
    return ProblemSet{.model_fault =
                          SurfaceFault(*stages.front().map,
                                       claim.operating_envelope->polygon.quantity)};
  }
  std::vector<Clause> clauses;
  for (const PromisePart& part : parts) {
    for (const std::vector<size_t>& group : part.groups) {
      if (group.size() > 1) {
        return absl::InvalidArgumentError(
            "serving.rule: does not go with operating_envelope; say for every stage, or "
            "for one");
      }
      const StageInputs& stage = stages[group.front()];
      for (const document::PolygonClause& edges : envelope.clauses()) {
        Clause& clause = clauses.emplace_back(Clause{.box = part.box});
        for (const document::PolygonSide& edge : edges) {
          ASSIGN_OR_RETURN(ClauseSide side,
                           envelope.SideOf(edge, inputs.mode, stage, *frame));
          // An edge along a condition alone is for the region.
          if (side.form.numerator.empty()) {
            return Invalid(absl::StrCat(": ", edge.edge,
                                        " bounds a condition alone; bound the region "
                                        "instead, and leave the edge outside of it"));
          }
          clause.alternatives.push_back({.stage = stage.id, .sides = {std::move(side)}});
        }
      }
    }
  }
  return ProblemsOf(inputs.manifest, stages, clauses, *frame, level);
}

}  // namespace

absl::StatusOr<document::Verdict> DecideOperatingEnvelope(const document::Claim& claim,
                                                          const ClaimInputs& inputs) {
  const auto envelope = Envelope::Create(claim);
  if (!envelope.ok()) {
    return absl::InvalidArgumentError(
        absl::StrCat("claim ", claim.id, ": ", std::string(envelope.status().message())));
  }
  ASSIGN_OR_RETURN(const quantity::Unit plain, quantity::FindUnit("1"));
  return DecideProblems(claim, inputs, envelope->alike() ? envelope->unit() : plain,
                        [&](const std::vector<StageInputs>& stages,
                            const document::RegionPieces& region, double level) {
                          return Problems(claim, inputs, *envelope, stages, region,
                                          level);
                        });
}

}  // namespace ratebound::claim
