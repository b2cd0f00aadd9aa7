#include "engine/rating/continuous_powers.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::rating {
namespace {

constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

bool IsAdded(const document::Procedure& procedure, const std::string& name) {
  return std::any_of(
      procedure.added_powers.begin(), procedure.added_powers.end(),
      [&](const document::AddedPower& added) { return added.name == name; });
}

}  // namespace

absl::StatusOr<ContinuousPowers> ContinuousPowers::Create(
    const CompileContext& context, const document::PartLoad& rule) {
  ContinuousPowers powers;
  for (const std::string& name : rule.continuous_powers) {
    // What the procedure adds goes on by an input of its own (StageRun).
    if (IsAdded(context.procedure, name)) continue;
    Power power{.name = name,
                .index = context.description.Find(name),
                .input_w = kUnknown,
                .cycling_input = {}};
    if (context.inputs.Find(name) != nullptr) {
      ASSIGN_OR_RETURN(power.input_w,
                       context.inputs.In(name, context.procedure.power_quantity, "W"));
    }
    for (const document::CyclingPart& part : rule.cycling_parts) {
      if (part.power != name) continue;
      power.cycling_input = part.input;
      power.going_on_part = kUnknown;
      if (context.inputs.Find(part.input) == nullptr) continue;
      ASSIGN_OR_RETURN(const double cycling, context.inputs.Number(part.input));
      if (!(cycling >= 0 && cycling <= 1)) {
        return absl::FailedPreconditionError(
            absl::StrCat("input ", part.input, " must be between 0 and 1"));
      }
      power.going_on_part = 1 - cycling;
    }
    powers.asked_count_ =
        std::max(powers.asked_count_, static_cast<size_t>(power.index + 1));
    powers.powers_.push_back(std::move(power));
  }
  return powers;
}

double ContinuousPowers::PowerW(const Power& power, std::span<const double> figures_si,
                                bool* from_input) const {
  double value_w = power.index >= 0 ? figures_si[power.index] : kUnknown;
  if (from_input != nullptr) *from_input = std::isnan(value_w);
  if (std::isnan(value_w)) value_w = power.input_w;
  return power.going_on_part * value_w;
}

double ContinuousPowers::SumW(const FigureSource& source, int stage,
                              std::span<const double> conditions_si) const {
  std::array<double, kMostQuantities> room;
  const std::span<double> figures_si = std::span(room).first(asked_count_);
  if (asked_count_ > 0 && !source.Figures(stage, conditions_si, figures_si)) {
    return kUnknown;
  }
  double sum_w = 0;
  for (const Power& power : powers_) sum_w += PowerW(power, figures_si);
  return sum_w;
}

std::vector<std::string> ContinuousPowers::Missing(
    const FigureSource& source, int stage, std::span<const double> conditions_si) const {
  std::vector<double> figures_si(asked_count_, kUnknown);
  source.Figures(stage, conditions_si, figures_si);
  std::vector<std::string> missing;
  for (const Power& power : powers_) {
    if (std::isnan(power.going_on_part)) missing.push_back(power.cycling_input);
    const bool measured = power.index >= 0 && !std::isnan(figures_si[power.index]);
    if (!measured && std::isnan(power.input_w)) missing.push_back(power.name);
  }
  return missing;
}

std::vector<TraceNode> ContinuousPowers::Trace(
    const FigureSource& source, int stage, std::span<const double> conditions_si) const {
  std::vector<double> figures_si(asked_count_, kUnknown);
  source.Figures(stage, conditions_si, figures_si);
  std::vector<TraceNode> trace;
  for (const Power& power : powers_) {
    bool from_input = false;
    TraceNode node{.step = {.label = power.name,
                            .value = PowerW(power, figures_si, &from_input),
                            .unit = "W"}};
    node.step.how = from_input ? absl::StrCat("input ", power.name, " of the manifest")
                               : "of the stage";
    if (!from_input) node.step.footing = source.Footing(stage, conditions_si).footing;
    if (!power.cycling_input.empty()) {
      absl::StrAppend(&node.step.how, ", less the part that input ", power.cycling_input,
                      " says is cycled");
    }
    trace.push_back(std::move(node));
  }
  return trace;
}

}  // namespace ratebound::rating
