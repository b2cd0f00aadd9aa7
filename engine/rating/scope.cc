#include "engine/rating/scope.h"

#include <algorithm>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/iso_date.h"
#include "engine/base/text.h"
#include "engine/rating/units.h"

namespace ratebound::rating {
namespace {

using document::CitedValue;
using document::ModeKind;

std::string PhaseName(int count) {
  if (count == 1) return "single-phase";
  if (count == 3) return "three-phase";
  return absl::StrCat(count, "-phase");
}

std::string ModeName(ModeKind kind) {
  return kind == ModeKind::kHeating ? "heating" : "cooling";
}

std::string Text(const CitedValue& value) {
  return absl::StrCat(base::ShortestText(value.value), " ", value.unit);
}

// "IEER (AHRI 340/360 2022) applies to cooling of unitary_air_cooled, three-phase, from
// 65000 Btu/h to below 760000 Btu/h".
std::string ScopeText(const document::Procedure& procedure) {
  const document::Scope& scope = procedure.scope;
  std::string text =
      absl::StrCat(procedure.metric, " (", procedure.document, " ", procedure.edition,
                   ") applies to ", ModeName(procedure.mode_kind), " of ",
                   absl::StrJoin(scope.equipment_classes, " or "));
  std::vector<std::string> phases;
  for (int count : scope.phase_counts) phases.push_back(PhaseName(count));
  if (!phases.empty()) absl::StrAppend(&text, ", ", absl::StrJoin(phases, " or "));
  if (scope.capacity_low) absl::StrAppend(&text, ", from ", Text(*scope.capacity_low));
  if (scope.capacity_high) {
    absl::StrAppend(&text, scope.capacity_low ? " to below " : ", below ",
                    Text(*scope.capacity_high));
  }
  return text;
}

template <typename T>
bool Contains(const std::vector<T>& values, const T& value) {
  return std::find(values.begin(), values.end(), value) != values.end();
}

// In what the unit's own nominal capacity is stated in: heat, or water taken out of the
// air. A unit that states the other kind cannot be told to be inside.
bool CapacityInScope(const document::Scope& scope, const document::Measure& nominal) {
  const auto limit_si = [&](const CitedValue& limit) {
    return ToSi(nominal.quantity, limit.value, limit.unit);
  };
  if (scope.capacity_low) {
    const absl::StatusOr<double> low_si = limit_si(*scope.capacity_low);
    if (!low_si.ok() || nominal.value_si < *low_si) return false;
  }
  if (scope.capacity_high) {
    const absl::StatusOr<double> high_si = limit_si(*scope.capacity_high);
    if (!high_si.ok() || nominal.value_si >= *high_si) return false;
  }
  return true;
}

}  // namespace

absl::Status CheckScope(const document::Procedure& procedure,
                        const SourceDescription& description) {
  const document::Scope& scope = procedure.scope;
  const document::Unit& unit = description.unit;
  const bool capacity_fits = CapacityInScope(scope, unit.nominal_capacity);
  const bool class_fits = Contains(scope.equipment_classes, unit.equipment_class);
  const bool phases_fit =
      scope.phase_counts.empty() || Contains(scope.phase_counts, unit.phase_count);
  const bool mode_fits = description.mode.kind == procedure.mode_kind;
  if (capacity_fits && class_fits && phases_fit && mode_fits) return absl::OkStatus();
  return absl::FailedPreconditionError(absl::StrCat(
      ScopeText(procedure), "; unit ", unit.id, " is ", unit.equipment_class, ", ",
      PhaseName(unit.phase_count), ", of nominal ",
      base::ShortestText(unit.nominal_capacity.value), " ", unit.nominal_capacity.unit,
      mode_fits ? ""
                : absl::StrCat(", in its ", ModeName(description.mode.kind), " mode ",
                               description.mode.id)));
}

absl::Status CheckDay(const document::Procedure& procedure, const std::string& day) {
  if (!base::IsIsoDate(day)) {
    return absl::InvalidArgumentError(
        absl::StrCat("'", base::Printable(day), "' is no day; write it as 2026-03-31"));
  }
  const document::Scope& scope = procedure.scope;
  const bool too_early = !scope.valid_from.empty() && day < scope.valid_from;
  const bool too_late = !scope.valid_until.empty() && day >= scope.valid_until;
  if (!too_early && !too_late) return absl::OkStatus();
  return absl::FailedPreconditionError(absl::StrCat(
      procedure.metric, " (", procedure.document, " ", procedure.edition, ") holds ",
      too_early ? absl::StrCat("from ", scope.valid_from)
                : absl::StrCat("until ", scope.valid_until, ", that day not included"),
      "; the rating is asked for ", day));
}

}  // namespace ratebound::rating
