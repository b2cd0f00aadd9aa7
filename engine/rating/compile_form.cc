#include <variant>

#include "engine/base/status_macros.h"
#include "engine/rating/compressor_form.h"
#include "engine/rating/load_points_form.h"
#include "engine/rating/metric_form.h"
#include "engine/rating/one_point_form.h"
#include "engine/rating/season/season_form.h"
#include "engine/rating/weighted_conditions_form.h"

namespace ratebound::rating {

absl::StatusOr<std::unique_ptr<MetricForm>> CompileForm(const CompileContext& context) {
  const document::ProcedureForm& form = context.procedure.form;
  if (std::holds_alternative<document::OnePoint>(form)) {
    return OnePointForm::Create(context);
  }
  if (std::holds_alternative<document::WeightedConditions>(form)) {
    return WeightedConditionsForm::Create(context);
  }
  if (std::holds_alternative<document::CompressorTable>(form)) {
    return CompressorForm::Create(context);
  }
  if (std::holds_alternative<document::BinSeason>(form)) {
    return SeasonForm::Create(context);
  }
  return LoadPointsForm::Create(context);
}

}  // namespace ratebound::rating
