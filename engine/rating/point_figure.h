// What a load point comes to, with all the runs it rests on.
#ifndef RATEBOUND_ENGINE_RATING_POINT_FIGURE_H_
#define RATEBOUND_ENGINE_RATING_POINT_FIGURE_H_

#include <string>

#include "engine/document/measure.h"
#include "engine/rating/stage_run.h"
#include "engine/rating/trace_node.h"

namespace ratebound::rating {

struct PointFigure {
  double figure = 0;  // in the unit of the metric
  document::Footing footing = document::Footing::kUnspecified;
  std::string footing_reason;  // of the run with the weakest footing
  TraceNode trace;             // labelled by the caller

  // Counts a run in.
  void RestsOn(const StageRun& run) {
    const document::Footing weaker = document::Weaker(footing, run.figures.footing);
    if (weaker != footing) footing_reason = run.figures.footing_reason;
    footing = weaker;
  }
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_POINT_FIGURE_H_
