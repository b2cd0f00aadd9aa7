// A rating procedure as data. See proto/ratebound/v1/procedure.proto for what each field
// means. Values stay in the procedure's own units: its conditions, constants and rounding
// are evaluated there, and only conditions are turned into SI to ask the map.
#ifndef RATEBOUND_ENGINE_DOCUMENT_PROCEDURE_H_
#define RATEBOUND_ENGINE_DOCUMENT_PROCEDURE_H_

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "engine/document/citation.h"
#include "engine/document/line.h"
#include "engine/document/part_load.h"
#include "engine/document/procedure_forms.h"
#include "engine/document/season.h"

namespace ratebound::document {

struct Scope {
  std::vector<std::string> equipment_classes;
  std::optional<CitedValue> capacity_low;
  std::optional<CitedValue> capacity_high;
  std::vector<int> phase_counts;
  Citation citation;
  std::string valid_from = {};
  std::string valid_until = {};
  friend bool operator==(const Scope&, const Scope&) = default;
};

struct LoadPoint {
  std::string id;
  CitedValue percent_load;
  CitedValue weight;
  std::vector<CitedCondition> conditions;
  friend bool operator==(const LoadPoint&, const LoadPoint&) = default;
};

enum class Aggregation { kWeightedMean, kWeightedHarmonic };

struct AddedPower {
  std::string name;
  std::string input;
  std::string cycling_part_input;
  Citation citation;
  friend bool operator==(const AddedPower&, const AddedPower&) = default;
};

// Weighted load points are the form without a struct of its own.
using ProcedureForm = std::variant<std::monostate, OnePoint, WeightedConditions,
                                   CompressorTable, BinSeason>;

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
  std::string capacity_unit = {};
  std::string power_unit = {};
  std::string edition_of = {};
  ProcedureForm form = {};
  friend bool operator==(const Procedure&, const Procedure&) = default;

  // What editions of one procedure have in common.
  const std::string& Family() const { return edition_of.empty() ? id : edition_of; }
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_PROCEDURE_H_
