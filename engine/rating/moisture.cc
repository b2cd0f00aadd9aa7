#include "engine/rating/moisture.h"

#include <cmath>
#include <limits>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/fluid/moist_air.h"
#include "engine/fluid/moist_air_formulation.h"

namespace ratebound::rating {
namespace {

using fluid::PhaseAt;
using fluid::Si;

}  // namespace

absl::StatusOr<StreamHumidity> StreamHumidity::Create(const CompileContext& context,
                                                      const document::HumidityTerm& term,
                                                      double pressure_pa) {
  const std::string& name = term.quantity;
  By by = By::kRatio;
  const char* unit = "kg/kg";
  if (name.ends_with("_wb")) {
    by = By::kWetBulb;
    unit = "degC";
  } else if (name.ends_with("_dew_point")) {
    by = By::kDewPoint;
    unit = "degC";
  } else if (name.ends_with("_relative_humidity")) {
    by = By::kRelativeHumidity;
    unit = "1";
  }
  ASSIGN_OR_RETURN(RunQuantity humidity, RunQuantity::Create(context, name, "", unit));
  StreamHumidity made(by, std::move(humidity), pressure_pa);
  if (by == By::kWetBulb || by == By::kRelativeHumidity) {
    ASSIGN_OR_RETURN(made.dry_bulb_,
                     RunQuantity::Create(context, term.dry_bulb_quantity, "", "degC"));
  }
  return made;
}

double StreamHumidity::Ratio(std::span<const double> figures_si,
                             std::span<const double> conditions_si) const {
  const double humidity = humidity_.In(figures_si, conditions_si);
  const double dry_bulb_c = dry_bulb_ ? dry_bulb_->In(figures_si, conditions_si) : 0;
  if (std::isnan(humidity) || std::isnan(dry_bulb_c)) {
    return std::numeric_limits<double>::quiet_NaN();
  }
  switch (by_) {
    case By::kRatio:
      return humidity;
    case By::kWetBulb:
      return fluid::HumidityRatioFromWetBulb<Si>(dry_bulb_c, humidity, pressure_pa_,
                                                 PhaseAt<Si>(humidity));
    case By::kDewPoint:
      return fluid::HumidityRatioFromDewPoint<Si>(humidity, pressure_pa_,
                                                  PhaseAt<Si>(humidity));
    case By::kRelativeHumidity:
      return fluid::HumidityRatioFromRelativeHumidity<Si>(
          dry_bulb_c, humidity, pressure_pa_, PhaseAt<Si>(dry_bulb_c));
  }
  return humidity;
}

TraceNode StreamHumidity::Trace(const std::string& label,
                                std::span<const double> figures_si,
                                std::span<const double> conditions_si) const {
  TraceNode node{.step = {.label = label,
                          .value = Ratio(figures_si, conditions_si),
                          .unit = "kg/kg",
                          .how = "kilograms of water for each of dry air"}};
  node.inputs.push_back(humidity_.Trace(figures_si, conditions_si));
  if (dry_bulb_) node.inputs.push_back(dry_bulb_->Trace(figures_si, conditions_si));
  return node;
}

absl::StatusOr<AirSideRemoval> AirSideRemoval::Create(
    const CompileContext& context, const document::AirSideMoisture& rule) {
  ASSIGN_OR_RETURN(Term flow, Term::Create(context, rule.flow));
  ASSIGN_OR_RETURN(
      const double pressure,
      context.inputs.ValueIn(rule.barometric_pressure, rule.barometric_pressure_unit));
  ASSIGN_OR_RETURN(
      const quantity::Unit unit,
      quantity::FindUnit(rule.barometric_pressure_unit, quantity::Dimension::kPressure));
  const double pressure_pa = quantity::ToSi(pressure, unit);
  if (!(pressure_pa > 0)) {
    return absl::FailedPreconditionError(
        absl::StrCat("the barometric pressure of procedure ", context.procedure.id,
                     " must be above 0"));
  }
  ASSIGN_OR_RETURN(StreamHumidity entering,
                   StreamHumidity::Create(context, rule.entering, pressure_pa));
  ASSIGN_OR_RETURN(StreamHumidity leaving,
                   StreamHumidity::Create(context, rule.leaving, pressure_pa));
  return AirSideRemoval(rule, std::move(flow), std::move(entering), std::move(leaving));
}

double AirSideRemoval::Value(std::span<const double> figures_si,
                             std::span<const double> conditions_si) const {
  const double entering = entering_.Ratio(figures_si, conditions_si);
  const double leaving = leaving_.Ratio(figures_si, conditions_si);
  const double dry =
      DryAirFlow(flow_.Value(figures_si, conditions_si), rule_.mass, entering, leaving);
  return MoistureRemoval(dry, entering, leaving);
}

TraceNode AirSideRemoval::Trace(std::span<const double> figures_si,
                                std::span<const double> conditions_si,
                                const std::string& label, const std::string& unit) const {
  TraceNode node{
      .step = {.label = label,
               .value = Value(figures_si, conditions_si),
               .unit = unit,
               .how = rule_.mass == document::FlowMass::kDryAir
                          ? "flow of dry air times the fall of humidity ratio"
                          : "flow of moist air, less the vapour in it, times the fall of "
                            "humidity ratio",
               .clause = rule_.citation.source,
               .basis = rule_.citation.basis}};
  for (TraceNode& input : flow_.Trace(figures_si, conditions_si)) {
    node.inputs.push_back(std::move(input));
  }
  node.inputs.push_back(
      entering_.Trace("entering humidity ratio", figures_si, conditions_si));
  node.inputs.push_back(
      leaving_.Trace("leaving humidity ratio", figures_si, conditions_si));
  return node;
}

}  // namespace ratebound::rating
