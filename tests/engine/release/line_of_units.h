// Line folders for tests of whole builds: the small line of tests/testing, and one with
// several units and stages, so that there is work to share between threads.
#ifndef RATEBOUND_TESTS_ENGINE_RELEASE_LINE_OF_UNITS_H_
#define RATEBOUND_TESTS_ENGINE_RELEASE_LINE_OF_UNITS_H_

#include <string>
#include <string_view>
#include <vector>

#include "absl/strings/str_format.h"
#include "engine/release/build.h"
#include "tests/testing/random.h"
#include "tests/testing/small_line.h"

namespace ratebound::release {

using Files = std::vector<LineFile>;

inline Files SmallLine() {
  return {{"line.textproto", testing::kSmallLineManifest},
          {"claims.textproto", testing::SmallLineClaims()},
          {"points/p.csv", testing::SmallLinePoints()}};
}

inline std::string& BytesOf(Files& files, std::string_view path) {
  for (LineFile& file : files) {
    if (file.path == path) return file.bytes;
  }
  return files.emplace_back(LineFile{std::string(path), ""}).bytes;
}

// The same points with the first `from` replaced.
inline void Replace(std::string& text, std::string_view from, std::string_view to) {
  text.replace(text.find(from), from.size(), to);
}

// `unit_count` units named u1, u2, ... with the stages low and high; each unit has a file
// for each stage, a table and a claim, and high gives about twice what low gives.
inline Files LineOfUnits(int unit_count) {
  std::string manifest =
      "id: 'units' title: 'Units' data_source: 'Invented for tests.'\n";
  std::string claims;
  Files files;
  testing::Random random("LINE_OF_UNITS");
  for (int u = 1; u <= unit_count; ++u) {
    absl::StrAppendFormat(&manifest, R"(
units {
  id: "u%d"
  title: "Test unit"
  equipment_class: "unitary_water_cooled"
  phase_count: 3
  nominal_capacity { quantity: "total_capacity" value: 50 unit: "kW" }
  machines { id: "a" } machines { id: "b" }
  modes {
    id: "cooling"
    kind: MODE_KIND_COOLING
    capacity_quantity: "total_capacity"
    power_quantity: "power_input"
    conditions: "entering_water_temp"
    conditions: "entering_air_wb"
    stages { id: "low" machines: "a" }
    stages { id: "high" machines: "a" machines: "b" }
  }
}
tables {
  id: "t%d" title: "Capacity" unit: "u%d" mode: "cooling" stage: "high"
  rows { quantity: "entering_water_temp" unit: "degC" values: [15, 25, 35] }
  fixed_conditions { quantity: "entering_air_wb" value: 18 unit: "degC" }
  figures { quantity: "total_capacity" unit: "kW" decimal_count: 1 }
}
)",
                          u, u, u);
    absl::StrAppendFormat(&claims, R"(
claims {
  id: "floor-%d" unit: "u%d" mode: "cooling" stage: "high"
  quantity: "total_capacity" relation: RELATION_AT_LEAST limit: 30 limit_unit: "kW"
  region { quantity: "entering_water_temp" low: 12 high: 38 unit: "degC" }
  region { quantity: "entering_air_wb" low: 13 high: 23 unit: "degC" }
  confidence: 0.95
  allowance { relative_fraction: 0.01 reason: "for a test" }
}
)",
                          u, u);
    for (const auto& [stage, share] : {std::pair{"low", 0.5}, std::pair{"high", 1.0}}) {
      const std::string path = absl::StrFormat("points/u%d-%s.csv", u, stage);
      absl::StrAppendFormat(
          &manifest,
          "point_files { path: '%s' unit: 'u%d' mode: 'cooling' stage: '%s' }\n", path, u,
          stage);
      std::string csv =
          "point,block,entering_water_temp[degC],entering_air_wb[degC],total_capacity[kW]"
          ","
          "power_input[kW]\n";
      for (int k = 0; k < 30; ++k) {
        const int water_level = k / 5;
        const double water_c = 10 + 6 * water_level;
        const double wet_bulb_c = 12 + 3 * (k % 5);
        absl::StrAppendFormat(
            &csv, "%s%d-%d,d%d,%g,%g,%.6f,%.6f\n", stage, u, k, k, water_c, wet_bulb_c,
            share * (50 + u - 0.3 * (water_c - 25) + (wet_bulb_c - 18)) *
                (1 + 0.004 * random.Uniform(-1, 1)),
            share * (10 + 0.2 * (water_c - 25)) * (1 + 0.004 * random.Uniform(-1, 1)));
      }
      files.push_back({path, csv});
    }
  }
  files.push_back({"line.textproto", manifest});
  files.push_back({"claims.textproto", claims});
  return files;
}

}  // namespace ratebound::release

#endif  // RATEBOUND_TESTS_ENGINE_RELEASE_LINE_OF_UNITS_H_
