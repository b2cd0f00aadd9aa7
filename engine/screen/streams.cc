#include "engine/screen/streams.h"

#include <algorithm>

namespace ratebound::screen {

std::vector<Stream> StreamsOf(const document::Mode& mode) {
  const bool heating = mode.kind == document::ModeKind::kHeating;
  std::vector<Stream> streams;
  if (mode.reduction) {
    for (const document::LiquidSide& side : mode.reduction->liquid_sides) {
      const bool capacity = side.role == document::LiquidRole::kCapacity;
      streams.push_back(
          {.entering = side.entering,
           .leaving = side.leaving,
           .flow = side.flow,
           .gains_heat =
               capacity ? heating : side.role == document::LiquidRole::kHeatRejection,
           .delivers_capacity = capacity});
    }
  }
  const Stream usual[] = {
      {"entering_water_temp", "leaving_water_temp", "water_flow", !heating, false},
      {"entering_brine_temp", "leaving_brine_temp", "", !heating, false},
      {"entering_chilled_water_temp", "leaving_chilled_water_temp", "chilled_water_flow",
       false, !heating},
      {"entering_condenser_water_temp", "leaving_condenser_water_temp",
       "condenser_water_flow", true, heating},
      {"entering_hot_water_temp", "leaving_hot_water_temp", "", true, heating},
  };
  for (const Stream& stream : usual) {
    const bool named = std::any_of(
        streams.begin(), streams.end(),
        [&](const Stream& known) { return known.entering == stream.entering; });
    if (!named) streams.push_back(stream);
  }
  return streams;
}

}  // namespace ratebound::screen
