#include "engine/rating/load_points_form.h"

#include <cmath>
#include <limits>
#include <string>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/check_weights.h"
#include "engine/rating/largest_stage.h"

namespace ratebound::rating {
namespace {

using document::LoadPoint;
using document::Procedure;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
// Percents over this count as the whole.
constexpr double kFullPercent = 100;

// What the algorithm takes for granted.
absl::Status CheckLoadPoints(const Procedure& procedure) {
  base::FaultList faults;
  auto fault = [&](std::string field, std::string message) {
    faults.Add(
        {.file = procedure.id, .field = std::move(field), .message = std::move(message)});
  };
  bool has_full_load = false;
  std::vector<PointWeight> weights;
  for (const LoadPoint& point : procedure.load_points) {
    weights.push_back({point.id, point.weight.value});
    has_full_load |= point.percent_load.value == kFullPercent;
    if (!(point.percent_load.value > 0 && point.percent_load.value <= kFullPercent)) {
      fault("load_points",
            absl::StrCat("percent_load of ", point.id, " is not in (0, 100]"));
    }
  }
  CheckWeights(procedure, "load_points", weights, faults);
  const bool has_input =
      procedure.part_load && !procedure.part_load->full_load_input.empty();
  if (!has_full_load && !has_input) {
    fault("load_points", "no point at 100 percent load, which all others are a part of");
  }
  if ((procedure.load_points.size() > 1 || has_input) && !procedure.part_load) {
    fault("part_load", "missing in a procedure of more than one point");
  }
  CheckConstants(procedure, faults);
  return faults.ToStatus();
}

}  // namespace

absl::StatusOr<std::unique_ptr<MetricForm>> LoadPointsForm::Create(
    const CompileContext& context) {
  const Procedure& procedure = context.procedure;
  RETURN_IF_ERROR(CheckLoadPoints(procedure));
  std::vector<PointConditions> conditions;
  for (const LoadPoint& point : procedure.load_points) {
    conditions.push_back({.id = point.id,
                          .percent_load = point.percent_load.value,
                          .conditions = point.conditions});
  }
  ASSIGN_OR_RETURN(ConditionPlan plan,
                   ConditionPlan::Create(procedure, context.description, context.inputs,
                                         std::move(conditions),
                                         procedure.part_load
                                             ? procedure.part_load->load_lines
                                             : std::vector<document::CitedCondition>()));
  ASSIGN_OR_RETURN(StageReader reader, StageReader::Create(context));
  std::optional<PartLoadRule> rule;
  if (procedure.part_load) {
    ASSIGN_OR_RETURN(rule, PartLoadRule::Create(context, *procedure.part_load));
  }
  auto form = std::unique_ptr<LoadPointsForm>(
      new LoadPointsForm(context, std::move(plan), std::move(reader), std::move(rule)));
  for (const LoadPoint& point : procedure.load_points) {
    if (point.percent_load.value == kFullPercent) {
      form->full_load_point_ = static_cast<int>(form->points_.size());
    }
    form->points_.push_back({point.percent_load.value, point.weight.value});
  }
  if (procedure.part_load && !procedure.part_load->full_load_input.empty()) {
    form->full_load_point_ = -1;
    ASSIGN_OR_RETURN(form->full_load_input_si_,
                     context.inputs.InSi(procedure.part_load->full_load_input,
                                         procedure.capacity_quantity));
    if (!(*form->full_load_input_si_ > 0)) {
      return absl::FailedPreconditionError(absl::StrCat(
          "input ", procedure.part_load->full_load_input, " must be above 0"));
    }
  }
  return form;
}

double LoadPointsForm::Value(const FigureSource& source) const {
  double full_load_si = full_load_input_si_.value_or(0);
  StageRun full_load;
  if (full_load_point_ >= 0) {
    int failed = -1;
    if (LargestStage(plan_, reader_, source, full_load_point_, full_load, failed) < 0)
      return kNone;
    full_load_si = full_load.capacity_si;
  }
  const bool specific_power = reader_.rule().specific_power();
  double sum = 0;
  for (int i = 0; i < plan_.point_count(); ++i) {
    double figure = 0;
    if (i == full_load_point_) {
      figure = full_load.figure;
    } else {
      LoadPointResult result;
      rule_->Reach(plan_, reader_, source, i, points_[i].percent_load, full_load_si,
                   result);
      if (result.gap != LoadGap::kNone) return kNone;
      figure = result.figure;
    }
    sum += specific_power ? points_[i].weight / figure : points_[i].weight * figure;
  }
  return specific_power ? 1 / sum : sum;
}

}  // namespace ratebound::rating
