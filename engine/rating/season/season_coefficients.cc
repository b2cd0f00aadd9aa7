#include "engine/rating/season/season_coefficients.h"

#include <cmath>
#include <optional>
#include <string>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/quantity/unit.h"

namespace ratebound::rating {
namespace {

using document::Degradation;
using document::DegradationForm;

// To the nearest multiple, halves away from zero; within one part in 10^12 of a half
// counts as the half, as in rounding.h.
double Rounded(double value, double step) {
  return std::floor(value / step * (1 + 1e-12) + 0.5) * step;
}

TraceNode InputNode(const std::string& name, double value, const char* unit = "") {
  return {.step = {.label = name,
                   .value = value,
                   .unit = unit,
                   .how = absl::StrCat("input ", name, " of the manifest")}};
}

// What was tested, before rounding.
absl::StatusOr<std::optional<double>> Tested(const Degradation& degradation,
                                             const SeasonValues& values,
                                             TraceNode& trace) {
  if (!degradation.tested_input.empty()) {
    ASSIGN_OR_RETURN(const std::optional<double> tested,
                     values.PlainInput(degradation.tested_input));
    if (tested.has_value()) {
      trace.inputs.push_back(InputNode(degradation.tested_input, *tested));
      return tested;
    }
  }
  if (!degradation.cyclic_test.has_value()) return std::optional<double>();
  const document::CyclicTest& test = *degradation.cyclic_test;
  const std::optional<double> cyclic = values.RawInput(test.cyclic_efficiency_input);
  const std::optional<double> steady = values.RawInput(test.steady_efficiency_input);
  ASSIGN_OR_RETURN(const std::optional<double> load_factor,
                   values.PlainInput(test.load_factor_input));
  if (!cyclic && !steady && !load_factor) return std::optional<double>();
  if (!cyclic || !steady || !load_factor) {
    return absl::FailedPreconditionError(
        absl::StrCat("a cyclic test needs all of ", test.cyclic_efficiency_input, ", ",
                     test.steady_efficiency_input, " and ", test.load_factor_input));
  }
  if (!(*steady > 0) || !(*load_factor >= 0 && *load_factor < 1)) {
    return absl::FailedPreconditionError(
        absl::StrCat("a cyclic test needs ", test.steady_efficiency_input,
                     " above 0 and ", test.load_factor_input, " from 0 to below 1"));
  }
  trace.inputs.push_back(InputNode(test.cyclic_efficiency_input, *cyclic));
  trace.inputs.push_back(InputNode(test.steady_efficiency_input, *steady));
  trace.inputs.push_back(InputNode(test.load_factor_input, *load_factor));
  return (1 - *cyclic / *steady) / (1 - *load_factor);
}

absl::StatusOr<double> InHours(const document::CitedValue& value) {
  ASSIGN_OR_RETURN(const quantity::Unit unit,
                   quantity::FindUnit(value.unit, quantity::Dimension::kTime));
  ASSIGN_OR_RETURN(const quantity::Unit hour,
                   quantity::FindUnit("h", quantity::Dimension::kTime));
  return quantity::FromSi(quantity::ToSi(value.value, unit), hour);
}

}  // namespace

absl::StatusOr<SeasonCoefficient> DegradationCoefficient(const Degradation& degradation,
                                                         const SeasonValues& values) {
  const document::CitedValue& fallback = degradation.default_coefficient;
  SeasonCoefficient found{.value = fallback.value,
                          .trace = {.step = {.label = "degradation coefficient",
                                             .clause = fallback.citation.source,
                                             .basis = fallback.citation.basis}}};
  std::string how = "default: it was not tested";
  ASSIGN_OR_RETURN(std::optional<double> tested,
                   Tested(degradation, values, found.trace));
  if (tested.has_value()) {
    double value = *tested < 0 ? 0 : *tested;
    if (degradation.rounding_step.has_value()) {
      value = Rounded(value, degradation.rounding_step->value);
    }
    // The larger coefficient loses more in one form, the smaller in the other.
    const bool worse = degradation.form == DegradationForm::kLinearLoss
                           ? value > fallback.value
                           : value < fallback.value;
    if (degradation.worse_takes_default && worse) {
      found.trace.step.how =
          absl::StrCat("default: the tested ", base::ShortestText(value), " is worse");
    } else {
      found.value = value;
      how = absl::StrCat("tested");
      found.trace.step.clause = degradation.citation.source;
      found.trace.step.basis = degradation.citation.basis;
    }
  }
  if (!(found.value >= 0 && found.value <= 1)) {
    return absl::FailedPreconditionError(absl::StrCat("a degradation coefficient of ",
                                                      base::ShortestText(found.value),
                                                      " is not between 0 and 1"));
  }
  found.trace.step.value = found.value;
  found.trace.step.how = std::move(how);
  return found;
}

absl::StatusOr<SeasonCoefficient> DefrostFactor(const document::DefrostCredit& credit,
                                                const SeasonValues& values) {
  SeasonCoefficient found{
      .value = 1,
      .trace = {.step = {.label = "defrost factor",
                         .value = 1,
                         .how = "no time between defrosts on demand is given",
                         .clause = credit.greatest_gain.citation.source,
                         .basis = credit.greatest_gain.citation.basis}}};
  ASSIGN_OR_RETURN(const std::optional<double> given,
                   values.HoursInput(credit.interval_input));
  if (!given.has_value()) return found;
  ASSIGN_OR_RETURN(const std::optional<double> allowed,
                   values.HoursInput(credit.longest_interval_input));
  if (!allowed.has_value()) {
    return absl::FailedPreconditionError(
        absl::StrCat(credit.interval_input, " needs ", credit.longest_interval_input));
  }
  ASSIGN_OR_RETURN(const double shortest_h, InHours(credit.shortest_interval));
  ASSIGN_OR_RETURN(const double bound_h, InHours(credit.longest_interval));
  const double longest_h = *allowed < bound_h ? *allowed : bound_h;
  double interval_h = *given < shortest_h ? shortest_h : *given;
  if (!(longest_h > shortest_h)) {
    return absl::FailedPreconditionError(
        absl::StrCat(credit.longest_interval_input, " must be above ",
                     base::ShortestText(shortest_h), " h"));
  }
  // A test cannot run longer between defrosts than the controller lets it.
  if (interval_h > longest_h) interval_h = longest_h;
  const double gain = credit.greatest_gain.value;
  found.value = 1 + gain * (1 - (interval_h - shortest_h) / (longest_h - shortest_h));
  found.trace.step.value = found.value;
  found.trace.step.how = absl::StrCat(
      "1 + ", base::ShortestText(gain), " (1 - (", base::ShortestText(interval_h), " - ",
      base::ShortestText(shortest_h), ") / (", base::ShortestText(longest_h), " - ",
      base::ShortestText(shortest_h), "))");
  found.trace.inputs.push_back(InputNode(credit.interval_input, *given, "h"));
  found.trace.inputs.push_back(InputNode(credit.longest_interval_input, *allowed, "h"));
  return found;
}

}  // namespace ratebound::rating
