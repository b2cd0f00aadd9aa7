// Documents without a fault, for tests that put one in.
#ifndef RATEBOUND_TESTS_ENGINE_DOCUMENT_DOCUMENTS_H_
#define RATEBOUND_TESTS_ENGINE_DOCUMENT_DOCUMENTS_H_

#include <string>
#include <string_view>

namespace ratebound::document {

// Every field that a line can do without instruments and logs for is written at least
// once.
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

// Instruments, reductions, logs and curves: what kManifest does not use.
inline constexpr char kLabManifest[] = R"(id: "lab"
title: "Lab"
data_source: "invented"
columns { header: "EAT" quantity: "entering_air_db" unit: "degF" instrument: "rtd" }
columns {
  header: "EAT sd"
  quantity: "entering_air_db"
  unit: "delta_degF"
  statistic: READING_STATISTIC_STANDARD_DEVIATION
}
columns { header: "Day" label: COLUMN_LABEL_TESTED_ON }
columns { header: "Defrost" unused: "a state, read by the log" }
point_files {
  path: "points/day1.csv"
  unit: "u1"
  mode: "cooling"
  tested_on: "2026-03-31"
  reading_count: 30
}
point_files { path: "points/drop.csv" unit: "u1" curve: "coil" }
specimens { id: "sn1" }
units {
  id: "u1"
  title: "Three tons"
  equipment_class: "unitary_water_cooled"
  phase_count: 1
  nominal_capacity { quantity: "total_capacity" value: 36 unit: "kBtu/h" }
  modes {
    id: "cooling"
    kind: MODE_KIND_COOLING
    capacity_quantity: "total_capacity"
    power_quantity: "power_input"
    conditions: ["entering_water_temp", "entering_air_wb"]
    stages { id: "full" }
    reduction {
      air_side {
        method: "air-ip"
        flow: AIR_FLOW_SOURCE_NOZZLES
        nozzle_method: "nozzles"
        nozzles { diameter: 5 unit: "in" count: 2 }
        nozzles { diameter: 80 unit: "mm" }
        entering_phase: WATER_PHASE_WATER
        leaving_phase: WATER_PHASE_ICE
        moisture: MOISTURE_SOURCE_CONDENSATE
        duct_loss_w_per_k: 2.5
        leaving_air_ahead_of_fan: true
      }
      liquid_sides {
        method: "liquid"
        role: LIQUID_ROLE_CAPACITY
        liquid: "propylene_glycol"
        concentration_fraction: 0.25
        entering: "entering_brine_temp"
        leaving: "leaving_brine_temp"
        flow: "water_flow"
        flow_at_leaving: true
        difference: "water_temperature_difference"
        pressure_pa: 250000
      }
      liquid_sides {
        method: "liquid"
        role: LIQUID_ROLE_HEAT_REJECTION
        liquid: "water"
        entering: "entering_water_temp"
        leaving: "leaving_water_temp"
        flow: "water_mass_flow"
      }
      corrections {
        method: "fans"
        kind: FAN_PUMP_CASE_FAN_INSIDE
        flow: "air_flow"
        pressure: "external_static_pressure"
      }
      corrections {
        method: "fans"
        kind: FAN_PUMP_CASE_PUMP_ABSENT
        flow: "water_flow"
        pressure: "water_pressure_drop"
        on_capacity_side: true
      }
      capacity_basis: CAPACITY_BASIS_MEAN
      balance_limit_fraction: 0.06
      inputs { method: "air-ip" input: "latent_heat" value: 1061 unit: "Btu/lb" }
      refrigerant_saturation {
        refrigerant: "R-1"
        source: "invented"
        entries { temperature_c: -10 pressure_pa: 400000 }
        entries { temperature_c: 40 pressure_pa: 1600000 }
      }
    }
    steadiness_method: "steady"
  }
  curves {
    id: "coil"
    kind: CURVE_KIND_LIQUID_PRESSURE_DROP
    flow: "water_flow"
    pressure_drop: "water_pressure_drop"
    temperature: "entering_water_temp"
    liquid: "ethylene_glycol"
    concentration_fraction: 0.3
  }
  curves { id: "fan" kind: CURVE_KIND_FAN }
}
instruments {
  id: "rtd"
  description: "resistance thermometers"
  certificate: "C-1"
  calibrated_on: "2025-06-01"
  due_on: "2026-06-01"
  reads: ["entering_water_temp", "leaving_water_temp"]
  resolution: 0.01
  resolution_unit: "K"
  accuracies {
    name: "calibration"
    absolute: 0.05
    unit: "delta_K"
    distribution: ACCURACY_DISTRIBUTION_NORMAL
    coverage_factor: 2
    degrees_of_freedom: 50
    shared_reference: "bath"
    source: "C-1"
  }
  accuracies {
    name: "mounting"
    absolute: 0.1
    unit: "K"
    distribution: ACCURACY_DISTRIBUTION_RECTANGULAR
    random: true
    source: "experience"
  }
}
instruments {
  id: "watt"
  reads: ["power_input", "indoor_fan_power"]
  accuracies {
    name: "data sheet"
    relative_fraction: 0.002
    absolute: 3
    unit: "W"
    distribution: ACCURACY_DISTRIBUTION_TRIANGULAR
    source: "data sheet"
  }
}
reading_correlations {
  first_quantity: "entering_water_temp"
  second_quantity: "entering_air_db"
  coefficient: 0.5
  source: "one scanner"
}
log_files {
  path: "logs/steady.csv"
  unit: "u1"
  mode: "cooling"
  off_stages: ["0", "off"]
  block: "b1"
  specimen: "sn1"
  regime: "wet_coil"
  tested_on: "2026-03-31"
  columns { header: "Stage" label: COLUMN_LABEL_STAGE }
  time { header: "Time" format: "%H:%M:%S" longest_step_s: 30 }
  steady_windows {
    length_s: 1800
    delay_after_change_s: 600
    change_on: "water_flow"
    method: "steady"
    tolerances {
      quantity: "entering_air_db"
      greatest_spread { absolute: 1.8 unit: "degF" }
      greatest_deviation { absolute: 0.9 unit: "delta_degF" }
      greatest_standard_deviation { absolute: 0.5 unit: "K" }
      mean_deviation { absolute: 0.5 unit: "degF" }
      citation { source: "our practice" basis: BASIS_MEMORY }
    }
    tolerances {
      quantity: "water_flow"
      greatest_spread { relative_fraction: 0.02 }
      citation { source: "our practice" basis: BASIS_MEMORY }
    }
    set_points { quantity: "entering_air_db" value: 80 unit: "degF" }
  }
  ignored_spans { first_line: 2 last_line: 40 reason: "door open" }
  ignored_spans { first_line: 41 last_line: 41 reason: "spike" }
  stuck_after_s: 900
  may_stand_still: ["supply_frequency", "Defrost"]
}
log_files {
  path: "logs/frost.csv"
  unit: "u1"
  mode: "cooling"
  stage: "full"
  time { header: "t" format: "s" }
  frost_cycles {
    signal: "Defrost"
    threshold: 0.5
    least_cycles: 2
    least_time_s: 3600
    most_time_s: 7200
    source: "our practice"
  }
}
log_files {
  path: "logs/cycling.csv"
  unit: "u1"
  mode: "cooling"
  stage: "full"
  time { header: "t" format: "iso8601" }
  on_off_cycles {
    signal: "power_input"
    threshold: 200
    warm_up_cycles: 2
    steady_point: "day1.csv:2"
    source: "our practice"
  }
}
)";

inline constexpr char kMethod[] = R"(id: "steady"
title: "Steadiness"
document: "D"
edition: "2009"
kind: METHOD_KIND_STEADINESS
numbers {
  name: "recording_time"
  value { value: 30 unit: "min" citation { source: "s" basis: BASIS_MEMORY } }
}
rules {
  name: "unit_system"
  choice { text: "inch_pound" citation { source: "s" basis: BASIS_PUBLISHED_TEXT } }
}
tolerances {
  quantity: "entering_air_db"
  greatest_spread { absolute: 2 unit: "degF" }
  mean_deviation { absolute: 0.5 unit: "degF" }
  citation { source: "s" basis: BASIS_SECONDARY_TEXT }
}
tolerances {
  quantity: "external_static_pressure"
  greatest_deviation { absolute: 0.05 unit: "in_wg_4c" }
  greatest_standard_deviation { relative_fraction: 0.02 }
  citation { source: "s" basis: BASIS_MEMORY }
}
required_inputs { name: "equilibrium_time" description: "not read" unit: "min" }
notes: "not a certified test"
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
