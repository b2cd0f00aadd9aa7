// What a reduction plan comes down to: numbers and places, with the names resolved.
// Inside of this folder.
#ifndef RATEBOUND_ENGINE_POINTS_REDUCTION_PLAN_CORE_H_
#define RATEBOUND_ENGINE_POINTS_REDUCTION_PLAN_CORE_H_

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/document/reduction.h"
#include "engine/fluid/liquid.h"
#include "engine/points/reduction/air_equations.h"
#include "engine/points/reduction/method_names.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::points {

enum class OutputId {
  kEnteringWetBulb,
  kEnteringDewPoint,
  kEnteringRelativeHumidity,
  kEnteringHumidityRatio,
  kLeavingWetBulb,
  kLeavingDewPoint,
  kLeavingRelativeHumidity,
  kLeavingHumidityRatio,
  kAirMassFlow,
  kStandardAirFlow,
  kAirFlow,
  kNozzleThroatVelocity,
  kTotalCapacity,
  kSensibleCapacity,
  kLatentCapacity,
  kGrossTotalCapacity,
  kGrossSensibleCapacity,
  kSensibleHeatRatio,
  kMoistureRemoval,
  kHeatingCapacity,
  kGrossHeatingCapacity,
  kHeatRejection,
  kHeatAbsorbed,
  kHeatBalance,
  kPowerInput,
  kSaturatedSuction,
  kSaturatedDischarge,
  kSuperheat,
  kSubcooling,
};
inline constexpr std::array<std::string_view, 29> kOutputNames = {
    "entering_air_wb",
    "entering_air_dew_point",
    "entering_air_relative_humidity",
    "entering_air_humidity_ratio",
    "leaving_air_wb",
    "leaving_air_dew_point",
    "leaving_air_relative_humidity",
    "leaving_air_humidity_ratio",
    "air_mass_flow",
    "standard_air_flow",
    "air_flow",
    "nozzle_throat_velocity",
    "total_capacity",
    "sensible_capacity",
    "latent_capacity",
    "gross_total_capacity",
    "gross_sensible_capacity",
    "sensible_heat_ratio",
    "moisture_removal",
    "heating_capacity",
    "gross_heating_capacity",
    "heat_rejection",
    "heat_absorbed",
    "heat_balance",
    "power_input",
    "saturated_suction_temp",
    "saturated_discharge_temp",
    "superheat",
    "subcooling"};

inline constexpr int kNowhere = -1;

// The readings of one state of air, by HumidityReading.
struct StateInputs {
  std::string side;  // "entering_air" or "leaving_air"
  int db = kNowhere;
  std::array<int, 4> moisture = {kNowhere, kNowhere, kNowhere, kNowhere};
  document::WaterPhase phase = document::WaterPhase::kByTemperature;
};

struct AirPlan {
  std::string method;
  std::string nozzle_method;
  bool inch_pound = false;
  AirConstants constants;
  StateInputs entering;
  StateInputs leaving;
  int flow = kNowhere;
  int nozzle_db = kNowhere;
  int ambient_db = kNowhere;  // where ducts lose heat
  int condensate = kNowhere;
  int fan_power = kNowhere;
  double throat_velocity_low = 0;  // in the method's unit
  double throat_velocity_high = 0;
  std::string column_unit;  // of the nozzles' pressure difference

  // For the steps.
  MethodValue dry_air_specific_heat, water_vapour_specific_heat, latent_heat,
      standard_air_density, power_heat, flow_constant, coefficient, viscosity,
      throat_velocity;
  document::Citation sensible_rule, heating_rule, standard_air_rule;
};

enum class HeatForm { kEnthalpyDifference, kMeanSpecificHeat, kFactor };

struct LiquidPlan {
  std::string method;
  bool inch_pound = false;
  HeatForm form = HeatForm::kEnthalpyDifference;
  MethodValue flow_factor;
  document::Citation form_rule;
  double heat_w = 1;        // W of the method's unit of heat flow
  double power_heat_w = 1;  // W that the method counts for 1 W of power
  document::LiquidRole role = document::LiquidRole::kCapacity;
  fluid::LiquidKind liquid = fluid::LiquidKind::kWater;
  std::optional<double> concentration;
  double pressure_pa = 0;
  bool flow_at_leaving = false;
  bool mass_flow = false;
  int entering = kNowhere;
  int leaving = kNowhere;
  int flow = kNowhere;
  int difference = kNowhere;
  int concentration_input = kNowhere;
};

// Read, or computed before.
struct Source {
  std::string quantity;
  int input = kNowhere;
  int output = kNowhere;
};

enum class CorrectionForm { kDivisor, kEfficiency, kHydraulicPower };
enum class CapacityTerm { kWhole, kLoss, kShare, kNone };

struct CorrectionPlan {
  std::string method;
  document::FanPumpCase kind = document::FanPumpCase::kFanInside;
  bool inch_pound = false;
  CorrectionForm form = CorrectionForm::kEfficiency;
  CapacityTerm term = CapacityTerm::kNone;
  document::Citation term_rule;
  bool on_capacity_side = false;
  Source flow;
  Source pressure;
  double flow_unit_si = 1;  // m3/s of the method's unit
  double pressure_unit_pa = 1;
  std::string flow_unit, pressure_unit;
  MethodValue flow_factor, pressure_factor, divisor;  // divisor: or efficiency
  MethodValue small_factor, small_exponent, large_factor, large_offset, limit;
  MethodValue share;
  double power_heat_w = 1;

  bool is_fan() const {
    return kind == document::FanPumpCase::kFanInside ||
           kind == document::FanPumpCase::kFanAbsent;
  }
  bool is_inside() const {
    return kind == document::FanPumpCase::kFanInside ||
           kind == document::FanPumpCase::kPumpInside;
  }
};

struct SaturationLine {
  std::string source;
  std::vector<double> log_pressure;  // rising
  std::vector<double> per_kelvin;    // falling
};

// Pressures of one side of the refrigerant circuit.
struct RefrigerantSide {
  std::string name;  // "suction" or "discharge"
  int absolute = kNowhere;
  int gauge = kNowhere;
  int saturated = kNowhere;    // read itself
  int temperature = kNowhere;  // whose distance to saturation is wanted
  OutputId saturated_output = OutputId::kSaturatedSuction;
  OutputId difference_output = OutputId::kSuperheat;
};

struct PlanCore {
  std::string mode;
  bool heating = false;
  double wet_bulb_slack_k = 0;
  std::vector<std::string> inputs;
  std::vector<const quantity::Quantity*> quantities;  // of inputs
  std::array<int, kOutputNames.size()> output_index;  // by OutputId

  std::optional<AirPlan> air;
  std::vector<LiquidPlan> liquids;
  std::vector<CorrectionPlan> corrections;
  document::CapacityBasis basis = document::CapacityBasis::kOnlySide;
  std::optional<double> balance_limit_fraction;
  document::Citation balance_citation;

  bool needs_barometer = false;
  int barometer = kNowhere;
  int altitude = kNowhere;
  int power = kNowhere;
  int indoor_fan_power = kNowhere;
  int outdoor_section_power = kNowhere;
  std::optional<SaturationLine> saturation;
  std::array<RefrigerantSide, 2> refrigerant;

  int index_of(OutputId id) const { return output_index[static_cast<size_t>(id)]; }
};

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_REDUCTION_PLAN_CORE_H_
