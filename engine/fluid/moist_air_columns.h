// Saturation pressure and humidity ratio of many states at once: moist_air.h over
// columns, with its bits and in a third of its time, for logs of millions of readings.
//
// Example:
//   std::vector<double> w(readings);
//   HumidityRatiosFromWetBulbs<Si>(dry_bulb, wet_bulb, pressure, Phase::kWater, w);
//   // w[i] == HumidityRatioFromWetBulb<Si>(dry_bulb[i], wet_bulb[i], pressure[i], ...)
//
// All columns of a call have one length; `out` may be one of the others. The rest of
// moist_air.h has neither Exp nor Log in it, and is as fast as can be in a plain loop.
// Nothing is checked, as there. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_FLUID_MOIST_AIR_COLUMNS_H_
#define RATEBOUND_ENGINE_FLUID_MOIST_AIR_COLUMNS_H_

#include <span>

#include "engine/fluid/moist_air.h"

namespace ratebound::fluid {

template <Formulation Form>
void SaturationPressures(std::span<const double> temperature, Phase phase,
                         std::span<double> out);
template <Formulation Form>
void HumidityRatiosFromWetBulbs(std::span<const double> dry_bulb,
                                std::span<const double> wet_bulb,
                                std::span<const double> pressure, Phase wick,
                                std::span<double> out);

}  // namespace ratebound::fluid

#endif  // RATEBOUND_ENGINE_FLUID_MOIST_AIR_COLUMNS_H_
