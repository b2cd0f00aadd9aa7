#include "engine/recheck/duties.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/recheck/dew_point.h"
#include "engine/recheck/quantity.h"

namespace ratebound::recheck {
namespace {

using document::Claim;
using document::ConditionBox;
using document::Relation;
using document::ServingRule;
using document::StageMap;

std::optional<ConditionBox> Common(const ConditionBox& a, const ConditionBox& b) {
  ConditionBox common = a;
  for (size_t i = 0; i < a.low_si.size(); ++i) {
    common.low_si[i] = std::max(a.low_si[i], b.low_si[i]);
    common.high_si[i] = std::min(a.high_si[i], b.high_si[i]);
    if (common.low_si[i] > common.high_si[i]) return std::nullopt;
  }
  return common;
}

// Boxes with a limit of their own.
struct LimitBox {
  ConditionBox box;
  std::vector<LimitSide> sides;
};

absl::StatusOr<std::vector<LimitBox>> LimitBoxes(const PromiseInputs& inputs) {
  const Claim& claim = inputs.claim;
  if (claim.against) {
    return std::vector<LimitBox>{
        {inputs.region, SidesOf(claim.relation, claim.against->offset_si,
                                claim.against->upper_offset_si)}};
  }
  if (!claim.limit_table) {
    return std::vector<LimitBox>{
        {inputs.region, SidesOf(claim.relation, claim.limit_si, claim.upper_limit_si)}};
  }
  std::vector<LimitBox> boxes;
  for (const document::LimitRow& row : claim.limit_table->rows) {
    ASSIGN_OR_RETURN(const auto box,
                     document::Within(inputs.conditions, inputs.region, row.ranges));
    if (box) {
      boxes.push_back({*box, SidesOf(claim.relation, row.limit_si, row.upper_limit_si)});
    }
  }
  return boxes;
}

// A line over one condition, through two points.
absl::StatusOr<SpanPolynomial> LineOf(const PromiseInputs& inputs, double& greatest) {
  const document::LimitLine& line = *inputs.claim.limit_line;
  const auto found =
      std::find(inputs.conditions.begin(), inputs.conditions.end(), line.quantity);
  const double run = line.other_value_si - line.value_si;
  if (found == inputs.conditions.end() || run == 0) {
    return absl::InvalidArgumentError("the limit's line is none");
  }
  const size_t i = static_cast<size_t>(found - inputs.conditions.begin());
  const double slope = (line.other_limit_si - line.limit_si) / run;
  SpanPolynomial p = NumberIn(inputs.size(), line.limit_si);
  SpanPolynomial from = ConditionIn(inputs.scale, i);
  AddTo(from, std::vector<int>(inputs.size(), 0), -line.value_si);
  AddTimes(p, from, slope);
  greatest = std::max(std::fabs(line.limit_si), std::fabs(line.other_limit_si));
  for (const double end : {inputs.region.low_si[i], inputs.region.high_si[i]}) {
    greatest =
        std::max(greatest, std::fabs(line.limit_si + slope * (end - line.value_si)));
  }
  return p;
}

absl::StatusOr<Formula> FormulaOf(const PromiseInputs& inputs, const StageMap& map,
                                  const LimitSide& side) {
  const Claim& claim = inputs.claim;
  if (FollowsFromHumidity(claim, map)) return DewPointFormula(inputs, map, side);
  Formula formula{.sign = side.sign};
  double size = side.limit_si;
  if (claim.limit_line) {
    ASSIGN_OR_RETURN(formula.limit, LineOf(inputs, size));
  } else {
    formula.limit = NumberIn(inputs.size(), side.limit_si);
  }
  formula.allowance_si = inputs.AllowanceAt(claim.allowance.absolute_si, size);
  ASSIGN_OR_RETURN(const ReadQuantity read, QuantityOf(inputs, map, claim.quantity));
  formula.numerator = read.terms;
  formula.free = read.free;
  formula.over_map = &map;
  formula.over = read.over;
  formula.over_factor = read.over_factor;
  if (!claim.against) return formula;
  ASSIGN_OR_RETURN(const ReadQuantity against,
                   QuantityOf(inputs, map, claim.against->quantity));
  if (!against.over.empty() || !IsNumber(against.over_factor)) {
    return absl::InvalidArgumentError("what the claim is held against is a ratio");
  }
  if (!read.over.empty() && !against.terms.empty()) {
    return absl::InvalidArgumentError("a ratio is held against a third quantity");
  }
  formula.limit_terms = against.terms;
  AddTimes(formula.limit, against.free, 1);
  return formula;
}

absl::Status AddPlain(const PromiseInputs& inputs, Promise& promise) {
  ASSIGN_OR_RETURN(const std::vector<ServedBox> served, ServedBoxes(inputs));
  ASSIGN_OR_RETURN(const std::vector<LimitBox> limits, LimitBoxes(inputs));
  for (const ServedBox& serving : served) {
    for (const LimitBox& limit : limits) {
      const auto box = Common(serving.box, limit.box);
      if (!box) continue;
      Duty duty{.box = *box};
      duty.text = absl::StrCat(
          "stage ", absl::StrJoin(serving.stages, " or "), " ",
          limit.sides.size() > 1
              ? "within its limits"
              : (limit.sides[0].sign > 0 ? "at least its limit" : "at most its limit"));
      for (const std::string& stage : serving.stages) {
        Way way{.stage = stage};
        const StageMap* const map = inputs.MapOf(stage);
        for (const LimitSide& side : limit.sides) {
          if (map == nullptr) break;
          ASSIGN_OR_RETURN(Formula formula, FormulaOf(inputs, *map, side));
          way.sides.push_back(promise.formulas.size());
          promise.formulas.push_back(std::move(formula));
        }
        duty.ways.push_back(std::move(way));
      }
      promise.duties.push_back(std::move(duty));
    }
  }
  return absl::OkStatus();
}

}  // namespace

const StageMap* PromiseInputs::MapOf(const std::string& stage) const {
  const StageMap* found = nullptr;
  for (const StageMap& map : release.maps) {
    if (map.unit != claim.unit || map.mode != claim.mode || map.stage != stage) continue;
    if (found != nullptr || map.conditions != conditions) return nullptr;
    found = &map;
  }
  return found;
}

double PromiseInputs::AllowanceAt(double absolute, double limit) const {
  return absolute + claim.allowance.relative_fraction * std::fabs(limit);
}

std::vector<LimitSide> SidesOf(Relation relation, double limit_si,
                               double upper_limit_si) {
  switch (relation) {
    case Relation::kAtLeast:
      return {{1, limit_si}};
    case Relation::kAtMost:
      return {{-1, limit_si}};
    case Relation::kWithin:
      return {{1, limit_si}, {-1, upper_limit_si}};
  }
  return {};
}

absl::StatusOr<std::vector<std::string>> StagesOfMode(const PromiseInputs& inputs) {
  std::vector<std::string> stages;
  for (const document::Stage& stage : inputs.mode.stages) {
    const auto wanted = [&](const std::vector<std::string>& named) {
      return named.empty() ||
             std::find(named.begin(), named.end(), stage.id) != named.end();
    };
    if (!inputs.claim.serving || wanted(inputs.claim.serving->stages)) {
      stages.push_back(stage.id);
    }
  }
  if (stages.empty()) return absl::InvalidArgumentError("there is no stage of the claim");
  return stages;
}

absl::StatusOr<std::vector<ServedBox>> ServedBoxes(const PromiseInputs& inputs) {
  const Claim& claim = inputs.claim;
  if (!claim.serving) return std::vector<ServedBox>{{inputs.region, {claim.stage}}};
  std::vector<ServedBox> served;
  if (claim.serving->rule == ServingRule::kPerPart) {
    for (const document::ServingPart& part : claim.serving->parts) {
      ASSIGN_OR_RETURN(const auto box,
                       document::Within(inputs.conditions, inputs.region, part.ranges));
      if (box) served.push_back({*box, {part.stage}});
    }
    return served;
  }
  ASSIGN_OR_RETURN(const std::vector<std::string> stages, StagesOfMode(inputs));
  switch (claim.serving->rule) {
    case ServingRule::kSome:
      return std::vector<ServedBox>{{inputs.region, stages}};
    case ServingRule::kLowest:
      return std::vector<ServedBox>{{inputs.region, {stages.front()}}};
    case ServingRule::kHighest:
      return std::vector<ServedBox>{{inputs.region, {stages.back()}}};
    case ServingRule::kEvery:
    case ServingRule::kPerPart:
      for (const std::string& stage : stages) served.push_back({inputs.region, {stage}});
  }
  return served;
}

absl::StatusOr<Promise> PromiseOf(const document::Verdict& verdict,
                                  const document::Release& release,
                                  const ConditionScale& scale,
                                  const std::vector<std::string>& conditions) {
  const Claim& claim = verdict.text;
  ASSIGN_OR_RETURN(document::RegionPieces region,
                   document::PiecesOf(conditions, claim.region, claim.cuts));
  const document::Mode* mode = nullptr;
  for (const document::Unit& unit : release.manifest.units) {
    if (unit.id != claim.unit) continue;
    for (const document::Mode& each : unit.modes) {
      if (each.id == claim.mode) mode = &each;
    }
  }
  if (mode == nullptr) return absl::InvalidArgumentError("the release has no such mode");
  const PromiseInputs inputs{claim, release,    scale,        conditions,
                             *mode, region.box, verdict.model};
  Promise promise{.pieces = std::move(region.pieces)};
  RETURN_IF_ERROR(claim.IsPlain() ? AddPlain(inputs, promise) : AddKind(inputs, promise));
  for (const Formula& formula : promise.formulas) {
    promise.allowance_si = std::max(promise.allowance_si, formula.allowance_si);
    // What a tangent makes of the allowance is its own.
    const document::StageMap* const map =
        formula.numerator.empty() ? nullptr : formula.numerator.front().map;
    if (map == nullptr || !FollowsFromHumidity(claim, *map)) continue;
    promise.allowance_si = claim.allowance.absolute_si;
    break;
  }
  return promise;
}

}  // namespace ratebound::recheck
