#include "engine/claim/kinds/clauses.h"

#include <algorithm>
#include <memory>
#include <set>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/claim/level.h"

namespace ratebound::claim {
namespace {

// Margins that are not the same one in another clause.
int CountMargins(std::span<const Clause> clauses) {
  std::set<std::string> names;
  for (const Clause& clause : clauses) {
    for (const ClauseAlternative& alternative : clause.alternatives) {
      for (const ClauseSide& side : alternative.sides) {
        names.insert(absl::StrCat(alternative.stage, "/", side.side.what));
      }
    }
  }
  return static_cast<int>(names.size());
}

// The stages that the forms rest on.
int CountStages(std::span<const Clause> clauses) {
  std::set<const StageInputs*> stages;
  for (const Clause& clause : clauses) {
    for (const ClauseAlternative& alternative : clause.alternatives) {
      for (const ClauseSide& side : alternative.sides) {
        for (const MarginTerm& term : side.form.numerator) stages.insert(term.stage);
        if (!side.form.over.empty()) stages.insert(side.form.over_stage);
      }
    }
  }
  return static_cast<int>(stages.size());
}

std::string FaultOf(const MarginForm& form) {
  const auto look = [](const StageInputs* stage, const std::string& quantity) {
    std::string fault = SurfaceFault(*stage->map, quantity);
    return fault.empty() ? fault : absl::StrCat("stage ", stage->id, ": ", fault);
  };
  for (const MarginTerm& term : form.numerator) {
    if (std::string fault = look(term.stage, term.quantity); !fault.empty()) return fault;
  }
  return form.over.empty() ? "" : look(form.over_stage, form.over);
}

}  // namespace

absl::StatusOr<ProblemSet> ProblemsOf(const document::LineManifest& manifest,
                                      const std::vector<StageInputs>& stages,
                                      std::span<const Clause> clauses, const Frame& frame,
                                      double level) {
  ProblemSet set{.frame = frame};
  const int margins = CountMargins(clauses);
  const int looked_at =
      std::max(1, std::min(CountStages(clauses), static_cast<int>(stages.size())));
  for (const Clause& clause : clauses) {
    Problem problem{.box = clause.box};
    std::string fault;
    const int count = static_cast<int>(clause.alternatives.size());
    const SideLevels levels{
        .proving = ServingLevel(level, count,
                                count > 1 ? ServingRule::kSome : ServingRule::kFixed),
        .refuting = {.level = level, .stages = looked_at, .parts = margins}};
    for (const ClauseAlternative& from : clause.alternatives) {
      auto alternative = std::make_unique<Alternative>();
      alternative->stage = from.stage;
      std::string why;
      for (const ClauseSide& side : from.sides) {
        MarginForm form = side.form;
        form.frame = frame;
        form.sign = side.side.sign;
        form.limit = Factor::Number(side.side.limit_si);
        set.allowance_si = std::max(set.allowance_si, form.allowance_si);
        why = FaultOf(form);
        if (!why.empty()) break;
        ASSIGN_OR_RETURN(
            why, AddSide(manifest, clause.box, side.side, form, levels, *alternative));
        if (!why.empty()) break;
      }
      if (!why.empty()) {
        if (fault.empty()) fault = std::move(why);
        continue;
      }
      RETURN_IF_ERROR(AddTested(*alternative));
      problem.alternatives.push_back(std::move(alternative));
    }
    if (problem.alternatives.empty()) {
      set.model_fault = std::move(fault);
      return set;
    }
    set.problems.push_back(std::move(problem));
  }
  return set;
}

}  // namespace ratebound::claim
