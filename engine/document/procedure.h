// A rating procedure as data. See proto/ratebound/v1/procedure.proto for what each field
// means. Values stay in the procedure's own units: its conditions, constants and rounding
// are evaluated there, and only conditions are turned into SI to ask the map.
#ifndef RATEBOUND_ENGINE_DOCUMENT_PROCEDURE_H_
#define RATEBOUND_ENGINE_DOCUMENT_PROCEDURE_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/citation.h"
#include "engine/document/line.h"

namespace ratebound::document {

struct Scope {
  std::vector<std::string> equipment_classes;
  std::optional<CitedValue> capacity_low;
  std::optional<CitedValue> capacity_high;
  std::vector<int> phase_counts;
  Citation citation;
  friend bool operator==(const Scope&, const Scope&) = default;
};

struct LoadLine {
  double slope_per_percent = 0;
  double intercept = 0;
  double percent_low = 0;
  double constant = 0;
  std::string unit;
  Citation citation;
  std::string full_load_input;
  friend bool operator==(const LoadLine&, const LoadLine&) = default;
};

// Exactly one of value, input and load_line is set.
struct CitedCondition {
  std::string quantity;
  std::optional<CitedValue> value;
  std::string input;
  std::optional<LoadLine> load_line;
  bool if_mapped = false;
  friend bool operator==(const CitedCondition&, const CitedCondition&) = default;
};

struct LoadPoint {
  std::string id;
  CitedValue percent_load;
  CitedValue weight;
  std::vector<CitedCondition> conditions;
  friend bool operator==(const LoadPoint&, const LoadPoint&) = default;
};

enum class BracketCondition { kTarget, kOwnLoad };
enum class InterpolatedFigure { kEfficiency, kSpecificPower };

struct PartLoad {
  CitedValue window_percent;
  BracketCondition bracket_condition = BracketCondition::kTarget;
  InterpolatedFigure interpolated = InterpolatedFigure::kEfficiency;
  Citation bracket_citation;
  std::vector<CitedCondition> load_lines;
  CitedValue degradation_slope;
  CitedValue degradation_intercept;
  std::vector<std::string> cycling_powers;
  std::vector<std::string> continuous_powers;
  Citation cycling_citation;
  friend bool operator==(const PartLoad&, const PartLoad&) = default;
};

enum class Aggregation { kWeightedMean, kWeightedHarmonic };

struct AddedPower {
  std::string name;
  std::string input;
  std::string cycling_part_input;
  Citation citation;
  friend bool operator==(const AddedPower&, const AddedPower&) = default;
};

struct Procedure {
  std::string id;
  std::string title;
  std::string document;
  std::string edition;
  std::string metric;
  std::string metric_unit;
  Scope scope;
  ModeKind mode_kind = ModeKind::kCooling;
  CitedText capacity_basis;
  std::string capacity_quantity;
  std::string power_quantity;
  std::vector<CitedCondition> common_conditions;
  std::vector<LoadPoint> load_points;
  std::optional<PartLoad> part_load;
  Aggregation aggregation = Aggregation::kWeightedMean;
  Citation aggregation_citation;
  double weight_sum = 1;
  CitedValue rounding_step;
  std::vector<RequiredInput> required_inputs;
  std::vector<std::string> notes;
  CitedValue unit_constant;
  std::vector<AddedPower> added_powers;
  std::optional<CitedValue> surveillance_tolerance;  // percent
  friend bool operator==(const Procedure&, const Procedure&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_PROCEDURE_H_
