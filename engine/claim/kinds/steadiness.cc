// A controlled quantity in a log: its mean, and its furthest reading, against the band
// promised. What is read from one log of one machine is an observation. It is OBSERVED
// where the log keeps the promise, and NOT_SHOWN (UNCERTAIN) where it does not: one log
// neither proves how other days go nor refutes it.
#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_format.h"
#include "engine/base/status_macros.h"
#include "engine/claim/kinds/decide_kind.h"
#include "engine/quantity/unit.h"

namespace ratebound::claim {

using document::NotShownReason;
using document::Outcome;
using document::Verdict;

absl::StatusOr<Verdict> DecideSteadiness(const document::Claim& claim,
                                         const ClaimInputs& inputs) {
  const document::Steadiness& promised = *claim.steadiness;
  ASSIGN_OR_RETURN(const quantity::Unit unit, quantity::FindUnit(promised.unit));
  Verdict verdict = StartVerdict(claim, inputs);
  verdict.unit = promised.unit;
  if (inputs.readings == nullptr) {
    return absl::InvalidArgumentError(
        absl::StrCat("claim ", claim.id, ": steadiness.quantity: ", promised.log,
                     " has no column of ", promised.quantity));
  }
  const document::ReadingStatistics& readings = *inputs.readings;
  if (readings.count == 0) {
    verdict.reason = NotShownReason::kUntested;
    verdict.explanation =
        absl::StrCat("no reading of ", promised.quantity, " in ", promised.log,
                     " was taken in operation and can be believed");
    return verdict;
  }
  verdict.model = absl::StrCat(readings.count, " readings of ", promised.log);
  verdict.tested_fraction = 1;
  const double off_si = readings.mean_si - promised.target_si;
  const double below_si = promised.target_si - readings.least_si;
  const double above_si = readings.greatest_si - promised.target_si;
  const bool is_above = above_si >= below_si;
  const double furthest_si = std::max(above_si, below_si);
  const auto difference = [&](double si) { return quantity::DifferenceFromSi(si, unit); };
  // In the digits of the log, as tolerances are (points/log/steady_windows.h).
  constexpr double kRounding = 1e-9;
  const auto keeps = [&](double figure_si, double limit_si) {
    return figure_si <= limit_si + kRounding * std::max(limit_si, figure_si);
  };
  const bool mean_keeps = keeps(std::fabs(off_si), promised.mean_within_si);
  const bool band_keeps = keeps(furthest_si, promised.band_si);
  verdict.estimate = quantity::FromSi(readings.mean_si, unit);
  verdict.bound =
      quantity::FromSi(is_above ? readings.greatest_si : readings.least_si, unit);
  verdict.margin = difference(std::min(promised.mean_within_si - std::fabs(off_si),
                                       promised.band_si - furthest_si));
  const std::string figures = absl::StrFormat(
      "%d readings of %s: mean %.5g %s, %.3g %s from %.5g (%.3g allowed); furthest "
      "reading "
      "%.5g in line %d, %.3g away (%.3g allowed)",
      readings.count, promised.quantity, verdict.estimate, promised.unit,
      difference(std::fabs(off_si)), promised.unit, promised.target, promised.mean_within,
      verdict.bound, is_above ? readings.greatest_line : readings.least_line,
      difference(furthest_si), promised.band);
  if (mean_keeps && band_keeps) {
    verdict.outcome = Outcome::kObserved;
    verdict.explanation = absl::StrCat(figures, "; read from this log, and not proven");
    return verdict;
  }
  verdict.reason = NotShownReason::kUncertain;
  verdict.explanation =
      absl::StrCat("this log does not show it, as ",
                   mean_keeps   ? "readings leave the band"
                   : band_keeps ? "the mean is off"
                                : "the mean is off and readings leave the band",
                   ": ", figures);
  return verdict;
}

}  // namespace ratebound::claim
