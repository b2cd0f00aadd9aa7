#include "engine/claim/declared_rating.h"

#include <map>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {
namespace {

using base::ShortestText;

bool LessIsBetter(const std::string& unit) {
  const auto found = quantity::FindUnit(unit);
  return found.ok() && found->reciprocal;
}

std::string In(double value, const std::string& unit) {
  return absl::StrCat(ShortestText(value), " ", unit);
}

void Decide(DeclaredVerdict& verdict) {
  const document::DeclaredRating& declared = verdict.declared;
  const document::Rating& rating = verdict.rating;
  // Rounded text and declared value are decimals, so they compare as they are written.
  const auto rounded = base::ParseFiniteNumber(rating.rounded);
  if (!rating.value || !rounded) {
    verdict.outcome = DeclaredOutcome::kNotRated;
    verdict.explanation = absl::StrCat(
        "declared ", In(declared.value, declared.unit), "; the data give no rating: ",
        rating.refusal.empty() ? "it was not computed" : rating.refusal);
    return;
  }
  const bool worse =
      LessIsBetter(declared.unit) ? *rounded > declared.value : *rounded < declared.value;
  verdict.outcome = worse ? DeclaredOutcome::kNotSupported : DeclaredOutcome::kSupported;
  verdict.explanation =
      absl::StrCat(rating.metric, " declared ", In(declared.value, declared.unit),
                   "; the data give ", rating.rounded, " ", rating.metric_unit, " (",
                   absl::StrFormat("%.6g", *rating.value), " before rounding)",
                   worse ? ", which does not support it" : "");
}

void AddWhatIf(const document::Procedure& procedure, DeclaredVerdict& verdict) {
  if (!procedure.surveillance_tolerance || !verdict.rating.value) return;
  const double percent = procedure.surveillance_tolerance->value;
  const bool less_is_better = LessIsBetter(verdict.declared.unit);
  const double part = 1 + (less_is_better ? percent : -percent) / 100;
  const double limit = part * verdict.declared.value;
  const double value = *verdict.rating.value;
  verdict.what_if = {.tolerance_percent = percent,
                     .limit = limit,
                     .within = less_is_better ? value <= limit : value >= limit,
                     .citation = procedure.surveillance_tolerance->citation};
}

int Strength(DeclaredOutcome outcome) { return static_cast<int>(outcome); }

void Compare(GatedRating& gated) {
  const DeclaredVerdict& now = *gated.now;
  const DeclaredVerdict& before = *gated.before;
  const auto add = [&](DifferenceKind kind, Effect effect, std::string text) {
    gated.differences.push_back({kind, effect, std::move(text)});
  };
  if (now.outcome != before.outcome) {
    const bool better = Strength(now.outcome) > Strength(before.outcome);
    add(DifferenceKind::kOutcome, better ? Effect::kBetter : Effect::kWorse,
        absl::StrCat(DeclaredOutcomeName(now.outcome), ", was ",
                     DeclaredOutcomeName(before.outcome)));
  }
  if (now.declared.unit != before.declared.unit ||
      now.declared.value != before.declared.value) {
    const bool less = now.declared.value < before.declared.value;
    const bool eased = now.declared.unit != before.declared.unit ||
                       less != LessIsBetter(now.declared.unit);
    const bool stood = before.outcome == DeclaredOutcome::kSupported;
    add(DifferenceKind::kPromise,
        !stood  ? Effect::kNone
        : eased ? Effect::kWorse
                : Effect::kBetter,
        absl::StrCat("declared value ", eased ? "eased" : "raised", " from ",
                     In(before.declared.value, before.declared.unit), " to ",
                     In(now.declared.value, now.declared.unit)));
  }
  if (now.rating.value && before.rating.value &&
      now.rating.rounded != before.rating.rounded) {
    add(DifferenceKind::kEvidence, Effect::kNone,
        absl::StrCat("the data give ", now.rating.rounded, " ", now.rating.metric_unit,
                     ", gave ", before.rating.rounded));
  }
}

GateChange ChangeOf(const GatedRating& gated) {
  bool better = false;
  for (const Difference& difference : gated.differences) {
    if (difference.effect == Effect::kWorse) return GateChange::kWeaker;
    better |= difference.effect == Effect::kBetter;
  }
  return better ? GateChange::kStronger : GateChange::kSame;
}

void Judge(const GateOptions& options, GatedRating& gated) {
  const bool made = gated.now != nullptr;
  if (made && gated.now->outcome == DeclaredOutcome::kNotSupported) {
    gated.failures.push_back("not supported: " + gated.now->explanation);
  }
  if (options.rule == GateRule::kRefuted) return;
  if (gated.change == GateChange::kWeaker) {
    for (const Difference& difference : gated.differences) {
      if (difference.effect != Effect::kWorse) continue;
      gated.failures.push_back("weaker than the baseline: " + difference.text);
    }
  }
  if (!made && gated.before->outcome == DeclaredOutcome::kSupported) {
    gated.failures.push_back("no longer declared; it was supported");
  }
  if (options.rule == GateRule::kWeaker) return;
  if (made && gated.now->outcome == DeclaredOutcome::kNotRated) {
    gated.failures.push_back("not rated: " + gated.now->explanation);
  }
}

}  // namespace

std::string DeclaredOutcomeName(DeclaredOutcome outcome) {
  switch (outcome) {
    case DeclaredOutcome::kNotSupported:
      return "NOT SUPPORTED";
    case DeclaredOutcome::kNotRated:
      return "NOT RATED";
    case DeclaredOutcome::kSupported:
      return "SUPPORTED";
  }
  return "";
}

std::vector<DeclaredVerdict> JudgeDeclared(
    const document::LineManifest& manifest, std::span<const document::Rating> ratings,
    std::span<const document::Procedure> procedures) {
  std::vector<DeclaredVerdict> verdicts;
  for (const document::Unit& unit : manifest.units) {
    for (const document::DeclaredRating& declared : unit.declared_ratings) {
      DeclaredVerdict verdict{.unit = unit.id, .declared = declared};
      for (const document::Rating& rating : ratings) {
        if (rating.unit != unit.id || rating.procedure != declared.procedure) continue;
        verdict.rating = rating;
        verdict.rating.trace.clear();
      }
      Decide(verdict);
      for (const document::Procedure& procedure : procedures) {
        if (procedure.id == declared.procedure) AddWhatIf(procedure, verdict);
      }
      verdicts.push_back(std::move(verdict));
    }
  }
  return verdicts;
}

std::vector<GatedRating> GateRatings(
    std::span<const DeclaredVerdict> now,
    std::optional<std::span<const DeclaredVerdict>> baseline,
    const GateOptions& options) {
  std::map<std::string, const DeclaredVerdict*> earlier;
  if (baseline) {
    for (const DeclaredVerdict& verdict : *baseline) {
      earlier.emplace(verdict.Id(), &verdict);
    }
  }
  std::vector<GatedRating> gated_ratings;
  for (const DeclaredVerdict& verdict : now) {
    GatedRating gated{.now = &verdict};
    const auto found = earlier.extract(verdict.Id());
    if (!found.empty()) {
      gated.before = found.mapped();
      Compare(gated);
      gated.change = ChangeOf(gated);
    } else if (baseline) {
      gated.change = GateChange::kNew;
    }
    Judge(options, gated);
    gated_ratings.push_back(std::move(gated));
  }
  if (!baseline) return gated_ratings;
  for (const DeclaredVerdict& verdict : *baseline) {
    if (!earlier.contains(verdict.Id())) continue;
    GatedRating gated{.before = &verdict, .change = GateChange::kGone};
    Judge(options, gated);
    gated_ratings.push_back(std::move(gated));
  }
  return gated_ratings;
}

}  // namespace ratebound::claim
