// Ratings that a maker declares, held against what the data give today and against an
// earlier release.
//
// A declared value is supported where the rating computed from the map, rounded as its
// procedure says, is no worse: at no tolerance. Authorities that check units on the
// market have one (such as 8 % for SEER and SCOP, Commission Regulation (EU) No 206/2012,
// annex III), and a maker may not use it for the values he declares; it is reported as a
// what-if and decides nothing.
//
// Against a baseline a declared rating is weaker where it was supported and is not, where
// the declared value was made easier to keep, and where it was withdrawn though it was
// supported. The rules of a gate (gate.h) apply: an unsupported rating fails like a
// refuted claim, one that cannot be computed like a claim that is not shown.
//
// Example:
//   for (const DeclaredVerdict& verdict : JudgeDeclared(manifest, ratings, procedures)) {
//     if (verdict.outcome == DeclaredOutcome::kNotSupported) ...
//   }
//
// Units: those of the procedure's metric. Less is better for kW/ton. Thread-safety: pure
// functions. Lifetime: GatedRating points into both lists.
#ifndef RATEBOUND_ENGINE_CLAIM_DECLARED_RATING_H_
#define RATEBOUND_ENGINE_CLAIM_DECLARED_RATING_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "engine/claim/gate.h"
#include "engine/document/line.h"
#include "engine/document/procedure.h"
#include "engine/document/rating.h"

namespace ratebound::claim {

// From weak to strong.
enum class DeclaredOutcome { kNotSupported, kNotRated, kSupported };

// "SUPPORTED", "NOT SUPPORTED", "NOT RATED".
std::string DeclaredOutcomeName(DeclaredOutcome outcome);

// What an authority would let pass that determined the same figure.
struct SurveillanceWhatIf {
  double tolerance_percent = 0;
  double limit = 0;     // the worst figure within the tolerance
  bool within = false;  // whether the unrounded rating is
  document::Citation citation;
};

struct DeclaredVerdict {
  std::string unit;
  document::DeclaredRating declared;
  document::Rating rating;  // without its trace
  DeclaredOutcome outcome = DeclaredOutcome::kNotRated;
  std::optional<SurveillanceWhatIf> what_if;
  std::string explanation;  // in one sentence

  // Unique in a line.
  std::string Id() const { return unit + "/" + declared.procedure; }
};

// One for each declared rating, in the order of the manifest.
std::vector<DeclaredVerdict> JudgeDeclared(
    const document::LineManifest& manifest, std::span<const document::Rating> ratings,
    std::span<const document::Procedure> procedures);

struct GatedRating {
  const DeclaredVerdict* now = nullptr;
  const DeclaredVerdict* before = nullptr;
  GateChange change = GateChange::kNoBaseline;
  std::vector<Difference> differences;
  std::vector<std::string> failures;
};

// In the order of `now`, then those only in the baseline in its order.
std::vector<GatedRating> GateRatings(
    std::span<const DeclaredVerdict> now,
    std::optional<std::span<const DeclaredVerdict>> baseline,
    const GateOptions& options = {});

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_DECLARED_RATING_H_
