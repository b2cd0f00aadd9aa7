// Documents without a fault, for tests that put one in.
#ifndef RATEBOUND_TESTS_ENGINE_DOCUMENT_DOCUMENTS_H_
#define RATEBOUND_TESTS_ENGINE_DOCUMENT_DOCUMENTS_H_

#include <string>
#include <string_view>

namespace ratebound::document {

// Every field of the schema is written at least once.
inline constexpr char kManifest[] = R"(id: "canal"
title: "Canal"
data_source: "invented"
cautions: "not rating tests"
columns { header: "EWT" quantity: "entering_water_temp" unit: "degF" }
columns { header: "No" label: COLUMN_LABEL_POINT }
columns { header: "Tester" unused: "initials" }
point_files {
  path: "points/day1.csv"
  unit: "w60"
  mode: "cooling"
  stage: "high"
  block: "day1"
  specimen: "sn1"
  regime: "wet_coil"
  columns { header: "Q" quantity: "total_capacity" unit: "kBtu/h" }
}
systematic_uncertainties {
  quantity: "entering_water_temp"
  relative_fraction: 0
  absolute: 0.9
  unit: "delta_degF"
  source: "certificate"
}
specimens { id: "sn1" description: "first" }
units {
  id: "w60"
  title: "Five tons"
  equipment_class: "unitary_water_cooled"
  phase_count: 3
  nominal_capacity { quantity: "total_capacity" value: 60 unit: "kBtu/h" }
  machines { id: "a" description: "scroll" }
  machines { id: "b" }
  modes {
    id: "cooling"
    kind: MODE_KIND_COOLING
    capacity_quantity: "total_capacity"
    power_quantity: "power_input"
    conditions: ["entering_water_temp", "entering_air_wb"]
    held_conditions {
      quantity: "water_flow" value: 12 tolerance: 0.5 unit: "gpm"
    }
    other_responses: "leaving_air_db"
    stages { id: "low" machines: "a" }
    stages { id: "high" machines: ["a", "b"] }
    declared_proof_degree: 2
    nearest_point_fraction: 0.4
  }
  procedure_inputs { procedure: "ieer" input: "rated_flow" value: 12 unit: "gpm" }
  pool_specimens: true
}
procedures: "ieer"
tables {
  id: "cap"
  title: "Capacity"
  unit: "w60"
  mode: "cooling"
  stage: "high"
  rows { quantity: "entering_water_temp" unit: "degF" values: [60, 70, 85] }
  columns { quantity: "entering_air_wb" unit: "degF" values: 60 values: 67 }
  figures { quantity: "total_capacity" unit: "kBtu/h" decimal_count: 1 }
  figures { quantity: "energy_efficiency_ratio" unit: "Btu/Wh" }
  confidence: 0.9
}
tables {
  id: "cap-67"
  title: "Capacity at 67"
  unit: "w60"
  mode: "cooling"
  stage: "low"
  rows { quantity: "entering_water_temp" unit: "degF" values: [60, 70, 85] }
  fixed_conditions { quantity: "entering_air_wb" value: 67 unit: "degF" }
  figures { quantity: "leaving_air_db" unit: "degF" }
}
dropped_points { point: "7" reason: "pump tripped" }
)";

inline constexpr char kClaims[] = R"(claims {
  id: "eer-floor"
  statement: "never below 11"
  unit: "w60"
  mode: "cooling"
  stage: "high"
  quantity: "energy_efficiency_ratio"
  relation: RELATION_AT_LEAST
  limit: 11
  limit_unit: "Btu/Wh"
  region { quantity: "entering_water_temp" low: 60 high: 95 unit: "degF" }
  region { quantity: "entering_air_wb" low: 60 high: 72 unit: "degF" }
  confidence: 0.95
  allowance { relative_fraction: 0.03 absolute: 0 reason: "production" }
}
claims {
  id: "cold"
  unit: "w60"
  mode: "cooling"
  stage: "high"
  quantity: "leaving_air_db"
  relation: RELATION_AT_MOST
  limit: 59
  limit_unit: "degF"
  region { quantity: "entering_water_temp" low: 60 high: 95 unit: "degF" }
  region { quantity: "entering_air_wb" low: 60 high: 72 unit: "degF" }
  confidence: 0.95
  allowance { absolute: 0.9 reason: "production" }
}
)";

inline constexpr char kProcedure[] = R"(id: "ieer"
title: "Integrated ratio"
document: "D"
edition: "2022"
metric: "IEER"
metric_unit: "Btu/Wh"
scope {
  equipment_classes: "unitary_water_cooled"
  capacity_low { value: 65 unit: "kBtu/h" citation { source: "s" basis: BASIS_MEMORY } }
  capacity_high { value: 760 unit: "kBtu/h" citation { source: "s" basis: BASIS_MEMORY } }
  phase_counts: 3
  citation { source: "s" basis: BASIS_MEMORY }
}
mode_kind: "cooling"
capacity_basis { text: "net" citation { source: "s" basis: BASIS_MEMORY } }
capacity_quantity: "total_capacity"
power_quantity: "power_input"
common_conditions {
  quantity: "entering_air_wb"
  value { value: 67 unit: "degF" citation { source: "s" basis: BASIS_PUBLISHED_TEXT } }
}
common_conditions { quantity: "water_flow" input: "rated_flow" if_mapped: true }
load_points {
  id: "A"
  percent_load { value: 100 unit: "%" citation { source: "s" basis: BASIS_MEMORY } }
  weight { value: 0.1 citation { source: "s" basis: BASIS_MEMORY } }
  conditions {
    quantity: "entering_water_temp"
    value { value: 85 unit: "degF" citation { source: "s" basis: BASIS_MEMORY } }
  }
}
load_points {
  id: "B"
  percent_load { value: 50 unit: "%" citation { source: "s" basis: BASIS_MEMORY } }
  weight { value: 0.9 citation { source: "s" basis: BASIS_MEMORY } }
  conditions {
    quantity: "entering_water_temp"
    load_line {
      full_load_input: "design_water"
      percent_low: 50
      constant: 65
      unit: "degF"
      citation { source: "s" basis: BASIS_MEMORY }
    }
  }
}
part_load {
  window_percent { value: 3 unit: "%" citation { source: "s" basis: BASIS_MEMORY } }
  bracket_condition: BRACKET_CONDITION_OWN_LOAD
  interpolated: INTERPOLATED_FIGURE_EFFICIENCY
  bracket_citation { source: "s" basis: BASIS_MEMORY }
  load_lines {
    quantity: "entering_water_temp"
    load_line {
      slope_per_percent: 0.4
      intercept: 45
      percent_low: 50
      constant: 65
      unit: "degF"
      citation { source: "s" basis: BASIS_MEMORY }
    }
  }
  degradation_slope { value: -0.13 citation { source: "s" basis: BASIS_MEMORY } }
  degradation_intercept { value: 1.13 citation { source: "s" basis: BASIS_MEMORY } }
  cycling_powers: ["compressor_power", "tower"]
  continuous_powers: "indoor_fan_power"
  cycling_citation { source: "s" basis: BASIS_MEMORY }
}
aggregation: AGGREGATION_WEIGHTED_MEAN
aggregation_citation { source: "s" basis: BASIS_MEMORY }
weight_sum: 1
rounding_step { value: 0.1 unit: "Btu/Wh" citation { source: "s" basis: BASIS_MEMORY } }
required_inputs { name: "rated_flow" description: "flow at full load" unit: "gpm" }
required_inputs { name: "design_water" description: "water at full load" unit: "degF" }
required_inputs { name: "tower_power" description: "tower, W/W" }
required_inputs { name: "tower_part" description: "what cycles" }
notes: "not certified"
unit_constant { value: 3.412 unit: "Btu/Wh" citation { source: "s" basis: BASIS_MEMORY } }
added_powers {
  name: "tower"
  input: "tower_power"
  cycling_part_input: "tower_part"
  citation { source: "s" basis: BASIS_MEMORY }
}
)";

// `document` with the first `from` replaced; the test is wrong where there is none.
inline std::string With(std::string_view document, std::string_view from,
                        std::string_view to) {
  std::string text(document);
  const size_t at = text.find(from);
  if (at == std::string::npos) return "";
  return text.replace(at, from.size(), to);
}

}  // namespace ratebound::document

#endif  // RATEBOUND_TESTS_ENGINE_DOCUMENT_DOCUMENTS_H_
