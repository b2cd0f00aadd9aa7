// Values with units as people write them, read and written.
//
// Example:
//   ASSIGN_OR_RETURN(auto at, ParseAssignments("entering_water_temp=90degF,air_flow=1200
//   cfm")); at[0].quantity->name;  // "entering_water_temp" at[0].value_si; // 32.222...
//   degC ParseHeaderCell("total_capacity[kBtu/h]"); FormatIn(32.0, *FindUnit("degF"), 1);
//   // "89.6 degF"
//
// A number is decimal with a point, with no sign but '-', no thousands separators; a unit
// is required, blanks before it are not. Nothing is guessed: a missing unit, one of
// another dimension, a value that no such machine meets are errors (INVALID_ARGUMENT)
// that name the units that fit. Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_QUANTITY_MEASURE_H_
#define RATEBOUND_ENGINE_QUANTITY_MEASURE_H_

#include <string>
#include <string_view>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::quantity {

struct Measure {
  double value_si = 0;
  Unit unit;  // as written
};

// "85degF", "85 degF", "-15.2degC", "1.2e4 Btu/h". No check of plausibility.
absl::StatusOr<Measure> ParseMeasure(std::string_view text, Dimension dimension);

struct Assignment {
  const Quantity* quantity = nullptr;
  double value_si = 0;
  Unit unit;  // as written, for showing results in the asker's unit
};

// "quantity=value unit", checked against the quantity's dimension and plausible range.
absl::StatusOr<Assignment> ParseAssignment(std::string_view text);
// Any number of them, split by commas, each quantity once; all faults are reported
// together. Empty text is no assignments.
absl::StatusOr<std::vector<Assignment>> ParseAssignments(std::string_view text);

struct Column {
  const Quantity* quantity = nullptr;
  Unit unit;
};

// "quantity[unit]", as at the head of a column of a lab file.
absl::StatusOr<Column> ParseHeaderCell(std::string_view text);

// "89.6 degF", with that many decimals (0 to 17), never "-0.0"; halves round as printf
// does, on the exact binary value.
std::string FormatIn(double value_si, const Unit& unit, int decimals);
// The shortest text that reads back to the value in that unit: "89.6 degF".
std::string FormatIn(double value_si, const Unit& unit);

}  // namespace ratebound::quantity

#endif  // RATEBOUND_ENGINE_QUANTITY_MEASURE_H_
