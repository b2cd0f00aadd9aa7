// The numbers of a season that do not depend on its tests.
#include <cmath>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"
#include "engine/rating/season/season_coefficients.h"
#include "engine/rating/season/season_compiler.h"

namespace ratebound::rating {

using document::SeasonNumber;

// W of one unit of power; 1 for no unit.
static absl::StatusOr<double> WattsOf(const std::string& unit) {
  if (unit.empty()) return 1.0;
  ASSIGN_OR_RETURN(const quantity::Unit found,
                   quantity::FindUnit(unit, quantity::Dimension::kPower));
  return quantity::ToSi(1, found);
}

absl::Status SeasonCompiler::FindNumbers() {
  RETURN_IF_ERROR(FindBins());
  RETURN_IF_ERROR(FindLoad());
  RETURN_IF_ERROR(FindOnParts());
  RETURN_IF_ERROR(FindStageLock());
  RETURN_IF_ERROR(FindCoefficients());
  return FindYear();
}

absl::Status SeasonCompiler::FindBins() {
  if (!climate_.bins.has_value()) {
    return absl::FailedPreconditionError(absl::StrCat(
        "the hourly temperatures of climate ", climate_.id,
        climate_.hourly.has_value() ? absl::StrCat(" in ", climate_.hourly->path) : "",
        " have not been read"));
  }
  // Bins without weight add nothing, and may lie where the unit is not mapped.
  for (const document::Bin& bin : climate_.bins->bins) {
    if (bin.weight > 0) {
      base_.bins.push_back({.temperature = bin.temperature, .weight = bin.weight});
    }
  }
  if (base_.bins.empty()) {
    return absl::InvalidArgumentError(
        absl::StrCat("climate ", climate_.id, " has no bin with weight"));
  }
  return absl::OkStatus();
}

double SeasonCompiler::PartOfLoad(double temperature) const {
  const document::SeasonLoad& load = season_.load;
  const double way =
      (temperature - first_temperature_) / (second_temperature_ - first_temperature_);
  double part =
      load.first_part.value + (load.second_part.value - load.first_part.value) * way;
  const double least = load.least_part.has_value() ? load.least_part->value : 0;
  if (part < least) part = least;
  if (load.greatest_part.has_value() && part > load.greatest_part->value) {
    part = load.greatest_part->value;
  }
  return part;
}

absl::Status SeasonCompiler::FindLoad() {
  const document::SeasonLoad& load = season_.load;
  ASSIGN_OR_RETURN(const std::optional<double> first,
                   values_.Temperature(load.first_temperature));
  ASSIGN_OR_RETURN(const std::optional<double> second,
                   values_.Temperature(load.second_temperature));
  double scale = 1;
  for (const SeasonNumber& factor : load.factors) {
    ASSIGN_OR_RETURN(const std::optional<double> value, values_.Plain(factor));
    scale *= value.value_or(1);
  }
  for (const SeasonNumber& divisor : load.divisors) {
    ASSIGN_OR_RETURN(const std::optional<double> value, values_.Plain(divisor));
    scale /= value.value_or(1);
  }
  if (load.design_load.has_value()) {
    ASSIGN_OR_RETURN(const std::optional<double> size, values_.PowerW(*load.design_load));
    if (size.has_value() && !(*size > 0)) {
      return absl::FailedPreconditionError("the design load must be above 0");
    }
    base_.load.size = scale * size.value_or(1);
  } else {
    base_.load.size_test =
        TestIndex(load.capacity_of.empty() ? load.balance_at : load.capacity_of);
    base_.load.size = scale;
    if (base_.load.size_test < 0) {
      return absl::InvalidArgumentError("the size of the load names no test");
    }
  }
  if (!first.has_value() || !second.has_value()) return absl::OkStatus();  // missing
  if (*first == *second) {
    return absl::FailedPreconditionError(
        "the two temperatures of the load are the same, so that they give no line");
  }
  first_temperature_ = *first;
  second_temperature_ = *second;
  const double rise = load.second_part.value - load.first_part.value;
  base_.load.slope = rise / (*second - *first);
  base_.load.at_zero = load.first_part.value - base_.load.slope * *first;
  if (!(scale > 0) || !std::isfinite(scale)) {
    return absl::FailedPreconditionError("the factors on the load must be above 0");
  }
  for (BinPlan& bin : base_.bins) {
    bin.load_part = PartOfLoad(bin.temperature);
  }
  if (!load.balance_at.empty()) {
    const double part = PartOfLoad(compiled_.tests[base_.load.size_test].temperature);
    if (!(part > 0)) {
      return absl::FailedPreconditionError(absl::StrCat(
          "test ", load.balance_at, " is where there is no load, and so cannot set it"));
    }
    base_.load.size /= part;
  }
  return absl::OkStatus();
}

absl::Status SeasonCompiler::FindOnParts() {
  base_.unmet_load = season_.unmet_load;
  if (!season_.cut_out.has_value()) return absl::OkStatus();
  const document::CutOut& cut_out = *season_.cut_out;
  if (season_.unmet_load == document::UnmetLoad::kAtUnitEfficiency) {
    return absl::InvalidArgumentError(
        "load at the unit's efficiency has none where the unit is cut out");
  }
  base_.off_below_backup = cut_out.off_below_backup;
  ASSIGN_OR_RETURN(const std::optional<double> off,
                   values_.Temperature(cut_out.off_temperature));
  std::optional<double> on;
  if (cut_out.on_temperature.has_value()) {
    ASSIGN_OR_RETURN(on, values_.Temperature(*cut_out.on_temperature));
  }
  if (!off.has_value()) return absl::OkStatus();
  if (on.has_value() && *on < *off) {
    return absl::FailedPreconditionError(
        "the temperature at which the unit comes on again is below the one at which it "
        "goes off");
  }
  for (BinPlan& bin : base_.bins) {
    const bool is_off =
        bin.temperature < *off || (cut_out.off_at_temperature && bin.temperature == *off);
    if (is_off) {
      bin.on_part = 0;
    } else if (on.has_value() && bin.temperature <= *on && bin.temperature > *off) {
      bin.on_part = cut_out.between_part.has_value() ? cut_out.between_part->value : 1;
    }
  }
  return absl::OkStatus();
}

absl::Status SeasonCompiler::FindStageLock() {
  if (!season_.staged.has_value()) return absl::OkStatus();
  const document::StagedBins& staged = *season_.staged;
  base_.between = staged.between.value_or(document::BetweenStages::kAlternate);
  std::optional<double> above;
  std::optional<double> below;
  if (staged.lowest_locked_above.has_value()) {
    ASSIGN_OR_RETURN(above, values_.Temperature(*staged.lowest_locked_above));
  }
  if (staged.lowest_locked_below.has_value()) {
    ASSIGN_OR_RETURN(below, values_.Temperature(*staged.lowest_locked_below));
  }
  for (BinPlan& bin : base_.bins) {
    const bool locked = (above.has_value() && bin.temperature > *above) ||
                        (below.has_value() && bin.temperature < *below);
    if (locked) bin.lowest = 1;
  }
  return absl::OkStatus();
}

absl::Status SeasonCompiler::FindCoefficients() {
  const auto find = [&](const document::Degradation& degradation, const char* label,
                        DegradationPlan& plan) -> absl::Status {
    ASSIGN_OR_RETURN(SeasonCoefficient found,
                     DegradationCoefficient(degradation, values_));
    plan = {degradation.form, found.value};
    found.trace.step.label = label;
    compiled_.numbers.push_back(std::move(found.trace));
    return absl::OkStatus();
  };
  if (season_.degradation.has_value()) {
    RETURN_IF_ERROR(
        find(*season_.degradation, "degradation coefficient", base_.degradation));
  }
  base_.highest_stage_degradation = base_.degradation;
  if (season_.highest_stage_degradation.has_value()) {
    RETURN_IF_ERROR(find(*season_.highest_stage_degradation,
                         "degradation coefficient of the highest stage",
                         base_.highest_stage_degradation));
  }
  if (season_.defrost_credit.has_value()) {
    ASSIGN_OR_RETURN(SeasonCoefficient factor,
                     DefrostFactor(*season_.defrost_credit, values_));
    base_.defrost_factor = factor.value;
    compiled_.numbers.push_back(std::move(factor.trace));
  }
  return absl::OkStatus();
}

absl::Status SeasonCompiler::FindYear() {
  const document::Procedure& procedure = context_.procedure;
  if (season_.rated_figure != document::SeasonFigureKind::kSpace) {
    ASSIGN_OR_RETURN(const double capacity_unit_w, WattsOf(procedure.capacity_unit));
    ASSIGN_OR_RETURN(const double power_unit_w, WattsOf(procedure.power_unit));
    base_.unit_factor = procedure.unit_constant.value * power_unit_w / capacity_unit_w;
  }
  if (season_.backup.has_value()) {
    base_.backup_efficiency = season_.backup->efficiency.value / base_.unit_factor;
    base_.backup_power = 1 / base_.backup_efficiency;
  }
  if (season_.demand_hours.has_value()) {
    ASSIGN_OR_RETURN(const std::optional<double> hours,
                     values_.Hours(*season_.demand_hours));
    base_.demand_hours = hours.value_or(0);
    compiled_.demand_hours = hours;
  }
  for (const document::IdleMode& mode : season_.idle_modes) {
    ASSIGN_OR_RETURN(const std::optional<double> hours, values_.Hours(mode.hours));
    ASSIGN_OR_RETURN(const std::optional<double> power_w, values_.PowerW(mode.power));
    if (hours.value_or(0) < 0 || power_w.value_or(0) < 0) {
      return absl::FailedPreconditionError(
          absl::StrCat("hours and power of ", mode.name, " must not be below 0"));
    }
    base_.idle_modes.push_back({hours.value_or(0), power_w.value_or(0)});
  }
  if (!season_.space_efficiency.has_value()) return absl::OkStatus();
  base_.conversion_coefficient = season_.space_efficiency->conversion_coefficient.value;
  for (const document::EfficiencyCorrection& correction :
       season_.space_efficiency->corrections) {
    ASSIGN_OR_RETURN(const std::optional<double> part, values_.Plain(correction.part));
    base_.corrections += part.value_or(0);
  }
  return absl::OkStatus();
}

}  // namespace ratebound::rating
