#include "engine/claim/promise_parts.h"

#include <algorithm>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::claim {
namespace {

using document::ConditionBox;
using document::Relation;
using document::ServingRule;

struct ServedPart {
  ConditionBox box;
  std::vector<std::vector<size_t>> groups;
};

struct LimitPart {
  ConditionBox box;
  std::vector<PromiseSide> sides;
};

std::vector<PromiseSide> Sides(Relation relation, double lower_si, double lower,
                               double upper_si, double upper) {
  switch (relation) {
    case Relation::kAtLeast:
      return {{1, lower_si, lower}};
    case Relation::kAtMost:
      return {{-1, lower_si, lower}};
    case Relation::kWithin:
      return {{1, lower_si, lower}, {-1, upper_si, upper}};
  }
  return {};
}

absl::StatusOr<std::vector<ServedPart>> Served(const document::Claim& claim,
                                               const std::vector<StageInputs>& stages,
                                               const std::vector<std::string>& conditions,
                                               const ConditionBox& region) {
  const auto index_of = [&](const std::string& id) -> absl::StatusOr<size_t> {
    for (size_t i = 0; i < stages.size(); ++i) {
      if (stages[i].id == id) return i;
    }
    return absl::InvalidArgumentError(absl::StrCat("there is no stage '", id, "'"));
  };
  if (!claim.serving) {
    if (stages.size() == 1) return std::vector<ServedPart>{{region, {{0}}}};
    ASSIGN_OR_RETURN(const size_t stage, index_of(claim.stage));
    return std::vector<ServedPart>{{region, {{stage}}}};
  }
  const document::Serving& serving = *claim.serving;
  if (serving.rule == ServingRule::kPerPart) {
    std::vector<ServedPart> parts;
    for (const document::ServingPart& part : serving.parts) {
      ASSIGN_OR_RETURN(const size_t stage, index_of(part.stage));
      ASSIGN_OR_RETURN(const auto box, document::Within(conditions, region, part.ranges));
      if (box) parts.push_back({*box, {{stage}}});
    }
    return parts;
  }
  std::vector<size_t> wanted;
  for (size_t i = 0; i < stages.size(); ++i) {
    if (serving.stages.empty() || std::find(serving.stages.begin(), serving.stages.end(),
                                            stages[i].id) != serving.stages.end()) {
      wanted.push_back(i);
    }
  }
  // The caller leaves out stages that these two rules have no use for.
  const bool one =
      serving.rule == ServingRule::kLowest || serving.rule == ServingRule::kHighest;
  for (const std::string& id : serving.stages) {
    if (!one) RETURN_IF_ERROR(index_of(id).status());
  }
  if (wanted.empty()) return absl::InvalidArgumentError("the mode has no stages");
  ServedPart part{.box = region};
  switch (serving.rule) {
    case ServingRule::kSome:
      part.groups = {wanted};
      break;
    case ServingRule::kLowest:
      part.groups = {{wanted.front()}};
      break;
    case ServingRule::kHighest:
      part.groups = {{wanted.back()}};
      break;
    case ServingRule::kEvery:
    case ServingRule::kPerPart:
      for (size_t stage : wanted) part.groups.push_back({stage});
      break;
  }
  return std::vector<ServedPart>{part};
}

absl::StatusOr<std::vector<LimitPart>> Limits(const document::Claim& claim,
                                              const std::vector<std::string>& conditions,
                                              const ConditionBox& region) {
  if (claim.limit_table) {
    std::vector<LimitPart> parts;
    for (const document::LimitRow& row : claim.limit_table->rows) {
      ASSIGN_OR_RETURN(const auto box, document::Within(conditions, region, row.ranges));
      if (!box) continue;
      parts.push_back({*box, Sides(claim.relation, row.limit_si, row.limit,
                                   row.upper_limit_si, row.upper_limit.value_or(0))});
    }
    return parts;
  }
  if (claim.against) {
    return std::vector<LimitPart>{{region, Sides(claim.relation, claim.against->offset_si,
                                                 0, claim.against->upper_offset_si, 0)}};
  }
  if (claim.turndown) {
    const double part = claim.turndown->capacity_fraction;
    return std::vector<LimitPart>{
        {region, Sides(claim.relation, part, part, part, part)}};
  }
  return std::vector<LimitPart>{
      {region, Sides(claim.relation, claim.limit_si, claim.limit, claim.upper_limit_si,
                     claim.upper_limit.value_or(0))}};
}

template <typename Parts>
absl::Status CheckCovered(const document::RegionPieces& region, const Parts& parts,
                          const char* what) {
  std::vector<ConditionBox> covers;
  for (const auto& part : parts) covers.push_back(part.box);
  if (!document::Uncovered(region, covers)) return absl::OkStatus();
  return absl::InvalidArgumentError(absl::StrCat("a part of the region has no ", what));
}

}  // namespace

absl::StatusOr<std::vector<PromisePart>> PartsOf(
    const document::Claim& claim, const std::vector<StageInputs>& stages,
    const std::vector<std::string>& conditions, const document::RegionPieces& region) {
  std::vector<ServedPart> served;
  if (claim.turndown) {
    served = {{region.box, {{0}}}};
  } else {
    ASSIGN_OR_RETURN(served, Served(claim, stages, conditions, region.box));
  }
  ASSIGN_OR_RETURN(const std::vector<LimitPart> limits,
                   Limits(claim, conditions, region.box));
  RETURN_IF_ERROR(CheckCovered(region, served, "stage"));
  RETURN_IF_ERROR(CheckCovered(region, limits, "limit"));
  std::vector<PromisePart> parts;
  for (const ServedPart& stage_part : served) {
    for (const LimitPart& limit_part : limits) {
      PromisePart part{.groups = stage_part.groups, .sides = limit_part.sides};
      bool common = true;
      for (size_t i = 0; i < conditions.size(); ++i) {
        part.box.low_si.push_back(
            std::max(stage_part.box.low_si[i], limit_part.box.low_si[i]));
        part.box.high_si.push_back(
            std::min(stage_part.box.high_si[i], limit_part.box.high_si[i]));
        common = common && part.box.low_si[i] <= part.box.high_si[i];
      }
      if (common && !document::IsEmptyIn(region, part.box)) {
        parts.push_back(std::move(part));
      }
    }
  }
  return parts;
}

std::vector<std::string> StagesOf(const document::Claim& claim,
                                  const document::Mode& mode) {
  if (claim.turndown && !mode.stages.empty()) {
    const document::Turndown& turndown = *claim.turndown;
    return {
        turndown.lowest_stage.empty() ? mode.stages.front().id : turndown.lowest_stage,
        turndown.highest_stage.empty() ? mode.stages.back().id : turndown.highest_stage};
  }
  if (!claim.serving && !claim.capacity_steps) return {claim.stage};
  std::vector<std::string> ids;
  for (const document::Stage& stage : mode.stages) {
    bool wanted = !claim.serving;
    if (claim.serving && claim.serving->rule == ServingRule::kPerPart) {
      for (const document::ServingPart& part : claim.serving->parts) {
        wanted = wanted || part.stage == stage.id;
      }
    } else if (claim.serving) {
      wanted = claim.serving->stages.empty() ||
               std::find(claim.serving->stages.begin(), claim.serving->stages.end(),
                         stage.id) != claim.serving->stages.end();
    }
    if (wanted) ids.push_back(stage.id);
  }
  if (ids.empty()) return ids;
  if (claim.serving && claim.serving->rule == ServingRule::kLowest) ids.resize(1);
  if (claim.serving && claim.serving->rule == ServingRule::kHighest) {
    ids.erase(ids.begin(), ids.end() - 1);
  }
  return ids;
}

}  // namespace ratebound::claim
