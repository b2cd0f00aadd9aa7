// A compressor: capacity over power at the common conditions, of the stage of the largest
// capacity, with the superheat correction of the clause where there is one; and the ten
// coefficients of what the procedure tabulates, for every stage (ten_coefficients.h).
//
// Coefficients are of the map as it is, at the superheat that it was tested at; the
// correction is for the rating point alone. A map that is no cubic of both temperatures
// is followed as far as a cubic through ten places of its tested range does, and each set
// says how far off that is.
#ifndef RATEBOUND_ENGINE_RATING_COMPRESSOR_FORM_H_
#define RATEBOUND_ENGINE_RATING_COMPRESSOR_FORM_H_

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/stage_reader.h"

namespace ratebound::rating {

class CompressorForm : public MetricForm {
 public:
  static absl::StatusOr<std::unique_ptr<MetricForm>> Create(
      const CompileContext& context);

  double Value(const FigureSource& source) const override;
  absl::StatusOr<Explanation> Explain(const FigureSource& source) const override;
  void FindMissing(const FigureSource& source, MissingData& missing) const override;

 private:
  CompressorForm(const CompileContext& context, const document::CompressorTable& table,
                 ConditionPlan plan, StageReader reader)
      : context_(context),
        table_(table),
        plan_(std::move(plan)),
        reader_(std::move(reader)) {}

  absl::Status AddSuperheat();
  double FigureOf(const StageRun& run) const;
  void AddCoefficients(const FigureSource& source, Explanation& explanation) const;

  const CompileContext& context_;
  const document::CompressorTable& table_;
  ConditionPlan plan_;
  StageReader reader_;
  double capacity_ratio_ = 1;
  double power_ratio_ = 1;
  std::vector<TraceNode> superheat_trace_;
  int evaporating_ = -1;  // of the mode's conditions
  int condensing_ = -1;
};

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_COMPRESSOR_FORM_H_
