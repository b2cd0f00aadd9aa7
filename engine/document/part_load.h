// How a load between or below the stages is reached, and conditions that may follow the
// load. See proto/ratebound/v1/part_load.proto and condition.proto for what each field
// means. Values stay in the procedure's own units.
#ifndef RATEBOUND_ENGINE_DOCUMENT_PART_LOAD_H_
#define RATEBOUND_ENGINE_DOCUMENT_PART_LOAD_H_

#include <optional>
#include <string>
#include <vector>

#include "engine/document/citation.h"

namespace ratebound::document {

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

enum class BracketCondition { kTarget, kOwnLoad };
enum class InterpolatedFigure { kEfficiency, kSpecificPower };
enum class CyclingRule { kCoefficientLine, kLinear, kRatio };
enum class MinimumLoad { kCycle, kAsItIs, kRefused };

struct CyclingPart {
  std::string power;
  std::string input;
  friend bool operator==(const CyclingPart&, const CyclingPart&) = default;
};

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
  std::optional<CyclingRule> cycling_rule = {};  // none: see Cycling()
  std::optional<CitedNumber> cycling_coefficient = {};
  std::vector<CyclingPart> cycling_parts = {};
  std::optional<MinimumLoad> minimum_load = {};
  std::optional<BracketCondition> minimum_load_condition = {};
  std::string full_load_input = {};
  friend bool operator==(const PartLoad&, const PartLoad&) = default;

  // What holds where a file does not say.
  CyclingRule Cycling() const {
    return cycling_rule.value_or(CyclingRule::kCoefficientLine);
  }
  MinimumLoad AtMinimum() const { return minimum_load.value_or(MinimumLoad::kCycle); }
  BracketCondition MinimumCondition() const {
    return minimum_load_condition.value_or(BracketCondition::kTarget);
  }
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_PART_LOAD_H_
