#include "engine/rating/one_point_form.h"

#include <array>
#include <cmath>
#include <limits>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/rating/check_weights.h"
#include "engine/rating/largest_stage.h"
#include "engine/rating/missing.h"
#include "engine/rating/weighted_total.h"

namespace ratebound::rating {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr int kPoint = 0;

}  // namespace

absl::StatusOr<std::unique_ptr<MetricForm>> OnePointForm::Create(
    const CompileContext& context) {
  base::FaultList faults;
  CheckConstants(context.procedure, faults);
  RETURN_IF_ERROR(faults.ToStatus());
  std::vector<PointConditions> points(1);
  ASSIGN_OR_RETURN(ConditionPlan plan,
                   ConditionPlan::Create(context.procedure, context.description,
                                         context.inputs, std::move(points)));
  ASSIGN_OR_RETURN(StageReader reader, StageReader::Create(context));
  auto form = std::unique_ptr<OnePointForm>(
      new OnePointForm(context, std::move(plan), std::move(reader)));
  const auto& one_point = std::get<document::OnePoint>(context.procedure.form);
  for (const document::FlowPressureCorrection& correction : one_point.corrections) {
    ASSIGN_OR_RETURN(FlowPressureTerm term,
                     FlowPressureTerm::Create(context, correction));
    form->corrections_.push_back(std::move(term));
  }
  return form;
}

OnePointForm::Corrected OnePointForm::Correct(const FigureSource& source,
                                              const StageRun& run,
                                              std::span<double> figures_si) const {
  Corrected corrected{.capacity = reader_.CapacityIn(run.capacity_si),
                      .power = reader_.PowerIn(run.power_w)};
  if (corrections_.empty()) return corrected;
  const std::span<const double> conditions_si = plan_.ValuesSi(kPoint);
  if (!source.Figures(run.stage, conditions_si, figures_si)) return {.known = false};
  for (const FlowPressureTerm& correction : corrections_) {
    const double power = correction.Power(figures_si, conditions_si);
    corrected.capacity += correction.InCapacity(power);
    corrected.power += correction.InPower(power);
  }
  // Also where a flow or pressure is not known, and so everything is NaN.
  corrected.known = corrected.capacity > 0 && corrected.power > 0;
  return corrected;
}

double OnePointForm::Value(const FigureSource& source) const {
  StageRun run;
  int failed = -1;
  if (LargestStage(plan_, reader_, source, kPoint, run, failed) < 0) return kNone;
  std::array<double, kMostQuantities> room;
  const Corrected corrected =
      Correct(source, run, std::span(room).first(context_.description.quantities.size()));
  if (!corrected.known) return kNone;
  return reader_.rule().FigureOf(corrected.capacity, corrected.power);
}

absl::StatusOr<Explanation> OnePointForm::Explain(const FigureSource& source) const {
  const std::span<const double> conditions_si = plan_.ValuesSi(kPoint);
  StageRun run;
  int failed = -1;
  if (LargestStage(plan_, reader_, source, kPoint, run, failed) < 0) {
    if (failed < 0) return absl::FailedPreconditionError("the mode has no stages");
    return reader_.WhyNot(source, failed, conditions_si, plan_.Trace(kPoint));
  }
  std::vector<double> figures_si(context_.description.quantities.size());
  const Corrected corrected = Correct(source, run, figures_si);
  if (!corrected.known) {
    return absl::FailedPreconditionError(absl::StrCat(
        "the corrections of ", reader_.Place(run.stage, plan_.Trace(kPoint)),
        " cannot be made: a flow or pressure is not known, or they leave no capacity or "
        "power"));
  }
  const auto& form = std::get<document::OnePoint>(context_.procedure.form);
  const FigureFooting footing = source.Footing(run.stage, conditions_si);
  Explanation explanation;
  explanation.value = reader_.rule().FigureOf(corrected.capacity, corrected.power);
  explanation.footing = footing.footing;
  explanation.footing_reason = FootingText("", footing);
  explanation.notes = plan_.Notes();
  explanation.trace = {
      .step = {.label = context_.procedure.metric,
               .value = explanation.value,
               .unit = context_.procedure.metric_unit,
               .how = reader_.rule().specific_power() ? "power over capacity"
                                                      : "capacity over power",
               .clause = form.citation.source,
               .basis = form.citation.basis,
               .footing = footing.footing},
      .inputs = {}};
  TraceNode& root = explanation.trace;
  if (!corrections_.empty()) {
    root.inputs.push_back({.step = {.label = "capacity, corrected",
                                    .value = corrected.capacity,
                                    .unit = reader_.capacity_unit_name(),
                                    .footing = footing.footing}});
    root.inputs.push_back({.step = {.label = "power, corrected",
                                    .value = corrected.power,
                                    .unit = reader_.power_unit_name(),
                                    .footing = footing.footing}});
    for (const FlowPressureTerm& correction : corrections_) {
      root.inputs.push_back(
          correction.Trace(figures_si, conditions_si, reader_.power_unit_name()));
    }
  }
  root.inputs.push_back(reader_.Trace(source, run, conditions_si, plan_.Trace(kPoint),
                                      "stage of the largest capacity, as measured"));
  return explanation;
}

void OnePointForm::FindMissing(const FigureSource& source, MissingData& missing) const {
  MissingSearch search(context_, source, missing);
  const std::span<const double> conditions_si = plan_.ValuesSi(kPoint);
  for (int stage = 0; stage < reader_.stage_count(); ++stage) {
    search.LookForFigures(plan_.point(kPoint), stage, conditions_si);
  }
  StageRun run;
  int failed = -1;
  if (LargestStage(plan_, reader_, source, kPoint, run, failed) < 0) return;
  search.LookAtFooting(plan_.point(kPoint), run.stage, conditions_si);
  const auto& form = std::get<document::OnePoint>(context_.procedure.form);
  for (const document::FlowPressureCorrection& correction : form.corrections) {
    for (const document::FigureTerm* term : {&correction.flow, &correction.pressure}) {
      if (context_.description.Find(term->quantity) < 0) continue;
      if (context_.inputs.Find(term->input) != nullptr) continue;
      search.LookForFigures(plan_.point(kPoint), run.stage, conditions_si,
                            {term->quantity});
    }
  }
}

}  // namespace ratebound::rating
