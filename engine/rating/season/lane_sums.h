// Sums of a season in four lanes by the number of the bin, so that their order is fixed
// and yet four can be added at once.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_LANE_SUMS_H_
#define RATEBOUND_ENGINE_RATING_SEASON_LANE_SUMS_H_

#include "engine/rating/season/evaluate_season.h"

namespace ratebound::rating {

inline constexpr int kSumLanes = 4;

struct LaneSums {
  double counted[kSumLanes] = {};
  double used[kSumLanes] = {};
  double unit_counted[kSumLanes] = {};
  double unit_used[kSumLanes] = {};

  void Add(int bin, double counts, double uses, double unit_counts, double unit_uses) {
    const int lane = bin % kSumLanes;
    counted[lane] += counts;
    used[lane] += uses;
    unit_counted[lane] += unit_counts;
    unit_used[lane] += unit_uses;
  }

  SeasonSums Total(double design_load_w) const {
    return {design_load_w, Sum(counted), Sum(used), Sum(unit_counted), Sum(unit_used)};
  }

 private:
  static double Sum(const double* lanes) {
    return (lanes[0] + lanes[1]) + (lanes[2] + lanes[3]);
  }
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_LANE_SUMS_H_
