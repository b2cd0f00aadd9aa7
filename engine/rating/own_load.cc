#include "engine/rating/own_load.h"

#include <array>
#include <limits>
#include <optional>
#include <span>

#include "engine/fluid/bracketed_root.h"

namespace ratebound::rating {

Balance FindOwnLoad(const ConditionPlan& plan, const StageReader& reader,
                    const FigureSource& source, int point, int stage, double full_load_si,
                    StageRun& run, double& percent) {
  std::array<double, kMostModeConditions> room;
  const std::span<double> conditions_si =
      std::span(room).first(plan.ValuesSi(point).size());
  double failed_percent = 0;
  bool failed = false;
  // The stage's percent of full load less the percent that its conditions are set for.
  const auto surplus = [&](double at_percent) {
    plan.ValuesAtLoadSi(point, at_percent, conditions_si);
    if (!reader.Run(source, stage, conditions_si, run)) {
      failed = true;
      failed_percent = at_percent;
      return std::numeric_limits<double>::quiet_NaN();
    }
    return 100 * run.capacity_si / full_load_si - at_percent;
  };
  percent = 100;
  const double at_full_load = surplus(percent);
  if (!failed && at_full_load > kBalancePercent) return Balance::kAboveFullLoad;
  if (!failed && at_full_load < 0) {
    const std::optional<double> root =
        fluid::BracketedRoot(surplus, 0, 100, kBalancePercent);
    if (root.has_value()) percent = *root;
    if (!failed) surplus(percent);
  }
  if (!failed) return Balance::kFound;
  percent = failed_percent;
  return Balance::kNoFigures;
}

}  // namespace ratebound::rating
