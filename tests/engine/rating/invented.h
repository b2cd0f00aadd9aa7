// Invented procedures and units for tests of the algorithm. The numbers of the procedure
// are small and round, so that the expected figures can be checked by hand.
#ifndef RATEBOUND_TESTS_ENGINE_RATING_INVENTED_H_
#define RATEBOUND_TESTS_ENGINE_RATING_INVENTED_H_

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/document/procedure.h"
#include "engine/rating/rated_unit.h"

namespace ratebound::rating {

inline document::CitedValue Stated(
    double value, std::string unit = "",
    document::Basis basis = document::Basis::kPublishedText) {
  return {
      .value = value, .unit = unit, .citation = {.source = "invented", .basis = basis}};
}

inline document::CitedCondition At(std::string quantity, double value, std::string unit) {
  return {.quantity = quantity, .value = Stated(value, unit)};
}

inline document::Citation Invented() {
  return {.source = "invented", .basis = document::Basis::kPublishedText};
}

// COP at 100, 75, 50 and 25 % load with entering condenser water of 30, 25, 20 and 20
// degC; window of 2 %, degradation coefficient -0.13 LF + 1.13 over the whole efficiency.
inline document::Procedure FourPoints() {
  document::Procedure procedure{
      .id = "four-points",
      .title = "invented",
      .document = "Invented",
      .edition = "1",
      .metric = "IPLV",
      .metric_unit = "W/W",
      .scope = {.equipment_classes = {"chiller_water_cooled"}, .citation = Invented()},
      .mode_kind = document::ModeKind::kCooling,
      .capacity_basis = {.text = "net", .citation = Invented()},
      .capacity_quantity = "total_capacity",
      .power_quantity = "power_input",
      .load_points =
          {{.id = "A", .percent_load = Stated(100, "%"), .weight = Stated(0.1)},
           {.id = "B", .percent_load = Stated(75, "%"), .weight = Stated(0.4)},
           {.id = "C", .percent_load = Stated(50, "%"), .weight = Stated(0.3)},
           {.id = "D", .percent_load = Stated(25, "%"), .weight = Stated(0.2)}},
      .aggregation_citation = Invented(),
      .rounding_step = Stated(0.01),
      .unit_constant = Stated(1, "W/W"),
  };
  const double water_c[] = {30, 25, 20, 20};
  for (int i = 0; i < 4; ++i) {
    procedure.load_points[i].conditions = {
        At("entering_condenser_water_temp", water_c[i], "degC")};
  }
  procedure.part_load = document::PartLoad{
      .window_percent = Stated(2, "%"),
      .bracket_citation = Invented(),
      .load_lines = {{.quantity = "entering_condenser_water_temp",
                      .load_line = document::LoadLine{.slope_per_percent = 0.2,
                                                      .intercept = 10,
                                                      .percent_low = 50,
                                                      .constant = 20,
                                                      .unit = "degC",
                                                      .citation = Invented()}}},
      .degradation_slope = Stated(-0.13),
      .degradation_intercept = Stated(1.13),
      .cycling_citation = Invented()};
  return procedure;
}

// A chiller whose stages do what `stage_figures` says at a condenser water temperature in
// degC.
using ChillerStage = std::function<StageFigures(double condenser_water_c)>;

inline RatedUnit Chiller(std::vector<ChillerStage> stages) {
  RatedUnit rated;
  rated.unit = {
      .id = "c1",
      .equipment_class = "chiller_water_cooled",
      .phase_count = 3,
      .nominal_capacity = {
          .quantity = "total_capacity", .value = 100, .unit = "kW", .value_si = 100000}};
  rated.mode = {.id = "cooling",
                .kind = document::ModeKind::kCooling,
                .capacity_quantity = "total_capacity",
                .power_quantity = "power_input",
                .conditions = {"entering_condenser_water_temp"}};
  for (size_t i = 0; i < stages.size(); ++i) {
    rated.mode.stages.push_back({.id = absl::StrCat("s", i + 1)});
  }
  rated.evaluate = [stages](int stage, std::span<const QuantityValue> conditions)
      -> absl::StatusOr<StageFigures> { return stages[stage](conditions[0].value_si); };
  return rated;
}

inline StageFigures Figures(double capacity_w, double power_w,
                            document::Footing footing = document::Footing::kTested) {
  return {.quantities = {{"total_capacity", capacity_w}, {"power_input", power_w}},
          .footing = footing};
}

// The same at every condition.
inline ChillerStage Constant(double capacity_w, double power_w) {
  return [=](double) { return Figures(capacity_w, power_w); };
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_TESTS_ENGINE_RATING_INVENTED_H_
