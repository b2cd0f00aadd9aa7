#include "engine/rating/map_rated_unit.h"

#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::rating {
namespace {

using document::Mode;
using map::FootingAnswer;
using map::StageModel;

const Mode& ModeOf(const document::Unit& unit, document::ModeKind kind) {
  for (const Mode& mode : unit.modes) {
    if (mode.kind == kind) return mode;
  }
  return unit.modes.front();
}

// The conditions in the order of the map, which holds the same ones.
absl::StatusOr<std::vector<double>> InOrderOf(const StageModel& model,
                                              std::span<const QuantityValue> conditions) {
  std::vector<double> values_si;
  for (const std::string& name : model.map().conditions) {
    for (const QuantityValue& condition : conditions) {
      if (condition.quantity == name) values_si.push_back(condition.value_si);
    }
  }
  if (values_si.size() == model.map().conditions.size()) return values_si;
  return absl::InvalidArgumentError("the map's conditions are not those of its mode");
}

struct Answer {
  const StageModel* model = nullptr;
  std::vector<double> conditions_si;
  FootingAnswer footing;
};

// The map with the best footing; an error where two are equally good.
absl::StatusOr<Answer> BestFounded(const std::vector<const StageModel*>& models,
                                   std::span<const QuantityValue> conditions) {
  if (models.empty()) return absl::FailedPreconditionError("it has no map");
  Answer best;
  const StageModel* equal = nullptr;
  for (const StageModel* model : models) {
    Answer answer{.model = model};
    ASSIGN_OR_RETURN(answer.conditions_si, InOrderOf(*model, conditions));
    ASSIGN_OR_RETURN(answer.footing, model->Footing(answer.conditions_si));
    const bool better =
        best.model == nullptr || answer.footing.footing < best.footing.footing;
    if (better) {
      best = std::move(answer);
      equal = nullptr;
    } else if (answer.footing.footing == best.footing.footing) {
      equal = model;
    }
  }
  if (equal == nullptr) return best;
  return absl::FailedPreconditionError(absl::StrCat(
      "regimes ", best.model->map().regime, " and ", equal->map().regime,
      " are equally well founded there (", document::FootingName(best.footing.footing),
      "), and it cannot be told which one the unit would run in"));
}

}  // namespace

absl::StatusOr<RatedUnit> MapRatedUnit(const document::Unit& unit,
                                       std::span<const StageModel> models,
                                       document::ModeKind kind) {
  if (unit.modes.empty()) {
    return absl::InvalidArgumentError(absl::StrCat("unit ", unit.id, " has no modes"));
  }
  RatedUnit rated{.unit = unit, .mode = ModeOf(unit, kind)};
  std::vector<std::vector<const StageModel*>> by_stage(rated.mode.stages.size());
  for (const StageModel& model : models) {
    if (model.map().unit != unit.id || model.map().mode != rated.mode.id) continue;
    for (size_t i = 0; i < by_stage.size(); ++i) {
      if (model.map().stage == rated.mode.stages[i].id) by_stage[i].push_back(&model);
    }
  }
  std::vector<std::string> quantities = {rated.mode.capacity_quantity,
                                         rated.mode.power_quantity};
  quantities.insert(quantities.end(), rated.mode.other_responses.begin(),
                    rated.mode.other_responses.end());

  rated.evaluate =
      [by_stage = std::move(by_stage), quantities = std::move(quantities)](
          int stage,
          std::span<const QuantityValue> conditions) -> absl::StatusOr<StageFigures> {
    ASSIGN_OR_RETURN(const Answer answer, BestFounded(by_stage[stage], conditions));
    StageFigures figures{.footing = answer.footing.footing,
                         .footing_reason = answer.footing.reason};
    for (const std::string& quantity : quantities) {
      if (!answer.model->Has(quantity)) continue;
      ASSIGN_OR_RETURN(const map::Estimate estimate,
                       answer.model->Evaluate(quantity, answer.conditions_si));
      figures.quantities.push_back({quantity, estimate.value_si});
    }
    return figures;
  };
  return rated;
}

}  // namespace ratebound::rating
