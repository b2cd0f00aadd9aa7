#include "engine/rating/rate.h"

#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/fault.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/rating/condition_plan.h"
#include "engine/rating/efficiency.h"
#include "engine/rating/part_load.h"
#include "engine/rating/point_figure.h"
#include "engine/rating/procedure_inputs.h"
#include "engine/rating/rounding.h"
#include "engine/rating/scope.h"
#include "engine/rating/stage_run.h"
#include "engine/rating/trace_node.h"
#include "engine/rating/unconfirmed.h"

namespace ratebound::rating {
namespace {

using document::Footing;
using document::LoadPoint;
using document::Procedure;
using document::Rating;

const LoadPoint* FullLoadPoint(const Procedure& procedure) {
  for (const LoadPoint& point : procedure.load_points) {
    if (point.percent_load.value == 100) return &point;
  }
  return nullptr;
}

// What the algorithm takes for granted.
absl::Status CheckProcedure(const Procedure& procedure) {
  base::FaultList faults;
  auto fault = [&](std::string field, std::string message) {
    faults.Add(
        {.file = procedure.id, .field = std::move(field), .message = std::move(message)});
  };
  double weight_sum = 0;
  for (const LoadPoint& point : procedure.load_points) {
    weight_sum += point.weight.value;
    if (!(point.percent_load.value > 0 && point.percent_load.value <= 100)) {
      fault("load_points",
            absl::StrCat("percent_load of ", point.id, " is not in (0, 100]"));
    }
    if (!(point.weight.value > 0)) {
      fault("load_points", absl::StrCat("weight of ", point.id, " is not above 0"));
    }
  }
  if (FullLoadPoint(procedure) == nullptr) {
    fault("load_points", "no point at 100 percent load, which all others are a part of");
  }
  if (std::fabs(weight_sum - procedure.weight_sum) > 1e-9) {
    fault("weight_sum",
          absl::StrCat("the weights add up to ", base::ShortestText(weight_sum), ", not ",
                       base::ShortestText(procedure.weight_sum)));
  }
  if (procedure.load_points.size() > 1 && !procedure.part_load) {
    fault("part_load", "missing in a procedure of more than one point");
  }
  if (!(procedure.unit_constant.value > 0)) fault("unit_constant", "is not above 0");
  if (!(procedure.rounding_step.value > 0)) fault("rounding_step", "is not above 0");
  return faults.ToStatus();
}

// The stage of the largest capacity at full-load conditions; of equal ones the later.
absl::StatusOr<StageRun> RunFullLoad(const ConditionPlan& plan, const LoadPoint& point,
                                     StageRunner& runner) {
  ASSIGN_OR_RETURN(const RunConditions conditions, plan.AtPoint(point));
  std::optional<StageRun> largest;
  for (int stage = 0; stage < runner.stage_count(); ++stage) {
    ASSIGN_OR_RETURN(StageRun run, runner.Run(stage, conditions));
    if (!largest || run.capacity_w >= largest->capacity_w) largest = std::move(run);
  }
  if (!largest) return absl::FailedPreconditionError("the mode has no stages");
  runner.SetFullLoad(largest->capacity_w);
  return runner.Run(largest->stage, conditions);
}

PointFigure FullLoadFigure(const StageRunner& runner, const StageRun& run) {
  PointFigure point{.figure = run.figure};
  point.RestsOn(run);
  point.trace.step.how =
      absl::StrCat("stage ", runner.StageId(run.stage), " at full load");
  point.trace.inputs.push_back(runner.Trace(run, "stage of the largest capacity"));
  return point;
}

// Weighted figures, added in the order of the points.
class Total {
 public:
  explicit Total(const Procedure& procedure) : procedure_(procedure) {}

  void Add(const LoadPoint& point, PointFigure figure) {
    const double weight = point.weight.value;
    sum_ += IsSpecificPower(procedure_) ? weight / figure.figure : weight * figure.figure;
    terms_.push_back(absl::StrCat(base::ShortestText(weight),
                                  IsSpecificPower(procedure_) ? " / " : " x ", point.id));
    if (document::Weaker(footing_, figure.footing) != footing_) {
      footing_reason_ =
          absl::StrCat("point ", point.id, " is ", document::FootingName(figure.footing));
      if (!figure.footing_reason.empty()) {
        absl::StrAppend(&footing_reason_, ": ", figure.footing_reason);
      }
    }
    footing_ = document::Weaker(footing_, figure.footing);

    TraceNode node = std::move(figure.trace);
    node.step.label =
        absl::StrCat("point ", point.id, ", ",
                     base::ShortestText(point.percent_load.value), " % load");
    node.step.value = figure.figure;
    node.step.unit = procedure_.metric_unit;
    node.step.footing = figure.footing;
    node.inputs.insert(node.inputs.begin(), StatedNode("weight", point.weight));
    inputs_.push_back(std::move(node));
  }

  double value() const { return IsSpecificPower(procedure_) ? 1 / sum_ : sum_; }
  Footing footing() const { return footing_; }
  const std::string& footing_reason() const { return footing_reason_; }

  TraceNode Trace() const {
    const std::string sum = absl::StrJoin(terms_, " + ");
    return {.step = {.label = procedure_.metric,
                     .value = value(),
                     .unit = procedure_.metric_unit,
                     .how = IsSpecificPower(procedure_) ? absl::StrCat("1 / (", sum, ")")
                                                        : sum,
                     .clause = procedure_.aggregation_citation.source,
                     .basis = procedure_.aggregation_citation.basis,
                     .footing = footing_},
            .inputs = inputs_};
  }

 private:
  const Procedure& procedure_;
  double sum_ = 0;
  std::vector<std::string> terms_;
  Footing footing_ = Footing::kUnspecified;
  std::string footing_reason_;
  std::vector<TraceNode> inputs_;
};

absl::Status CheckPublished(const Rating& rating) {
  if (rating.unconfirmed_numbers.empty()) return absl::OkStatus();
  return absl::FailedPreconditionError(
      absl::StrCat("only published text was asked for, and procedure ", rating.procedure,
                   " rests on ", rating.unconfirmed_numbers.size(),
                   " facts that were not read in the published document: ",
                   absl::StrJoin(rating.unconfirmed_numbers, "; ")));
}

// The inputs that size added powers: all given, and in their ranges.
absl::Status CheckAddedPowers(const Procedure& procedure, const ProcedureInputs& inputs) {
  std::vector<std::string> names;
  for (const document::AddedPower& added : procedure.added_powers) {
    names.push_back(added.input);
    names.push_back(added.cycling_part_input);
  }
  RETURN_IF_ERROR(inputs.Require(names));
  for (const document::AddedPower& added : procedure.added_powers) {
    ASSIGN_OR_RETURN(const double per_capacity, inputs.Number(added.input));
    ASSIGN_OR_RETURN(const double cycling_part, inputs.Number(added.cycling_part_input));
    if (!(per_capacity >= 0)) {
      return absl::FailedPreconditionError(
          absl::StrCat("input ", added.input, " must not be below 0"));
    }
    if (!(cycling_part >= 0 && cycling_part <= 1)) {
      return absl::FailedPreconditionError(
          absl::StrCat("input ", added.cycling_part_input, " must be between 0 and 1"));
    }
  }
  return absl::OkStatus();
}

// Fills value, footing, trace and notes. FAILED_PRECONDITION is a refusal.
absl::Status Compute(const Procedure& procedure, const RatedUnit& rated_unit,
                     Rating& rating) {
  RETURN_IF_ERROR(CheckScope(procedure, rated_unit));
  const ProcedureInputs inputs(procedure, rated_unit.unit);
  ASSIGN_OR_RETURN(const ConditionPlan plan,
                   ConditionPlan::Create(procedure, rated_unit, inputs));
  RETURN_IF_ERROR(CheckAddedPowers(procedure, inputs));
  StageRunner runner(procedure, rated_unit, inputs);
  const LoadPoint& full_load = *FullLoadPoint(procedure);
  ASSIGN_OR_RETURN(const StageRun full_load_run, RunFullLoad(plan, full_load, runner));

  Total total(procedure);
  for (const LoadPoint& point : procedure.load_points) {
    if (&point == &full_load) {
      total.Add(point, FullLoadFigure(runner, full_load_run));
      continue;
    }
    ASSIGN_OR_RETURN(PointFigure figure,
                     RatePartLoad(procedure, inputs, plan, runner, point));
    total.Add(point, std::move(figure));
  }

  rating.value = total.value();
  rating.rounded = RoundedText(total.value(), procedure.rounding_step.value);
  rating.footing = total.footing();
  rating.trace = Flatten(total.Trace());
  for (std::string& note : plan.Notes()) rating.notes.push_back(std::move(note));
  const bool shown = rating.footing <= Footing::kInterpolated;
  if (!shown) rating.notes.push_back(total.footing_reason());
  return absl::OkStatus();
}

}  // namespace

absl::StatusOr<Rating> RateUnit(const Procedure& procedure, const RatedUnit& rated_unit,
                                const RateOptions& options) {
  RETURN_IF_ERROR(CheckProcedure(procedure));
  Rating rating{.unit = rated_unit.unit.id,
                .procedure = procedure.id,
                .edition = absl::StrCat(procedure.document, " ", procedure.edition),
                .metric = procedure.metric,
                .metric_unit = procedure.metric_unit,
                .unconfirmed_numbers = UnconfirmedNumbers(procedure),
                .notes = procedure.notes};
  if (!rating.unconfirmed_numbers.empty()) {
    rating.notes.push_back(absl::StrCat("rests on ", rating.unconfirmed_numbers.size(),
                                        " facts of the procedure that were not read in "
                                        "the published document; confirm them",
                                        " against a licensed copy before publication"));
  }
  absl::Status done = options.published_only ? CheckPublished(rating) : absl::OkStatus();
  if (done.ok()) done = Compute(procedure, rated_unit, rating);
  if (done.ok()) return rating;
  if (!absl::IsFailedPrecondition(done)) return done;
  rating.refusal = std::string(done.message());
  return rating;
}

}  // namespace ratebound::rating
