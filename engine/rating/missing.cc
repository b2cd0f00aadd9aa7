#include "engine/rating/missing.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <variant>

#include "absl/strings/str_cat.h"
#include "engine/quantity/vocabulary.h"
#include "engine/rating/inputs_asked.h"
#include "engine/rating/metric.h"
#include "engine/rating/scope.h"

namespace ratebound::rating {
namespace {

void AddInput(const document::Procedure& procedure, const std::string& name,
              MissingData& missing) {
  for (const document::MissingInput& before : missing.inputs) {
    if (before.input == name) return;
  }
  document::MissingInput input{.input = name};
  for (const document::RequiredInput& asked : procedure.required_inputs) {
    if (asked.name != name) continue;
    input.description = asked.description;
    input.unit = asked.unit;
  }
  missing.inputs.push_back(std::move(input));
}

// All points of a procedure, whatever the unit.
std::vector<PointConditions> PointsOf(const document::Procedure& procedure) {
  std::vector<PointConditions> points;
  for (const document::LoadPoint& point : procedure.load_points) {
    points.push_back({.id = point.id,
                      .percent_load = point.percent_load.value,
                      .conditions = point.conditions});
  }
  if (const auto* weighted = std::get_if<document::WeightedConditions>(&procedure.form)) {
    for (const document::ConditionPoint& point : weighted->points) {
      points.push_back({.id = point.id, .conditions = point.conditions});
    }
  }
  if (points.empty()) points.emplace_back();
  return points;
}

}  // namespace

void MissingSearch::Add(const PointConditions& point, int stage,
                        std::vector<std::string> quantities, std::string reason,
                        bool blocking) {
  document::MissingPoint found{
      .point = point.id,
      .stage = context_.description.StageId(stage),
      .quantities = std::move(quantities),
      .conditions = StatedConditions(context_.procedure, context_.inputs, point),
      .reason = std::move(reason),
      .blocking = blocking};
  for (const document::MissingPoint& before : missing_.points) {
    // One run serves all points that ask for it.
    if (before.stage == found.stage && before.conditions == found.conditions &&
        before.quantities == found.quantities && before.blocking == found.blocking) {
      return;
    }
  }
  missing_.points.push_back(std::move(found));
}

void MissingSearch::LookForFigures(const PointConditions& point, int stage,
                                   std::span<const double> conditions_si,
                                   std::vector<std::string> quantities) {
  if (quantities.empty()) {
    quantities = {context_.procedure.capacity_quantity,
                  context_.procedure.power_quantity};
  }
  std::vector<double> figures_si(context_.description.quantities.size());
  if (!source_.Figures(stage, conditions_si, figures_si)) {
    const absl::Status why = source_.WhyNone(stage, conditions_si);
    Add(point, stage, std::move(quantities), std::string(why.message()), true);
    return;
  }
  std::vector<std::string> unknown;
  for (const std::string& quantity : quantities) {
    const int index = context_.description.Find(quantity);
    if (index < 0 || std::isnan(figures_si[index])) unknown.push_back(quantity);
  }
  if (unknown.empty()) return;
  Add(point, stage, std::move(unknown), "it was not measured of this stage", true);
}

void MissingSearch::LookAtFooting(const PointConditions& point, int stage,
                                  std::span<const double> conditions_si) {
  const FigureFooting footing = source_.Footing(stage, conditions_si);
  if (footing.footing <= document::Footing::kInterpolated) return;
  std::string reason = document::FootingName(footing.footing);
  if (!footing.reason.empty()) absl::StrAppend(&reason, ": ", footing.reason);
  Add(point, stage,
      {context_.procedure.capacity_quantity, context_.procedure.power_quantity},
      std::move(reason), false);
}

void MissingSearch::AskPowers(const PointConditions& point, int stage,
                              std::span<const std::string> names) {
  std::vector<std::string> powers;
  for (const std::string& name : names) {
    AddInput(context_.procedure, name, missing_);
    if (quantity::FindQuantity(name).ok()) powers.push_back(name);
  }
  if (powers.empty()) return;
  Add(point, stage, std::move(powers),
      "the lowest stage cycles there; measured with it, or given as inputs", true);
}

void FindMissing(const document::Procedure& procedure, const FigureSource& source,
                 MissingData& missing) {
  const CompileContext context(procedure, source.description());
  if (!CheckScope(procedure, source.description()).ok()) return;
  for (const std::string& name : InputsAsked(context)) {
    if (context.inputs.Find(name) == nullptr) AddInput(procedure, name, missing);
  }
  const absl::StatusOr<std::unique_ptr<MetricForm>> form = CompileForm(context);
  if (form.ok()) {
    (*form)->FindMissing(source, missing);
    return;
  }
  // Inputs alone are asked for, and with them the points may well be there.
  if (!absl::IsFailedPrecondition(form.status()) || !missing.inputs.empty()) return;
  for (const PointConditions& point : PointsOf(procedure)) {
    missing.points.push_back(
        {.point = point.id,
         .stage = "",
         .quantities = {procedure.capacity_quantity, procedure.power_quantity},
         .conditions = StatedConditions(procedure, context.inputs, point),
         .reason = std::string(form.status().message()),
         .blocking = true});
  }
}

}  // namespace ratebound::rating
