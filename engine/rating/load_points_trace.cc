// The words of weighted load points: what ran, why, by which clause; and what is missing.
#include <cmath>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/largest_stage.h"
#include "engine/rating/load_points_form.h"
#include "engine/rating/missing.h"
#include "engine/rating/weighted_total.h"

namespace ratebound::rating {

using base::ShortestText;
using document::BracketCondition;
using document::PartLoad;

std::vector<double> LoadPointsForm::ConditionsOf(int point, double own_percent) const {
  const std::span<const double> at_target = plan_.ValuesSi(point);
  std::vector<double> conditions_si(at_target.begin(), at_target.end());
  if (own_percent >= 0) plan_.ValuesAtLoadSi(point, own_percent, conditions_si);
  return conditions_si;
}

std::vector<TraceNode> LoadPointsForm::ConditionTraceOf(int point,
                                                        double own_percent) const {
  return own_percent >= 0 ? plan_.TraceAtLoad(point, own_percent) : plan_.Trace(point);
}

TraceNode LoadPointsForm::RunTrace(const FigureSource& source, int point,
                                   const LoadRun& run, const std::string& how) const {
  return reader_.Trace(source, run.run, ConditionsOf(point, run.own_percent),
                       ConditionTraceOf(point, run.own_percent), how, run.percent);
}

absl::Status LoadPointsForm::Gap(const FigureSource& source, int point,
                                 const LoadPointResult& result,
                                 double /*full_load_si*/) const {
  const std::string percent = ShortestText(points_[point].percent_load);
  const std::string id = plan_.point(point).id;
  const auto stage = [&](const LoadRun& run) {
    return absl::StrCat("stage ", reader_.StageId(run.run.stage));
  };
  switch (result.gap) {
    case LoadGap::kNone:
      break;
    case LoadGap::kNoFigures:
      return reader_.WhyNot(source, result.gap_stage,
                            ConditionsOf(point, result.gap_percent),
                            ConditionTraceOf(point, result.gap_percent));
    case LoadGap::kAboveLargest:
      return absl::FailedPreconditionError(absl::StrCat(
          "point ", id, " is at ", percent, " % load, and the largest stage gives only ",
          ShortestText(result.below.percent), " % there; loads are not extrapolated"));
    case LoadGap::kAboveFullLoad:
      return absl::FailedPreconditionError(absl::StrCat(
          "stage ", reader_.StageId(result.gap_stage), " gives ",
          ShortestText(result.gap_percent),
          " % load at the conditions of full load, more than the stage of the largest "
          "capacity"));
    case LoadGap::kNotBracketed:
      return absl::FailedPreconditionError(absl::StrCat(
          "stages ", reader_.StageId(result.below.run.stage), " and ",
          reader_.StageId(result.above.run.stage), " bracket ", percent,
          " % load at its own conditions but not at the conditions of their own loads (",
          ShortestText(result.below.percent), " % and ",
          ShortestText(result.above.percent), " %)"));
    case LoadGap::kPowersNotKnown: {
      const std::vector<std::string> missing = rule_->continuous_powers().Missing(
          source, result.above.run.stage, ConditionsOf(point, result.above.own_percent));
      return absl::FailedPreconditionError(absl::StrCat(
          "the lowest stage cycles, and what goes on meanwhile must be known apart from ",
          context_.procedure.power_quantity, ": ", absl::StrJoin(missing, ", "),
          "; fit it with the unit (other_responses) or give it in W among the "
          "procedure_inputs"));
    }
    case LoadGap::kPowersAboveTotal:
      return absl::FailedPreconditionError(
          absl::StrCat("the continuous powers of ", stage(result.above), ", ",
                       ShortestText(result.continuous_w), " W, exceed its total of ",
                       ShortestText(result.above.run.power_w), " W"));
    case LoadGap::kBelowLowest:
      return absl::FailedPreconditionError(absl::StrCat(
          "point ", id, " is at ", percent, " % load, and the lowest stage gives ",
          ShortestText(result.above.percent),
          " % there; the procedure has no figure below the lowest stage"));
  }
  return absl::InternalError("a point without a gap was taken for one with");
}

TraceNode LoadPointsForm::PointTrace(const FigureSource& source, int point,
                                     const LoadPointResult& result) const {
  const PartLoad& rule = *context_.procedure.part_load;
  const auto at = [](const LoadRun& run) {
    return run.own_percent >= 0 ? "at the conditions of its own load"
                                : "at the target's conditions";
  };
  const std::string stage =
      absl::StrCat("stage ", reader_.StageId(result.above.run.stage));
  TraceNode node;
  document::TraceStep& step = node.step;
  const auto cite = [&](const document::Citation& citation) {
    step.clause = citation.source;
    step.basis = citation.basis;
  };
  switch (result.way) {
    case LoadWay::kWithinWindow:
      step.how = absl::StrCat(stage, ", within ", ShortestText(rule.window_percent.value),
                              " % of the target load");
      cite(rule.window_percent.citation);
      node.inputs.push_back(
          RunTrace(source, point, result.above, "at the target's conditions"));
      return node;
    case LoadWay::kBetweenStages:
      step.how = absl::StrCat("interpolated over load between stages ",
                              reader_.StageId(result.below.run.stage), " and ",
                              reader_.StageId(result.above.run.stage));
      cite(rule.bracket_citation);
      node.inputs.push_back(RunTrace(source, point, result.below, at(result.below)));
      node.inputs.push_back(RunTrace(source, point, result.above, at(result.above)));
      return node;
    case LoadWay::kLowestAsItIs:
      step.how = absl::StrCat(stage, " as it is, below which the unit cannot go");
      cite(rule.cycling_citation);
      node.inputs.push_back(RunTrace(source, point, result.above,
                                     absl::StrCat("lowest stage, ", at(result.above))));
      return node;
    case LoadWay::kCycling:
      break;
  }
  step.how = absl::StrCat(stage, " cycling");
  cite(rule.cycling_citation);
  node.inputs.push_back(RunTrace(source, point, result.above,
                                 absl::StrCat("lowest stage, ", at(result.above))));
  node.inputs.push_back({.step = {.label = "load factor",
                                  .value = result.cycled.load_factor,
                                  .how = "target load over capacity of the stage"}});
  if (rule.Cycling() == document::CyclingRule::kCoefficientLine) {
    node.inputs.push_back(
        {.step = {.label = "degradation coefficient",
                  .value = result.cycled.coefficient,
                  .how = absl::StrCat(ShortestText(rule.degradation_slope.value),
                                      " x load factor + ",
                                      ShortestText(rule.degradation_intercept.value)),
                  .clause = rule.degradation_slope.citation.source,
                  .basis = rule.degradation_slope.citation.basis}});
  } else {
    node.inputs.push_back(
        NumberNode("cycling coefficient", *rule.cycling_coefficient, context_.inputs));
    node.inputs.push_back(
        {.step = {.label = "factor on the efficiency",
                  .value = result.cycled.coefficient,
                  .how = rule.Cycling() == document::CyclingRule::kLinear
                             ? "1 - coefficient x (1 - load factor)"
                             : "load factor / (coefficient x load factor + 1 - "
                               "coefficient)"}});
  }
  if (rule.cycling_powers.empty()) return node;
  const std::vector<double> conditions_si = ConditionsOf(point, result.above.own_percent);
  node.inputs.push_back(
      {.step = {
           .label = absl::StrJoin(rule.cycling_powers, " + "),
           .value = result.cycled.cycling_w,
           .unit = "W",
           .how = "total power less what goes on",
           .footing = source.Footing(result.above.run.stage, conditions_si).footing}});
  for (TraceNode& power :
       rule_->continuous_powers().Trace(source, result.above.run.stage, conditions_si)) {
    node.inputs.push_back(std::move(power));
  }
  return node;
}

absl::StatusOr<Explanation> LoadPointsForm::Explain(const FigureSource& source) const {
  double full_load_si = full_load_input_si_.value_or(0);
  StageRun full_load;
  if (full_load_point_ >= 0) {
    int failed = -1;
    if (LargestStage(plan_, reader_, source, full_load_point_, full_load, failed) < 0) {
      if (failed < 0) return absl::FailedPreconditionError("the mode has no stages");
      return reader_.WhyNot(source, failed, plan_.ValuesSi(full_load_point_),
                            plan_.Trace(full_load_point_));
    }
    full_load_si = full_load.capacity_si;
  }
  WeightedTotal total(context_.procedure);
  for (int i = 0; i < plan_.point_count(); ++i) {
    const document::LoadPoint& point = context_.procedure.load_points[i];
    WeightedPoint weighted{
        .id = point.id,
        .label = absl::StrCat("point ", point.id, ", ",
                              ShortestText(point.percent_load.value), " % load"),
        .weight = point.weight};
    if (i == full_load_point_) {
      weighted.figure = full_load.figure;
      weighted.trace.step.how =
          absl::StrCat("stage ", reader_.StageId(full_load.stage), " at full load");
      weighted.trace.inputs.push_back(
          RunTrace(source, i, {full_load, 100, -1}, "stage of the largest capacity"));
      weighted.RestsOn(source.Footing(full_load.stage, plan_.ValuesSi(i)));
      total.Add(std::move(weighted));
      continue;
    }
    LoadPointResult result;
    rule_->Reach(plan_, reader_, source, i, points_[i].percent_load, full_load_si,
                 result);
    if (result.gap != LoadGap::kNone) return Gap(source, i, result, full_load_si);
    weighted.figure = result.figure;
    weighted.trace = PointTrace(source, i, result);
    if (result.way == LoadWay::kBetweenStages) {
      weighted.RestsOn(source.Footing(result.below.run.stage,
                                      ConditionsOf(i, result.below.own_percent)));
    }
    weighted.RestsOn(source.Footing(result.above.run.stage,
                                    ConditionsOf(i, result.above.own_percent)));
    total.Add(std::move(weighted));
  }
  Explanation explanation = std::move(total).Take();
  explanation.notes = plan_.Notes();
  return explanation;
}

void LoadPointsForm::FindMissing(const FigureSource& source, MissingData& missing) const {
  MissingSearch search(context_, source, missing);
  for (int i = 0; i < plan_.point_count(); ++i) {
    for (int stage = 0; stage < reader_.stage_count(); ++stage) {
      search.LookForFigures(plan_.point(i), stage, plan_.ValuesSi(i));
    }
  }
  // Beyond what every point needs: what the reached points rest on.
  double full_load_si = full_load_input_si_.value_or(0);
  StageRun full_load;
  int failed = -1;
  if (full_load_point_ >= 0) {
    if (LargestStage(plan_, reader_, source, full_load_point_, full_load, failed) < 0)
      return;
    full_load_si = full_load.capacity_si;
    search.LookAtFooting(plan_.point(full_load_point_), full_load.stage,
                         plan_.ValuesSi(full_load_point_));
  }
  for (int i = 0; i < plan_.point_count(); ++i) {
    if (i == full_load_point_) continue;
    LoadPointResult result;
    rule_->Reach(plan_, reader_, source, i, points_[i].percent_load, full_load_si,
                 result);
    if (result.gap == LoadGap::kPowersNotKnown) {
      search.AskPowers(
          plan_.point(i), result.above.run.stage,
          rule_->continuous_powers().Missing(source, result.above.run.stage,
                                             ConditionsOf(i, result.above.own_percent)));
    }
    if (result.gap != LoadGap::kNone) continue;
    const auto look = [&](const LoadRun& run) {
      PointConditions point = plan_.point(i);
      if (run.own_percent >= 0) {
        point.percent_load = run.own_percent;
        for (const document::CitedCondition& line :
             context_.procedure.part_load->load_lines) {
          point.conditions.insert(point.conditions.begin(), line);
        }
      }
      search.LookAtFooting(point, run.run.stage, ConditionsOf(i, run.own_percent));
    };
    if (result.way == LoadWay::kBetweenStages) look(result.below);
    look(result.above);
  }
}

}  // namespace ratebound::rating
