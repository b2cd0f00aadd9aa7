// Points at conditions of their own, each with its weight: moisture removal efficiency
// and coefficient of performance of outdoor-air units (AHRI 920).
//
//   MRE_i = moisture removal / power,   ISMRE2 = sum of weight_i * MRE_i
//
// At each point the stage of the largest capacity counts, or the two stages whose target
// quantity (the supply dew point) brackets its target are mixed so that the mean meets
// it: the parts x and 1 - x of the time with
//   x * lower + (1 - x) * upper = target.
// Whether capacities and powers are averaged, or efficiencies, the procedure says; so
// does it whether a unit whose every stage is below the target cycles by a factor that
// the user gives. What the supply air lacks to a limit is added as heat with its power.
#ifndef RATEBOUND_ENGINE_RATING_WEIGHTED_CONDITIONS_FORM_H_
#define RATEBOUND_ENGINE_RATING_WEIGHTED_CONDITIONS_FORM_H_

#include <memory>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/moisture.h"
#include "engine/rating/stage_reader.h"
#include "engine/rating/supply_air_addition.h"

namespace ratebound::rating {

class WeightedConditionsForm : public MetricForm {
 public:
  static absl::StatusOr<std::unique_ptr<MetricForm>> Create(
      const CompileContext& context);

  double Value(const FigureSource& source) const override;
  absl::StatusOr<Explanation> Explain(const FigureSource& source) const override;
  void FindMissing(const FigureSource& source, MissingData& missing) const override;

 private:
  enum class Way { kLargest, kOnTarget, kMixed, kCycling };
  enum class Gap {
    kNone,
    kNoStages,
    kNoFigures,    // of gap_stage
    kNoTarget,     // gap_stage has not the quantity of the target
    kAboveTarget,  // every stage is
    kBelowTarget,  // every stage is, and the procedure has no factor or it is not given
    kAdditions,    // what supply air lacks is not known of gap_stage
  };
  struct Counted {
    StageRun run;
    double target;  // the quantity of the target
  };
  struct Reached {
    double figure = 0;
    Way way = Way::kLargest;
    Gap gap = Gap::kNone;
    int gap_stage = -1;
    Counted lower = {};  // of kMixed
    Counted upper = {};  // of kMixed, and the one stage of the other ways
    double lower_part = 0;
  };

  WeightedConditionsForm(const CompileContext& context,
                         const document::WeightedConditions& rules, ConditionPlan plan,
                         StageReader reader)
      : context_(context),
        rules_(rules),
        plan_(std::move(plan)),
        reader_(std::move(reader)) {}

  absl::Status AddRules();
  Reached Reach(const FigureSource& source, int point) const;
  void Mix(Reached& reached) const;
  Gap Count(const FigureSource& source, int point, int stage, Counted& counted) const;
  absl::Status Why(const FigureSource& source, int point, const Reached& reached) const;
  TraceNode RunTrace(const FigureSource& source, int point, const Counted& counted,
                     const std::string& how) const;

  const CompileContext& context_;
  const document::WeightedConditions& rules_;
  ConditionPlan plan_;
  StageReader reader_;
  std::vector<double> weights_;
  std::optional<RunQuantity> target_quantity_;
  double target_ = 0;
  double tolerance_ = 0;
  std::optional<double> cycling_factor_;
  std::optional<AirSideRemoval> air_side_;
  std::vector<SupplyAirTerm> additions_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_WEIGHTED_CONDITIONS_FORM_H_
