// The forms that a procedure can have besides weighted load points. See
// proto/ratebound/v1/procedure.proto for what each field means.
#ifndef RATEBOUND_ENGINE_DOCUMENT_PROCEDURE_FORMS_H_
#define RATEBOUND_ENGINE_DOCUMENT_PROCEDURE_FORMS_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/citation.h"
#include "engine/document/part_load.h"

namespace ratebound::document {

struct FigureTerm {
  std::string quantity;
  std::string input;
  std::string unit;
  CitedNumber factor;
  friend bool operator==(const FigureTerm&, const FigureTerm&) = default;
};

enum class TermSign { kAdded, kSubtracted, kNone };

struct FlowPressureCorrection {
  std::string name;
  FigureTerm flow;
  FigureTerm pressure;
  CitedNumber divisor;
  TermSign in_power = TermSign::kNone;
  TermSign in_capacity = TermSign::kNone;
  std::optional<CitedNumber> capacity_factor;
  Citation citation;
  friend bool operator==(const FlowPressureCorrection&,
                         const FlowPressureCorrection&) = default;
};

struct OnePoint {
  std::vector<FlowPressureCorrection> corrections;
  Citation citation;
  friend bool operator==(const OnePoint&, const OnePoint&) = default;
};

struct ConditionPoint {
  std::string id;
  CitedValue weight;
  std::vector<CitedCondition> conditions;
  friend bool operator==(const ConditionPoint&, const ConditionPoint&) = default;
};

enum class StageRule { kLargestCapacity, kMixedToTarget };
enum class MixedFigure { kCapacityAndPower, kEfficiency };

struct MixtureTarget {
  std::string quantity;
  CitedNumber target;
  std::string unit;
  CitedNumber tolerance;
  MixedFigure mixed = MixedFigure::kCapacityAndPower;
  std::string cycling_factor_input;
  Citation citation;
  friend bool operator==(const MixtureTarget&, const MixtureTarget&) = default;
};

struct HumidityTerm {
  std::string quantity;
  std::string dry_bulb_quantity;
  friend bool operator==(const HumidityTerm&, const HumidityTerm&) = default;
};

enum class FlowMass { kDryAir, kMoistEntering, kMoistLeaving };

struct AirSideMoisture {
  FigureTerm flow;
  FlowMass mass = FlowMass::kDryAir;
  HumidityTerm entering;
  HumidityTerm leaving;
  CitedNumber barometric_pressure;
  std::string barometric_pressure_unit;
  Citation citation;
  friend bool operator==(const AirSideMoisture&, const AirSideMoisture&) = default;
};

enum class LimitSide { kBelow, kAbove };

struct SupplyAirAddition {
  std::string name;
  std::string quantity;
  LimitSide wrong_side = LimitSide::kBelow;
  CitedNumber limit;
  std::string limit_unit;
  FigureTerm flow;
  std::string heat_unit;
  CitedNumber coefficient_of_performance;
  TermSign in_capacity = TermSign::kNone;
  Citation citation;
  friend bool operator==(const SupplyAirAddition&, const SupplyAirAddition&) = default;
};

struct WeightedConditions {
  std::vector<ConditionPoint> points;
  StageRule stage_rule = StageRule::kLargestCapacity;
  std::optional<MixtureTarget> target;
  std::optional<AirSideMoisture> air_side_moisture;
  std::vector<SupplyAirAddition> supply_air_additions;
  Citation citation;
  friend bool operator==(const WeightedConditions&, const WeightedConditions&) = default;
};

struct TabulatedQuantity {
  std::string quantity;
  std::string unit;
  friend bool operator==(const TabulatedQuantity&, const TabulatedQuantity&) = default;
};

struct SuperheatCorrection {
  CitedNumber volumetric_factor;
  CitedNumber density_ratio;
  CitedNumber isentropic_work_ratio;
  std::optional<CitedNumber> enthalpy_difference_ratio;
  Citation citation;
  friend bool operator==(const SuperheatCorrection&,
                         const SuperheatCorrection&) = default;
};

struct CompressorTable {
  std::string evaporating_quantity;
  std::string condensing_quantity;
  std::string temperature_unit;
  std::vector<TabulatedQuantity> tabulated;
  std::optional<SuperheatCorrection> superheat;
  Citation citation;
  friend bool operator==(const CompressorTable&, const CompressorTable&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_PROCEDURE_FORMS_H_
