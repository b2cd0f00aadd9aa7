// How stages meet the load of one bin.
//
// Stages stand from the smallest to the largest. The first whose capacity reaches the
// load L decides, with X = L / Q:
//   the smallest that may run: it cycles, power = X E / cycling factor;
//   any other, with capacities Q1 < L <= Q2:
//     alternate: power = x E1 + (1 - x) E2 with x = (Q2 - L) / (Q2 - Q1);
//     efficiency over load: L / (e1 + (e2 - e1) (L - Q1) / (Q2 - Q1));
//     efficiency over temperature: L / (e1 + (e2 - e1) (T - t1) / (t2 - t1)), with t the
//       temperatures at which each stage is in balance with the load and e its efficiency
//       there;
//   none: the largest runs all the time.
// Sources: 10 CFR 430 Subpart B App. M1 4.1.2 to 4.1.4 and 4.2.2 to 4.2.4, ISO 16358-1
// clause 6 (both from memory).
#ifndef RATEBOUND_ENGINE_RATING_SEASON_STAGE_MIX_H_
#define RATEBOUND_ENGINE_RATING_SEASON_STAGE_MIX_H_

#include <span>

#include "engine/rating/season/cycling_factor.h"
#include "engine/rating/season/evaluate_season.h"
#include "engine/rating/season/season_plan.h"

namespace ratebound::rating {

// A stage in balance with the load.
struct BalancePoint {
  double temperature;
  double efficiency;
};

// Fills capacity_w, power_w, degradation and what ran; `bin.load_w` and temperature are
// there, and the load is above 0. `balances` are asked for over temperature only.
inline void MixStages(const SeasonPlan& plan, std::span<const StagePoint> stages,
                      int lowest, std::span<const BalancePoint> balances,
                      BinResult& bin) {
  const double load_w = bin.load_w;
  const int count = static_cast<int>(stages.size());
  int high = lowest;
  while (high < count && !(load_w <= stages[high].capacity_w)) ++high;
  if (high == count) {
    bin.run = BinRun::kFull;
    bin.high = count - 1;
    bin.capacity_w = stages[count - 1].capacity_w;
    bin.power_w = stages[count - 1].power_w;
    return;
  }
  bin.high = high;
  bin.capacity_w = load_w;
  const StagePoint& above = stages[high];
  if (high == lowest) {
    const double load_ratio = load_w / above.capacity_w;
    bin.run = BinRun::kCycling;
    bin.degradation = CyclingFactor(
        lowest > 0 ? plan.highest_stage_degradation : plan.degradation, load_ratio);
    bin.power_w = load_ratio * above.power_w / bin.degradation;
    return;
  }
  const StagePoint& below = stages[high - 1];
  bin.run = BinRun::kBetween;
  bin.low = high - 1;
  const double span_w = above.capacity_w - below.capacity_w;
  bin.part = (load_w - below.capacity_w) / span_w;
  switch (plan.between) {
    case document::BetweenStages::kAlternate: {
      const double low_part = (above.capacity_w - load_w) / span_w;
      bin.power_w = low_part * below.power_w + (1 - low_part) * above.power_w;
      return;
    }
    case document::BetweenStages::kEfficiencyOverLoad: {
      const double from = below.capacity_w / below.power_w;
      const double to = above.capacity_w / above.power_w;
      bin.power_w = load_w / (from + (to - from) / span_w * (load_w - below.capacity_w));
      return;
    }
    case document::BetweenStages::kEfficiencyOverTemperature: {
      const BalancePoint& from = balances[high - 1];
      const BalancePoint& to = balances[high];
      const double efficiency =
          from.efficiency + (to.efficiency - from.efficiency) /
                                (to.temperature - from.temperature) *
                                (bin.temperature - from.temperature);
      bin.power_w = load_w / efficiency;
      return;
    }
  }
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_STAGE_MIX_H_
