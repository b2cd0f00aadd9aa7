// How a metric stands to the minimum levels that a regulation sets on a day.
//
// Example:
//   document::MinimumVerdict verdict = JudgeMinimum(
//       levels, procedure, unit, {.day = "2026-03-31",
//                                 .keys = {{"heating_section", "electric_or_none"}}},
//       rating.value);
//   verdict.reason;    // "IEER of 15.1 Btu/Wh meets 14.8, the level since 2023-01-01"
//
// A level is of the procedure's family, the unit's class, nominal capacity and phases,
// and of the day; and of the keys that it names (the kind of heating section, say), which
// only the caller knows. The outcome is not known where
//  - no level is of all that, or the level that is has `not_known`;
//  - the metric has no value;
//  - several levels remain and the metric meets some of them alone: the reason names the
//    keys to give. Where it meets all of them, or none, that is the answer.
// The metric is compared as it is, not rounded: a level is met by a computed value at or
// beyond it. Nothing here is a statement of compliance; that takes certified ratings.
//
// No clock: the day is the caller's. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_RATING_MINIMUM_H_
#define RATEBOUND_ENGINE_RATING_MINIMUM_H_

#include <optional>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/line.h"
#include "engine/document/minimum.h"
#include "engine/document/procedure.h"

namespace ratebound::rating {

struct MinimumQuestion {
  std::string day;  // as 2026-03-31
  std::vector<document::MinimumKey> keys = {};
};

// Nothing where no level of the document is of the procedure's family: it has nothing to
// say. INVALID_ARGUMENT for a day that is none, or a capacity whose unit is unknown.
absl::StatusOr<std::optional<document::MinimumVerdict>> JudgeMinimum(
    const document::MinimumLevels& levels, const document::Procedure& procedure,
    const document::Unit& unit, const MinimumQuestion& question,
    std::optional<double> metric);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_MINIMUM_H_
