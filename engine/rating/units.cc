#include "engine/rating/units.h"

#include "engine/base/status_macros.h"
#include "engine/quantity/unit.h"
#include "engine/quantity/vocabulary.h"

namespace ratebound::rating {

absl::StatusOr<quantity::Unit> UnitOf(std::string_view name, std::string_view unit) {
  ASSIGN_OR_RETURN(const quantity::Quantity* found, quantity::FindQuantity(name));
  return quantity::FindUnit(unit, found->dimension);
}

absl::StatusOr<double> ToSi(std::string_view quantity, double value,
                            std::string_view unit) {
  ASSIGN_OR_RETURN(const quantity::Unit found, UnitOf(quantity, unit));
  return quantity::ToSi(value, found);
}

absl::StatusOr<double> FromSi(std::string_view quantity, double value_si,
                              std::string_view unit) {
  ASSIGN_OR_RETURN(const quantity::Unit found, UnitOf(quantity, unit));
  return quantity::FromSi(value_si, found);
}

}  // namespace ratebound::rating
