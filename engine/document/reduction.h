// How raw readings of a mode become capacities. See proto/ratebound/v1/reduction.proto
// for what each field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_REDUCTION_H_
#define RATEBOUND_ENGINE_DOCUMENT_REDUCTION_H_

#include <optional>
#include <string>
#include <vector>

namespace ratebound::document {

enum class CapacityBasis { kOnlySide, kAirSide, kLiquidSide, kMean };
enum class WaterPhase { kByTemperature, kWater, kIce };
enum class AirFlowSource {
  kStandardAirFlow,
  kEnteringAirFlow,
  kLeavingAirFlow,
  kAirMassFlow,
  kNozzles
};
enum class MoistureSource { kAir, kCondensate };
enum class LiquidRole { kCapacity, kHeatRejection, kHeatAbsorbed };
enum class FanPumpCase { kFanInside, kFanAbsent, kPumpInside, kPumpAbsent };

struct Nozzle {
  double diameter = 0;
  std::string unit;
  double diameter_m = 0;
  int count = 1;
  friend bool operator==(const Nozzle&, const Nozzle&) = default;
};

struct AirSide {
  std::string method;
  AirFlowSource flow = AirFlowSource::kStandardAirFlow;
  std::string nozzle_method;
  std::vector<Nozzle> nozzles;
  WaterPhase entering_phase = WaterPhase::kByTemperature;
  WaterPhase leaving_phase = WaterPhase::kByTemperature;
  MoistureSource moisture = MoistureSource::kAir;
  double duct_loss_w_per_k = 0;
  bool leaving_air_ahead_of_fan = false;
  friend bool operator==(const AirSide&, const AirSide&) = default;
};

struct LiquidSide {
  std::string method;
  LiquidRole role = LiquidRole::kCapacity;
  std::string liquid;
  std::optional<double> concentration_fraction;
  std::string entering;
  std::string leaving;
  std::string flow;
  bool flow_at_leaving = false;
  std::string difference;
  double pressure_pa = 300000;
  friend bool operator==(const LiquidSide&, const LiquidSide&) = default;
};

struct FanPumpCorrection {
  std::string method;
  FanPumpCase kind = FanPumpCase::kFanInside;
  std::string flow;
  std::string pressure;
  bool on_capacity_side = false;
  friend bool operator==(const FanPumpCorrection&, const FanPumpCorrection&) = default;
};

struct MethodInput {
  std::string method;
  std::string input;
  double value = 0;
  std::string unit;
  friend bool operator==(const MethodInput&, const MethodInput&) = default;
};

struct SaturationEntry {
  double temperature_c = 0;
  double pressure_pa = 0;
  friend bool operator==(const SaturationEntry&, const SaturationEntry&) = default;
};

struct SaturationTable {
  std::string refrigerant;
  std::string source;
  std::vector<SaturationEntry> entries;
  friend bool operator==(const SaturationTable&, const SaturationTable&) = default;
};

struct Reduction {
  std::optional<AirSide> air_side;
  std::vector<LiquidSide> liquid_sides;
  std::vector<FanPumpCorrection> corrections;
  CapacityBasis capacity_basis = CapacityBasis::kOnlySide;
  std::optional<double> balance_limit_fraction;
  std::vector<MethodInput> inputs;
  std::optional<SaturationTable> refrigerant_saturation;
  friend bool operator==(const Reduction&, const Reduction&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_REDUCTION_H_
