// The capacity and efficiency of a unit at one declared point.
//
// The stages' figures at the point's conditions are held against its load L:
//  - of a unit with more than one stage, the stage nearest to L and within the window is
//    used as it is; it meets the load, but for the largest, which gives what it has;
//  - else between two stages efficiency is a straight line over capacity at L;
//  - a smallest stage above L keeps its capacity, and its efficiency is multiplied by the
//    cycling factor where degradation is at the points;
//  - a largest stage below L gives what it has.
// Source: EN 14825, part-load efficiency of fixed, staged and variable capacity units
// (from memory), and Regulation (EU) 2016/2281 annex I, capacity ratio (published text).
#ifndef RATEBOUND_ENGINE_RATING_SEASON_DECLARED_POINTS_H_
#define RATEBOUND_ENGINE_RATING_SEASON_DECLARED_POINTS_H_

#include <cmath>
#include <span>

#include "engine/rating/season/cycling_factor.h"
#include "engine/rating/season/season_plan.h"

namespace ratebound::rating {

enum class PointRun { kInWindow, kBetween, kCycling, kShort };

struct DeclaredPoint {
  double capacity_w;
  double efficiency;  // W/W
  double degradation;
  PointRun run;
  int low;
  int high;
};

inline DeclaredPoint FindDeclaredPoint(const SeasonPlan& plan,
                                       std::span<const StagePoint> stages,
                                       double load_w) {
  const int count = static_cast<int>(stages.size());
  DeclaredPoint point{0, 0, 1, PointRun::kShort, 0, 0};
  if (count > 1) {
    int nearest = -1;
    double nearest_w = plan.window_part * load_w;
    for (int i = 0; i < count; ++i) {
      const double distance_w = std::fabs(stages[i].capacity_w - load_w);
      if (distance_w > nearest_w) continue;
      nearest = i;
      nearest_w = distance_w;
    }
    if (nearest >= 0) {
      const double capacity_w = stages[nearest].capacity_w;
      point.run = PointRun::kInWindow;
      point.high = nearest;
      point.capacity_w =
          nearest == count - 1 || capacity_w > load_w ? capacity_w : load_w;
      point.efficiency = capacity_w / stages[nearest].power_w;
      return point;
    }
  }
  int high = 0;
  while (high < count && !(load_w <= stages[high].capacity_w)) ++high;
  if (high == count || high == 0) {
    const StagePoint& stage = stages[high == 0 ? 0 : count - 1];
    point.high = high == 0 ? 0 : count - 1;
    point.run = high == 0 ? PointRun::kCycling : PointRun::kShort;
    point.capacity_w = stage.capacity_w;
    point.efficiency = stage.capacity_w / stage.power_w;
    if (high == 0 && plan.degrade_at == document::DegradeAt::kPoints && load_w > 0) {
      point.degradation = CyclingFactor(plan.degradation, load_w / stage.capacity_w);
      point.efficiency *= point.degradation;
    }
    return point;
  }
  const StagePoint& below = stages[high - 1];
  const StagePoint& above = stages[high];
  const double from = below.capacity_w / below.power_w;
  const double to = above.capacity_w / above.power_w;
  point.run = PointRun::kBetween;
  point.low = high - 1;
  point.high = high;
  point.capacity_w = load_w;
  point.efficiency = from + (to - from) / (above.capacity_w - below.capacity_w) *
                                (load_w - below.capacity_w);
  return point;
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_DECLARED_POINTS_H_
