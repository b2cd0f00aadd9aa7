#include "engine/claim/promise_change.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"

namespace ratebound::claim {
namespace {

using base::ShortestText;
using document::Claim;
using document::MeasureRange;

// Turning a value into SI and back errs by a few units in the last place.
constexpr double kSameFraction = 1e-12;

bool Same(double a, double b) {
  return std::fabs(a - b) <= kSameFraction * std::max(std::fabs(a), std::fabs(b));
}

std::string In(double value, const std::string& unit) {
  return unit.empty() ? ShortestText(value)
                      : absl::StrCat(ShortestText(value), " ", unit);
}

class Changes {
 public:
  void Add(PromiseFacet facet, Ease ease, std::string text) {
    changes_.push_back({facet, ease, std::move(text)});
  }
  std::vector<PromiseChange> Take() && { return std::move(changes_); }

 private:
  std::vector<PromiseChange> changes_;
};

void CompareSubject(const Claim& before, const Claim& now, Changes& changes) {
  const struct {
    std::string_view what;
    const std::string& before;
    const std::string& now;
  } kNames[] = {{"unit", before.unit, now.unit},
                {"mode", before.mode, now.mode},
                {"stage", before.stage, now.stage},
                {"quantity", before.quantity, now.quantity}};
  for (const auto& name : kNames) {
    if (name.before == name.now) continue;
    changes.Add(PromiseFacet::kSubject, Ease::kUnclear,
                absl::StrCat("another ", base::Absl(name.what), ": '", name.now,
                             "' in place of '", name.before, "'"));
  }
  if (before.relation != now.relation) {
    changes.Add(PromiseFacet::kSubject, Ease::kUnclear, "another side of the limit");
  }
}

void CompareLimits(const Claim& before, const Claim& now, Changes& changes) {
  if (before.relation != now.relation || Same(before.limit_si, now.limit_si)) return;
  const bool lower = now.limit_si < before.limit_si;
  const bool eased = lower != (now.relation == document::Relation::kAtMost);
  changes.Add(PromiseFacet::kLimit, eased ? Ease::kEasier : Ease::kHarder,
              absl::StrCat("limit ", eased ? "eased" : "tightened", " from ",
                           In(before.limit, before.limit_unit), " to ",
                           In(now.limit, now.limit_unit)));
}

const MeasureRange* Find(const std::vector<MeasureRange>& region,
                         const std::string& quantity) {
  for (const MeasureRange& range : region) {
    if (range.quantity == quantity) return &range;
  }
  return nullptr;
}

std::string RangeText(const MeasureRange& range) {
  return absl::StrCat(ShortestText(range.low), " to ", In(range.high, range.unit));
}

void CompareRanges(const MeasureRange& before, const MeasureRange& now,
                   Changes& changes) {
  const bool same_low = Same(before.low_si, now.low_si);
  const bool same_high = Same(before.high_si, now.high_si);
  if (same_low && same_high) return;
  const bool cut = (!same_low && now.low_si > before.low_si) ||
                   (!same_high && now.high_si < before.high_si);
  const bool grown = (!same_low && now.low_si < before.low_si) ||
                     (!same_high && now.high_si > before.high_si);
  changes.Add(
      PromiseFacet::kRegion, cut ? Ease::kEasier : Ease::kHarder,
      absl::StrCat("region ",
                   cut && grown ? "moved"
                   : cut        ? "shrunk"
                                : "grown",
                   ": ", now.quantity, " ", RangeText(now), ", was ", RangeText(before)));
}

void CompareRegions(const Claim& before, const Claim& now, Changes& changes) {
  for (const MeasureRange& range : now.region) {
    const MeasureRange* const then = Find(before.region, range.quantity);
    if (then != nullptr) {
      CompareRanges(*then, range, changes);
    } else {
      changes.Add(PromiseFacet::kRegion, Ease::kUnclear,
                  absl::StrCat("region newly bounded in ", range.quantity, ": ",
                               RangeText(range)));
    }
  }
  for (const MeasureRange& range : before.region) {
    if (Find(now.region, range.quantity) != nullptr) continue;
    changes.Add(PromiseFacet::kRegion, Ease::kUnclear,
                absl::StrCat("region no longer bounded in ", range.quantity, ", was ",
                             RangeText(range)));
  }
}

void CompareConfidence(const Claim& before, const Claim& now, Changes& changes) {
  if (before.confidence == now.confidence) return;
  const bool lower = now.confidence < before.confidence;
  changes.Add(PromiseFacet::kConfidence, lower ? Ease::kEasier : Ease::kHarder,
              absl::StrCat("confidence ", lower ? "lowered" : "raised", " from ",
                           ShortestText(before.confidence), " to ",
                           ShortestText(now.confidence)));
}

std::string AllowanceText(const Claim& claim) {
  const document::Allowance& allowance = claim.allowance;
  std::string text;
  if (allowance.relative_fraction != 0) {
    text = absl::StrCat(ShortestText(100 * allowance.relative_fraction), " %");
  }
  if (allowance.absolute != 0) {
    absl::StrAppend(&text, text.empty() ? "" : " and ",
                    In(allowance.absolute, claim.limit_unit));
  }
  return text.empty() ? "none" : text;
}

// A smaller allowance leaves more margin, so the claim is easier to show.
void CompareAllowances(const Claim& before, const Claim& now, Changes& changes) {
  const double relative =
      now.allowance.relative_fraction - before.allowance.relative_fraction;
  const bool same_absolute =
      Same(before.allowance.absolute_si, now.allowance.absolute_si);
  const bool cut = relative < 0 || (!same_absolute && now.allowance.absolute_si <
                                                          before.allowance.absolute_si);
  const bool raised =
      relative > 0 ||
      (!same_absolute && now.allowance.absolute_si > before.allowance.absolute_si);
  if (!cut && !raised) return;
  changes.Add(PromiseFacet::kAllowance,
              cut && raised ? Ease::kUnclear
              : cut         ? Ease::kEasier
                            : Ease::kHarder,
              absl::StrCat("allowance ",
                           cut && raised ? "changed"
                           : cut         ? "cut"
                                         : "raised",
                           " from ", AllowanceText(before), " to ", AllowanceText(now)));
}

// What is compared above, made alike, so that what still differs is something else.
Claim LikeIn(Claim claim, const Claim& other) {
  claim.id = other.id;
  claim.statement = other.statement;
  claim.unit = other.unit;
  claim.mode = other.mode;
  claim.stage = other.stage;
  claim.quantity = other.quantity;
  claim.relation = other.relation;
  claim.limit = other.limit;
  claim.limit_unit = other.limit_unit;
  claim.limit_si = other.limit_si;
  claim.region = other.region;
  claim.confidence = other.confidence;
  claim.allowance = other.allowance;
  return claim;
}

}  // namespace

std::vector<PromiseChange> ComparePromises(const Claim& before, const Claim& now) {
  Changes changes;
  CompareSubject(before, now, changes);
  CompareLimits(before, now, changes);
  CompareRegions(before, now, changes);
  CompareConfidence(before, now, changes);
  CompareAllowances(before, now, changes);
  if (LikeIn(before, now) != now) {
    changes.Add(PromiseFacet::kOther, Ease::kUnclear,
                "the promise is written otherwise (cuts, serving stages, or what stands "
                "in place of a limit)");
  }
  return std::move(changes).Take();
}

}  // namespace ratebound::claim
