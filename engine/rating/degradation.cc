#include "engine/rating/degradation.h"

#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/efficiency.h"

namespace ratebound::rating {
namespace {

struct ContinuousPowers {
  double sum_w = 0;
  std::vector<TraceNode> trace;
};

absl::StatusOr<ContinuousPowers> FindContinuousPowers(
    const document::Procedure& procedure, const ProcedureInputs& inputs,
    const StageRun& run) {
  ContinuousPowers powers{.sum_w = run.added_continuous_w};
  std::vector<std::string> missing;
  for (const std::string& name : procedure.part_load->continuous_powers) {
    TraceNode node{.step = {.label = name, .unit = "W"}};
    if (const double* mapped_w = run.figures.Find(name)) {
      node.step.value = *mapped_w;
      node.step.how = "of the stage";
      node.step.footing = run.figures.footing;
    } else if (inputs.Find(name) != nullptr) {
      ASSIGN_OR_RETURN(node.step.value, inputs.In(name, procedure.power_quantity, "W"));
      node.step.how = absl::StrCat("input ", name, " of the manifest");
    } else {
      missing.push_back(name);
    }
    powers.sum_w += node.step.value;
    powers.trace.push_back(std::move(node));
  }
  if (missing.empty()) return powers;
  return absl::FailedPreconditionError(absl::StrCat(
      "the lowest stage cycles, and what goes on meanwhile must be known apart from ",
      procedure.power_quantity, ": ", absl::StrJoin(missing, ", "),
      "; fit it with the unit (other_responses) or give it in W among the "
      "procedure_inputs"));
}

}  // namespace

absl::StatusOr<PointFigure> CycleDown(const document::Procedure& procedure,
                                      const ProcedureInputs& inputs,
                                      const StageRunner& runner, const StageRun& run,
                                      double target_percent) {
  const document::PartLoad& rule = *procedure.part_load;
  const double load_factor =
      (target_percent / 100) * runner.full_load_w() / run.capacity_w;
  const double coefficient =
      rule.degradation_slope.value * load_factor + rule.degradation_intercept.value;

  PointFigure point;
  point.RestsOn(run);
  point.trace.step.how = absl::StrCat("stage ", runner.StageId(run.stage), " cycling");
  point.trace.step.clause = rule.cycling_citation.source;
  point.trace.step.basis = rule.cycling_citation.basis;
  point.trace.inputs.push_back(
      runner.Trace(run, "lowest stage, at the target's conditions"));
  point.trace.inputs.push_back(
      {.step = {.label = "load factor",
                .value = load_factor,
                .how = "target load over capacity of the stage"}});
  point.trace.inputs.push_back(
      {.step = {.label = "degradation coefficient",
                .value = coefficient,
                .how = absl::StrCat(base::ShortestText(rule.degradation_slope.value),
                                    " x load factor + ",
                                    base::ShortestText(rule.degradation_intercept.value)),
                .clause = rule.degradation_slope.citation.source,
                .basis = rule.degradation_slope.citation.basis}});

  if (rule.cycling_powers.empty()) {
    point.figure = FigureOf(procedure, run.capacity_w, coefficient * run.power_w);
    return point;
  }
  ASSIGN_OR_RETURN(ContinuousPowers continuous,
                   FindContinuousPowers(procedure, inputs, run));
  const double cycling_w = run.power_w - continuous.sum_w;
  if (cycling_w < 0) {
    return absl::FailedPreconditionError(
        absl::StrCat("the continuous powers of stage ", runner.StageId(run.stage), ", ",
                     base::ShortestText(continuous.sum_w), " W, exceed its total of ",
                     base::ShortestText(run.power_w), " W"));
  }
  point.figure = FigureOf(procedure, load_factor * run.capacity_w,
                          load_factor * coefficient * cycling_w + continuous.sum_w);
  point.trace.inputs.push_back(
      {.step = {.label = absl::StrJoin(rule.cycling_powers, " + "),
                .value = cycling_w,
                .unit = "W",
                .how = "total power less what goes on",
                .footing = run.figures.footing}});
  for (TraceNode& node : continuous.trace) point.trace.inputs.push_back(std::move(node));
  return point;
}

}  // namespace ratebound::rating
