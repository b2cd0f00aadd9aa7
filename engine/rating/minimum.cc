#include "engine/rating/minimum.h"

#include <algorithm>
#include <set>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/iso_date.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"

namespace ratebound::rating {
namespace {

using document::MinimumLevel;
using document::MinimumOutcome;
using document::MinimumVerdict;

template <typename T>
bool Contains(const std::vector<T>& values, const T& value) {
  return std::find(values.begin(), values.end(), value) != values.end();
}

absl::StatusOr<double> WattsOf(const document::CitedValue& value) {
  ASSIGN_OR_RETURN(const quantity::Unit unit,
                   quantity::FindUnit(value.unit, quantity::Dimension::kPower));
  return quantity::ToSi(value.value, unit);
}

// Class, capacity and phases; the day and the keys are looked at apart.
absl::StatusOr<bool> IsOf(const MinimumLevel& level, const document::Unit& unit) {
  if (!Contains(level.equipment_classes, unit.equipment_class)) return false;
  if (!level.phase_counts.empty() && !Contains(level.phase_counts, unit.phase_count)) {
    return false;
  }
  const double capacity_w = unit.nominal_capacity.value_si;
  if (level.capacity_low) {
    ASSIGN_OR_RETURN(const double low_w, WattsOf(*level.capacity_low));
    if (capacity_w < low_w) return false;
  }
  if (level.capacity_high) {
    ASSIGN_OR_RETURN(const double high_w, WattsOf(*level.capacity_high));
    if (capacity_w >= high_w) return false;
  }
  return true;
}

bool HoldsOn(const MinimumLevel& level, const std::string& day) {
  return level.valid_from <= day &&
         (level.valid_until.empty() || day < level.valid_until);
}

// Whether no key that was given says otherwise.
bool KeysAllow(const MinimumLevel& level, const MinimumQuestion& question) {
  for (const document::MinimumKey& of_level : level.keys) {
    for (const document::MinimumKey& given : question.keys) {
      if (given.name == of_level.name && given.value != of_level.value) return false;
    }
  }
  return true;
}

// "heating_section (electric_or_none or other)" of the keys that were not given.
std::string OpenKeys(const std::vector<const MinimumLevel*>& levels,
                     const MinimumQuestion& question) {
  std::vector<std::pair<std::string, std::set<std::string>>> open;
  for (const MinimumLevel* level : levels) {
    for (const document::MinimumKey& key : level->keys) {
      const bool given = std::any_of(
          question.keys.begin(), question.keys.end(),
          [&](const document::MinimumKey& other) { return other.name == key.name; });
      if (given) continue;
      auto found = std::find_if(open.begin(), open.end(), [&](const auto& entry) {
        return entry.first == key.name;
      });
      if (found == open.end()) found = open.insert(open.end(), {key.name, {}});
      found->second.insert(key.value);
    }
  }
  std::vector<std::string> texts;
  for (const auto& [name, values] : open) {
    texts.push_back(absl::StrCat(name, " (", absl::StrJoin(values, " or "), ")"));
  }
  return absl::StrJoin(texts, ", ");
}

bool Meets(const MinimumLevel& level, double metric) {
  return level.at_most ? metric <= *level.value : metric >= *level.value;
}

std::string Since(const MinimumLevel& level) {
  return absl::StrCat(
      "since ", level.valid_from,
      level.valid_until.empty() ? "" : absl::StrCat(" and until ", level.valid_until));
}

void TakeFrom(const MinimumLevel& level, MinimumVerdict& verdict) {
  verdict.level = level.value;
  verdict.valid_from = level.valid_from;
  verdict.valid_until = level.valid_until;
  verdict.clause = level.citation.source;
  verdict.basis = level.citation.basis;
}

}  // namespace

absl::StatusOr<std::optional<MinimumVerdict>> JudgeMinimum(
    const document::MinimumLevels& levels, const document::Procedure& procedure,
    const document::Unit& unit, const MinimumQuestion& question,
    std::optional<double> metric) {
  if (!base::IsIsoDate(question.day)) {
    return absl::InvalidArgumentError(absl::StrCat(
        "'", base::Printable(question.day), "' is no day; write it as 2026-03-31"));
  }
  bool has_family = false;
  std::vector<const MinimumLevel*> of_unit;
  std::vector<const MinimumLevel*> remaining;
  for (const MinimumLevel& level : levels.levels) {
    if (!Contains(level.procedure_families, procedure.Family()) &&
        !Contains(level.procedure_families, procedure.id)) {
      continue;
    }
    has_family = true;
    ASSIGN_OR_RETURN(const bool is_of_unit, IsOf(level, unit));
    if (!is_of_unit || !KeysAllow(level, question)) continue;
    of_unit.push_back(&level);
    if (HoldsOn(level, question.day)) remaining.push_back(&level);
  }
  if (!has_family) return std::nullopt;

  MinimumVerdict verdict{.minimum_levels = levels.id, .day = question.day};
  const auto not_known = [&](std::string reason) {
    verdict.outcome = MinimumOutcome::kNotKnown;
    verdict.reason = std::move(reason);
    return std::optional<MinimumVerdict>(verdict);
  };
  if (remaining.empty()) {
    return not_known(absl::StrCat(
        levels.document, " ", levels.edition,
        of_unit.empty()
            ? " has no level for such a unit here"
            : absl::StrCat(" has no level for such a unit on ", question.day, " here")));
  }
  TakeFrom(*remaining.front(), verdict);
  for (const MinimumLevel* level : remaining) {
    if (level->value) continue;
    TakeFrom(*level, verdict);
    return not_known(
        absl::StrCat("the level ", Since(*level), " is not known: ", level->not_known));
  }
  for (const MinimumLevel* level : remaining) {
    if (level->metric_unit == procedure.metric_unit) continue;
    return not_known(absl::StrCat("the level is in ", level->metric_unit,
                                  " and the metric in ", procedure.metric_unit));
  }
  if (!metric) return not_known("the metric has no value");
  const auto met =
      std::count_if(remaining.begin(), remaining.end(),
                    [&](const MinimumLevel* level) { return Meets(*level, *metric); });
  const bool all = met == static_cast<long>(remaining.size());
  if (met > 0 && !all) {
    std::vector<std::string> values;
    for (const MinimumLevel* level : remaining) {
      values.push_back(base::ShortestText(*level->value));
    }
    verdict.level.reset();
    const std::string open = OpenKeys(remaining, question);
    return not_known(absl::StrCat(
        "several levels hold, ", absl::StrJoin(values, " and "),
        ", and the metric meets only some of them",
        open.empty() ? "" : absl::StrCat("; which one it is depends on ", open)));
  }
  // The level that is hardest to meet, or, where none is met, the easiest.
  const auto harder = [](const MinimumLevel* a, const MinimumLevel* b) {
    return a->at_most ? *a->value < *b->value : *a->value > *b->value;
  };
  const MinimumLevel& told = **std::max_element(
      remaining.begin(), remaining.end(),
      [&](const auto* a, const auto* b) { return all ? harder(b, a) : harder(a, b); });
  TakeFrom(told, verdict);
  verdict.outcome = all ? MinimumOutcome::kMeets : MinimumOutcome::kDoesNotMeet;
  verdict.reason = absl::StrCat(
      procedure.metric, " of ", base::ShortestText(*metric), " ", procedure.metric_unit,
      " ", document::MinimumOutcomeName(verdict.outcome), " ",
      base::ShortestText(*told.value), ", the level ", Since(told));
  return std::optional<MinimumVerdict>(std::move(verdict));
}

}  // namespace ratebound::rating
