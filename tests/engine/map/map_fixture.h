// Points of an invented unit whose truth is a known polynomial, for the tests of the map.
#ifndef RATEBOUND_TESTS_ENGINE_MAP_MAP_FIXTURE_H_
#define RATEBOUND_TESTS_ENGINE_MAP_MAP_FIXTURE_H_

#include <string>
#include <string_view>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/line.h"
#include "engine/document/points.h"

namespace ratebound::map {

inline document::LineManifest CoolingManifest() {
  document::Mode mode{.id = "cooling",
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"entering_air_wb", "entering_water_temp"}};
  mode.held_conditions = {{.quantity = "water_flow",
                           .value = 0.5,
                           .tolerance = 0.01,
                           .unit = "L/s",
                           .value_si = 0.0005,
                           .tolerance_si = 0.00001}};
  mode.other_responses = {"sensible_capacity"};
  mode.stages = {{.id = "low"}, {.id = "high"}};
  document::LineManifest manifest{.id = "line"};
  manifest.units = {{.id = "u", .modes = {mode}}};
  return manifest;
}

// Quadratic in both conditions, and linear.
inline double TrueCapacityW(double wb_c, double water_c) {
  return 9000 + 250 * wb_c - 60 * water_c + 3 * wb_c * wb_c - 2 * wb_c * water_c -
         0.5 * water_c * water_c;
}
inline double TruePowerW(double wb_c, double water_c) {
  return 1500 + 10 * wb_c + 35 * water_c;
}

inline document::TestPoint Point(std::string id, double wb_c, double water_c,
                                 std::string_view stage = "low") {
  document::TestPoint point{.id = std::move(id), .file = "f.csv", .line = 2, .unit = "u"};
  point.mode = "cooling";
  point.stage = std::string(stage);
  const double factor = stage == "high" ? 2 : 1;
  point.values = {{"entering_air_wb", wb_c},
                  {"entering_water_temp", water_c},
                  {"power_input", factor * TruePowerW(wb_c, water_c)},
                  {"sensible_capacity", 0.7 * factor * TrueCapacityW(wb_c, water_c)},
                  {"total_capacity", factor * TrueCapacityW(wb_c, water_c)},
                  {"water_flow", 0.0005}};
  return point;
}

inline void Set(document::TestPoint& point, std::string_view quantity, double value_si) {
  for (document::SiValue& value : point.values) {
    if (value.quantity == quantity) value.value_si = value_si;
  }
}

// Wet bulbs 14, 17, 20, 23 and water 20, 25, ..., 40 degC: 20 points a stage.
inline std::vector<document::TestPoint> Grid(std::string_view stage = "low") {
  std::vector<document::TestPoint> points;
  for (int i = 0; i < 4; ++i) {
    for (int k = 0; k < 5; ++k) {
      points.push_back(
          Point(absl::StrCat(std::string(stage), i, k), 14 + 3 * i, 20 + 5 * k, stage));
    }
  }
  return points;
}

}  // namespace ratebound::map

#endif  // RATEBOUND_TESTS_ENGINE_MAP_MAP_FIXTURE_H_
