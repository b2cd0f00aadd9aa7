#include "engine/rating/rated_unit.h"

namespace ratebound::rating {

const double* StageFigures::Find(const std::string& quantity) const {
  for (const QuantityValue& known : quantities) {
    if (known.quantity == quantity) return &known.value_si;
  }
  return nullptr;
}

}  // namespace ratebound::rating
