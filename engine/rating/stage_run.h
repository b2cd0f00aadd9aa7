// One stage of a unit run at one set of conditions.
#ifndef RATEBOUND_ENGINE_RATING_STAGE_RUN_H_
#define RATEBOUND_ENGINE_RATING_STAGE_RUN_H_

#include <string>

#include "absl/status/statusor.h"
#include "engine/document/procedure.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/procedure_inputs.h"
#include "engine/rating/rated_unit.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

struct StageRun {
  int stage = 0;
  double capacity_w = 0;  // above 0
  double power_w = 0;     // above 0: measured and added
  // Of the added powers: what is cycled with the compressor is part of power_w alone,
  // what goes on is also here.
  double added_continuous_w = 0;
  double percent_load = 0;  // of full load; 0 while full load is not known
  double figure = 0;        // in the unit of the metric
  StageFigures figures;
  RunConditions conditions;
};

class StageRunner {
 public:
  // Refers to all three, which must outlive it.
  StageRunner(const document::Procedure& procedure, const RatedUnit& rated_unit,
              const ProcedureInputs& inputs)
      : procedure_(procedure), rated_unit_(rated_unit), inputs_(inputs) {}

  // From now on runs know their percent load.
  void SetFullLoad(double capacity_w) { full_load_w_ = capacity_w; }
  double full_load_w() const { return full_load_w_; }

  int stage_count() const { return static_cast<int>(rated_unit_.mode.stages.size()); }
  const std::string& StageId(int stage) const {
    return rated_unit_.mode.stages[stage].id;
  }

  // FAILED_PRECONDITION where the unit has no such figures there, or where they cannot be
  // a capacity and a power.
  absl::StatusOr<StageRun> Run(int stage, RunConditions conditions) const;

  // The run's efficiency over capacity, power and conditions.
  TraceNode Trace(const StageRun& run, std::string how) const;

 private:
  const document::Procedure& procedure_;
  const RatedUnit& rated_unit_;
  const ProcedureInputs& inputs_;
  double full_load_w_ = 0;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_STAGE_RUN_H_
