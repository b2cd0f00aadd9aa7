// Liquids, corrections and the refrigerant of a plan.
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/text.h"
#include "engine/number/elementary.h"
#include "engine/points/reduction/plan_builder.h"

namespace ratebound::points {

using document::MethodKind;
using quantity::Dimension;

namespace {

CapacityTerm TermOf(std::string_view choice) {
  if (choice == "whole") return CapacityTerm::kWhole;
  if (choice == "loss") return CapacityTerm::kLoss;
  if (choice == "share") return CapacityTerm::kShare;
  return CapacityTerm::kNone;
}

}  // namespace

void PlanBuilder::AddLiquidSide(const document::LiquidSide& side,
                                const std::string& field) {
  const auto* method =
      FindMethod(field + ".method", side.method, MethodKind::kLiquidHeat);
  LiquidPlan liquid;
  if (method != nullptr) {
    MethodReader reader = Reader(*method);
    liquid.method = method->id;
    liquid.inch_pound = reader.inch_pound();
    const std::string_view form = reader.Rule("heat_form");
    liquid.form_rule = reader.RuleCitation("heat_form");
    liquid.form = form == "factor"               ? HeatForm::kFactor
                  : form == "mean_specific_heat" ? HeatForm::kMeanSpecificHeat
                                                 : HeatForm::kEnthalpyDifference;
    if (liquid.form == HeatForm::kFactor) {
      liquid.flow_factor = reader.Number("flow_factor");
    }
    if (liquid.inch_pound) {
      liquid.heat_w = UnitSi("Btu/h");
      liquid.power_heat_w = reader.Number("power_heat").value * liquid.heat_w;
    }
    AddBalanceLimit(reader);
    Done(reader);
  }
  liquid.role = side.role;
  if (side.role == document::LiquidRole::kHeatRejection) {
    Output(OutputId::kHeatRejection);
  }
  if (side.role == document::LiquidRole::kHeatAbsorbed) {
    Output(OutputId::kHeatAbsorbed);
  }
  const auto kind = fluid::ParseLiquidKind(side.liquid);
  if (kind.ok()) {
    liquid.liquid = *kind;
  } else {
    Fault(field + ".liquid", std::string(kind.status().message()));
  }
  liquid.concentration = side.concentration_fraction;
  if (liquid.liquid != fluid::LiquidKind::kWater && liquid.form != HeatForm::kFactor) {
    liquid.concentration_input = Input("fluid_concentration");
  }
  liquid.pressure_pa = side.pressure_pa;
  liquid.flow_at_leaving = side.flow_at_leaving;
  using enum Dimension;
  liquid.entering = NamedInput(field + ".entering", side.entering, {kTemperature});
  liquid.leaving = NamedInput(field + ".leaving", side.leaving, {kTemperature});
  liquid.flow = NamedInput(field + ".flow", side.flow, {kVolumeFlow, kMassFlow});
  if (!side.difference.empty()) {
    liquid.difference =
        NamedInput(field + ".difference", side.difference, {kTemperatureDifference});
  }
  if (const auto flow = quantity::FindQuantity(side.flow); flow.ok()) {
    liquid.mass_flow = (*flow)->dimension == kMassFlow;
  }
  if (liquid.mass_flow && liquid.form == HeatForm::kFactor) {
    Fault(field + ".flow",
          absl::StrCat("method '", liquid.method, "' asks for a volume flow"));
  }
  core_.liquids.push_back(std::move(liquid));
}

void PlanBuilder::AddCorrection(const document::FanPumpCorrection& given,
                                const std::string& field) {
  const auto* method =
      FindMethod(field + ".method", given.method, MethodKind::kFanPumpCorrection);
  if (method == nullptr) return;
  MethodReader reader = Reader(*method);
  CorrectionPlan plan;
  plan.method = method->id;
  plan.kind = given.kind;
  plan.inch_pound = reader.inch_pound();
  plan.on_capacity_side = given.on_capacity_side;
  const std::string part = plan.is_fan() ? "fan" : "pump";
  const std::string_view form = reader.Rule(part + "_form");
  plan.form = form == "divisor"      ? CorrectionForm::kDivisor
              : form == "efficiency" ? CorrectionForm::kEfficiency
                                     : CorrectionForm::kHydraulicPower;
  plan.term = TermOf(reader.Rule(part + "_capacity_term"));
  plan.term_rule = reader.RuleCitation(part + "_capacity_term");
  plan.flow_unit = "m3/s";
  plan.pressure_unit = "Pa";
  if (plan.inch_pound) {
    const bool warm = reader.Rule("inch_of_water") == "in_wg_60f";
    plan.flow_unit = plan.is_fan() ? "cfm" : "gpm";
    plan.pressure_unit = plan.is_fan() ? (warm ? "in_wg_60f" : "in_wg_4c")
                                       : (warm ? "ft_wg_60f" : "ft_wg_4c");
    plan.power_heat_w = reader.Number("power_heat").value * UnitSi("Btu/h");
  }
  plan.flow_unit_si = UnitSi(plan.flow_unit);
  plan.pressure_unit_pa = UnitSi(plan.pressure_unit);
  switch (plan.form) {
    case CorrectionForm::kDivisor:
      plan.flow_factor = reader.Number(part + "_flow_factor");
      plan.pressure_factor = reader.Number(part + "_pressure_factor");
      plan.divisor = reader.Number(part + "_divisor");
      break;
    case CorrectionForm::kEfficiency:
      plan.divisor = reader.Number(part + "_efficiency");
      break;
    case CorrectionForm::kHydraulicPower:
      plan.small_factor = reader.Number("small_pump_factor");
      plan.small_exponent = reader.Number("small_pump_exponent");
      plan.large_factor = reader.Number("large_pump_factor");
      plan.large_offset = reader.Number("large_pump_offset");
      plan.limit = reader.Number("pump_power_limit");
      break;
  }
  if (plan.form != CorrectionForm::kHydraulicPower && !(plan.divisor.value > 0)) {
    Fault(field, absl::StrCat("method '", plan.method, "' divides by ",
                              base::ShortestText(plan.divisor.value)));
  }
  if (plan.term == CapacityTerm::kShare) {
    plan.share = reader.Number(part + "_capacity_share");
    if (!(plan.share.value >= 0 && plan.share.value <= 1)) {
      Fault(field, absl::StrCat(part, "_capacity_share is outside 0 to 1"));
    }
  }
  // In divisor form no efficiency is known that a loss could be told from.
  if (plan.term == CapacityTerm::kLoss && plan.form == CorrectionForm::kDivisor) {
    Fault(field, absl::StrCat("method '", plan.method,
                              "' gives a divisor and asks for the loss alone"));
  }
  Done(reader);
  using enum Dimension;
  plan.flow = SourceOf(field + ".flow", given.flow, {kVolumeFlow});
  plan.pressure = SourceOf(field + ".pressure", given.pressure, {kPressureDifference});
  core_.corrections.push_back(std::move(plan));
}

void PlanBuilder::AddSaturation(const document::SaturationTable& table) {
  SaturationLine line{.source = absl::StrCat(table.refrigerant, ": ", table.source)};
  if (table.entries.size() < 2) {
    Fault("refrigerant_saturation.entries", "fewer than two entries");
    return;
  }
  for (const document::SaturationEntry& entry : table.entries) {
    const double kelvin = entry.temperature_c + 273.15;
    if (!(kelvin > 0 && entry.pressure_pa > 0) || !std::isfinite(kelvin) ||
        !std::isfinite(entry.pressure_pa)) {
      Fault(
          "refrigerant_saturation.entries",
          absl::StrCat("no saturated state at ", base::ShortestText(entry.temperature_c),
                       " degC, ", base::ShortestText(entry.pressure_pa), " Pa"));
      return;
    }
    line.log_pressure.push_back(number::Log(entry.pressure_pa));
    line.per_kelvin.push_back(1 / kelvin);
  }
  for (size_t i = 1; i < line.per_kelvin.size(); ++i) {
    if (line.per_kelvin[i] < line.per_kelvin[i - 1] &&
        line.log_pressure[i] > line.log_pressure[i - 1]) {
      continue;
    }
    Fault("refrigerant_saturation.entries",
          absl::StrCat("temperature and pressure do not rise at entry ", i));
  }
  core_.saturation = std::move(line);
}

void PlanBuilder::AddRefrigerant() {
  const bool table = core_.saturation.has_value();
  RefrigerantSide suction{.name = "suction"};
  RefrigerantSide discharge{.name = "discharge",
                            .saturated_output = OutputId::kSaturatedDischarge,
                            .difference_output = OutputId::kSubcooling};
  for (RefrigerantSide* side : {&suction, &discharge}) {
    if (table) {
      side->absolute = Input(side->name + "_pressure");
      side->gauge = Input(side->name + "_gauge_pressure");
      core_.needs_barometer = true;
      Output(side->saturated_output);
    } else {
      side->saturated = Input("saturated_" + side->name + "_temp");
    }
    Output(side->difference_output);
  }
  suction.temperature = Input("suction_temp");
  discharge.temperature = Input("liquid_line_temp");
  core_.refrigerant = {suction, discharge};
}

}  // namespace ratebound::points
