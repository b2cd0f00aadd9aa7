// The air side of a plan.
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/points/reduction/plan_builder.h"

namespace ratebound::points {

using base::Absl;
using document::MethodKind;

namespace {

SpecificHeatAt SpecificHeatOf(std::string_view choice) {
  if (choice == "mean_humidity") return SpecificHeatAt::kMean;
  if (choice == "leaving_humidity") return SpecificHeatAt::kLeaving;
  if (choice == "entering_humidity") return SpecificHeatAt::kEntering;
  return SpecificHeatAt::kOwn;
}

}  // namespace

void PlanBuilder::AddAirSide(const document::AirSide& side) {
  const auto* method =
      FindMethod("air_side.method", side.method, MethodKind::kAirEnthalpy);
  if (method == nullptr) return;
  MethodReader reader = Reader(*method);
  AirPlan air;
  AirConstants& k = air.constants;
  air.method = method->id;
  air.inch_pound = reader.inch_pound();
  air.dry_air_specific_heat = reader.Number("dry_air_specific_heat");
  air.water_vapour_specific_heat = reader.Number("water_vapour_specific_heat");
  air.latent_heat = reader.Number("latent_heat");
  air.standard_air_density = reader.Number("standard_air_density");
  k.dry_air_specific_heat = air.dry_air_specific_heat.value;
  k.water_vapour_specific_heat = air.water_vapour_specific_heat.value;
  k.latent_heat = air.latent_heat.value;
  k.standard_air_density = air.standard_air_density.value;
  if (!(k.standard_air_density > 0)) {
    Fault("air_side.method", "standard_air_density is not above 0");
  }
  if (air.inch_pound) {
    air.power_heat = reader.Number("power_heat");
    k.power_heat = air.power_heat.value;
  }
  k.standard_air_is_mixture = reader.Rule("standard_air") == "mixture";
  k.sensible_at = SpecificHeatOf(reader.Rule("sensible_specific_heat"));
  k.heating_at = SpecificHeatOf(reader.Rule("heating_specific_heat"));
  air.sensible_rule = reader.RuleCitation("sensible_specific_heat");
  air.heating_rule = reader.RuleCitation("heating_specific_heat");
  air.standard_air_rule = reader.RuleCitation("standard_air");
  k.heating = core_.heating;
  k.latent_from_condensate = side.moisture == document::MoistureSource::kCondensate;
  if (k.latent_from_condensate && core_.heating) {
    Fault("air_side.moisture", "condensate says nothing of a heating capacity");
  }
  k.leaving_air_ahead_of_fan = side.leaving_air_ahead_of_fan;
  k.duct_loss_w_per_k = side.duct_loss_w_per_k;
  if (!(side.duct_loss_w_per_k >= 0 && side.duct_loss_w_per_k < 1e6)) {
    Fault("air_side.duct_loss_w_per_k", "is outside 0 to 1e6 W/K");
  }
  AddBalanceLimit(reader);
  Done(reader);

  air.entering = State("entering_air", side.entering_phase);
  air.leaving = State("leaving_air", side.leaving_phase);
  AddFlow(side, air);
  if (k.duct_loss_w_per_k > 0) air.ambient_db = Input("ambient_air_db");
  if (k.latent_from_condensate) air.condensate = Input("condensate_flow");
  air.fan_power = Input("indoor_fan_power");
  core_.needs_barometer = true;
  for (int id = static_cast<int>(OutputId::kEnteringWetBulb);
       id <= static_cast<int>(OutputId::kLeavingHumidityRatio); ++id) {
    Output(static_cast<OutputId>(id));
  }
  core_.air = std::move(air);
}

void PlanBuilder::AddFlow(const document::AirSide& side, AirPlan& air) {
  AirConstants& k = air.constants;
  if (side.flow != document::AirFlowSource::kAirMassFlow) {
    Output(OutputId::kAirMassFlow);
  }
  if (side.flow != document::AirFlowSource::kStandardAirFlow) {
    Output(OutputId::kStandardAirFlow);
  }
  if (side.flow != document::AirFlowSource::kEnteringAirFlow &&
      side.flow != document::AirFlowSource::kLeavingAirFlow) {
    Output(OutputId::kAirFlow);
  }
  switch (side.flow) {
    case document::AirFlowSource::kStandardAirFlow:
      k.flow = FlowReading::kStandard;
      air.flow = Input("standard_air_flow");
      return;
    case document::AirFlowSource::kEnteringAirFlow:
      k.flow = FlowReading::kEntering;
      air.flow = Input("air_flow");
      return;
    case document::AirFlowSource::kLeavingAirFlow:
      k.flow = FlowReading::kLeaving;
      air.flow = Input("air_flow");
      return;
    case document::AirFlowSource::kAirMassFlow:
      k.flow = FlowReading::kMass;
      air.flow = Input("air_mass_flow");
      return;
    case document::AirFlowSource::kNozzles:
      break;
  }
  k.flow = FlowReading::kNozzles;
  air.flow = Input("nozzle_pressure_drop");
  air.nozzle_db = Input("nozzle_air_db");
  Output(OutputId::kNozzleThroatVelocity);
  const auto* method = FindMethod("air_side.nozzle_method", side.nozzle_method,
                                  MethodKind::kNozzleAirFlow);
  if (method == nullptr) return;
  MethodReader reader = Reader(*method);
  if (reader.inch_pound() != air.inch_pound) {
    Fault("air_side.nozzle_method",
          absl::StrCat("method '", method->id, "' is written in ",
                       Absl(reader.Rule("unit_system")), " and method '", air.method,
                       "' is not"),
          "name two methods of one unit system");
  }
  air.nozzle_method = method->id;
  air.flow_constant = reader.Number("flow_constant");
  k.nozzle_flow_constant = air.flow_constant.value;
  air.column_unit = air.inch_pound ? std::string(reader.Rule("inch_of_water")) : "Pa";
  k.water_columns_per_pa = 1 / UnitSi(air.column_unit);
  air.throat_velocity = reader.Number("throat_velocity_low");
  air.throat_velocity_low = air.throat_velocity.value;
  air.throat_velocity_high = reader.Number("throat_velocity_high").value;
  const bool fixed = reader.Rule("nozzle_coefficient") == "fixed";
  const bool reynolds = !fixed || reader.Has("coefficient_constant");
  double fixed_from = 0;
  if (fixed) {
    air.coefficient = reader.Number("fixed_coefficient");
    k.fixed_coefficient = air.coefficient.value;
    fixed_from = reader.Number("fixed_from_diameter").value;
  }
  if (reynolds) {
    const MethodValue constant = reader.Number("coefficient_constant");
    k.coefficient_constant = constant.value;
    k.coefficient_root_term = reader.Number("coefficient_root_term").value;
    k.coefficient_inverse_term = reader.Number("coefficient_inverse_term").value;
    air.viscosity = reader.Number("viscosity_at_zero");
    k.viscosity_at_zero = air.viscosity.value;
    k.viscosity_slope = reader.Number("viscosity_slope").value;
    if (!fixed) air.coefficient = constant;
  }
  Done(reader);
  AddNozzles(side, air, fixed, reynolds, fixed_from);
}

}  // namespace ratebound::points
