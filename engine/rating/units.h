// Values of a quantity in a unit, by their names, turned to SI and back.
#ifndef RATEBOUND_ENGINE_RATING_UNITS_H_
#define RATEBOUND_ENGINE_RATING_UNITS_H_

#include <string_view>

#include "absl/status/statusor.h"
#include "engine/quantity/unit.h"

namespace ratebound::rating {

// INVALID_ARGUMENT for a quantity or unit that does not exist or do not fit each other.
absl::StatusOr<double> ToSi(std::string_view quantity, double value,
                            std::string_view unit);
absl::StatusOr<double> FromSi(std::string_view quantity, double value_si,
                              std::string_view unit);

// The unit, for repeated use.
absl::StatusOr<quantity::Unit> UnitOf(std::string_view quantity, std::string_view unit);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_UNITS_H_
