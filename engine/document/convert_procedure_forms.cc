#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(TermSign::kNone) + 1 == v1::TERM_SIGN_NONE);
static_assert(static_cast<int>(StageRule::kMixedToTarget) + 1 ==
              v1::STAGE_RULE_MIXED_TO_TARGET);
static_assert(static_cast<int>(MixedFigure::kEfficiency) + 1 ==
              v1::MIXED_FIGURE_EFFICIENCY);
static_assert(static_cast<int>(FlowMass::kMoistLeaving) + 1 ==
              v1::FLOW_MASS_MOIST_LEAVING);
static_assert(static_cast<int>(LimitSide::kAbove) + 1 == v1::LIMIT_SIDE_ABOVE);

static void Read(const v1::FigureTerm& from, FigureTerm& to, base::FaultList& faults) {
  to.quantity = from.quantity();
  to.input = from.input();
  to.unit = from.unit();
  Read(from.factor(), to.factor, faults);
}

static void Write(const FigureTerm& from, v1::FigureTerm* to) {
  to->set_quantity(from.quantity);
  to->set_input(from.input);
  to->set_unit(from.unit);
  Write(from.factor, to->mutable_factor());
}

static void Read(const v1::FlowPressureCorrection& from, FlowPressureCorrection& to,
                 base::FaultList& faults) {
  to.name = from.name();
  Read(from.flow(), to.flow, faults);
  Read(from.pressure(), to.pressure, faults);
  Read(from.divisor(), to.divisor, faults);
  to.in_power =
      ReadEnum<TermSign>(from.in_power(), "FlowPressureCorrection.in_power", faults);
  to.in_capacity = ReadEnum<TermSign>(from.in_capacity(),
                                      "FlowPressureCorrection.in_capacity", faults);
  if (from.has_capacity_factor())
    Read(from.capacity_factor(), to.capacity_factor.emplace(), faults);
  Read(from.citation(), to.citation, faults);
}

static void Write(const FlowPressureCorrection& from, v1::FlowPressureCorrection* to) {
  to->set_name(from.name);
  Write(from.flow, to->mutable_flow());
  Write(from.pressure, to->mutable_pressure());
  Write(from.divisor, to->mutable_divisor());
  to->set_in_power(WriteEnum<v1::TermSign>(from.in_power));
  to->set_in_capacity(WriteEnum<v1::TermSign>(from.in_capacity));
  if (from.capacity_factor.has_value())
    Write(*from.capacity_factor, to->mutable_capacity_factor());
  Write(from.citation, to->mutable_citation());
}

void Read(const v1::OnePoint& from, OnePoint& to, base::FaultList& faults) {
  ReadAll(from.corrections(), to.corrections, faults);
  Read(from.citation(), to.citation, faults);
}

void Write(const OnePoint& from, v1::OnePoint* to) {
  WriteAll(from.corrections, to->mutable_corrections());
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::ConditionPoint& from, ConditionPoint& to,
                 base::FaultList& faults) {
  to.id = from.id();
  Read(from.weight(), to.weight, faults);
  ReadAll(from.conditions(), to.conditions, faults);
}

static void Write(const ConditionPoint& from, v1::ConditionPoint* to) {
  to->set_id(from.id);
  Write(from.weight, to->mutable_weight());
  WriteAll(from.conditions, to->mutable_conditions());
}

static void Read(const v1::MixtureTarget& from, MixtureTarget& to,
                 base::FaultList& faults) {
  to.quantity = from.quantity();
  Read(from.target(), to.target, faults);
  to.unit = from.unit();
  Read(from.tolerance(), to.tolerance, faults);
  to.mixed = ReadEnum<MixedFigure>(from.mixed(), "MixtureTarget.mixed", faults);
  to.cycling_factor_input = from.cycling_factor_input();
  Read(from.citation(), to.citation, faults);
}

static void Write(const MixtureTarget& from, v1::MixtureTarget* to) {
  to->set_quantity(from.quantity);
  Write(from.target, to->mutable_target());
  to->set_unit(from.unit);
  Write(from.tolerance, to->mutable_tolerance());
  to->set_mixed(WriteEnum<v1::MixedFigure>(from.mixed));
  to->set_cycling_factor_input(from.cycling_factor_input);
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::HumidityTerm& from, HumidityTerm& to, base::FaultList&) {
  to.quantity = from.quantity();
  to.dry_bulb_quantity = from.dry_bulb_quantity();
}

static void Write(const HumidityTerm& from, v1::HumidityTerm* to) {
  to->set_quantity(from.quantity);
  to->set_dry_bulb_quantity(from.dry_bulb_quantity);
}

static void Read(const v1::AirSideMoisture& from, AirSideMoisture& to,
                 base::FaultList& faults) {
  Read(from.flow(), to.flow, faults);
  to.mass = ReadEnum<FlowMass>(from.mass(), "AirSideMoisture.mass", faults);
  Read(from.entering(), to.entering, faults);
  Read(from.leaving(), to.leaving, faults);
  Read(from.barometric_pressure(), to.barometric_pressure, faults);
  to.barometric_pressure_unit = from.barometric_pressure_unit();
  Read(from.citation(), to.citation, faults);
}

static void Write(const AirSideMoisture& from, v1::AirSideMoisture* to) {
  Write(from.flow, to->mutable_flow());
  to->set_mass(WriteEnum<v1::FlowMass>(from.mass));
  Write(from.entering, to->mutable_entering());
  Write(from.leaving, to->mutable_leaving());
  Write(from.barometric_pressure, to->mutable_barometric_pressure());
  to->set_barometric_pressure_unit(from.barometric_pressure_unit);
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::SupplyAirAddition& from, SupplyAirAddition& to,
                 base::FaultList& faults) {
  to.name = from.name();
  to.quantity = from.quantity();
  to.wrong_side =
      ReadEnum<LimitSide>(from.wrong_side(), "SupplyAirAddition.wrong_side", faults);
  Read(from.limit(), to.limit, faults);
  to.limit_unit = from.limit_unit();
  Read(from.flow(), to.flow, faults);
  to.heat_unit = from.heat_unit();
  Read(from.coefficient_of_performance(), to.coefficient_of_performance, faults);
  to.in_capacity =
      ReadEnum<TermSign>(from.in_capacity(), "SupplyAirAddition.in_capacity", faults);
  Read(from.citation(), to.citation, faults);
}

static void Write(const SupplyAirAddition& from, v1::SupplyAirAddition* to) {
  to->set_name(from.name);
  to->set_quantity(from.quantity);
  to->set_wrong_side(WriteEnum<v1::LimitSide>(from.wrong_side));
  Write(from.limit, to->mutable_limit());
  to->set_limit_unit(from.limit_unit);
  Write(from.flow, to->mutable_flow());
  to->set_heat_unit(from.heat_unit);
  Write(from.coefficient_of_performance, to->mutable_coefficient_of_performance());
  to->set_in_capacity(WriteEnum<v1::TermSign>(from.in_capacity));
  Write(from.citation, to->mutable_citation());
}

void Read(const v1::WeightedConditions& from, WeightedConditions& to,
          base::FaultList& faults) {
  ReadAll(from.points(), to.points, faults);
  to.stage_rule =
      ReadEnum<StageRule>(from.stage_rule(), "WeightedConditions.stage_rule", faults);
  if (from.has_target()) Read(from.target(), to.target.emplace(), faults);
  if (from.has_air_side_moisture())
    Read(from.air_side_moisture(), to.air_side_moisture.emplace(), faults);
  ReadAll(from.supply_air_additions(), to.supply_air_additions, faults);
  Read(from.citation(), to.citation, faults);
}

void Write(const WeightedConditions& from, v1::WeightedConditions* to) {
  WriteAll(from.points, to->mutable_points());
  to->set_stage_rule(WriteEnum<v1::StageRule>(from.stage_rule));
  if (from.target.has_value()) Write(*from.target, to->mutable_target());
  if (from.air_side_moisture.has_value())
    Write(*from.air_side_moisture, to->mutable_air_side_moisture());
  WriteAll(from.supply_air_additions, to->mutable_supply_air_additions());
  Write(from.citation, to->mutable_citation());
}

static void Read(const v1::TabulatedQuantity& from, TabulatedQuantity& to,
                 base::FaultList&) {
  to.quantity = from.quantity();
  to.unit = from.unit();
}

static void Write(const TabulatedQuantity& from, v1::TabulatedQuantity* to) {
  to->set_quantity(from.quantity);
  to->set_unit(from.unit);
}

static void Read(const v1::SuperheatCorrection& from, SuperheatCorrection& to,
                 base::FaultList& faults) {
  Read(from.volumetric_factor(), to.volumetric_factor, faults);
  Read(from.density_ratio(), to.density_ratio, faults);
  Read(from.isentropic_work_ratio(), to.isentropic_work_ratio, faults);
  if (from.has_enthalpy_difference_ratio())
    Read(from.enthalpy_difference_ratio(), to.enthalpy_difference_ratio.emplace(),
         faults);
  Read(from.citation(), to.citation, faults);
}

static void Write(const SuperheatCorrection& from, v1::SuperheatCorrection* to) {
  Write(from.volumetric_factor, to->mutable_volumetric_factor());
  Write(from.density_ratio, to->mutable_density_ratio());
  Write(from.isentropic_work_ratio, to->mutable_isentropic_work_ratio());
  if (from.enthalpy_difference_ratio.has_value())
    Write(*from.enthalpy_difference_ratio, to->mutable_enthalpy_difference_ratio());
  Write(from.citation, to->mutable_citation());
}

void Read(const v1::CompressorTable& from, CompressorTable& to, base::FaultList& faults) {
  to.evaporating_quantity = from.evaporating_quantity();
  to.condensing_quantity = from.condensing_quantity();
  to.temperature_unit = from.temperature_unit();
  ReadAll(from.tabulated(), to.tabulated, faults);
  if (from.has_superheat()) Read(from.superheat(), to.superheat.emplace(), faults);
  Read(from.citation(), to.citation, faults);
}

void Write(const CompressorTable& from, v1::CompressorTable* to) {
  to->set_evaporating_quantity(from.evaporating_quantity);
  to->set_condensing_quantity(from.condensing_quantity);
  to->set_temperature_unit(from.temperature_unit);
  WriteAll(from.tabulated, to->mutable_tabulated());
  if (from.superheat.has_value()) Write(*from.superheat, to->mutable_superheat());
  Write(from.citation, to->mutable_citation());
}

}  // namespace ratebound::document
