#include "engine/claim/promise_change.h"

#include <algorithm>
#include <cmath>
#include <optional>
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

// Which way a figure makes the claim easier to show.
enum class Easier { kLower, kHigher };

// A figure of the promise, in SI where it has a unit and as it is written.
struct Figure {
  double si = 0;
  std::string text;
};

Figure Plain(double value) { return {value, ShortestText(value)}; }

void CompareFigures(std::string_view what, const Figure& before, const Figure& now,
                    Easier easier, Changes& changes) {
  if (Same(before.si, now.si)) return;
  const bool eased = (now.si < before.si) == (easier == Easier::kLower);
  changes.Add(PromiseFacet::kLimit, eased ? Ease::kEasier : Ease::kHarder,
              absl::StrCat(base::Absl(what), " ", eased ? "eased" : "tightened", " from ",
                           before.text, " to ", now.text));
}

// A limit that only one of the two has.
void CompareFigures(std::string_view what, const std::optional<Figure>& before,
                    const std::optional<Figure>& now, Easier easier, Changes& changes) {
  if (before && now) return CompareFigures(what, *before, *now, easier, changes);
  if (before) {
    changes.Add(PromiseFacet::kLimit, Ease::kEasier,
                absl::StrCat(base::Absl(what), " no longer stated, was ", before->text));
  } else if (now) {
    changes.Add(PromiseFacet::kLimit, Ease::kHarder,
                absl::StrCat(base::Absl(what), " newly stated: ", now->text));
  }
}

Easier EasierOf(const Claim& claim) {
  return claim.relation == document::Relation::kAtMost ? Easier::kHigher : Easier::kLower;
}

std::optional<Figure> UpperLimitOf(const Claim& claim) {
  if (!claim.upper_limit) return std::nullopt;
  return Figure{claim.upper_limit_si, In(*claim.upper_limit, claim.limit_unit)};
}

void CompareOffsets(const Claim& before, const Claim& now, Changes& changes) {
  if (!before.against || !now.against) return;
  const auto offset = [](const Claim& claim) {
    return Figure{claim.against->offset_si, In(claim.against->offset, claim.limit_unit)};
  };
  const auto upper = [](const Claim& claim) -> std::optional<Figure> {
    if (!claim.against->upper_offset) return std::nullopt;
    return Figure{claim.against->upper_offset_si,
                  In(*claim.against->upper_offset, claim.limit_unit)};
  };
  CompareFigures("offset", offset(before), offset(now), EasierOf(now), changes);
  CompareFigures("upper offset", upper(before), upper(now), Easier::kHigher, changes);
}

// Where both are of one kind: what that kind has in place of a limit.
void CompareKinds(const Claim& before, const Claim& now, Changes& changes) {
  if (before.turndown && now.turndown) {
    CompareFigures("part of the highest stage's capacity",
                   Plain(before.turndown->capacity_fraction),
                   Plain(now.turndown->capacity_fraction), EasierOf(now), changes);
  }
  if (before.capacity_steps && now.capacity_steps) {
    const document::CapacitySteps& then = *before.capacity_steps;
    const document::CapacitySteps& today = *now.capacity_steps;
    const auto gap = [](const document::CapacitySteps& steps) -> std::optional<Figure> {
      if (!steps.greatest_gap_fraction) return std::nullopt;
      return Plain(*steps.greatest_gap_fraction);
    };
    CompareFigures("number of steps", Plain(then.least_count), Plain(today.least_count),
                   Easier::kLower, changes);
    CompareFigures("part by which steps differ", Plain(then.distinct_fraction),
                   Plain(today.distinct_fraction), Easier::kLower, changes);
    CompareFigures("greatest gap", gap(then), gap(today), Easier::kHigher, changes);
  }
  if (before.equivalence && now.equivalence) {
    CompareFigures("greatest difference", Plain(before.equivalence->within_fraction),
                   Plain(now.equivalence->within_fraction), Easier::kHigher, changes);
  }
  if (before.seasonal_floor && now.seasonal_floor &&
      before.seasonal_floor->unit == now.seasonal_floor->unit) {
    const auto floor = [](const Claim& claim) {
      return Figure{claim.seasonal_floor->at_least,
                    In(claim.seasonal_floor->at_least, claim.seasonal_floor->unit)};
    };
    CompareFigures("rating", floor(before), floor(now), Easier::kLower, changes);
  }
  if (before.steadiness && now.steadiness) {
    const auto mean = [](const document::Steadiness& steady) {
      return Figure{steady.mean_within_si, In(steady.mean_within, steady.unit)};
    };
    const auto band = [](const document::Steadiness& steady) {
      return Figure{steady.band_si, In(steady.band, steady.unit)};
    };
    CompareFigures("distance of the mean", mean(*before.steadiness),
                   mean(*now.steadiness), Easier::kHigher, changes);
    CompareFigures("band", band(*before.steadiness), band(*now.steadiness),
                   Easier::kHigher, changes);
  }
}

void CompareLimits(const Claim& before, const Claim& now, Changes& changes) {
  if (before.relation != now.relation) return;
  const auto limit = [](const Claim& claim) {
    return Figure{claim.limit_si, In(claim.limit, claim.limit_unit)};
  };
  CompareFigures("limit", limit(before), limit(now), EasierOf(now), changes);
  CompareFigures("upper limit", UpperLimitOf(before), UpperLimitOf(now), Easier::kHigher,
                 changes);
  CompareOffsets(before, now, changes);
  CompareKinds(before, now, changes);
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

// Cuts only added leave a smaller region, cuts only taken away a larger one.
void CompareCuts(const Claim& before, const Claim& now, Changes& changes) {
  if (before.cuts == now.cuts) return;
  const auto holds_all = [](const std::vector<document::RegionCut>& cuts,
                            const std::vector<document::RegionCut>& others) {
    return std::all_of(others.begin(), others.end(), [&](const auto& other) {
      return std::find(cuts.begin(), cuts.end(), other) != cuts.end();
    });
  };
  const bool more = holds_all(now.cuts, before.cuts);
  const bool fewer = holds_all(before.cuts, now.cuts);
  if (more && fewer) return;  // in another order
  changes.Add(PromiseFacet::kRegion,
              more    ? Ease::kEasier
              : fewer ? Ease::kHarder
                      : Ease::kUnclear,
              more    ? "region shrunk: cut once more"
              : fewer ? "region grown: cut less"
                      : "region cut otherwise");
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
  claim.upper_limit = other.upper_limit;
  claim.upper_limit_si = other.upper_limit_si;
  claim.cuts = other.cuts;
  if (claim.against && other.against) {
    claim.against->offset = other.against->offset;
    claim.against->offset_si = other.against->offset_si;
    claim.against->upper_offset = other.against->upper_offset;
    claim.against->upper_offset_si = other.against->upper_offset_si;
  }
  if (claim.turndown && other.turndown) {
    claim.turndown->capacity_fraction = other.turndown->capacity_fraction;
  }
  if (claim.capacity_steps && other.capacity_steps) {
    claim.capacity_steps = other.capacity_steps;
  }
  if (claim.equivalence && other.equivalence) {
    claim.equivalence->within_fraction = other.equivalence->within_fraction;
  }
  if (claim.seasonal_floor && other.seasonal_floor &&
      claim.seasonal_floor->unit == other.seasonal_floor->unit) {
    claim.seasonal_floor->at_least = other.seasonal_floor->at_least;
  }
  if (claim.steadiness && other.steadiness) {
    claim.steadiness->mean_within = other.steadiness->mean_within;
    claim.steadiness->mean_within_si = other.steadiness->mean_within_si;
    claim.steadiness->band = other.steadiness->band;
    claim.steadiness->band_si = other.steadiness->band_si;
  }
  if (claim.limit_table && other.limit_table) {
    claim.limit_table->source = other.limit_table->source;
  }
  return claim;
}

}  // namespace

std::vector<PromiseChange> ComparePromises(const Claim& before, const Claim& now) {
  Changes changes;
  CompareSubject(before, now, changes);
  CompareLimits(before, now, changes);
  CompareRegions(before, now, changes);
  CompareCuts(before, now, changes);
  CompareConfidence(before, now, changes);
  CompareAllowances(before, now, changes);
  if (LikeIn(before, now) != now) {
    changes.Add(
        PromiseFacet::kOther, Ease::kUnclear,
        "the promise is written otherwise (serving stages, or what stands in place "
        "of a limit)");
  }
  return std::move(changes).Take();
}

}  // namespace ratebound::claim
