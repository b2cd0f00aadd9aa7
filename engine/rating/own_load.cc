#include "engine/rating/own_load.h"

#include <array>
#include <cmath>
#include <limits>
#include <span>

namespace ratebound::rating {
namespace {

// Secants reach kBalancePercent in a few steps where the load is nearly a straight line
// over its conditions; from then on every other step halves, which ends in any case.
constexpr int kSecantsFirst = 8;
constexpr int kMostSteps = 200;

}  // namespace

Balance FindOwnLoad(const ConditionPlan& plan, const StageReader& reader,
                    const FigureSource& source, int point, int stage, double full_load_si,
                    StageRun& run, double& percent) {
  std::array<double, kMostModeConditions> room;
  const std::span<double> conditions_si =
      std::span(room).first(plan.ValuesSi(point).size());
  // The stage's percent of full load less the percent that its conditions are set for.
  const auto surplus = [&](double at_percent) {
    plan.ValuesAtLoadSi(point, at_percent, conditions_si);
    if (!reader.Run(source, stage, conditions_si, run)) {
      return std::numeric_limits<double>::quiet_NaN();
    }
    return 100 * run.capacity_si / full_load_si - at_percent;
  };
  percent = 100;
  double value = surplus(percent);
  if (value > kBalancePercent) return Balance::kAboveFullLoad;
  // Capacities are above 0, so the surplus at a load of nothing is, too.
  double low = 0;
  double high = 100;
  double before = 100;
  double value_before = value;
  for (int step = 0; step < kMostSteps; ++step) {
    if (std::isnan(value)) return Balance::kNoFigures;
    if (std::fabs(value) <= kBalancePercent || high - low <= kBalancePercent) break;
    (value > 0 ? low : high) = percent;
    // At first as if conditions changed nothing.
    double next = step == 0
                      ? percent + value
                      : percent - value * (percent - before) / (value - value_before);
    const bool halve = step > kSecantsFirst && step % 2 == 1;
    if (halve || !(next > low && next < high)) next = low + (high - low) / 2;
    before = percent;
    value_before = value;
    percent = next;
    value = surplus(percent);
  }
  return Balance::kFound;
}

}  // namespace ratebound::rating
