#include "engine/rating/largest_stage.h"

#include <span>

namespace ratebound::rating {

int LargestStage(const ConditionPlan& plan, const StageReader& reader,
                 const FigureSource& source, int point, StageRun& run, int& failed) {
  int largest = -1;
  failed = -1;
  const std::span<const double> conditions_si = plan.ValuesSi(point);
  for (int stage = 0; stage < reader.stage_count(); ++stage) {
    StageRun trial;
    if (!reader.Run(source, stage, conditions_si, trial)) {
      failed = stage;
      return -1;
    }
    if (largest >= 0 && trial.capacity_si < run.capacity_si) continue;
    largest = stage;
    run = trial;
  }
  return largest;
}

}  // namespace ratebound::rating
