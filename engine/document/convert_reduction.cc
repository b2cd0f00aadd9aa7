#include "engine/document/convert_parts.h"

namespace ratebound::document {

static_assert(static_cast<int>(AirFlowSource::kNozzles) + 1 ==
              v1::AIR_FLOW_SOURCE_NOZZLES);
static_assert(static_cast<int>(LiquidRole::kHeatAbsorbed) + 1 ==
              v1::LIQUID_ROLE_HEAT_ABSORBED);
static_assert(static_cast<int>(FanPumpCase::kPumpAbsent) + 1 ==
              v1::FAN_PUMP_CASE_PUMP_ABSENT);
static_assert(static_cast<int>(CapacityBasis::kMean) == v1::CAPACITY_BASIS_MEAN);
static_assert(static_cast<int>(WaterPhase::kIce) == v1::WATER_PHASE_ICE);
static_assert(static_cast<int>(MoistureSource::kCondensate) ==
              v1::MOISTURE_SOURCE_CONDENSATE);

static void Read(const v1::Nozzle& from, Nozzle& to, base::FaultList& faults) {
  to.diameter = from.diameter();
  to.unit = from.unit();
  to.diameter_m =
      SiOf(quantity::Dimension::kLength, "Nozzle.diameter", to.diameter, to.unit, faults);
  if (from.has_count()) to.count = from.count();
}

static void Write(const Nozzle& from, v1::Nozzle* to) {
  to->set_diameter(from.diameter);
  to->set_unit(from.unit);
  to->set_count(from.count);
}

static void Read(const v1::AirSide& from, AirSide& to, base::FaultList& faults) {
  to.method = from.method();
  to.flow = ReadEnum<AirFlowSource>(from.flow(), "AirSide.flow", faults);
  to.nozzle_method = from.nozzle_method();
  ReadAll(from.nozzles(), to.nozzles, faults);
  to.entering_phase = ReadEnum<WaterPhase, Unspecified::kKept>(
      from.entering_phase(), "AirSide.entering_phase", faults);
  to.leaving_phase = ReadEnum<WaterPhase, Unspecified::kKept>(
      from.leaving_phase(), "AirSide.leaving_phase", faults);
  to.moisture = ReadEnum<MoistureSource, Unspecified::kKept>(from.moisture(),
                                                             "AirSide.moisture", faults);
  to.duct_loss_w_per_k = from.duct_loss_w_per_k();
  to.leaving_air_ahead_of_fan = from.leaving_air_ahead_of_fan();
}

static void Write(const AirSide& from, v1::AirSide* to) {
  to->set_method(from.method);
  to->set_flow(WriteEnum<v1::AirFlowSource>(from.flow));
  to->set_nozzle_method(from.nozzle_method);
  WriteAll(from.nozzles, to->mutable_nozzles());
  to->set_entering_phase(
      WriteEnum<v1::WaterPhase, Unspecified::kKept>(from.entering_phase));
  to->set_leaving_phase(
      WriteEnum<v1::WaterPhase, Unspecified::kKept>(from.leaving_phase));
  to->set_moisture(WriteEnum<v1::MoistureSource, Unspecified::kKept>(from.moisture));
  to->set_duct_loss_w_per_k(from.duct_loss_w_per_k);
  to->set_leaving_air_ahead_of_fan(from.leaving_air_ahead_of_fan);
}

static void Read(const v1::LiquidSide& from, LiquidSide& to, base::FaultList& faults) {
  to.method = from.method();
  to.role = ReadEnum<LiquidRole>(from.role(), "LiquidSide.role", faults);
  to.liquid = from.liquid();
  if (from.has_concentration_fraction())
    to.concentration_fraction = from.concentration_fraction();
  to.entering = from.entering();
  to.leaving = from.leaving();
  to.flow = from.flow();
  to.flow_at_leaving = from.flow_at_leaving();
  to.difference = from.difference();
  if (from.has_pressure_pa()) to.pressure_pa = from.pressure_pa();
}

static void Write(const LiquidSide& from, v1::LiquidSide* to) {
  to->set_method(from.method);
  to->set_role(WriteEnum<v1::LiquidRole>(from.role));
  to->set_liquid(from.liquid);
  if (from.concentration_fraction.has_value())
    to->set_concentration_fraction(*from.concentration_fraction);
  to->set_entering(from.entering);
  to->set_leaving(from.leaving);
  to->set_flow(from.flow);
  to->set_flow_at_leaving(from.flow_at_leaving);
  to->set_difference(from.difference);
  to->set_pressure_pa(from.pressure_pa);
}

static void Read(const v1::FanPumpCorrection& from, FanPumpCorrection& to,
                 base::FaultList& faults) {
  to.method = from.method();
  to.kind = ReadEnum<FanPumpCase>(from.kind(), "FanPumpCorrection.kind", faults);
  to.flow = from.flow();
  to.pressure = from.pressure();
  to.on_capacity_side = from.on_capacity_side();
}

static void Write(const FanPumpCorrection& from, v1::FanPumpCorrection* to) {
  to->set_method(from.method);
  to->set_kind(WriteEnum<v1::FanPumpCase>(from.kind));
  to->set_flow(from.flow);
  to->set_pressure(from.pressure);
  to->set_on_capacity_side(from.on_capacity_side);
}

static void Read(const v1::MethodInput& from, MethodInput& to, base::FaultList&) {
  to.method = from.method();
  to.input = from.input();
  to.value = from.value();
  to.unit = from.unit();
}

static void Write(const MethodInput& from, v1::MethodInput* to) {
  to->set_method(from.method);
  to->set_input(from.input);
  to->set_value(from.value);
  to->set_unit(from.unit);
}

static void Read(const v1::SaturationEntry& from, SaturationEntry& to, base::FaultList&) {
  to.temperature_c = from.temperature_c();
  to.pressure_pa = from.pressure_pa();
}

static void Write(const SaturationEntry& from, v1::SaturationEntry* to) {
  to->set_temperature_c(from.temperature_c);
  to->set_pressure_pa(from.pressure_pa);
}

static void Read(const v1::SaturationTable& from, SaturationTable& to,
                 base::FaultList& faults) {
  to.refrigerant = from.refrigerant();
  to.source = from.source();
  ReadAll(from.entries(), to.entries, faults);
}

static void Write(const SaturationTable& from, v1::SaturationTable* to) {
  to->set_refrigerant(from.refrigerant);
  to->set_source(from.source);
  WriteAll(from.entries, to->mutable_entries());
}

void Read(const v1::Reduction& from, Reduction& to, base::FaultList& faults) {
  if (from.has_air_side()) Read(from.air_side(), to.air_side.emplace(), faults);
  ReadAll(from.liquid_sides(), to.liquid_sides, faults);
  ReadAll(from.corrections(), to.corrections, faults);
  to.capacity_basis = ReadEnum<CapacityBasis, Unspecified::kKept>(
      from.capacity_basis(), "Reduction.capacity_basis", faults);
  if (from.has_balance_limit_fraction())
    to.balance_limit_fraction = from.balance_limit_fraction();
  ReadAll(from.inputs(), to.inputs, faults);
  if (from.has_refrigerant_saturation())
    Read(from.refrigerant_saturation(), to.refrigerant_saturation.emplace(), faults);
}

void Write(const Reduction& from, v1::Reduction* to) {
  if (from.air_side.has_value()) Write(*from.air_side, to->mutable_air_side());
  WriteAll(from.liquid_sides, to->mutable_liquid_sides());
  WriteAll(from.corrections, to->mutable_corrections());
  to->set_capacity_basis(
      WriteEnum<v1::CapacityBasis, Unspecified::kKept>(from.capacity_basis));
  if (from.balance_limit_fraction.has_value())
    to->set_balance_limit_fraction(*from.balance_limit_fraction);
  WriteAll(from.inputs, to->mutable_inputs());
  if (from.refrigerant_saturation.has_value())
    Write(*from.refrigerant_saturation, to->mutable_refrigerant_saturation());
}

}  // namespace ratebound::document
