// Names of a manifest's reduction to places and numbers.
#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/nearest_name.h"
#include "engine/base/text.h"
#include "engine/number/elementary.h"
#include "engine/points/reduction/plan_core.h"
#include "engine/points/reduction/reduce.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::points {
namespace {

using base::Absl;
using document::MethodKind;
using quantity::Dimension;

constexpr double kPi = 3.141592653589793;

double UnitSi(std::string_view unit) {
  const auto found = quantity::FindUnit(unit);
  return found.ok() ? quantity::DifferenceToSi(1, *found) : 1;
}

SpecificHeatAt SpecificHeatOf(std::string_view choice) {
  if (choice == "mean_humidity") return SpecificHeatAt::kMean;
  if (choice == "leaving_humidity") return SpecificHeatAt::kLeaving;
  if (choice == "entering_humidity") return SpecificHeatAt::kEntering;
  return SpecificHeatAt::kOwn;
}

CapacityTerm TermOf(std::string_view choice) {
  if (choice == "whole") return CapacityTerm::kWhole;
  if (choice == "loss") return CapacityTerm::kLoss;
  if (choice == "share") return CapacityTerm::kShare;
  return CapacityTerm::kNone;
}

class PlanBuilder {
 public:
  PlanBuilder(const document::Mode& mode,
              std::span<const document::MeasurementMethod> methods,
              const ReductionOptions& options)
      : mode_(mode), methods_(methods) {
    core_.mode = mode.id;
    core_.heating = mode.kind == document::ModeKind::kHeating;
    core_.wet_bulb_slack_k = options.wet_bulb_slack_k;
    core_.output_index.fill(kNowhere);
  }

  absl::Status Build() {
    if (!(core_.wet_bulb_slack_k >= 0 && core_.wet_bulb_slack_k <= 5)) {
      Fault("", "the slack of the wet bulb is outside 0 to 5 K");
    }
    if (!mode_.reduction.has_value()) {
      Fault("", "has no reduction", "write reduction { ... }");
      return faults_.ToStatus();
    }
    const document::Reduction& reduction = *mode_.reduction;
    CheckMethodInputs(reduction);
    if (reduction.air_side.has_value()) AddAirSide(*reduction.air_side);
    for (size_t i = 0; i < reduction.liquid_sides.size(); ++i) {
      AddLiquidSide(reduction.liquid_sides[i], absl::StrCat("liquid_sides[", i, "]"));
    }
    AddPower();
    AddCapacityOutputs(reduction);
    for (size_t i = 0; i < reduction.corrections.size(); ++i) {
      AddCorrection(reduction.corrections[i], absl::StrCat("corrections[", i, "]"));
    }
    if (reduction.refrigerant_saturation.has_value()) {
      AddSaturation(*reduction.refrigerant_saturation);
    }
    AddRefrigerant();
    if (core_.needs_barometer) {
      core_.barometer = Input("barometric_pressure");
      core_.altitude = Input("altitude");
    }
    return faults_.ToStatus();
  }

  PlanCore TakeCore() { return std::move(core_); }
  std::vector<std::string> Outputs() const {
    std::vector<std::string> names;
    for (size_t i = 0; i < kOutputNames.size(); ++i) {
      if (core_.output_index[i] != kNowhere) names.emplace_back(kOutputNames[i]);
    }
    return names;
  }
  std::vector<std::string> TakeUnconfirmed() { return std::move(unconfirmed_); }

 private:
  void Fault(std::string field, std::string message, std::string remedy = "") {
    faults_.Add(
        {.field = absl::StrCat("mode '", mode_.id, "'", field.empty() ? "" : ": ", field),
         .message = std::move(message),
         .remedy = std::move(remedy)});
  }

  int Input(std::string_view name) {
    const auto found = std::find(core_.inputs.begin(), core_.inputs.end(), name);
    if (found != core_.inputs.end()) {
      return static_cast<int>(found - core_.inputs.begin());
    }
    core_.inputs.emplace_back(name);
    core_.quantities.push_back(quantity::FindQuantity(name).value());
    return static_cast<int>(core_.inputs.size()) - 1;
  }

  // Numbered in the order of OutputId once all are known.
  void Output(OutputId id) { core_.output_index[static_cast<size_t>(id)] = 0; }
  bool HasOutput(OutputId id) const { return core_.index_of(id) != kNowhere; }

  // An input whose name the manifest gives. kNowhere after a fault.
  int NamedInput(const std::string& field, const std::string& name,
                 std::initializer_list<Dimension> dimensions) {
    if (!CheckQuantity(field, name, dimensions)) return kNowhere;
    return Input(name);
  }
  bool CheckQuantity(const std::string& field, const std::string& name,
                     std::initializer_list<Dimension> dimensions) {
    const auto found = quantity::FindQuantity(name);
    if (!found.ok()) {
      Fault(field, std::string(found.status().message()));
      return false;
    }
    for (const Dimension dimension : dimensions) {
      if ((*found)->dimension == dimension) return true;
    }
    std::vector<std::string> names;
    for (const Dimension dimension : dimensions) {
      names.emplace_back(quantity::DimensionName(dimension));
    }
    Fault(field, absl::StrCat("'", name, "' is a ",
                              Absl(quantity::DimensionName((*found)->dimension)),
                              ", not a ", absl::StrJoin(names, " or a ")));
    return false;
  }

  void CheckMethodInputs(const document::Reduction& reduction) {
    std::vector<std::string> used;
    if (reduction.air_side.has_value()) {
      used.push_back(reduction.air_side->method);
      used.push_back(reduction.air_side->nozzle_method);
    }
    for (const auto& side : reduction.liquid_sides) used.push_back(side.method);
    for (const auto& correction : reduction.corrections)
      used.push_back(correction.method);
    for (const document::MethodInput& input : reduction.inputs) {
      if (std::find(used.begin(), used.end(), input.method) != used.end()) continue;
      Fault("inputs",
            absl::StrCat("method '", base::Printable(input.method), "' is not in use",
                         base::DidYouMean(input.method, used)));
    }
  }

  const document::MeasurementMethod* FindMethod(const std::string& field,
                                                const std::string& id, MethodKind kind) {
    std::vector<std::string> known;
    for (const document::MeasurementMethod& method : methods_) {
      if (method.id != id) {
        if (method.kind == kind) known.push_back(method.id);
        continue;
      }
      if (method.kind != kind) {
        Fault(field, absl::StrCat("method '", id, "' is of the kind ",
                                  Absl(MethodKindName(method.kind)), ", not ",
                                  Absl(MethodKindName(kind))));
        return nullptr;
      }
      const absl::Status names = CheckMethodNames(method);
      if (!names.ok()) {
        faults_.AddStatus(names);
        return nullptr;
      }
      return &method;
    }
    std::string remedy = base::NearestName(id, known);
    remedy = !remedy.empty() ? absl::StrCat("did you mean '", remedy, "'?")
             : known.empty() ? "no method of this kind is known"
                             : absl::StrCat("known are ", absl::StrJoin(known, ", "));
    Fault(field, absl::StrCat("unknown method '", base::Printable(id), "'"), remedy);
    return nullptr;
  }

  MethodReader Reader(const document::MeasurementMethod& method) {
    return MethodReader(method, mode_.reduction->inputs, faults_);
  }
  void Done(const MethodReader& reader) {
    for (const std::string& line : reader.unconfirmed()) {
      if (std::find(unconfirmed_.begin(), unconfirmed_.end(), line) ==
          unconfirmed_.end()) {
        unconfirmed_.push_back(line);
      }
    }
  }

  // The narrowest of the methods'.
  void AddBalanceLimit(MethodReader& reader) {
    if (!reader.Has("balance_limit")) return;
    const MethodValue limit = reader.Number("balance_limit");
    if (core_.balance_limit_fraction.has_value() &&
        *core_.balance_limit_fraction <= limit.value / 100) {
      return;
    }
    core_.balance_limit_fraction = limit.value / 100;
    core_.balance_citation = limit.citation;
  }

  StateInputs State(const std::string& side, document::WaterPhase phase) {
    StateInputs state{.side = side, .phase = phase};
    state.db = Input(side + "_db");
    state.moisture = {Input(side + "_wb"), Input(side + "_dew_point"),
                      Input(side + "_relative_humidity"),
                      Input(side + "_humidity_ratio")};
    return state;
  }

  void AddAirSide(const document::AirSide& side) {
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

  void AddFlow(const document::AirSide& side, AirPlan& air) {
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

  void AddNozzles(const document::AirSide& side, AirPlan& air, bool fixed, bool reynolds,
                  double fixed_from) {
    AirConstants& k = air.constants;
    if (side.nozzles.empty()) {
      Fault("air_side.nozzles", "no nozzle was open", "write nozzles { diameter: ... }");
    }
    if (side.nozzles.size() > kMostNozzleSizes) {
      Fault("air_side.nozzles",
            absl::StrCat("more than ", kMostNozzleSizes, " sizes of nozzles"),
            "give those of one diameter together, with their count");
      return;
    }
    const double length_m = air.inch_pound ? UnitSi("ft") : 1;
    const std::string small_unit = air.inch_pound ? "in" : "mm";
    for (const document::Nozzle& nozzle : side.nozzles) {
      if (!(nozzle.diameter_m > 0 && nozzle.diameter_m < 2) || nozzle.count < 1 ||
          nozzle.count > 1000) {
        Fault("air_side.nozzles",
              absl::StrCat("a nozzle of ", base::ShortestText(nozzle.diameter), " ",
                           nozzle.unit, ", ", nozzle.count, " of them"),
              "a diameter is above 0 and below 2 m, a count from 1 to 1000");
        continue;
      }
      NozzleSize& size = k.nozzles[k.nozzle_sizes++];
      size.diameter = nozzle.diameter_m / length_m;
      if (size.diameter > k.nozzles[k.largest_nozzle].diameter) {
        k.largest_nozzle = k.nozzle_sizes - 1;
      }
      size.area = nozzle.count * (kPi / 4) * (size.diameter * size.diameter);
      // The diameter as written decides, where it stands in the method's own unit.
      const double small = nozzle.unit == small_unit
                               ? nozzle.diameter
                               : nozzle.diameter_m / UnitSi(small_unit);
      size.fixed = fixed && small >= fixed_from;
      if (!size.fixed && !reynolds) {
        Fault("air_side.nozzles",
              absl::StrCat("method '", air.nozzle_method,
                           "' has no coefficient for a nozzle of ",
                           base::ShortestText(small), " ", small_unit, ", below ",
                           base::ShortestText(fixed_from), " ", small_unit));
      }
    }
  }

  void AddLiquidSide(const document::LiquidSide& side, const std::string& field) {
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

  void AddPower() {
    core_.power = Input("power_input");
    core_.indoor_fan_power = Input("indoor_fan_power");
    core_.outdoor_section_power = Input("outdoor_section_power");
    Output(OutputId::kPowerInput);
  }

  void AddCapacityOutputs(const document::Reduction& reduction) {
    int liquid_capacities = 0;
    for (const document::LiquidSide& side : reduction.liquid_sides) {
      // A side that closes the balance against power is a capacity, too.
      const bool counts =
          side.role == document::LiquidRole::kCapacity ||
          (side.role == document::LiquidRole::kHeatRejection && !core_.heating) ||
          (side.role == document::LiquidRole::kHeatAbsorbed && core_.heating);
      liquid_capacities += counts ? 1 : 0;
    }
    const bool air = reduction.air_side.has_value();
    core_.basis = reduction.capacity_basis;
    const int sides = liquid_capacities + (air ? 1 : 0);
    using document::CapacityBasis;
    if (sides > 2) {
      Fault("liquid_sides", "more than two sides give the capacity");
    }
    if (core_.basis == CapacityBasis::kOnlySide && sides > 1) {
      Fault("capacity_basis", "two sides give the capacity",
            "write which one counts: CAPACITY_BASIS_AIR_SIDE, _LIQUID_SIDE or _MEAN");
    }
    if (core_.basis == CapacityBasis::kAirSide && !air) {
      Fault("capacity_basis", "there is no air side");
    }
    if (core_.basis == CapacityBasis::kLiquidSide && liquid_capacities == 0) {
      Fault("capacity_basis", "no liquid side gives the capacity");
    }
    if (core_.basis == CapacityBasis::kMean && sides < 2) {
      Fault("capacity_basis", "a mean takes two sides that give the capacity");
    }
    if (sides > 1) {
      Output(OutputId::kHeatBalance);
      if (reduction.balance_limit_fraction.has_value()) {
        core_.balance_limit_fraction = reduction.balance_limit_fraction;
        core_.balance_citation = {"the line folder", document::Basis::kUnspecified};
      }
    } else {
      core_.balance_limit_fraction.reset();
    }
    if (sides == 0) return;
    if (core_.heating) {
      Output(OutputId::kHeatingCapacity);
      if (air) Output(OutputId::kGrossHeatingCapacity);
      return;
    }
    Output(OutputId::kTotalCapacity);
    if (!air) return;
    for (const OutputId id :
         {OutputId::kSensibleCapacity, OutputId::kLatentCapacity,
          OutputId::kGrossTotalCapacity, OutputId::kGrossSensibleCapacity,
          OutputId::kSensibleHeatRatio, OutputId::kMoistureRemoval}) {
      Output(id);
    }
  }

  Source SourceOf(const std::string& field, const std::string& name,
                  std::initializer_list<Dimension> dimensions) {
    Source source{.quantity = name};
    if (!CheckQuantity(field, name, dimensions)) return source;
    for (size_t i = 0; i < kOutputNames.size(); ++i) {
      if (kOutputNames[i] == name && HasOutput(static_cast<OutputId>(i))) {
        source.output = static_cast<int>(i);  // an OutputId until outputs are numbered
        return source;
      }
    }
    source.input = Input(name);
    return source;
  }

  void AddCorrection(const document::FanPumpCorrection& given, const std::string& field) {
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

  void AddSaturation(const document::SaturationTable& table) {
    SaturationLine line{.source = absl::StrCat(table.refrigerant, ": ", table.source)};
    if (table.entries.size() < 2) {
      Fault("refrigerant_saturation.entries", "fewer than two entries");
      return;
    }
    for (const document::SaturationEntry& entry : table.entries) {
      const double kelvin = entry.temperature_c + 273.15;
      if (!(kelvin > 0 && entry.pressure_pa > 0) || !std::isfinite(kelvin) ||
          !std::isfinite(entry.pressure_pa)) {
        Fault("refrigerant_saturation.entries",
              absl::StrCat("no saturated state at ",
                           base::ShortestText(entry.temperature_c), " degC, ",
                           base::ShortestText(entry.pressure_pa), " Pa"));
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

  void AddRefrigerant() {
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

 public:
  void NumberOutputs() {
    int next = 0;
    for (int& index : core_.output_index) {
      if (index != kNowhere) index = next++;
    }
    for (CorrectionPlan& plan : core_.corrections) {
      for (Source* source : {&plan.flow, &plan.pressure}) {
        if (source->output != kNowhere) {
          source->output = core_.index_of(static_cast<OutputId>(source->output));
        }
      }
    }
  }

 private:
  const document::Mode& mode_;
  std::span<const document::MeasurementMethod> methods_;
  PlanCore core_;
  base::FaultList faults_;
  std::vector<std::string> unconfirmed_;
};

int IndexIn(const std::vector<std::string>& names, std::string_view name) {
  const auto found = std::find(names.begin(), names.end(), name);
  return found == names.end() ? kNowhere : static_cast<int>(found - names.begin());
}

}  // namespace

absl::StatusOr<ReductionPlan> ReductionPlan::Create(
    const document::Mode& mode, std::span<const document::MeasurementMethod> methods,
    const ReductionOptions& options) {
  PlanBuilder builder(mode, methods, options);
  const absl::Status built = builder.Build();
  if (!built.ok()) return built;
  builder.NumberOutputs();
  ReductionPlan plan;
  plan.outputs_ = builder.Outputs();
  plan.unconfirmed_ = builder.TakeUnconfirmed();
  plan.core_ = std::make_shared<const PlanCore>(builder.TakeCore());
  plan.inputs_ = plan.core_->inputs;
  return plan;
}

int ReductionPlan::InputIndex(std::string_view quantity) const {
  return IndexIn(inputs_, quantity);
}

int ReductionPlan::OutputIndex(std::string_view quantity) const {
  return IndexIn(outputs_, quantity);
}

std::optional<double> ReductionPlan::balance_limit_fraction() const {
  return core_->balance_limit_fraction;
}

}  // namespace ratebound::points
