#include "engine/rating/part_load.h"

#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/rating/own_load.h"

namespace ratebound::rating {
namespace {

using document::BracketCondition;
using document::InterpolatedFigure;
using document::MinimumLoad;

// Percents of load this near count as equal, at the window's edge and between stages.
constexpr double kSamePercent = 1e-9;

// The stages of interest among those seen so far, in their order.
class Neighbours {
 public:
  Neighbours(double target_percent, double window_percent)
      : target_percent_(target_percent), window_percent_(window_percent) {}

  void See(const StageRun& run, double percent) {
    const double distance = std::fabs(percent - target_percent_);
    SeeInWindow(run, percent, distance);
    const bool is_below = percent < target_percent_;
    bool& has = is_below ? has_below_ : has_above_;
    LoadRun& side = is_below ? below_ : above_;
    if (has && distance >= std::fabs(side.percent - target_percent_)) return;
    has = true;
    side = {run, percent, -1};
  }

  bool has_in_window() const { return has_in_window_; }
  bool has_below() const { return has_below_; }
  bool has_above() const { return has_above_; }
  const LoadRun& in_window() const { return in_window_; }
  const LoadRun& below() const { return below_; }
  const LoadRun& above() const { return above_; }

 private:
  // The nearest within the window; of equally near ones the larger capacity.
  void SeeInWindow(const StageRun& run, double percent, double distance) {
    if (distance > window_percent_ + kSamePercent) return;
    const bool nearer = !has_in_window_ || distance < nearest_ - kSamePercent;
    const bool same_but_larger = has_in_window_ && distance <= nearest_ + kSamePercent &&
                                 run.capacity_si >= in_window_.run.capacity_si;
    if (!nearer && !same_but_larger) return;
    has_in_window_ = true;
    nearest_ = distance;
    in_window_ = {run, percent, -1};
  }

  double target_percent_;
  double window_percent_;
  bool has_in_window_ = false;
  bool has_below_ = false;  // largest load under the target
  bool has_above_ = false;  // smallest load over it
  double nearest_ = 0;
  LoadRun in_window_;
  LoadRun below_;
  LoadRun above_;
};

}  // namespace

absl::StatusOr<PartLoadRule> PartLoadRule::Create(const CompileContext& context,
                                                  const document::PartLoad& rule) {
  ASSIGN_OR_RETURN(ContinuousPowers continuous, ContinuousPowers::Create(context, rule));
  PartLoadRule made(std::move(continuous));
  made.window_percent_ = rule.window_percent.value;
  made.bracket_at_own_load_ = rule.bracket_condition == BracketCondition::kOwnLoad;
  made.interpolated_ = rule.interpolated;
  made.cycling_ = {.rule = rule.Cycling(),
                   .slope = rule.degradation_slope.value,
                   .intercept = rule.degradation_intercept.value,
                   .by_powers = !rule.cycling_powers.empty()};
  if (rule.cycling_coefficient.has_value()) {
    ASSIGN_OR_RETURN(made.cycling_.coefficient,
                     context.inputs.ValueOf(*rule.cycling_coefficient));
    if (!(made.cycling_.coefficient >= 0 && made.cycling_.coefficient <= 1)) {
      return absl::FailedPreconditionError(absl::StrCat(
          "the cycling coefficient of procedure ", context.procedure.id, " for unit ",
          context.description.unit.id, " must be between 0 and 1"));
    }
  }
  made.minimum_load_ = rule.AtMinimum();
  made.minimum_at_own_load_ = rule.MinimumCondition() == BracketCondition::kOwnLoad;
  return made;
}

void PartLoadRule::Reach(const ConditionPlan& plan, const StageReader& reader,
                         const FigureSource& source, int point, double target_percent,
                         double full_load_si, LoadPointResult& result) const {
  result.figure = std::numeric_limits<double>::quiet_NaN();
  result.gap = LoadGap::kNone;
  const std::span<const double> conditions_si = plan.ValuesSi(point);
  Neighbours neighbours(target_percent, window_percent_);
  for (int stage = 0; stage < reader.stage_count(); ++stage) {
    StageRun run;
    if (!reader.Run(source, stage, conditions_si, run)) {
      result.gap = LoadGap::kNoFigures;
      result.gap_stage = stage;
      result.gap_percent = -1;
      return;
    }
    neighbours.See(run, 100 * run.capacity_si / full_load_si);
  }
  if (neighbours.has_in_window()) {
    result.way = LoadWay::kWithinWindow;
    result.above = neighbours.in_window();
    result.figure = result.above.run.figure;
    return;
  }
  if (!neighbours.has_above()) {
    result.gap = LoadGap::kAboveLargest;
    result.below = neighbours.below();
    return;
  }
  result.above = neighbours.above();
  if (!neighbours.has_below()) {
    BelowLowest(plan, reader, source, point, target_percent, full_load_si, result);
    return;
  }
  result.below = neighbours.below();
  result.way = LoadWay::kBetweenStages;
  if (bracket_at_own_load_ &&
      !(RunAtOwnLoad(plan, reader, source, point, full_load_si, result.below, result) &&
        RunAtOwnLoad(plan, reader, source, point, full_load_si, result.above, result))) {
    return;
  }
  Between(reader, target_percent, result);
}

bool PartLoadRule::RunAtOwnLoad(const ConditionPlan& plan, const StageReader& reader,
                                const FigureSource& source, int point,
                                double full_load_si, LoadRun& run,
                                LoadPointResult& result) const {
  const int stage = run.run.stage;
  double percent = 0;
  const Balance balance =
      FindOwnLoad(plan, reader, source, point, stage, full_load_si, run.run, percent);
  run.own_percent = percent;
  if (balance == Balance::kNoFigures) {
    result.gap = LoadGap::kNoFigures;
    result.gap_stage = stage;
    result.gap_percent = percent;
    return false;
  }
  run.percent = 100 * run.run.capacity_si / full_load_si;
  if (balance == Balance::kFound) return true;
  result.gap = LoadGap::kAboveFullLoad;
  result.gap_stage = stage;
  result.gap_percent = run.percent;
  return false;
}

void PartLoadRule::Between(const StageReader& reader, double target_percent,
                           LoadPointResult& result) const {
  const LoadRun& below = result.below;
  const LoadRun& above = result.above;
  if (!(below.percent <= target_percent && target_percent <= above.percent)) {
    result.gap = LoadGap::kNotBracketed;
    return;
  }
  const double span = above.percent - below.percent;
  const double part = span > 0 ? (target_percent - below.percent) / span : 1;
  // The line is straight in efficiency or in specific power, whichever the metric is.
  const bool invert = reader.rule().specific_power() !=
                      (interpolated_ == InterpolatedFigure::kSpecificPower);
  const double from = invert ? 1 / below.run.figure : below.run.figure;
  const double to = invert ? 1 / above.run.figure : above.run.figure;
  const double between = from + (to - from) * part;
  result.figure = invert ? 1 / between : between;
}

void PartLoadRule::BelowLowest(const ConditionPlan& plan, const StageReader& reader,
                               const FigureSource& source, int point,
                               double target_percent, double full_load_si,
                               LoadPointResult& result) const {
  if (minimum_load_ == MinimumLoad::kRefused) {
    result.gap = LoadGap::kBelowLowest;
    return;
  }
  LoadRun& lowest = result.above;
  if (minimum_at_own_load_ &&
      !RunAtOwnLoad(plan, reader, source, point, full_load_si, lowest, result)) {
    return;
  }
  if (minimum_load_ == MinimumLoad::kAsItIs) {
    result.way = LoadWay::kLowestAsItIs;
    result.figure = lowest.run.figure;
    return;
  }
  result.way = LoadWay::kCycling;
  result.continuous_w = 0;
  if (cycling_.by_powers) {
    std::array<double, kMostModeConditions> room;
    std::span<const double> conditions_si = plan.ValuesSi(point);
    if (lowest.own_percent >= 0) {
      plan.ValuesAtLoadSi(point, lowest.own_percent,
                          std::span(room).first(conditions_si.size()));
      conditions_si = std::span<const double>(room).first(conditions_si.size());
    }
    result.continuous_w = lowest.run.added_continuous_w +
                          continuous_.SumW(source, lowest.run.stage, conditions_si);
    if (std::isnan(result.continuous_w)) {
      result.gap = LoadGap::kPowersNotKnown;
      return;
    }
    if (lowest.run.power_w - result.continuous_w < 0) {
      result.gap = LoadGap::kPowersAboveTotal;
      return;
    }
  }
  result.cycled = CycleDown(cycling_, reader, lowest.run,
                            (target_percent / 100) * full_load_si, result.continuous_w);
  result.figure = result.cycled.figure;
}

}  // namespace ratebound::rating
