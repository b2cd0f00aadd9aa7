// A small line folder whose truth is known: one water-cooled unit, one stage, capacity
// and power linear in entering water and entering wet bulb, 0.3 % of repeatable scatter,
// 24 test days.
#ifndef RATEBOUND_TESTS_TESTING_SMALL_LINE_H_
#define RATEBOUND_TESTS_TESTING_SMALL_LINE_H_

#include <string>

#include "absl/strings/str_format.h"
#include "tests/testing/random.h"

namespace ratebound::testing {

inline constexpr char kSmallLineManifest[] = R"(
id: "small"
title: "A small line for tests"
data_source: "Invented for tests."
cautions: "Invented figures."
units {
  id: "u1"
  title: "Test unit"
  equipment_class: "unitary_water_cooled"
  phase_count: 3
  nominal_capacity { quantity: "total_capacity" value: 50 unit: "kW" }
  machines { id: "m" }
  modes {
    id: "cooling"
    kind: MODE_KIND_COOLING
    capacity_quantity: "total_capacity"
    power_quantity: "power_input"
    conditions: "entering_water_temp"
    conditions: "entering_air_wb"
    stages { id: "full" machines: "m" }
    declared_proof_degree: 2
  }
}
point_files { path: "points/p.csv" unit: "u1" mode: "cooling" stage: "full" }
tables {
  id: "capacity"
  title: "Capacity and power"
  unit: "u1"
  mode: "cooling"
  stage: "full"
  rows { quantity: "entering_water_temp" unit: "degC" values: [15, 25, 35] }
  columns { quantity: "entering_air_wb" unit: "degC" values: [14, 18, 22] }
  figures { quantity: "total_capacity" unit: "kW" decimal_count: 1 }
  figures { quantity: "power_input" unit: "kW" decimal_count: 2 }
}
)";

// Capacity 50 kW - 0.3 kW/K (water - 25 degC) + 1 kW/K (wet bulb - 18 degC); power 10 kW
// + 0.2 kW/K (water - 25 degC). Over the tested region capacity is at least 39.5 kW and
// power at most 13 kW.
inline std::string SmallLinePoints(double scatter = 0.003) {
  Random random("SMALL_LINE");
  std::string csv =
      "point,block,entering_water_temp[degC],entering_air_wb[degC],total_capacity[kW],"
      "power_input[kW]\r\n";
  for (int i = 0; i < 6; ++i) {
    for (int j = 0; j < 4; ++j) {
      const double water_c = 10 + 6 * i;
      const double wet_bulb_c = 12 + 4 * j;
      const double capacity_kw = 50 - 0.3 * (water_c - 25) + (wet_bulb_c - 18);
      const double power_kw = 10 + 0.2 * (water_c - 25);
      absl::StrAppendFormat(&csv, "p%d%d,day%d,%g,%g,%.5f,%.5f\r\n", i, j, 4 * i + j,
                            water_c, wet_bulb_c,
                            capacity_kw * (1 + scatter * random.Uniform(-1, 1)),
                            power_kw * (1 + scatter * random.Uniform(-1, 1)));
    }
  }
  return csv;
}

inline std::string SmallLineClaim(const std::string& id, const std::string& rest,
                                  double high_water_c = 40) {
  return absl::StrFormat(R"(
claims {
  id: "%s"
  unit: "u1"
  mode: "cooling"
  stage: "full"
  %s
  region { quantity: "entering_water_temp" low: 10 high: %g unit: "degC" }
  region { quantity: "entering_air_wb" low: 12 high: 24 unit: "degC" }
  confidence: 0.95
  allowance { relative_fraction: 0 reason: "none, for a test" }
}
)",
                         id, rest, high_water_c);
}

// One claim proven, one refuted, one never tested.
inline std::string SmallLineClaims() {
  const std::string floor =
      "quantity: 'total_capacity' relation: RELATION_AT_LEAST limit: 37 limit_unit: 'kW'";
  return SmallLineClaim("floor", floor) +
         SmallLineClaim("ceiling",
                        "quantity: 'power_input' relation: RELATION_AT_MOST limit: 12 "
                        "limit_unit: 'kW'") +
         SmallLineClaim("hot-water", floor, 45);
}

}  // namespace ratebound::testing

#endif  // RATEBOUND_TESTS_TESTING_SMALL_LINE_H_
