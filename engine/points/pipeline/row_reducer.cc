#include "engine/points/pipeline/row_reducer.h"

#include <memory>
#include <string>

namespace ratebound::points {

RowReducer MakeRowReducer(const ModePlans& plans, const document::LogFile& log) {
  const ModePlans::Entry* const entry = plans.Find(log.unit, log.mode);
  if (entry == nullptr) return {};
  const ReductionPlan plan = entry->plan;
  const int capacity = plan.OutputIndex(entry->mode->capacity_quantity);
  const int power = plan.OutputIndex(entry->mode->power_quantity);
  const std::string power_quantity = entry->mode->power_quantity;
  auto results = std::make_shared<Results<double>>();
  return [plan, capacity, power, power_quantity,
          results](std::span<const RowReading> row) -> RowFigures {
    RowFigures figures;
    Readings<double> readings(plan);
    for (const RowReading& reading : row) {
      readings.Set(plan, reading.quantity, reading.value_si);
      if (reading.quantity == power_quantity) figures.power_w = reading.value_si;
    }
    if (!Reduce(plan, readings, *results).ok()) return figures;
    if (capacity >= 0) figures.capacity_w = results->values[capacity];
    if (power >= 0 && results->values[power]) figures.power_w = results->values[power];
    return figures;
  };
}

}  // namespace ratebound::points
