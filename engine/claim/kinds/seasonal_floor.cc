// A rating against the least value promised of it, or the greatest where less is better
// (kW/ton). With the rating r, its standard error s, what its instruments may be off by b
// (rating/uncertainty.h) and the allowance A, all in one unit:
//   proven    r - t s - b - A is at least the value
//   refuted   r + t s + b + A is below it
// with Student's one-sided t at the claim's level. One figure is judged and none is
// searched for, so both take the same t. A rating that lies beyond the tested ranges in
// part proves and refutes nothing.
#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/claim/kinds/decide_kind.h"
#include "engine/claim/level.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {
namespace {

using document::NotShownReason;
using document::Outcome;
using document::Verdict;

// What one of the rating's unit is in the claim's.
absl::StatusOr<double> Scale(const document::Claim& claim, const std::string& from) {
  const std::string& to = claim.seasonal_floor->unit;
  if (from == to) return 1;
  const auto from_unit = quantity::FindUnit(from), to_unit = quantity::FindUnit(to);
  if (!from_unit.ok() || !to_unit.ok() || from_unit->reciprocal || to_unit->reciprocal ||
      !from_unit->Measures(to_unit->dimension)) {
    return absl::InvalidArgumentError(absl::StrCat(
        "claim ", claim.id, ": seasonal_floor.unit: ", claim.seasonal_floor->procedure,
        " gives ", from, ", and the claim says ", to, "; write it in ", from));
  }
  return quantity::DifferenceFromSi(quantity::DifferenceToSi(1, *from_unit), *to_unit);
}

}  // namespace

absl::StatusOr<Verdict> DecideSeasonalFloor(const document::Claim& claim,
                                            const ClaimInputs& inputs) {
  const document::SeasonalFloor& promised = *claim.seasonal_floor;
  if (inputs.rating == nullptr) {
    return absl::InvalidArgumentError(
        absl::StrCat("claim ", claim.id, ": seasonal_floor: the unit has no rating by ",
                     promised.procedure));
  }
  const document::Rating& rating = *inputs.rating;
  Verdict verdict = StartVerdict(claim, inputs);
  verdict.level = LookLevel(claim.confidence, verdict.look);
  verdict.unit = promised.unit;
  const auto not_shown = [&](NotShownReason reason, std::string why) {
    verdict.reason = reason;
    verdict.explanation = std::move(why);
    return verdict;
  };
  if (!rating.value) {
    return not_shown(NotShownReason::kModel,
                     absl::StrCat("there is no rating: ", rating.refusal));
  }
  ASSIGN_OR_RETURN(const double scale, Scale(claim, rating.metric_unit));
  verdict.estimate = *rating.value * scale;
  verdict.allowance = claim.allowance.absolute +
                      claim.allowance.relative_fraction * std::fabs(promised.at_least);
  const auto unit = quantity::FindUnit(promised.unit);
  const bool less_is_better = unit.ok() && unit->reciprocal;
  const double sign = less_is_better ? -1 : 1;
  const char* const side = less_is_better ? "at most " : "at least ";
  if (!rating.uncertainty || !(rating.uncertainty->degrees_of_freedom > 0)) {
    return not_shown(
        NotShownReason::kModel,
        absl::StrFormat("the rating is %.4g %s, and how sure it is cannot be told: %s",
                        verdict.estimate, promised.unit,
                        rating.notes.empty() ? "no surface has an estimate of its scatter"
                                             : absl::StrJoin(rating.notes, "; ")));
  }
  const document::MetricUncertainty& sure = *rating.uncertainty;
  verdict.standard_error = sure.standard_error * scale;
  verdict.systematic = sure.systematic * scale;
  verdict.degrees_of_freedom = sure.degrees_of_freedom;
  verdict.coverage_factor = ProvingFactor(verdict.level, sure.degrees_of_freedom);
  verdict.model = absl::StrCat(
      rating.procedure, " from the unit's surfaces; scatter of the test days ",
      sure.method == document::UncertaintyMethod::kMonteCarlo ? "drawn"
                                                              : "to first order",
      ", instruments added linearly");
  const double taken = verdict.coverage_factor * verdict.standard_error +
                       verdict.systematic + verdict.allowance;
  const double surplus = sign * (verdict.estimate - promised.at_least);
  verdict.margin = surplus - taken;
  verdict.bound = promised.at_least + sign * verdict.margin;
  const std::string figures = absl::StrFormat(
      "the rating is %.5g %s, %.3g from %s%.5g; random %.3g (%.3g standard errors), "
      "instruments %.3g and allowance %.3g are taken off",
      verdict.estimate, promised.unit, surplus, side, promised.at_least,
      verdict.coverage_factor * verdict.standard_error, verdict.coverage_factor,
      verdict.systematic, verdict.allowance);
  if (rating.footing == document::Footing::kExtrapolated ||
      rating.footing == document::Footing::kPredicted) {
    return not_shown(
        NotShownReason::kUntested,
        absl::StrCat("the rating rests on conditions that were never tested (",
                     document::FootingName(rating.footing), "); ", figures));
  }
  verdict.tested_fraction = 1;
  if (verdict.margin >= 0) {
    verdict.outcome = Outcome::kProven;
    verdict.explanation = absl::StrFormat(
        "shown with %.1f %% one-sided confidence, for surfaces of this "
        "form within the allowance: %s, which leaves %.3g",
        100 * (1 - verdict.level), figures, verdict.margin);
    return verdict;
  }
  if (surplus + taken < 0) {
    verdict.outcome = Outcome::kRefuted;
    // As for a refuted limit: what is missing with everything granted.
    verdict.margin = surplus + taken;
    verdict.bound = promised.at_least + sign * verdict.margin;
    verdict.explanation =
        absl::StrFormat("fails: %s; even with all of them granted %.3g is missing",
                        figures, -verdict.margin);
    return verdict;
  }
  return not_shown(
      NotShownReason::kUncertain,
      absl::StrCat("the interval of the rating straddles the value: ", figures));
}

}  // namespace ratebound::claim
