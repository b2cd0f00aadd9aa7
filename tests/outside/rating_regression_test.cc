// Part-load metrics against figures that were computed independently, from the stated
// equations with invented inputs: the equations of AHRI 340/360 and AHRI 550/590, both
// from memory. They guard the arithmetic and are not published examples.
#include <map>
#include <string>

#include "absl/strings/str_cat.h"
#include "engine/document/text.h"
#include "engine/rating/rate.h"
#include "engine/rating/units.h"
#include "gtest/gtest.h"
#include "tests/outside/rating_files.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::rating {
namespace {

using document::Procedure;
using document::Rating;
using ratebound::testing::OutsideCheck;

double InSi(const char* quantity, double value, const char* unit) {
  return ToSi(quantity, value, unit).value();
}

// Values of trace steps by "parent: label" of point-level steps and their inputs.
double TraceValue(const Rating& rating, const std::string& point,
                  const std::string& label, int occurrence = 0) {
  bool inside = false;
  for (const document::TraceStep& step : rating.trace) {
    if (step.depth == 1)
      inside = step.label.starts_with(absl::StrCat("point ", point, ","));
    if (!inside) continue;
    if (step.depth == 1 && label.empty()) return step.value;
    if (step.label == label && occurrence-- == 0) return step.value;
  }
  ADD_FAILURE() << "no step '" << label << "' " << occurrence << " at point " << point;
  return 0;
}

// An air-cooled unit of two stages, described at the outdoor temperatures of the points
// alone.
RatedUnit TwoStageUnit() {
  struct Row {
    int stage;
    double outdoor_f;
    double capacity_btu_per_hour;
    double compressor_w;
    double condenser_w;
  };
  RatedUnit rated;
  rated.unit = {.id = "two-stage",
                .equipment_class = "unitary_air_cooled",
                .phase_count = 3,
                .nominal_capacity = {"total_capacity", 120, "kBtu/h",
                                     InSi("total_capacity", 120, "kBtu/h")}};
  // A fan of constant flow, which goes on while the compressor is off.
  rated.unit.procedure_inputs = {{"ieer-air-cooled", "indoor_fan_cycling_part", 0, ""}};
  rated.mode = {.id = "cooling",
                .kind = document::ModeKind::kCooling,
                .conditions = {"outdoor_air_db"},
                .held_conditions = {{.quantity = "entering_air_db",
                                     .value = 80,
                                     .tolerance = 0.5,
                                     .unit = "degF",
                                     .value_si = InSi("entering_air_db", 80, "degF"),
                                     .tolerance_si = 0.3},
                                    {.quantity = "entering_air_wb",
                                     .value = 67,
                                     .tolerance = 0.5,
                                     .unit = "degF",
                                     .value_si = InSi("entering_air_wb", 67, "degF"),
                                     .tolerance_si = 0.3}},
                .stages = {{.id = "1"}, {.id = "2"}}};
  rated.evaluate =
      [](int stage,
         std::span<const QuantityValue> conditions) -> absl::StatusOr<StageFigures> {
    static constexpr Row kRows[] = {
        {0, 95, 70000, 4100, 325},   {1, 95, 120000, 8600, 650},
        {0, 81.5, 72000, 3950, 325}, {1, 81.5, 126000, 7500, 650},
        {0, 68, 75000, 3500, 325},   {1, 68, 130000, 6800, 650},
        {0, 65, 76000, 3400, 325},   {1, 65, 131000, 6700, 650}};
    const double outdoor_f =
        FromSi("outdoor_air_db", conditions[0].value_si, "degF").value();
    for (const Row& row : kRows) {
      if (row.stage != stage || std::fabs(row.outdoor_f - outdoor_f) > 1e-6) continue;
      return StageFigures{
          .quantities = {{"total_capacity",
                          InSi("total_capacity", row.capacity_btu_per_hour, "Btu/h")},
                         {"power_input", row.compressor_w + row.condenser_w + 1050 + 100},
                         {"indoor_fan_power", 1050},
                         {"control_power", 100}},
          .footing = document::Footing::kTested};
    }
    return absl::NotFoundError("no such point");
  };
  return rated;
}

TEST(RatingRegression, Ieer) {
  ASSERT_OK_AND_ASSIGN(const Procedure procedure, LoadProcedure("ieer-air-cooled"));
  ASSERT_OK_AND_ASSIGN(const Rating rating, RateUnit(procedure, TwoStageUnit()));
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  EXPECT_EQ(rating.rounded, "13.2");
  OutsideCheck check({.name = "rating.ieer_two_stage",
                      .source = "equations of AHRI 340/360 from memory, invented inputs",
                      .kind = "regression",
                      .tolerance = 6e-7});
  check.Absolute("EER A", TraceValue(rating, "A", ""), 11.538462);
  check.Absolute("EER of stage 1 at 81.5 degF", TraceValue(rating, "B", "stage 1"),
                 13.271889);
  check.Absolute("EER of stage 2 at 81.5 degF", TraceValue(rating, "B", "stage 2"),
                 13.548387);
  check.Absolute("EER B", TraceValue(rating, "B", ""), 13.364055);
  check.Absolute("LF C", TraceValue(rating, "C", "load factor"), 0.8);
  check.Absolute("CD C", TraceValue(rating, "C", "degradation coefficient"), 1.026);
  check.Absolute("EER C", TraceValue(rating, "C", ""), 13.987449);
  check.Absolute("LF D", TraceValue(rating, "D", "load factor"), 0.394737);
  check.Absolute("CD D", TraceValue(rating, "D", "degradation coefficient"), 1.078684);
  check.Absolute("EER D", TraceValue(rating, "D", ""), 10.964545);
  check.Absolute("IEER", *rating.value, 13.175972);
}

// 500 tons; the lowest stage gives `lowest_ton` at 0.480 kW/ton.
RatedUnit FourStageChiller(double lowest_ton) {
  RatedUnit rated;
  rated.unit = {.id = "four-stage",
                .equipment_class = "chiller_water_cooled",
                .phase_count = 3,
                .nominal_capacity = {"total_capacity", 500, "ton",
                                     InSi("total_capacity", 500, "ton")}};
  rated.mode = {
      .id = "cooling",
      .kind = document::ModeKind::kCooling,
      .conditions = {"leaving_chilled_water_temp", "entering_condenser_water_temp"},
      .stages = {{.id = "1"}, {.id = "2"}, {.id = "3"}, {.id = "4"}}};
  rated.evaluate = [=](int stage,
                       std::span<const QuantityValue>) -> absl::StatusOr<StageFigures> {
    const double tons[] = {lowest_ton, 250, 375, 500};
    const double kw_per_ton[] = {0.480, 0.420, 0.500, 0.600};
    return StageFigures{
        .quantities = {{"total_capacity", InSi("total_capacity", tons[stage], "ton")},
                       {"power_input", 1000 * tons[stage] * kw_per_ton[stage]}},
        .footing = document::Footing::kTested};
  };
  return rated;
}

TEST(RatingRegression, IplvInKilowattsPerTon) {
  ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                       LoadProcedure("iplv-ip-water-cooled-kw-per-ton"));
  ASSERT_OK_AND_ASSIGN(const Rating unloads, RateUnit(procedure, FourStageChiller(125)));
  ASSERT_OK_AND_ASSIGN(const Rating cycles, RateUnit(procedure, FourStageChiller(150)));
  ASSERT_TRUE(unloads.value.has_value()) << unloads.refusal;
  ASSERT_TRUE(cycles.value.has_value()) << cycles.refusal;
  OutsideCheck check({.name = "rating.iplv_kw_per_ton",
                      .source = "equations of AHRI 550/590 from memory, invented inputs",
                      .kind = "regression",
                      .tolerance = 6e-7});
  check.Absolute("IPLV", *unloads.value, 0.459117);
  check.Absolute("LF of 150 tons at 25 %", TraceValue(cycles, "D", "load factor"),
                 0.833333);
  check.Absolute("CD", TraceValue(cycles, "D", "degradation coefficient"), 1.0216667);
  check.Absolute("kW/ton D", TraceValue(cycles, "D", ""), 0.4904);
  check.Absolute("IPLV with degraded D", *cycles.value, 0.460237);
}

}  // namespace
}  // namespace ratebound::rating
