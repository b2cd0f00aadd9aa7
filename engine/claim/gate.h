// Claims held against those of an earlier release: what is shown less well, and whether
// that fails a build.
//
// A claim is weaker than in the baseline where
// * its outcome fell (PROVEN, OBSERVED, NOT_SHOWN, REFUTED, from strong to weak), or
// * it was shown there (PROVEN or OBSERVED), and its promise has become easier to keep
//   (promise_change.h), or
// * it is PROVEN in both with the same promise, and its margin fell by more than the
//   stated part of the baseline's margin.
// A claim that was not shown in the baseline may be eased, or withdrawn: nothing that
// stood is lost. A claim that was shown and is no longer made counts like a weaker one.
// Stronger: a better outcome, or as well shown while more is promised.
//
// Three rules, each with all that the one before fails for:
//   kRefuted   a refuted claim
//   kWeaker    a claim weaker than in the baseline, or shown there and gone
//   kNotShown  a claim that is neither PROVEN nor OBSERVED
//
// Example:
//   for (const GatedClaim& claim :
//        GateClaims(now.verdicts, baseline.verdicts, {.rule = GateRule::kWeaker})) {
//     for (const std::string& failure : claim.failures) std::puts(failure.c_str());
//   }
//
// Lifetime: what is returned points into both lists. Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_CLAIM_GATE_H_
#define RATEBOUND_ENGINE_CLAIM_GATE_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/document/claim.h"

namespace ratebound::claim {

enum class GateRule { kRefuted, kWeaker, kNotShown };

enum class GateChange { kNoBaseline, kNew, kSame, kStronger, kWeaker, kGone };

enum class DifferenceKind { kOutcome, kPromise, kMargin, kEvidence };

// What a difference means for what was shown.
enum class Effect { kNone, kBetter, kWorse };

struct Difference {
  DifferenceKind kind = DifferenceKind::kOutcome;
  Effect effect = Effect::kNone;
  std::string text;
};

struct GateOptions {
  GateRule rule = GateRule::kWeaker;
  // How far a margin may fall, in percent of the baseline's; any way where empty.
  std::optional<double> margin_drop_percent;
};

struct GatedClaim {
  const document::Verdict* now = nullptr;
  const document::Verdict* before = nullptr;  // null for a claim that is new
  GateChange change = GateChange::kNoBaseline;
  std::vector<Difference> differences;
  std::vector<std::string> failures;  // why the gate fails for it; empty where it passes
};

// In the order of `now`, then those only in the baseline in its order.
std::vector<GatedClaim> GateClaims(
    std::span<const document::Verdict> now,
    std::optional<std::span<const document::Verdict>> baseline,
    const GateOptions& options = {});

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_GATE_H_
