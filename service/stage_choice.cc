#include "service/stage_choice.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/nearest_name.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "service/status.h"

namespace ratebound::service {
namespace {

template <typename Item>
std::vector<std::string> IdsOf(const std::vector<Item>& items) {
  std::vector<std::string> ids;
  for (const Item& item : items) ids.push_back(item.id);
  return ids;
}

absl::Status NotThere(std::string_view kind, std::string_view id, std::string_view where,
                      const std::vector<std::string>& known) {
  std::string nearest = base::DidYouMean(id, known);
  if (nearest.empty()) {
    nearest = known.empty() ? "; it has none" : "; it has " + absl::StrJoin(known, ", ");
  }
  return WithReason(
      absl::NotFoundError(absl::StrCat(base::Absl(where), " has no ", base::Absl(kind),
                                       " '", base::Printable(id), "'", nearest)),
      "NOT_IN_RELEASE");
}

absl::Status FieldFault(std::string field, std::string message, std::string remedy) {
  base::FaultList faults;
  faults.Add({.field = std::move(field),
              .message = std::move(message),
              .remedy = std::move(remedy)});
  return faults.ToStatus();
}

template <typename Item>
const Item* FindById(const std::vector<Item>& items, std::string_view id) {
  for (const Item& item : items) {
    if (item.id == id) return &item;
  }
  return nullptr;
}

// The item of that id, or the only one where the id is empty.
template <typename Item>
absl::StatusOr<const Item*> FindOrOnly(const std::vector<Item>& items,
                                       const std::string& id, const std::string& kind,
                                       const std::string& where) {
  if (!id.empty()) {
    const Item* item = FindById(items, id);
    if (item == nullptr) return NotThere(kind, id, where, IdsOf(items));
    return item;
  }
  if (items.size() == 1) return &items.front();
  return FieldFault("map." + kind,
                    absl::StrCat(where, " has ", items.size(), " ", kind, "s"),
                    items.empty() ? "ask another unit"
                                  : "name one of " + absl::StrJoin(IdsOf(items), ", "));
}

absl::StatusOr<ChosenStage> OpenMapsOf(const StageChoice& choice,
                                       const std::string& stage) {
  ChosenStage chosen{.id = stage};
  for (const map::StageModel& model : choice.release->stages) {
    const document::StageMap& map = model.map();
    if (map.unit == choice.unit->id && map.mode == choice.mode->id &&
        map.stage == stage) {
      chosen.maps.push_back(&model);
    }
  }
  if (chosen.maps.empty()) {
    return WithReason(
        absl::NotFoundError(absl::StrCat("stage '", stage, "' of unit '", choice.unit->id,
                                         "' has no map in "
                                         "release ",
                                         choice.release->digest.substr(0, 12),
                                         "; it has no accepted points")),
        "NO_MAP");
  }
  return chosen;
}

bool Contains(const std::vector<std::string>& names, const std::string& name) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

std::vector<std::string> HeldNames(const document::Mode& mode) {
  std::vector<std::string> names;
  for (const document::HeldCondition& held : mode.held_conditions) {
    names.push_back(held.quantity);
  }
  return names;
}

}  // namespace

absl::StatusOr<StageChoice> ChooseStages(ReleaseLibrary& library,
                                         const v1::MapSelector& selector,
                                         OneStage one_stage) {
  if (selector.unit().empty()) {
    return FieldFault("map.unit", "is empty", "name the unit to ask");
  }
  StageChoice choice;
  ASSIGN_OR_RETURN(choice.release, library.OpenUnit(selector.release(), selector.unit()));
  const std::vector<document::Unit>& units = choice.release->release.manifest.units;
  choice.unit = FindById(units, selector.unit());
  if (choice.unit == nullptr) {
    return NotThere("unit", selector.unit(),
                    "release " + choice.release->digest.substr(0, 12), IdsOf(units));
  }
  const std::string unit_name = "unit '" + choice.unit->id + "'";
  ASSIGN_OR_RETURN(choice.mode,
                   FindOrOnly(choice.unit->modes, selector.mode(), "mode", unit_name));
  const std::string mode_name =
      absl::StrCat("mode '", choice.mode->id, "' of ", unit_name);
  if (one_stage == OneStage::kYes || !selector.stage().empty()) {
    ASSIGN_OR_RETURN(
        const document::Stage* stage,
        FindOrOnly(choice.mode->stages, selector.stage(), "stage", mode_name));
    ASSIGN_OR_RETURN(choice.stages.emplace_back(), OpenMapsOf(choice, stage->id));
    return choice;
  }
  absl::Status last = NotThere("stage", "", mode_name, IdsOf(choice.mode->stages));
  for (const document::Stage& stage : choice.mode->stages) {
    absl::StatusOr<ChosenStage> chosen = OpenMapsOf(choice, stage.id);
    if (chosen.ok()) {
      choice.stages.push_back(*std::move(chosen));
    } else {
      last = chosen.status();
    }
  }
  if (choice.stages.empty()) return last;
  return choice;
}

absl::StatusOr<ConditionPlan> PlanConditions(
    const StageChoice& choice, const std::vector<NamedCondition>& conditions) {
  base::FaultList faults;
  ConditionPlan plan;
  std::vector<std::string> given;
  const std::vector<std::string> held = HeldNames(*choice.mode);
  std::vector<std::string> known = choice.mode->conditions;
  known.insert(known.end(), held.begin(), held.end());
  for (const NamedCondition& condition : conditions) {
    if (!Contains(known, condition.quantity)) {
      faults.Add(
          {.field = condition.field,
           .message = absl::StrCat("'", base::Printable(condition.quantity),
                                   "' is no condition of mode '", choice.mode->id, "'",
                                   base::DidYouMean(condition.quantity, known)),
           .remedy = "its conditions are " + absl::StrJoin(known, ", ")});
      continue;
    }
    if (Contains(given, condition.quantity)) {
      faults.Add({.field = condition.field,
                  .message = condition.quantity + " is given twice",
                  .remedy = "give it once"});
      continue;
    }
    given.push_back(condition.quantity);
    ASSIGN_OR_RETURN(const quantity::Quantity* quantity,
                     quantity::FindQuantity(condition.quantity));
    const absl::StatusOr<quantity::Unit> unit =
        quantity::FindUnit(condition.unit, quantity->dimension);
    if (!unit.ok()) {
      faults.Add(
          {.field = condition.field, .message = std::string(unit.status().message())});
      continue;
    }
    plan.quantities.push_back(quantity);
    plan.units.push_back(*unit);
  }
  for (const std::string& name : choice.mode->conditions) {
    if (Contains(given, name)) continue;
    faults.Add({.field = "conditions",
                .message = absl::StrCat("'", name, "' is missing"),
                .remedy = "give every condition of the mode: " +
                          absl::StrJoin(choice.mode->conditions, ", ")});
  }
  RETURN_IF_ERROR(faults.ToStatus());
  return plan;
}

MapReader::MapReader(const map::StageModel& model, const ConditionPlan& plan)
    : model_(model) {
  const auto place_of = [&plan](const std::string& name) {
    for (size_t i = 0; i < plan.quantities.size(); ++i) {
      if (plan.quantities[i]->name == name) return static_cast<int>(i);
    }
    return -1;
  };
  for (size_t i = 0; i < plan.quantities.size(); ++i) {
    units_.emplace(plan.quantities[i]->name, plan.units[i]);
  }
  for (const std::string& name : model.map().conditions)
    places_.push_back(place_of(name));
  for (const std::string& name : model.map().held_conditions) {
    const int place = place_of(name);
    if (place < 0) continue;
    held_places_.push_back(place);
    held_names_.push_back(name);
  }
}

std::vector<double> MapReader::ConditionsOf(std::span<const double> row_si) const {
  std::vector<double> conditions_si;
  conditions_si.reserve(places_.size());
  for (int place : places_) conditions_si.push_back(row_si[place]);
  return conditions_si;
}

std::vector<std::span<const double>> MapReader::ConditionColumns(
    const std::vector<std::vector<double>>& columns_si) const {
  std::vector<std::span<const double>> columns;
  for (int place : places_) columns.emplace_back(columns_si[place]);
  return columns;
}

absl::StatusOr<map::Estimate> MapReader::Evaluate(std::string_view quantity,
                                                  std::span<const double> row_si) const {
  return model_.Evaluate(quantity, ConditionsOf(row_si));
}

absl::StatusOr<map::FootingAnswer> MapReader::Footing(
    std::span<const double> row_si) const {
  std::vector<document::SiValue> held_si;
  for (size_t i = 0; i < held_places_.size(); ++i) {
    held_si.push_back({.quantity = held_names_[i], .value_si = row_si[held_places_[i]]});
  }
  return model_.Footing(ConditionsOf(row_si), held_si, units_);
}

absl::Status MapReader::EvaluateColumns(
    std::string_view quantity, const std::vector<std::vector<double>>& columns_si,
    std::span<double> values_si) const {
  return model_.EvaluateColumns(quantity, ConditionColumns(columns_si), values_si);
}

absl::Status MapReader::FootingColumns(const std::vector<std::vector<double>>& columns_si,
                                       std::span<document::Footing> footings) const {
  if (held_places_.empty()) {
    return model_.FootingColumns(ConditionColumns(columns_si), footings);
  }
  std::vector<double> row_si(columns_si.size());
  for (size_t i = 0; i < footings.size(); ++i) {
    for (size_t c = 0; c < columns_si.size(); ++c) row_si[c] = columns_si[c][i];
    ASSIGN_OR_RETURN(const map::FootingAnswer answer, Footing(row_si));
    footings[i] = answer.footing;
  }
  return absl::OkStatus();
}

}  // namespace ratebound::service
