#include "engine/claim/provable.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <utility>

#include "engine/base/status_macros.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {
namespace {

using document::Claim;
using document::Outcome;
using document::RangeEnd;
using document::Relation;

constexpr int kLimitSteps = 16;
constexpr int kWidenings = 12;
constexpr int kReachSteps = 10;

// Fits every combination once, however often it is asked for.
FitCombination Remembered(const FitCombination& fit) {
  using Key = std::pair<std::vector<std::pair<std::string, double>>, int>;
  auto known = std::make_shared<std::map<Key, absl::StatusOr<document::Surface>>>();
  return [fit, known](std::span<const CombinationPart> parts,
                      int degree) -> absl::StatusOr<document::Surface> {
    Key key;
    for (const CombinationPart& part : parts) {
      key.first.emplace_back(part.quantity, part.factor);
    }
    key.second = degree;
    const auto found = known->find(key);
    if (found != known->end()) return found->second;
    return known->emplace(std::move(key), fit(parts, degree)).first->second;
  };
}

class Search {
 public:
  Search(const Claim& claim, const ClaimInputs& inputs, const document::Verdict& verdict)
      : claim_(claim), inputs_(inputs), verdict_(verdict) {
    inputs_.provable = false;
    inputs_.shares = false;
    inputs_.certification = nullptr;
    inputs_.fit = Remembered(inputs.fit);
    for (StageInputs& stage : inputs_.stages) stage.fit = Remembered(stage.fit);
    result_.unit = verdict.unit;
  }

  absl::StatusOr<document::ProvableClaims> Run() {
    if (verdict_.reason == document::NotShownReason::kModel) return result_;
    RETURN_IF_ERROR(FindLimit());
    for (size_t i = 0; i < claim_.region.size(); ++i) {
      for (RangeEnd end : {RangeEnd::kLow, RangeEnd::kHigh}) {
        RETURN_IF_ERROR(FindReach(i, end));
      }
    }
    return result_;
  }

 private:
  absl::StatusOr<bool> Proven(const Claim& claim) {
    if (result_.proof_count >= kMostProofs) return false;
    ++result_.proof_count;
    ASSIGN_OR_RETURN(const document::Verdict verdict, DecideClaim(claim, inputs_));
    return verdict.outcome == Outcome::kProven;
  }

  absl::StatusOr<bool> ProvenAt(double limit) {
    Claim claim = claim_;
    if (claim.turndown) {
      if (!(limit > 0)) return false;
      claim.turndown->capacity_fraction = limit;
      return Proven(claim);
    }
    ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit(claim.limit_unit));
    claim.limit = limit;
    claim.limit_si = quantity::ToSi(limit, unit);
    return Proven(claim);
  }

  absl::Status FindLimit() {
    const bool one_number = claim_.relation != Relation::kWithin && !claim_.against &&
                            !claim_.limit_line && !claim_.limit_table;
    // Where nothing was tested no limit helps.
    if (!one_number || verdict_.tested_fraction < 1) return absl::OkStatus();
    const double claimed =
        claim_.turndown ? claim_.turndown->capacity_fraction : claim_.limit;
    // Upwards is harder for "at least".
    const double harder = claim_.relation == Relation::kAtLeast ? 1 : -1;
    double step = std::max(std::fabs(verdict_.margin), 1e-6 * std::fabs(claimed));
    if (!(step > 0)) step = 1e-6;
    std::optional<double> proven, not_proven;
    if (verdict_.outcome == Outcome::kProven) {
      proven = claimed;
    } else {
      not_proven = claimed;
    }
    for (int k = 0; k < kWidenings && !(proven && not_proven); ++k, step *= 2) {
      const double direction = proven ? harder : -harder;
      const double next = claimed + direction * step * 1.0625;
      ASSIGN_OR_RETURN(const bool holds, ProvenAt(next));
      (holds ? proven : not_proven) = next;
    }
    if (!proven) return absl::OkStatus();
    for (int k = 0; k < kLimitSteps && not_proven; ++k) {
      const double middle = (*proven + *not_proven) / 2;
      ASSIGN_OR_RETURN(const bool holds, ProvenAt(middle));
      (holds ? *proven : *not_proven) = middle;
    }
    result_.tightest_limit = proven;
    return absl::OkStatus();
  }

  absl::StatusOr<Claim> WithEnd(size_t i, RangeEnd end, double value) const {
    Claim claim = claim_;
    document::MeasureRange& range = claim.region[i];
    ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit(range.unit));
    (end == RangeEnd::kLow ? range.low : range.high) = value;
    (end == RangeEnd::kLow ? range.low_si : range.high_si) = quantity::ToSi(value, unit);
    return claim;
  }

  // The furthest that was tested by every stage, in the unit of the range.
  absl::StatusOr<double> FurthestTested(const document::MeasureRange& range,
                                        RangeEnd end) const {
    ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit(range.unit));
    std::vector<const document::StageMap*> maps;
    for (const StageInputs& stage : inputs_.stages) maps.push_back(stage.map);
    if (maps.empty()) maps.push_back(&inputs_.map);
    std::optional<double> furthest;
    for (const document::StageMap* map : maps) {
      for (size_t i = 0; i < map->conditions.size(); ++i) {
        if (map->conditions[i] != range.quantity) continue;
        const double here = quantity::FromSi(
            end == RangeEnd::kLow ? map->tested_low_si[i] : map->tested_high_si[i], unit);
        if (!furthest || (end == RangeEnd::kLow ? here > *furthest : here < *furthest)) {
          furthest = here;
        }
      }
    }
    return furthest.value_or(end == RangeEnd::kLow ? range.low : range.high);
  }

  absl::Status FindReach(size_t i, RangeEnd end) {
    const document::MeasureRange& range = claim_.region[i];
    document::RegionReach reach{.quantity = range.quantity,
                                .end = end,
                                .claimed = end == RangeEnd::kLow ? range.low : range.high,
                                .provable = {},
                                .unit = range.unit};
    // A part that a table or a serving rule gives is not widened.
    const bool fixed =
        claim_.limit_table ||
        (claim_.serving && claim_.serving->rule == document::ServingRule::kPerPart);
    const auto holds_at = [&](double value) -> absl::StatusOr<bool> {
      ASSIGN_OR_RETURN(const Claim claim, WithEnd(i, end, value));
      auto proven = Proven(claim);
      // An end moved so far that the cuts leave nothing proves nothing.
      if (proven.status().code() == absl::StatusCode::kInvalidArgument) return false;
      return proven;
    };
    double proven, not_proven;
    if (verdict_.outcome == Outcome::kProven) {
      reach.provable = proven = reach.claimed;
      ASSIGN_OR_RETURN(not_proven, FurthestTested(range, end));
      const bool outwards =
          end == RangeEnd::kLow ? not_proven < proven : not_proven > proven;
      if (outwards && !fixed) {
        ASSIGN_OR_RETURN(const bool all, holds_at(not_proven));
        if (all) {
          reach.provable = not_proven;
        } else {
          RETURN_IF_ERROR(Bisect(holds_at, proven, not_proven));
          reach.provable = proven;
        }
      }
    } else {
      // Down to the other end; a range of no width is the smallest region there is.
      not_proven = reach.claimed;
      proven = end == RangeEnd::kLow ? range.high : range.low;
      ASSIGN_OR_RETURN(const bool any, holds_at(proven));
      if (any && proven != not_proven) {
        RETURN_IF_ERROR(Bisect(holds_at, proven, not_proven));
        reach.provable = proven;
      }
    }
    result_.reaches.push_back(std::move(reach));
    return absl::OkStatus();
  }

  template <typename HoldsAt>
  absl::Status Bisect(const HoldsAt& holds_at, double& proven, double& not_proven) {
    for (int k = 0; k < kReachSteps; ++k) {
      const double middle = (proven + not_proven) / 2;
      ASSIGN_OR_RETURN(const bool holds, holds_at(middle));
      (holds ? proven : not_proven) = middle;
    }
    return absl::OkStatus();
  }

  const Claim& claim_;
  ClaimInputs inputs_;
  const document::Verdict& verdict_;
  document::ProvableClaims result_;
};

}  // namespace

absl::StatusOr<document::ProvableClaims> WhatCouldBeClaimed(
    const document::Claim& claim, const ClaimInputs& inputs,
    const document::Verdict& verdict) {
  return Search(claim, inputs, verdict).Run();
}

}  // namespace ratebound::claim
