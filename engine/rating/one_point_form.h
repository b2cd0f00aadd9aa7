// One rating point: capacity over power of the stage of the largest capacity at the
// common conditions, with the corrections that the clause makes for a fan or a pump.
//
//   capacity = measured capacity + sum of what corrections add to it
//   power    = measured power + added powers + sum of what corrections add to it
//
// each in the procedure's units, so that a clause's own constants (3.412 Btu/h for a
// watt) apply as written. (ISO 13256-1:1998 for water-to-air heat pumps; AHRI 340/360 and
// others without corrections.)
#ifndef RATEBOUND_ENGINE_RATING_ONE_POINT_FORM_H_
#define RATEBOUND_ENGINE_RATING_ONE_POINT_FORM_H_

#include <memory>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/flow_pressure_correction.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/stage_reader.h"

namespace ratebound::rating {

class OnePointForm : public MetricForm {
 public:
  static absl::StatusOr<std::unique_ptr<MetricForm>> Create(
      const CompileContext& context);

  double Value(const FigureSource& source) const override;
  absl::StatusOr<Explanation> Explain(const FigureSource& source) const override;
  void FindMissing(const FigureSource& source, MissingData& missing) const override;

 private:
  struct Corrected {
    double capacity = 0;  // in the procedure's units
    double power = 0;
    bool known = true;
  };

  OnePointForm(const CompileContext& context, ConditionPlan plan, StageReader reader)
      : context_(context), plan_(std::move(plan)), reader_(std::move(reader)) {}

  Corrected Correct(const FigureSource& source, const StageRun& run,
                    std::span<double> figures_si) const;

  const CompileContext& context_;
  ConditionPlan plan_;
  StageReader reader_;
  std::vector<FlowPressureTerm> corrections_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_ONE_POINT_FORM_H_
