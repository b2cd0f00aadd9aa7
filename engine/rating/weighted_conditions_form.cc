#include "engine/rating/weighted_conditions_form.h"

#include <array>
#include <cmath>
#include <limits>

#include "absl/strings/str_cat.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/check_weights.h"
#include "engine/rating/missing.h"
#include "engine/rating/weighted_total.h"

namespace ratebound::rating {
namespace {

using base::ShortestText;
using document::ConditionPoint;
using document::MixedFigure;
using document::StageRule;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

absl::Status CheckPoints(const document::Procedure& procedure,
                         const document::WeightedConditions& rules) {
  base::FaultList faults;
  std::vector<PointWeight> weights;
  for (const ConditionPoint& point : rules.points) {
    weights.push_back({point.id, point.weight.value});
  }
  CheckWeights(procedure, "weighted_conditions.points", weights, faults);
  CheckConstants(procedure, faults);
  if (rules.stage_rule == StageRule::kMixedToTarget && !rules.target) {
    faults.Add({.file = procedure.id,
                .field = "weighted_conditions.target",
                .message = "is missing"});
  }
  return faults.ToStatus();
}

}  // namespace

absl::StatusOr<std::unique_ptr<MetricForm>> WeightedConditionsForm::Create(
    const CompileContext& context) {
  const document::Procedure& procedure = context.procedure;
  const auto& rules = std::get<document::WeightedConditions>(procedure.form);
  RETURN_IF_ERROR(CheckPoints(procedure, rules));
  std::vector<PointConditions> points;
  for (const ConditionPoint& point : rules.points) {
    points.push_back({.id = point.id, .conditions = point.conditions});
  }
  ASSIGN_OR_RETURN(ConditionPlan plan,
                   ConditionPlan::Create(procedure, context.description, context.inputs,
                                         std::move(points)));
  ASSIGN_OR_RETURN(StageReader reader, StageReader::Create(context));
  auto form = std::unique_ptr<WeightedConditionsForm>(
      new WeightedConditionsForm(context, rules, std::move(plan), std::move(reader)));
  RETURN_IF_ERROR(form->AddRules());
  return form;
}

absl::Status WeightedConditionsForm::AddRules() {
  for (const ConditionPoint& point : rules_.points) {
    weights_.push_back(point.weight.value);
  }
  if (rules_.stage_rule == StageRule::kMixedToTarget) {
    const document::MixtureTarget& target = *rules_.target;
    ASSIGN_OR_RETURN(target_quantity_,
                     RunQuantity::Create(context_, target.quantity, "", target.unit));
    ASSIGN_OR_RETURN(target_, context_.inputs.ValueIn(target.target, target.unit));
    ASSIGN_OR_RETURN(tolerance_, context_.inputs.ValueOf(target.tolerance));
    if (context_.inputs.Find(target.cycling_factor_input) != nullptr) {
      ASSIGN_OR_RETURN(cycling_factor_,
                       context_.inputs.Number(target.cycling_factor_input));
      if (!(*cycling_factor_ > 0 && *cycling_factor_ <= 1)) {
        return absl::FailedPreconditionError(absl::StrCat(
            "input ", target.cycling_factor_input, " must be above 0 and at most 1"));
      }
    }
  }
  const bool mapped =
      context_.description.Find(context_.procedure.capacity_quantity) >= 0;
  if (rules_.air_side_moisture && !mapped) {
    ASSIGN_OR_RETURN(AirSideRemoval removal,
                     AirSideRemoval::Create(context_, *rules_.air_side_moisture));
    air_side_.emplace(std::move(removal));
  }
  for (const document::SupplyAirAddition& addition : rules_.supply_air_additions) {
    ASSIGN_OR_RETURN(SupplyAirTerm term, SupplyAirTerm::Create(context_, addition));
    additions_.push_back(std::move(term));
  }
  return absl::OkStatus();
}

WeightedConditionsForm::Gap WeightedConditionsForm::Count(const FigureSource& source,
                                                          int point, int stage,
                                                          Counted& counted) const {
  const std::span<const double> conditions_si = plan_.ValuesSi(point);
  const bool plain = !air_side_ && additions_.empty() && !target_quantity_;
  if (plain) {
    return reader_.Run(source, stage, conditions_si, counted.run) ? Gap::kNone
                                                                  : Gap::kNoFigures;
  }
  std::array<double, kMostQuantities> room;
  const std::span<double> figures_si =
      std::span(room).first(context_.description.quantities.size());
  if (!source.Figures(stage, conditions_si, figures_si)) return Gap::kNoFigures;
  const auto figure = [&](const std::string& quantity) {
    const int index = context_.description.Find(quantity);
    return index < 0 ? kNone : figures_si[index];
  };
  double capacity_si =
      air_side_ ? reader_.CapacityToSi(air_side_->Value(figures_si, conditions_si))
                : figure(context_.procedure.capacity_quantity);
  double power_w = figure(context_.procedure.power_quantity);
  if (std::isnan(capacity_si) || std::isnan(power_w)) return Gap::kNoFigures;
  for (const SupplyAirTerm& addition : additions_) {
    const double heat_w = addition.HeatW(figures_si, conditions_si);
    capacity_si += addition.InCapacityW(heat_w);
    power_w += addition.InPowerW(heat_w);
  }
  if (std::isnan(power_w)) return Gap::kAdditions;
  if (!reader_.Count(stage, capacity_si, power_w, counted.run)) return Gap::kNoFigures;
  if (!target_quantity_) return Gap::kNone;
  counted.target = target_quantity_->In(figures_si, conditions_si);
  return std::isnan(counted.target) ? Gap::kNoTarget : Gap::kNone;
}

WeightedConditionsForm::Reached WeightedConditionsForm::Reach(const FigureSource& source,
                                                              int point) const {
  Reached reached{.figure = kNone};
  const bool mixes = target_quantity_.has_value();
  bool has_lower = false;
  bool has_upper = false;
  double nearest = std::numeric_limits<double>::infinity();
  Counted on_target;
  for (int stage = 0; stage < reader_.stage_count(); ++stage) {
    Counted counted;
    reached.gap = Count(source, point, stage, counted);
    reached.gap_stage = stage;
    if (reached.gap != Gap::kNone) return reached;
    if (!mixes) {
      if (has_upper && counted.run.capacity_si < reached.upper.run.capacity_si) continue;
      has_upper = true;
      reached.upper = counted;
      continue;
    }
    const double distance = std::fabs(counted.target - target_);
    if (distance <= tolerance_ && distance < nearest) {
      nearest = distance;
      on_target = counted;
    }
    const bool is_lower = counted.target <= target_;
    bool& has = is_lower ? has_lower : has_upper;
    Counted& side = is_lower ? reached.lower : reached.upper;
    if (has && distance >= std::fabs(side.target - target_)) continue;
    has = true;
    side = counted;
  }
  if (!has_lower && !has_upper) {
    reached.gap = Gap::kNoStages;
    return reached;
  }
  if (!mixes) {
    reached.figure = reached.upper.run.figure;
    return reached;
  }
  if (nearest <= tolerance_) {
    reached.way = Way::kOnTarget;
    reached.upper = on_target;
    reached.figure = on_target.run.figure;
    return reached;
  }
  if (!has_lower) {
    reached.gap = Gap::kAboveTarget;
    return reached;
  }
  if (has_upper) {
    Mix(reached);
    return reached;
  }
  if (!cycling_factor_) {
    reached.gap = Gap::kBelowTarget;
    return reached;
  }
  reached.way = Way::kCycling;
  reached.upper = reached.lower;
  reached.figure = reader_.rule().Scaled(reached.upper.run.figure, *cycling_factor_);
  return reached;
}

void WeightedConditionsForm::Mix(Reached& reached) const {
  const Counted& lower = reached.lower;
  const Counted& upper = reached.upper;
  const double x = (upper.target - target_) / (upper.target - lower.target);
  const auto mean = [x](double a, double b) { return x * a + (1 - x) * b; };
  reached.way = Way::kMixed;
  reached.lower_part = x;
  reached.figure =
      rules_.target->mixed == MixedFigure::kEfficiency
          ? mean(lower.run.figure, upper.run.figure)
          : reader_.FigureOf(mean(lower.run.capacity_si, upper.run.capacity_si),
                             mean(lower.run.power_w, upper.run.power_w));
}

double WeightedConditionsForm::Value(const FigureSource& source) const {
  const bool specific_power = reader_.rule().specific_power();
  double sum = 0;
  for (int i = 0; i < plan_.point_count(); ++i) {
    const Reached reached = Reach(source, i);
    if (reached.gap != Gap::kNone) return kNone;
    sum += specific_power ? weights_[i] / reached.figure : weights_[i] * reached.figure;
  }
  return specific_power ? 1 / sum : sum;
}

absl::Status WeightedConditionsForm::Why(const FigureSource& source, int point,
                                         const Reached& reached) const {
  const std::vector<TraceNode> conditions = plan_.Trace(point);
  const auto place = [&] { return reader_.Place(reached.gap_stage, conditions); };
  const std::string target =
      rules_.target ? absl::StrCat(rules_.target->quantity, " of ", ShortestText(target_),
                                   " ", rules_.target->unit)
                    : "";
  const std::string id = plan_.point(point).id;
  switch (reached.gap) {
    case Gap::kNone:
      break;
    case Gap::kNoStages:
      return absl::FailedPreconditionError("the mode has no stages");
    case Gap::kNoFigures: {
      if (!air_side_) {
        return reader_.WhyNot(source, reached.gap_stage, plan_.ValuesSi(point),
                              conditions);
      }
      std::vector<double> figures_si(context_.description.quantities.size());
      if (!source.Figures(reached.gap_stage, plan_.ValuesSi(point), figures_si)) {
        return reader_.WhyNot(source, reached.gap_stage, plan_.ValuesSi(point),
                              conditions);
      }
      return absl::FailedPreconditionError(absl::StrCat(
          context_.procedure.capacity_quantity, " of ", place(), " by the air side is ",
          ShortestText(air_side_->Value(figures_si, plan_.ValuesSi(point))), " ",
          reader_.capacity_unit_name(),
          ", or its power is not known; both must be above 0"));
    }
    case Gap::kNoTarget:
      return absl::FailedPreconditionError(
          absl::StrCat("the procedure mixes stages to a ", target,
                       ", which is not known of ", place()));
    case Gap::kAboveTarget:
      return absl::FailedPreconditionError(
          absl::StrCat("point ", id, ": no stage comes down to a ", target));
    case Gap::kBelowTarget:
      return absl::FailedPreconditionError(
          absl::StrCat("point ", id, ": every stage is below a ", target,
                       rules_.target->cycling_factor_input.empty()
                           ? ", and the procedure has no figure for a unit that cycles"
                           : absl::StrCat(", so the unit cycles; give ",
                                          rules_.target->cycling_factor_input,
                                          " among its procedure_inputs")));
    case Gap::kAdditions:
      return absl::FailedPreconditionError(
          absl::StrCat("what the supply air lacks is not known of ", place(),
                       ": its flow or temperature was not measured"));
  }
  return absl::InternalError("a point without a gap was taken for one with");
}

TraceNode WeightedConditionsForm::RunTrace(const FigureSource& source, int point,
                                           const Counted& counted,
                                           const std::string& how) const {
  const std::span<const double> conditions_si = plan_.ValuesSi(point);
  TraceNode node =
      reader_.Trace(source, counted.run, conditions_si, plan_.Trace(point), how);
  if (!air_side_ && additions_.empty() && !target_quantity_) return node;
  std::vector<double> figures_si(context_.description.quantities.size());
  source.Figures(counted.run.stage, conditions_si, figures_si);
  if (air_side_) {
    node.inputs.push_back(air_side_->Trace(figures_si, conditions_si,
                                           "moisture removal by the air side",
                                           reader_.capacity_unit_name()));
  }
  // The first two are capacity and power.
  if (!additions_.empty()) {
    node.inputs[0].step.how = node.inputs[1].step.how = "with what the procedure adds";
  }
  for (const SupplyAirTerm& addition : additions_) {
    node.inputs.push_back(addition.Trace(figures_si, conditions_si));
  }
  if (target_quantity_) {
    node.inputs.push_back(target_quantity_->Trace(figures_si, conditions_si));
  }
  return node;
}

absl::StatusOr<Explanation> WeightedConditionsForm::Explain(
    const FigureSource& source) const {
  WeightedTotal total(context_.procedure);
  for (int i = 0; i < plan_.point_count(); ++i) {
    const Reached reached = Reach(source, i);
    if (reached.gap != Gap::kNone) return Why(source, i, reached);
    const ConditionPoint& point = rules_.points[i];
    WeightedPoint weighted{.id = point.id,
                           .label = absl::StrCat("point ", point.id),
                           .weight = point.weight,
                           .figure = reached.figure};
    document::TraceStep& step = weighted.trace.step;
    const std::string upper =
        absl::StrCat("stage ", reader_.StageId(reached.upper.run.stage));
    const document::Citation& citation =
        rules_.target ? rules_.target->citation : rules_.citation;
    step.clause = citation.source;
    step.basis = citation.basis;
    std::string how = "at the point's conditions";
    switch (reached.way) {
      case Way::kLargest:
        step.how = absl::StrCat(upper, ", of the largest capacity");
        break;
      case Way::kOnTarget:
        step.how = absl::StrCat(upper, ", which meets the target");
        break;
      case Way::kCycling:
        step.how = absl::StrCat(upper, " cycling, by the factor ",
                                ShortestText(*cycling_factor_), " of input ",
                                rules_.target->cycling_factor_input);
        break;
      case Way::kMixed:
        step.how = absl::StrCat("stages ", reader_.StageId(reached.lower.run.stage),
                                " and ", reader_.StageId(reached.upper.run.stage),
                                " mixed to ", rules_.target->quantity, " ",
                                ShortestText(target_), " ", rules_.target->unit);
        weighted.trace.inputs.push_back(
            {.step = {.label = absl::StrCat("part of the time in stage ",
                                            reader_.StageId(reached.lower.run.stage)),
                      .value = reached.lower_part}});
        weighted.trace.inputs.push_back(RunTrace(source, i, reached.lower, how));
        weighted.RestsOn(source.Footing(reached.lower.run.stage, plan_.ValuesSi(i)));
        break;
    }
    weighted.trace.inputs.push_back(RunTrace(source, i, reached.upper, how));
    weighted.RestsOn(source.Footing(reached.upper.run.stage, plan_.ValuesSi(i)));
    total.Add(std::move(weighted));
  }
  Explanation explanation = std::move(total).Take();
  explanation.notes = plan_.Notes();
  return explanation;
}

void WeightedConditionsForm::FindMissing(const FigureSource& source,
                                         MissingData& missing) const {
  MissingSearch search(context_, source, missing);
  std::vector<std::string> needed = {context_.procedure.power_quantity};
  if (!air_side_) needed.insert(needed.begin(), context_.procedure.capacity_quantity);
  const auto need = [&](const std::string& quantity) {
    if (context_.description.Find(quantity) >= 0) needed.push_back(quantity);
  };
  if (target_quantity_) need(rules_.target->quantity);
  if (air_side_) {
    need(rules_.air_side_moisture->flow.quantity);
    need(rules_.air_side_moisture->entering.quantity);
    need(rules_.air_side_moisture->leaving.quantity);
  }
  for (int i = 0; i < plan_.point_count(); ++i) {
    for (int stage = 0; stage < reader_.stage_count(); ++stage) {
      search.LookForFigures(plan_.point(i), stage, plan_.ValuesSi(i), needed);
    }
    const Reached reached = Reach(source, i);
    if (reached.gap == Gap::kBelowTarget &&
        !rules_.target->cycling_factor_input.empty()) {
      const std::vector<std::string> input = {rules_.target->cycling_factor_input};
      search.AskPowers(plan_.point(i), 0, input);
    }
    if (reached.gap != Gap::kNone) continue;
    if (reached.way == Way::kMixed) {
      search.LookAtFooting(plan_.point(i), reached.lower.run.stage, plan_.ValuesSi(i));
    }
    search.LookAtFooting(plan_.point(i), reached.upper.run.stage, plan_.ValuesSi(i));
  }
}

}  // namespace ratebound::rating
