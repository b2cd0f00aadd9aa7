// The measured and derived quantities that files, calls and the command line speak of, by
// their one name each.
//
// Example:
//   ASSIGN_OR_RETURN(const Quantity* q, FindQuantity("entering_water_temp"));
//   q->dimension;   // Dimension::kTemperature
//   FindQuantity("entering_water_tmp");  // INVALID_ARGUMENT: ... did you mean
//                                        // 'entering_water_temp'?
//
// Net and gross are different quantities: total_capacity and power_input of a cooling
// machine are as the procedure rates them, the indoor fan's heat and power taken into
// account; gross_... leaves the fan out.
//
// The plausible range is what the trade's machines can meet at all, wide enough that a
// value outside it is a mistake in a unit or a column and not a hard test. Ranges are
// common practice, no source.
//
// Memory: quantities live for ever. Thread-safety: pure functions; a lookup takes no
// lock.
#ifndef RATEBOUND_ENGINE_QUANTITY_VOCABULARY_H_
#define RATEBOUND_ENGINE_QUANTITY_VOCABULARY_H_

#include <span>
#include <string_view>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/quantity/dimension.h"

namespace ratebound::quantity {

enum class Role {
  kCondition,  // set by the test: surfaces are functions of it
  kResponse,   // what the machine does under the conditions
  kEither,     // set in one test, found in another
};

struct Quantity {
  std::string_view name;
  Dimension dimension;
  Role role;
  double least_si;  // of the plausible range, both ends included
  double greatest_si;
  std::string_view meaning;  // one line, for people
};

// INVALID_ARGUMENT with the nearest name.
absl::StatusOr<const Quantity*> FindQuantity(std::string_view name);

// In the order of groups: air, water, capacities, powers, efficiencies, machine,
// surroundings.
std::span<const Quantity> AllQuantities();

// INVALID_ARGUMENT where the value is not a finite number or is outside the plausible
// range, which the message gives in SI.
absl::Status CheckPlausible(const Quantity& quantity, double value_si);

}  // namespace ratebound::quantity

#endif  // RATEBOUND_ENGINE_QUANTITY_VOCABULARY_H_
