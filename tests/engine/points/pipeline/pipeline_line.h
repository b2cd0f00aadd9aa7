// A line of one unit whose capacity is reduced from raw readings of the air, with
// instruments to give it, and the points to reduce.
//
// Example:
//   document::LineManifest line = AirLine();
//   line.instruments = {Instrument("t1", {"entering_air_db"}, {Within(0.1, "degC")})};
//   std::vector<document::TestPoint> points = {CoilPoint("p1")};
#ifndef RATEBOUND_TESTS_ENGINE_POINTS_PIPELINE_PIPELINE_LINE_H_
#define RATEBOUND_TESTS_ENGINE_POINTS_PIPELINE_PIPELINE_LINE_H_

#include <algorithm>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/points.h"
#include "tests/engine/points/reduction/reduction_rig.h"

namespace ratebound::points {

// Unit "u", mode "cooling" over outdoor dry bulb and entering wet bulb, stage "1".
inline document::LineManifest AirLine() {
  document::Mode mode{.id = "cooling",
                      .kind = document::ModeKind::kCooling,
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"outdoor_air_db", "entering_air_wb"},
                      .stages = {{.id = "1"}}};
  mode.reduction = document::Reduction{.air_side = document::AirSide{.method = kSi}};
  document::LineManifest line{.id = "line"};
  line.units = {{.id = "u", .title = "u", .modes = {std::move(mode)}}};
  return line;
}
inline document::Mode& ModeOf(document::LineManifest& line) {
  return line.units[0].modes[0];
}

// Values come in the order of their names, as ingest leaves them.
inline document::TestPoint PointWith(
    std::string id, std::vector<std::pair<std::string, double>> readings) {
  document::TestPoint point{.id = std::move(id),
                            .file = "points/day1.csv",
                            .line = 7,
                            .unit = "u",
                            .mode = "cooling",
                            .stage = "1"};
  std::sort(readings.begin(), readings.end());
  for (auto& [quantity, value_si] : readings) {
    point.values.push_back({.quantity = quantity, .value_si = value_si});
  }
  return point;
}

// A cooling coil: about 10 kW, a quarter of it latent.
inline document::TestPoint CoilPoint(std::string id, double outdoor_c = 35,
                                     double entering_wb_c = 19.4) {
  return PointWith(std::move(id), {{"entering_air_db", 26.7},
                                   {"entering_air_wb", entering_wb_c},
                                   {"leaving_air_db", 14.4},
                                   {"leaving_air_wb", 13.3},
                                   {"standard_air_flow", 0.55},
                                   {"barometric_pressure", 99000},
                                   {"power_input", 3500},
                                   {"outdoor_air_db", outdoor_c}});
}

inline document::SiValue& ValueOf(document::TestPoint& point, std::string_view quantity) {
  for (document::SiValue& value : point.values) {
    if (value.quantity == quantity) return value;
  }
  ADD_FAILURE() << quantity << " is not there";
  return point.values.front();
}
inline void Drop(document::TestPoint& point, std::string_view quantity) {
  std::erase_if(point.values, [&](const document::SiValue& value) {
    return value.quantity == quantity;
  });
}

// Expanded by 2 where nothing else is said.
inline document::Accuracy Within(double absolute, std::string unit,
                                 std::string name = "calibration") {
  return {.name = std::move(name), .absolute = absolute, .unit = std::move(unit)};
}
inline document::Accuracy Part(double fraction, std::string name = "calibration") {
  return {.name = std::move(name), .relative_fraction = fraction};
}
inline document::Accuracy SharedBy(std::string reference, document::Accuracy accuracy) {
  accuracy.shared_reference = std::move(reference);
  return accuracy;
}
inline document::Accuracy Random(document::Accuracy accuracy) {
  accuracy.random = true;
  return accuracy;
}
inline document::Instrument Instrument(std::string id, std::vector<std::string> reads,
                                       std::vector<document::Accuracy> accuracies) {
  return {.id = std::move(id),
          .reads = std::move(reads),
          .accuracies = std::move(accuracies)};
}

}  // namespace ratebound::points

#endif  // RATEBOUND_TESTS_ENGINE_POINTS_PIPELINE_PIPELINE_LINE_H_
