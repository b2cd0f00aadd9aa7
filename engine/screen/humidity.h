// The humidity ratio of the entering or leaving air of a test point, by whatever was
// measured. Inside of Screen. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_HUMIDITY_H_
#define RATEBOUND_ENGINE_SCREEN_HUMIDITY_H_

#include <optional>
#include <string>
#include <string_view>

#include "engine/document/line.h"
#include "engine/document/points.h"

namespace ratebound::screen {

// Of a reading of which nothing is known. Common practice, no source.
inline constexpr double kHumidityTemperatureSlackK = 0.3;
inline constexpr double kRelativeHumiditySlack = 0.02;
inline constexpr double kHumidityRatioSlack = 1e-4;

struct Humidity {
  double ratio = 0;      // kg of water to kg of dry air
  double slack = 0;      // what it may be off by: effects of the readings added up
  std::string measured;  // the quantity it rests on
};

// `side` is "entering" or "leaving". From humidity ratio, dew point, wet bulb or relative
// humidity, whichever stands first in this order; at barometric_pressure, at altitude, or
// at sea level; over ice up to the triple point (fluid/moist_air.h). Empty where none was
// measured or the readings have no such state.
std::optional<Humidity> HumidityOf(const document::LineManifest& manifest,
                                   const document::TestPoint& point,
                                   std::string_view side);

// The humidity ratio of air saturated at `dry_bulb_c`, at the point's pressure.
double SaturatedHumidityRatio(const document::TestPoint& point, double dry_bulb_c);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_HUMIDITY_H_
