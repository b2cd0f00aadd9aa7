// The figure of a unit at one load: which stage, or which stages, and how they make it.
//
// All stages are first run at the conditions of the target. Then:
//  - a stage whose load lies within the window around the target is used as it is; of
//    several the nearest, of equally near ones the larger. Figures jump at the window's
//    edge, as the procedures mean them to;
//  - else the nearest stages below and above give a straight line over load. The
//    procedure says whether both run at the target's conditions (AHRI 340/360) or each at
//    the conditions that belong to the load it gives itself (AHRI 550/590, where the
//    condenser's water is a line over load): the load at which a stage is in balance with
//    its own conditions (own_load.h);
//  - below the lowest stage, that stage cycles (cycling.h), counts as it is, or there is
//    no figure, as the procedure says, at the target's conditions or at its own load's;
//  - above the largest stage there is no figure.
//
// Plain numbers, no allocation: what Value and Explain of a metric share, and what a
// season can ask of each of its points.
#ifndef RATEBOUND_ENGINE_RATING_PART_LOAD_H_
#define RATEBOUND_ENGINE_RATING_PART_LOAD_H_

#include "absl/status/statusor.h"
#include "engine/document/part_load.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/continuous_powers.h"
#include "engine/rating/cycling.h"
#include "engine/rating/stage_reader.h"

namespace ratebound::rating {

enum class LoadWay { kWithinWindow, kBetweenStages, kCycling, kLowestAsItIs };

// Why there is no figure.
enum class LoadGap {
  kNone,
  kNoFigures,         // of gap_stage, at the target's conditions or those of gap_percent
  kAboveLargest,      // `below` is the largest stage
  kAboveFullLoad,     // gap_stage gives more than full load at full load's conditions
  kNotBracketed,      // at their own loads `below` and `above` are on one side
  kPowersNotKnown,    // continuous powers of `above`
  kPowersAboveTotal,  // continuous powers of `above`
  kBelowLowest,       // and the procedure has no rule for it
};

// A run and where it was.
struct LoadRun {
  StageRun run;
  double percent;      // of full load
  double own_percent;  // load that its conditions are set for; below 0: the target's
};

struct LoadPointResult {
  double figure;  // NaN with a gap
  LoadWay way;
  LoadGap gap;
  LoadRun below;  // of kBetweenStages
  LoadRun above;  // of kBetweenStages, and the one stage of the other ways
  Cycled cycled;  // of kCycling
  double continuous_w;
  int gap_stage;
  double gap_percent;  // below 0: at the target's conditions
};

// The rule of a procedure with its numbers settled.
class PartLoadRule {
 public:
  // FAILED_PRECONDITION for inputs that are missing or do not fit.
  static absl::StatusOr<PartLoadRule> Create(const CompileContext& context,
                                             const document::PartLoad& rule);

  // `point` is of the plan; `full_load_si` is what 100 percent are.
  void Reach(const ConditionPlan& plan, const StageReader& reader,
             const FigureSource& source, int point, double target_percent,
             double full_load_si, LoadPointResult& result) const;

  const ContinuousPowers& continuous_powers() const { return continuous_; }

 private:
  explicit PartLoadRule(ContinuousPowers continuous)
      : continuous_(std::move(continuous)) {}

  bool RunAtOwnLoad(const ConditionPlan& plan, const StageReader& reader,
                    const FigureSource& source, int point, double full_load_si,
                    LoadRun& run, LoadPointResult& result) const;
  void Between(const StageReader& reader, double target_percent,
               LoadPointResult& result) const;
  void BelowLowest(const ConditionPlan& plan, const StageReader& reader,
                   const FigureSource& source, int point, double target_percent,
                   double full_load_si, LoadPointResult& result) const;

  double window_percent_ = 0;
  bool bracket_at_own_load_ = false;
  document::InterpolatedFigure interpolated_ = document::InterpolatedFigure::kEfficiency;
  CyclingPlan cycling_;
  ContinuousPowers continuous_;
  document::MinimumLoad minimum_load_ = document::MinimumLoad::kCycle;
  bool minimum_at_own_load_ = false;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_PART_LOAD_H_
