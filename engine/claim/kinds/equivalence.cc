// Two specimens within a part of each other: two one-sided tests at every condition
// (equivalence_statistics.h). With q the specimen's quantity and r the reference's, the
// promise |q - r| <= x r is q - (1 - x) r >= 0 and (1 + x) r - q >= 0, each at the whole
// level. Both are fitted by themselves, each with a band at half the level; the bands add
// linearly, so nothing is asked of how the two specimens' errors go together. The
// systematic uncertainty of both is taken off in full, though instruments that both were
// tested with err alike.
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/claim/decide_problems.h"
#include "engine/claim/kinds/clauses.h"
#include "engine/claim/kinds/decide_kind.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {

absl::StatusOr<document::Verdict> DecideEquivalence(const document::Claim& claim,
                                                    const ClaimInputs& inputs) {
  const document::Equivalence& promised = *claim.equivalence;
  const double x = promised.within_fraction;
  if (!(x > 0 && x < 1)) {
    return absl::InvalidArgumentError(absl::StrCat("claim ", claim.id,
                                                   ": equivalence.within_fraction: ", x,
                                                   " is not above 0 and below 1"));
  }
  if (inputs.stages.size() != 2) {
    return absl::InvalidArgumentError(
        absl::StrCat("claim ", claim.id, ": equivalence: takes two specimens, not ",
                     inputs.stages.size()));
  }
  const auto make = [&](const std::vector<StageInputs>& specimens,
                        const document::RegionPieces& region,
                        double level) -> absl::StatusOr<ProblemSet> {
    const auto frame = FirstFrame(specimens);
    for (const StageInputs& specimen : specimens) {
      std::string fault = SurfaceFault(*specimen.map, claim.quantity);
      if (fault.empty()) continue;
      return ProblemSet{.model_fault =
                            absl::StrCat("specimen ", specimen.id, ": ", fault)};
    }
    ClauseAlternative both{.stage = promised.specimen};
    for (const double sign : {1.0, -1.0}) {
      // 1 - x for at least, 1 + x for at most (RatioMargins).
      const double limit = 1 - sign * x;
      ClauseSide side{.side = {.sign = sign, .limit_si = limit, .limit = limit}};
      side.side.what =
          absl::StrCat(claim.quantity, " of ", promised.specimen,
                       " as a part of that of ", promised.reference_specimen);
      side.form.numerator = {{&specimens[0], claim.quantity, Factor::Number(1)}};
      side.form.over_stage = &specimens[1];
      side.form.over = claim.quantity;
      side.form.allowance_si =
          claim.allowance.absolute + claim.allowance.relative_fraction * x;
      both.sides.push_back(std::move(side));
    }
    const Clause clauses[] = {{.box = region.box, .alternatives = {std::move(both)}}};
    return ProblemsOf(inputs.manifest, specimens, clauses, *frame, level);
  };
  ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit("1"));
  return DecideProblems(claim, inputs, unit, make);
}

}  // namespace ratebound::claim
