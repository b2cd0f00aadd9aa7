#include "engine/claim/recheck_duties.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/claim/recheck_span.h"

namespace ratebound::claim {
namespace {

using document::CertificatePart;
using document::Claim;
using document::ConditionBox;
using document::Relation;
using document::ServingRule;

// More cells than claims come to by far.
constexpr int64_t kMostCells = 1'000'000;

std::vector<DutySide> Sides(Relation relation, double limit_si, double upper_limit_si) {
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

absl::StatusOr<std::vector<std::string>> StagesOfMode(
    const Claim& claim, const document::LineManifest& manifest) {
  std::vector<std::string> stages;
  for (const document::Unit& unit : manifest.units) {
    if (unit.id != claim.unit) continue;
    for (const document::Mode& mode : unit.modes) {
      if (mode.id != claim.mode) continue;
      for (const document::Stage& stage : mode.stages) stages.push_back(stage.id);
    }
  }
  if (claim.serving && !claim.serving->stages.empty()) {
    std::erase_if(stages, [&](const std::string& stage) {
      const auto& named = claim.serving->stages;
      return std::find(named.begin(), named.end(), stage) == named.end();
    });
  }
  if (stages.empty()) return absl::InvalidArgumentError("there is no stage of the claim");
  return stages;
}

// Boxes with the groups of stages that serve them, without sides.
absl::StatusOr<std::vector<Duty>> Served(const Claim& claim,
                                         const document::LineManifest& manifest,
                                         const std::vector<std::string>& conditions,
                                         const ConditionBox& region) {
  if (!claim.serving) return std::vector<Duty>{{region, {claim.stage}, {}}};
  std::vector<Duty> duties;
  if (claim.serving->rule == ServingRule::kPerPart) {
    for (const document::ServingPart& part : claim.serving->parts) {
      ASSIGN_OR_RETURN(const auto box, document::Within(conditions, region, part.ranges));
      if (box) duties.push_back({*box, {part.stage}, {}});
    }
    return duties;
  }
  ASSIGN_OR_RETURN(const std::vector<std::string> stages, StagesOfMode(claim, manifest));
  switch (claim.serving->rule) {
    case ServingRule::kSome:
      duties.push_back({region, stages, {}});
      break;
    case ServingRule::kLowest:
      duties.push_back({region, {stages.front()}, {}});
      break;
    case ServingRule::kHighest:
      duties.push_back({region, {stages.back()}, {}});
      break;
    case ServingRule::kEvery:
    case ServingRule::kPerPart:
      for (const std::string& stage : stages) duties.push_back({region, {stage}, {}});
      break;
  }
  return duties;
}

std::optional<ConditionBox> Common(const ConditionBox& a, const ConditionBox& b) {
  ConditionBox common = a;
  for (size_t i = 0; i < a.low_si.size(); ++i) {
    common.low_si[i] = std::max(a.low_si[i], b.low_si[i]);
    common.high_si[i] = std::min(a.high_si[i], b.high_si[i]);
    if (common.low_si[i] > common.high_si[i]) return std::nullopt;
  }
  return common;
}

// The first condition where the part does not hold all of the cell; -1: it does.
int Outside(const CertificatePart& part, const ConditionBox& cell) {
  for (size_t i = 0; i < cell.low_si.size(); ++i) {
    const Span centre = part.centre_si[i];
    const Span half = part.half_range_si[i];
    const Span low = (Span(cell.low_si[i]) - centre) / half;
    const Span high = (Span(cell.high_si[i]) - centre) / half;
    if (!(part.box_low[i] <= low.lo && part.box_high[i] >= high.hi)) {
      return static_cast<int>(i);
    }
  }
  return -1;
}

}  // namespace

absl::StatusOr<std::vector<Duty>> DutiesOf(const Claim& claim,
                                           const document::LineManifest& manifest,
                                           const std::vector<std::string>& conditions) {
  if (!claim.IsPlain()) return std::vector<Duty>();
  ConditionBox region;
  for (const std::string& condition : conditions) {
    const auto range =
        std::find_if(claim.region.begin(), claim.region.end(),
                     [&](const auto& each) { return each.quantity == condition; });
    if (range == claim.region.end()) {
      return absl::InvalidArgumentError(
          absl::StrCat(condition, " is no condition of the claim"));
    }
    region.low_si.push_back(range->low_si);
    region.high_si.push_back(range->high_si);
  }
  ASSIGN_OR_RETURN(const std::vector<Duty> served,
                   Served(claim, manifest, conditions, region));
  std::vector<Duty> duties;
  for (Duty duty : served) {
    if (!claim.limit_table) {
      duty.sides = Sides(claim.relation, claim.limit_si, claim.upper_limit_si);
      duties.push_back(std::move(duty));
      continue;
    }
    for (const document::LimitRow& row : claim.limit_table->rows) {
      ASSIGN_OR_RETURN(const auto box, document::Within(conditions, region, row.ranges));
      if (!box) continue;
      const auto common = Common(duty.box, *box);
      if (!common) continue;
      duties.push_back({*common, duty.stages,
                        Sides(claim.relation, row.limit_si, row.upper_limit_si)});
    }
  }
  return duties;
}

double AllowanceAt(const Claim& claim, double limit_si) {
  return claim.allowance.absolute_si +
         claim.allowance.relative_fraction * std::fabs(limit_si);
}

std::string LeftOut(const ConditionBox& box, const std::vector<std::vector<double>>& ends,
                    const std::vector<const CertificatePart*>& parts) {
  const size_t n = box.low_si.size();
  std::vector<std::vector<double>> marks(n);
  int64_t cells = 1;
  for (size_t i = 0; i < n; ++i) {
    marks[i] = {box.low_si[i], box.high_si[i]};
    for (const double end : ends[i]) {
      if (box.low_si[i] < end && end < box.high_si[i]) marks[i].push_back(end);
    }
    std::sort(marks[i].begin(), marks[i].end());
    // A side without width keeps one mark, and with it one cell.
    marks[i].erase(std::unique(marks[i].begin(), marks[i].end()), marks[i].end());
    cells *= std::max<int64_t>(1, static_cast<int64_t>(marks[i].size()) - 1);
    if (cells > kMostCells) return "of all conditions together";
  }
  std::vector<size_t> at(n, 0);
  ConditionBox cell = box;
  for (int64_t c = 0; c < cells; ++c) {
    for (size_t i = 0; i < n; ++i) {
      cell.low_si[i] = marks[i][at[i]];
      cell.high_si[i] = marks[i][std::min(at[i] + 1, marks[i].size() - 1)];
    }
    int worst = 0;
    bool held = false;
    for (const CertificatePart* part : parts) {
      worst = Outside(*part, cell);
      held = worst < 0;
      if (held) break;
    }
    if (!held) {
      return parts.empty()
                 ? "of all conditions"
                 : absl::StrCat("of ",
                                parts.back()->conditions[static_cast<size_t>(worst)]);
    }
    for (size_t i = 0; i < n; ++i) {
      if (++at[i] + 1 < marks[i].size()) break;
      at[i] = 0;
    }
  }
  return "";
}

}  // namespace ratebound::claim
