// A small line and matchers that the tests of the screening share.
#ifndef RATEBOUND_TESTS_ENGINE_SCREEN_SCREEN_FIXTURE_H_
#define RATEBOUND_TESTS_ENGINE_SCREEN_SCREEN_FIXTURE_H_

#include <string>
#include <string_view>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/line.h"
#include "engine/document/points.h"
#include "gmock/gmock.h"

namespace ratebound::screen {

inline document::LineManifest Manifest() {
  document::Mode mode{.id = "cooling",
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"entering_air_wb", "entering_water_temp"},
                      .stages = {{.id = "low"}}};
  document::LineManifest manifest{.id = "line"};
  manifest.units = {{.id = "u", .modes = {mode}}};
  return manifest;
}

inline document::Mode& OnlyMode(document::LineManifest& manifest) {
  return manifest.units[0].modes[0];
}

inline document::SiValue& ValueOf(document::TestPoint& point, std::string_view quantity) {
  for (document::SiValue& value : point.values) {
    if (value.quantity == quantity) return value;
  }
  return point.values.emplace_back(document::SiValue{.quantity = std::string(quantity)});
}

inline void Set(document::TestPoint& point, std::string_view quantity, double value_si) {
  ValueOf(point, quantity).value_si = value_si;
}

// Nine points on a 3 x 3 grid, on a plane.
inline std::vector<document::TestPoint> Grid() {
  std::vector<document::TestPoint> points;
  for (int i = 0; i < 9; ++i) {
    document::TestPoint point{.id = absl::StrCat("p", i), .file = "f.csv", .line = i + 2};
    point.unit = "u";
    point.mode = "cooling";
    point.stage = "low";
    const double wb_c = 15 + 3 * (i % 3);
    const double water_c = 20 + 10 * (i / 3);
    Set(point, "entering_air_wb", wb_c);
    Set(point, "entering_water_temp", water_c);
    Set(point, "power_input", 2000 + 5 * wb_c + 40 * water_c);
    Set(point, "total_capacity", 10000 + 200 * wb_c - 50 * water_c);
    points.push_back(point);
  }
  return points;
}

inline auto Says(document::Severity severity, const std::string& subject,
                 const std::string& part) {
  using ::testing::AllOf;
  using ::testing::Field;
  return ::testing::Contains(
      AllOf(Field(&document::Finding::severity, severity),
            Field(&document::Finding::subject, subject),
            Field(&document::Finding::message, ::testing::HasSubstr(part))));
}

inline auto AllNotes() {
  return ::testing::Each(
      ::testing::Field(&document::Finding::severity, document::Severity::kNote));
}

}  // namespace ratebound::screen

namespace ratebound::document {

// Found by gtest, so that a failed match can be read.
inline void PrintTo(const Finding& finding, std::ostream* out) {
  constexpr const char* kNames[] = {"note", "warning", "failure"};
  *out << kNames[static_cast<int>(finding.severity)] << " " << finding.subject << ": "
       << finding.message;
}

}  // namespace ratebound::document

#endif  // RATEBOUND_TESTS_ENGINE_SCREEN_SCREEN_FIXTURE_H_
