// Promises of several margins as clauses: at every point of a part of the region, in
// each clause some alternative holds, with all of its sides.
//
// Levels (level.h). A promise of clauses is false where, at some point, all alternatives
// of one clause are; so the clauses take the whole level each, and the alternatives of a
// clause share it. Refuting divides by the number of margins that are looked at, where a
// surface of its own is fitted for each, and by the number of stages.
//
// Example ("the steps rise by at least a tenth of the highest"):
//   clauses.push_back({.box = region.box,
//                      .alternatives = {{.stage = "ml", .sides = {{side, form}}}}});
//   return ProblemsOf(manifest, stages, clauses, *FirstFrame(stages), level);
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_CLAIM_KINDS_CLAUSES_H_
#define RATEBOUND_ENGINE_CLAIM_KINDS_CLAUSES_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/claim/margin.h"
#include "engine/claim/problem.h"
#include "engine/claim/promise_parts.h"
#include "engine/document/region_pieces.h"

namespace ratebound::claim {

// Sign and limit of the form are those of the side; its frame is set by ProblemsOf.
struct ClauseSide {
  PromiseSide side;
  MarginForm form;
};

struct ClauseAlternative {
  std::string stage;  // named in the verdict where this is what is missed
  std::vector<ClauseSide> sides;
};

struct Clause {
  document::ConditionBox box;
  std::vector<ClauseAlternative> alternatives;
};

// A clause without a model in any alternative is the set's model_fault.
absl::StatusOr<ProblemSet> ProblemsOf(const document::LineManifest& manifest,
                                      const std::vector<StageInputs>& stages,
                                      std::span<const Clause> clauses, const Frame& frame,
                                      double level);

}  // namespace ratebound::claim

#endif  // RATEBOUND_ENGINE_CLAIM_KINDS_CLAUSES_H_
