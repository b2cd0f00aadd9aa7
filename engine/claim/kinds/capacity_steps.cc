// Distinct steps and the largest gap, as margins between the stages' capacities.
//
// With capacities q_1 to q_K in the order of the mode and q_0 = 0, the rise i is
// (q_i - q_(i-1)) / q_K. Steps that are no further apart than the distinct part count as
// one, so the number of distinct steps at a condition is the number of rises above that
// part. What is claimed, at every condition of the region:
//   - the stages rise: no rise is below 0 (or below the part, where all must be
//     distinct);
//   - at least n of the K rises are above the part: of any K - n + 1 of them, one is.
//     For a choice of so many the claim fails where all of them fail, so each takes the
//     level divided by K - n + 1, and the choices take the whole level each: the test of
//     a partial conjunction by Bonferroni (Benjamini and Heller, Biometrics 64 (2008)
//     1215). Where n = K, each rise takes the whole level;
//   - no rise is above the largest gap: each at the whole level.
// A rise r is held against a part p by q_i - q_(i-1) - p q_K, linear in three surfaces
// that are fitted to different points; each takes a band of its own at a third of the
// level, added linearly (margin.h).
#include <cstdint>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/claim/decide_problems.h"
#include "engine/claim/kinds/clauses.h"
#include "engine/claim/kinds/decide_kind.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {
namespace {

constexpr size_t kMostChoices = 256;

// All choices of `size` of the numbers below `count`; empty where there are too many.
std::vector<std::vector<size_t>> Choices(size_t count, size_t size) {
  std::vector<std::vector<size_t>> choices;
  std::vector<size_t> choice;
  for (size_t i = 0; i < size; ++i) choice.push_back(i);
  while (true) {
    choices.push_back(choice);
    if (choices.size() > kMostChoices) return {};
    size_t place = size;
    while (place > 0 && choice[place - 1] == count - size + place - 1) --place;
    if (place == 0) return choices;
    ++choice[place - 1];
    for (size_t i = place; i < size; ++i) choice[i] = choice[i - 1] + 1;
  }
}

class Steps {
 public:
  Steps(const document::Claim& claim, const std::string& capacity,
        const std::vector<StageInputs>& stages)
      : claim_(claim), capacity_(capacity), stages_(stages) {}

  // The rise to a stage against a part, from one side.
  ClauseAlternative Rise(size_t i, double sign, double part) const {
    ClauseSide side{.side = {.sign = sign, .limit_si = part, .limit = part}};
    side.side.what = absl::StrCat(
        "the rise from ", i == 0 ? "off" : "stage " + stages_[i - 1].id, " to stage ",
        stages_[i].id, " as a part of the capacity of stage ", stages_.back().id);
    side.form.numerator = {{&stages_[i], capacity_, Factor::Number(1)}};
    if (i > 0) {
      side.form.numerator.push_back({&stages_[i - 1], capacity_, Factor::Number(-1)});
    }
    side.form.over_stage = &stages_.back();
    side.form.over = capacity_;
    side.form.allowance_si =
        claim_.allowance.absolute + claim_.allowance.relative_fraction * part;
    return {.stage = stages_[i].id, .sides = {std::move(side)}};
  }

 private:
  const document::Claim& claim_;
  const std::string& capacity_;
  const std::vector<StageInputs>& stages_;
};

}  // namespace

absl::StatusOr<document::Verdict> DecideCapacitySteps(const document::Claim& claim,
                                                      const ClaimInputs& inputs) {
  const document::CapacitySteps& promised = *claim.capacity_steps;
  const size_t count = inputs.stages.empty() ? 1 : inputs.stages.size();
  const auto invalid = [&](std::string_view field, std::string_view why) {
    return absl::InvalidArgumentError(absl::StrCat("claim ", claim.id, ": capacity_steps",
                                                   base::Absl(field), ": ",
                                                   base::Absl(why)));
  };
  if (count < 2) {
    return invalid("", "the mode has one stage, and a step beside off needs another");
  }
  if (promised.least_count < 1 || static_cast<size_t>(promised.least_count) > count) {
    return invalid(
        ".least_count",
        absl::StrCat("the mode has ", count, " stages, and ", promised.least_count,
                     " steps are promised; write 1 to ", count));
  }
  // Of so many rises, one is above the part.
  const size_t of = count - static_cast<size_t>(promised.least_count) + 1;
  const std::vector<std::vector<size_t>> choices = Choices(count, of);
  if (choices.empty()) {
    return invalid(".least_count",
                   absl::StrCat("there are over ", kMostChoices, " ways to take ",
                                promised.least_count, " of ", count,
                                " steps; promise more of them, or fewer"));
  }
  const auto make = [&](const std::vector<StageInputs>& stages,
                        const document::RegionPieces& region,
                        double level) -> absl::StatusOr<ProblemSet> {
    const Steps steps(claim, inputs.mode.capacity_quantity, stages);
    const auto frame = FirstFrame(stages);
    if (!frame) {
      return ProblemSet{
          .model_fault = absl::StrCat(
              "stage ", stages.front().id, ": ",
              SurfaceFault(*stages.front().map, inputs.mode.capacity_quantity))};
    }
    std::vector<Clause> clauses;
    for (const std::vector<size_t>& choice : choices) {
      Clause& clause = clauses.emplace_back(Clause{.box = region.box});
      for (size_t i : choice) {
        clause.alternatives.push_back(steps.Rise(i, 1, promised.distinct_fraction));
      }
    }
    for (size_t i = 0; i < count; ++i) {
      if (of > 1) clauses.push_back({region.box, {steps.Rise(i, 1, 0)}});
      if (promised.greatest_gap_fraction) {
        clauses.push_back(
            {region.box, {steps.Rise(i, -1, *promised.greatest_gap_fraction)}});
      }
    }
    return ProblemsOf(inputs.manifest, stages, clauses, *frame, level);
  };
  ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit("1"));
  return DecideProblems(claim, inputs, unit, make);
}

}  // namespace ratebound::claim
