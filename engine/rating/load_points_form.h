// Weighted load points: an efficiency at each of a few loads, weighted into one figure.
// Part-load metrics of chillers and of commercial unitary equipment are of this kind.
//
//  1. Full load is what the stage of the largest capacity gives at the conditions of the
//     100 % point, or an input that the procedure names.
//  2. Each point is reached as part_load.h says; that of 100 % is the stage of the
//  largest
//     capacity itself.
//  3. The metric is the sum of weight times efficiency, or for power over capacity one
//     over the sum of weight over figure (AHRI 550/590, IPLV in kW/ton).
// There is no extrapolation over load: a load above the largest stage is refused.
#ifndef RATEBOUND_ENGINE_RATING_LOAD_POINTS_FORM_H_
#define RATEBOUND_ENGINE_RATING_LOAD_POINTS_FORM_H_

#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/part_load.h"
#include "engine/rating/stage_reader.h"

namespace ratebound::rating {

class LoadPointsForm : public MetricForm {
 public:
  static absl::StatusOr<std::unique_ptr<MetricForm>> Create(
      const CompileContext& context);

  double Value(const FigureSource& source) const override;
  absl::StatusOr<Explanation> Explain(const FigureSource& source) const override;
  void FindMissing(const FigureSource& source, MissingData& missing) const override;

 private:
  struct Point {
    double percent_load = 0;
    double weight = 0;
  };

  LoadPointsForm(const CompileContext& context, ConditionPlan plan, StageReader reader,
                 std::optional<PartLoadRule> rule)
      : context_(context),
        plan_(std::move(plan)),
        reader_(std::move(reader)),
        rule_(std::move(rule)) {}

  absl::Status Gap(const FigureSource& source, int point, const LoadPointResult& result,
                   double full_load_si) const;
  TraceNode RunTrace(const FigureSource& source, int point, const LoadRun& run,
                     const std::string& how) const;
  TraceNode PointTrace(const FigureSource& source, int point,
                       const LoadPointResult& result) const;
  std::vector<double> ConditionsOf(int point, double own_percent) const;
  std::vector<TraceNode> ConditionTraceOf(int point, double own_percent) const;

  const CompileContext& context_;
  ConditionPlan plan_;
  StageReader reader_;
  std::optional<PartLoadRule> rule_;
  std::vector<Point> points_;
  int full_load_point_ = 0;
  std::optional<double> full_load_input_si_;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_LOAD_POINTS_FORM_H_
