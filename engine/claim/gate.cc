#include "engine/claim/gate.h"

#include <map>
#include <string_view>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/claim/promise_change.h"
#include "engine/claim/verdict_strength.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {
namespace {

using base::ShortestText;
using document::Outcome;
using document::Verdict;

std::string NameOf(const Verdict& verdict) {
  return document::VerdictName(verdict.outcome, verdict.reason);
}

// "a claim is weaker" needs all that made it so, in one line.
void AddWorse(const std::vector<Difference>& differences,
              std::vector<std::string>* failures) {
  for (const Difference& difference : differences) {
    if (difference.effect == Effect::kWorse) {
      failures->push_back("weaker than the baseline: " + difference.text);
    }
  }
}

void CompareOutcomes(const Verdict& before, const Verdict& now, GatedClaim& claim) {
  const int gain = VerdictStrength(now.outcome) - VerdictStrength(before.outcome);
  if (gain == 0 && before.reason == now.reason) return;
  claim.differences.push_back(
      {.kind = DifferenceKind::kOutcome,
       .effect = gain > 0   ? Effect::kBetter
                 : gain < 0 ? Effect::kWorse
                            : Effect::kNone,
       .text = absl::StrCat(NameOf(now), ", was ", NameOf(before))});
}

void ComparePromise(const Verdict& before, const Verdict& now, GatedClaim& claim) {
  const bool stood = IsShown(before.outcome);
  for (PromiseChange& change : ComparePromises(before.text, now.text)) {
    Effect effect = Effect::kNone;
    if (stood) {
      effect = change.ease == Ease::kHarder ? Effect::kBetter : Effect::kWorse;
    }
    claim.differences.push_back({.kind = DifferenceKind::kPromise,
                                 .effect = effect,
                                 .text = std::move(change.text)});
  }
}

// Margins of unlike promises say nothing of the unit.
void CompareMargins(const Verdict& before, const Verdict& now, const GateOptions& options,
                    GatedClaim& claim) {
  if (before.outcome != Outcome::kProven || now.outcome != Outcome::kProven) return;
  for (const Difference& difference : claim.differences) {
    if (difference.kind == DifferenceKind::kPromise) return;
  }
  if (before.unit != now.unit || !(before.margin > 0) || before.margin == now.margin) {
    return;
  }
  const double drop_percent = 100 * (before.margin - now.margin) / before.margin;
  const bool worse =
      options.margin_drop_percent && drop_percent > *options.margin_drop_percent;
  claim.differences.push_back(
      {.kind = DifferenceKind::kMargin,
       .effect = worse ? Effect::kWorse : Effect::kNone,
       .text = absl::StrFormat(
           "margin %.3g%s, was %.3g: %s by %.3g %% of it%s", now.margin,
           quantity::AfterNumber(now.unit), before.margin,
           drop_percent > 0 ? "fell" : "rose",
           drop_percent > 0 ? drop_percent : -drop_percent,
           worse ? absl::StrCat(", more than the ",
                                ShortestText(*options.margin_drop_percent), " % allowed")
                 : "")});
}

// What a proof rests on can be changed as well as what it shows.
void CompareEvidence(const Verdict& before, const Verdict& now, GatedClaim& claim) {
  const auto add = [&](std::string text) {
    claim.differences.push_back(
        {.kind = DifferenceKind::kEvidence, .text = std::move(text)});
  };
  if (before.model != now.model) {
    add(absl::StrCat("model: ", now.model.empty() ? "none" : now.model, ", was ",
                     before.model.empty() ? "none" : before.model));
  }
  if (now.look > before.look) {
    add(absl::StrCat("look ", now.look, " at the claim, on changed data: level ",
                     absl::StrFormat("%.3g, was %.3g", now.level, before.level)));
  }
}

GateChange ChangeOf(const Verdict& before, const Verdict& now, const GatedClaim& claim) {
  bool better = false;
  for (const Difference& difference : claim.differences) {
    if (difference.effect == Effect::kWorse) return GateChange::kWeaker;
    better |= difference.effect == Effect::kBetter;
  }
  const bool as_well = VerdictStrength(now.outcome) >= VerdictStrength(before.outcome);
  return better && as_well ? GateChange::kStronger : GateChange::kSame;
}

void Judge(const GateOptions& options, GatedClaim& claim) {
  if (claim.now != nullptr && claim.now->outcome == Outcome::kRefuted) {
    claim.failures.push_back("refuted: " + claim.now->explanation);
  }
  if (options.rule == GateRule::kRefuted) return;
  if (claim.change == GateChange::kWeaker) AddWorse(claim.differences, &claim.failures);
  if (claim.change == GateChange::kGone && IsShown(claim.before->outcome)) {
    claim.failures.push_back(
        absl::StrCat("no longer claimed; it was ", NameOf(*claim.before)));
  }
  if (options.rule == GateRule::kWeaker) return;
  if (claim.now != nullptr && claim.now->outcome == Outcome::kNotShown) {
    claim.failures.push_back(
        absl::StrCat("not shown: ", NameOf(*claim.now), ": ", claim.now->explanation));
  }
}

}  // namespace

std::vector<GatedClaim> GateClaims(std::span<const Verdict> now,
                                   std::optional<std::span<const Verdict>> baseline,
                                   const GateOptions& options) {
  std::map<std::string_view, const Verdict*> earlier;
  if (baseline) {
    for (const Verdict& verdict : *baseline) earlier.emplace(verdict.claim, &verdict);
  }
  std::map<std::string_view, const Verdict*> still_claimed;
  std::vector<GatedClaim> gated;
  for (const Verdict& verdict : now) {
    still_claimed.emplace(verdict.claim, &verdict);
    GatedClaim claim{.now = &verdict};
    const auto found = earlier.find(verdict.claim);
    if (found != earlier.end()) {
      const Verdict& before = *found->second;
      claim.before = &before;
      CompareOutcomes(before, verdict, claim);
      ComparePromise(before, verdict, claim);
      CompareMargins(before, verdict, options, claim);
      CompareEvidence(before, verdict, claim);
      claim.change = ChangeOf(before, verdict, claim);
    } else if (baseline) {
      claim.change = GateChange::kNew;
    }
    Judge(options, claim);
    gated.push_back(std::move(claim));
  }
  if (!baseline) return gated;
  for (const Verdict& verdict : *baseline) {
    if (still_claimed.contains(verdict.claim)) continue;
    GatedClaim claim{.before = &verdict, .change = GateChange::kGone};
    Judge(options, claim);
    gated.push_back(std::move(claim));
  }
  return gated;
}

}  // namespace ratebound::claim
