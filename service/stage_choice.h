// Which stages of which release a question is about, and where their conditions stand in
// it.
//
// Example:
//   ASSIGN_OR_RETURN(StageChoice choice, ChooseStages(library, request.map(),
//   OneStage::kNo)); ASSIGN_OR_RETURN(ConditionPlan plan, PlanConditions(choice, named));
//
// A stage may have one map for each regime (wet and dry coil). Each answers in its own
// tested region; at a condition the map with the strongest footing answers, the first of
// equals.
//
// Errors: NOT_FOUND for a release, unit, mode or stage that is not there, with the
// nearest name; INVALID_ARGUMENT for conditions missing, unknown, doubled or in a wrong
// unit, all named at once. Thread-safety: pure functions beside the library.
#ifndef RATEBOUND_SERVICE_STAGE_CHOICE_H_
#define RATEBOUND_SERVICE_STAGE_CHOICE_H_

#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/document/measure.h"
#include "engine/map/stage_model.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"
#include "ratebound/v1/query_service.pb.h"
#include "service/release_library.h"

namespace ratebound::service {

// The maps of one stage, one for each regime.
struct ChosenStage {
  std::string id;
  std::vector<const map::StageModel*> maps;
};

struct StageChoice {
  std::shared_ptr<const OpenRelease> release;  // keeps the pointers below alive
  const document::Unit* unit = nullptr;
  const document::Mode* mode = nullptr;
  std::vector<ChosenStage> stages;
};

enum class OneStage { kNo, kYes };

absl::StatusOr<StageChoice> ChooseStages(ReleaseLibrary& library,
                                         const v1::MapSelector& selector,
                                         OneStage one_stage);

// A condition as the caller names it.
struct NamedCondition {
  std::string quantity;
  std::string unit;
  std::string field;  // where it stands in the request, for messages
};

// The caller's conditions, understood. `units` and `quantities` are in the caller's
// order.
struct ConditionPlan {
  std::vector<const quantity::Quantity*> quantities;
  std::vector<quantity::Unit> units;
};

absl::StatusOr<ConditionPlan> PlanConditions(
    const StageChoice& choice, const std::vector<NamedCondition>& conditions);

// One map of a stage and where it finds its conditions among the caller's. Rows hold the
// caller's values, SI, in the caller's order.
class MapReader {
 public:
  // The model must outlive the reader.
  MapReader(const map::StageModel& model, const ConditionPlan& plan);

  absl::StatusOr<map::Estimate> Evaluate(std::string_view quantity,
                                         std::span<const double> row_si) const;
  absl::StatusOr<map::FootingAnswer> Footing(std::span<const double> row_si) const;
  // The same for many rows, given as the caller's columns; faster where nothing held is
  // given.
  absl::Status EvaluateColumns(std::string_view quantity,
                               const std::vector<std::vector<double>>& columns_si,
                               std::span<double> values_si) const;
  absl::Status FootingColumns(const std::vector<std::vector<double>>& columns_si,
                              std::span<document::Footing> footings) const;
  const map::StageModel& model() const { return model_; }

 private:
  std::vector<double> ConditionsOf(std::span<const double> row_si) const;
  std::vector<std::span<const double>> ConditionColumns(
      const std::vector<std::vector<double>>& columns_si) const;

  const map::StageModel& model_;
  std::vector<int> places_;  // of the map's conditions among the caller's
  std::vector<int> held_places_;
  std::vector<std::string> held_names_;
  map::StageModel::UnitsByQuantity units_;  // the caller's
};

}  // namespace ratebound::service

#endif  // RATEBOUND_SERVICE_STAGE_CHOICE_H_
