#include "engine/rating/stage_reader.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/quantity/vocabulary.h"
#include "engine/rating/units.h"

namespace ratebound::rating {
namespace {

using Asked = std::array<double, kMostQuantities>;

bool IsPositive(double value) { return std::isfinite(value) && value > 0; }

std::string ConditionText(std::span<const TraceNode> conditions) {
  std::string text;
  for (const TraceNode& node : conditions) {
    absl::StrAppend(&text, text.empty() ? "" : ", ", node.step.label, " ",
                    base::ShortestText(node.step.value), " ", node.step.unit);
  }
  return text;
}

}  // namespace

absl::StatusOr<StageReader> StageReader::Create(const CompileContext& context) {
  const document::Procedure& procedure = context.procedure;
  const SourceDescription& description = context.description;
  StageReader reader(context);
  reader.capacity_index_ = description.Find(procedure.capacity_quantity);
  reader.power_index_ = description.Find(procedure.power_quantity);
  reader.asked_count_ =
      static_cast<size_t>(std::max(reader.capacity_index_, reader.power_index_) + 1);
  ASSIGN_OR_RETURN(const quantity::Quantity* rated,
                   quantity::FindQuantity(procedure.capacity_quantity));
  const quantity::Unit& capacity_si = quantity::SiUnit(rated->dimension);
  const quantity::Unit& power_si = quantity::SiUnit(quantity::Dimension::kPower);
  reader.capacity_unit_ = capacity_si;
  reader.power_unit_ = power_si;
  if (!procedure.capacity_unit.empty()) {
    ASSIGN_OR_RETURN(reader.capacity_unit_,
                     UnitOf(procedure.capacity_quantity, procedure.capacity_unit));
  }
  if (!procedure.power_unit.empty()) {
    ASSIGN_OR_RETURN(reader.power_unit_,
                     UnitOf(procedure.power_quantity, procedure.power_unit));
  }
  reader.capacity_is_si_ = reader.capacity_unit_ == capacity_si;
  reader.power_is_si_ = reader.power_unit_ == power_si;
  reader.capacity_unit_name_ = std::string(reader.capacity_unit_.name);
  reader.power_unit_name_ = std::string(reader.power_unit_.name);

  std::vector<std::string> names;
  for (const document::AddedPower& added : procedure.added_powers) {
    names.push_back(added.input);
    names.push_back(added.cycling_part_input);
  }
  RETURN_IF_ERROR(context.inputs.Require(names));
  for (const document::AddedPower& added : procedure.added_powers) {
    Added of;
    ASSIGN_OR_RETURN(of.per_capacity, context.inputs.Number(added.input));
    ASSIGN_OR_RETURN(of.cycling_part, context.inputs.Number(added.cycling_part_input));
    if (!(of.per_capacity >= 0)) {
      return absl::FailedPreconditionError(
          absl::StrCat("input ", added.input, " must not be below 0"));
    }
    if (!(of.cycling_part >= 0 && of.cycling_part <= 1)) {
      return absl::FailedPreconditionError(
          absl::StrCat("input ", added.cycling_part_input, " must be between 0 and 1"));
    }
    reader.added_.push_back(of);
  }
  return reader;
}

bool StageReader::Run(const FigureSource& source, int stage,
                      std::span<const double> conditions_si, StageRun& run) const {
  if (capacity_index_ < 0 || power_index_ < 0) return false;
  Asked asked;
  if (!source.Figures(stage, conditions_si, std::span(asked).first(asked_count_))) {
    return false;
  }
  return Count(stage, asked[capacity_index_], asked[power_index_], run);
}

bool StageReader::Count(int stage, double capacity_si, double measured_w,
                        StageRun& run) const {
  run.stage = stage;
  run.capacity_si = capacity_si;
  run.power_w = measured_w;
  run.added_continuous_w = 0;
  if (!IsPositive(run.capacity_si) || !IsPositive(run.power_w)) return false;
  for (const Added& added : added_) {
    const double added_w = added.per_capacity * run.capacity_si;
    run.power_w += added_w;
    run.added_continuous_w += (1 - added.cycling_part) * added_w;
  }
  run.figure = FigureOf(run.capacity_si, run.power_w);
  return true;
}

std::string StageReader::Place(int stage, std::span<const TraceNode> conditions) const {
  return absl::StrCat("stage ", StageId(stage), " of unit ",
                      context_->description.unit.id, " at ", ConditionText(conditions));
}

absl::Status StageReader::WhyNot(const FigureSource& source, int stage,
                                 std::span<const double> conditions_si,
                                 std::span<const TraceNode> conditions) const {
  const std::string place = Place(stage, conditions);
  std::vector<double> figures_si(context_->description.quantities.size());
  if (!source.Figures(stage, conditions_si, figures_si)) {
    const absl::Status why = source.WhyNone(stage, conditions_si);
    if (absl::IsCancelled(why) || absl::IsDeadlineExceeded(why)) return why;
    return absl::FailedPreconditionError(
        absl::StrCat("no figures of ", place, ": ", why.message()));
  }
  const document::Procedure& procedure = context_->procedure;
  for (const auto& [quantity, index, unit] :
       {std::tuple(procedure.capacity_quantity, capacity_index_,
                   std::string(capacity_is_si_ ? capacity_unit_.name : "in SI")),
        std::tuple(procedure.power_quantity, power_index_, std::string("W"))}) {
    if (index < 0 || std::isnan(figures_si[index])) {
      return absl::FailedPreconditionError(absl::StrCat(
          "the procedure rates ", quantity, ", which is not known of ", place));
    }
    if (IsPositive(figures_si[index])) continue;
    return absl::FailedPreconditionError(
        absl::StrCat(quantity, " of ", place, " is ",
                     base::ShortestText(figures_si[index]), " ", unit, ", not above 0"));
  }
  return absl::InternalError(absl::StrCat("no reason was found for ", place));
}

TraceNode StageReader::CapacityNode(std::string label, double capacity_si) const {
  return {.step = {.label = std::move(label),
                   .value = CapacityIn(capacity_si),
                   .unit = capacity_unit_name_}};
}

TraceNode StageReader::PowerNode(std::string label, double power_w) const {
  return {.step = {.label = std::move(label),
                   .value = PowerIn(power_w),
                   .unit = power_unit_name_}};
}

TraceNode StageReader::Trace(const FigureSource& source, const StageRun& run,
                             std::span<const double> conditions_si,
                             std::vector<TraceNode> conditions, std::string how,
                             double percent_load) const {
  const document::Procedure& procedure = context_->procedure;
  FigureFooting footing = source.Footing(run.stage, conditions_si);
  TraceNode node{.step = {.label = absl::StrCat("stage ", StageId(run.stage)),
                          .value = run.figure,
                          .unit = procedure.metric_unit,
                          .how = std::move(how),
                          .footing = footing.footing,
                          .test_points = std::move(footing.test_points)}};
  double measured_w = run.power_w;
  for (const Added& added : added_) measured_w -= added.per_capacity * run.capacity_si;
  if (!added_.empty()) {
    // As it was read, not as it is got back.
    std::vector<double> figures_si(context_->description.quantities.size());
    if (source.Figures(run.stage, conditions_si, figures_si)) {
      measured_w = figures_si[power_index_];
    }
  }
  TraceNode capacity = CapacityNode(procedure.capacity_quantity, run.capacity_si);
  TraceNode power = PowerNode(procedure.power_quantity, measured_w);
  capacity.step.footing = power.step.footing = footing.footing;
  node.inputs.push_back(std::move(capacity));
  node.inputs.push_back(std::move(power));
  for (size_t i = 0; i < added_.size(); ++i) {
    const document::AddedPower& added = procedure.added_powers[i];
    TraceNode allowance = PowerNode(added.name, added_[i].per_capacity * run.capacity_si);
    allowance.step.how = absl::StrCat("input ", added.input, " times capacity");
    allowance.step.clause = added.citation.source;
    allowance.step.basis = added.citation.basis;
    node.inputs.push_back(std::move(allowance));
  }
  if (percent_load > 0) {
    node.inputs.push_back({.step = {.label = "percent load",
                                    .value = percent_load,
                                    .unit = "%",
                                    .how = "capacity over full-load capacity"}});
  }
  for (TraceNode& condition : conditions) node.inputs.push_back(std::move(condition));
  return node;
}

}  // namespace ratebound::rating
