#include "engine/rating/efficiency.h"

#include <variant>

#include "engine/quantity/unit.h"

namespace ratebound::rating {

bool IsSpecificPower(const document::Procedure& procedure) {
  const bool weighted =
      std::holds_alternative<std::monostate>(procedure.form) ||
      std::holds_alternative<document::WeightedConditions>(procedure.form);
  if (weighted) return procedure.aggregation == document::Aggregation::kWeightedHarmonic;
  const auto unit = quantity::FindUnit(procedure.metric_unit);
  return unit.ok() && unit->reciprocal;
}

}  // namespace ratebound::rating
