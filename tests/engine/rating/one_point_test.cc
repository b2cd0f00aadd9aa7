// One rating point with the corrections of ISO 13256-1:1998 for fan and pump, in the I-P
// working form; constants of the clause (from memory and makers' catalogues), inputs as
// marked.
#include "engine/rating/function_figure_source.h"
#include "engine/rating/metric.h"
#include "engine/rating/rate.h"
#include "engine/rating/units.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::rating {
namespace {

using document::CitedNumber;
using document::FlowPressureCorrection;
using document::Procedure;
using document::Rating;
using document::TermSign;
using ratebound::testing::OutsideCheck;
using ::testing::HasSubstr;

double InSi(const char* quantity, double value, const char* unit) {
  return ToSi(quantity, value, unit).value();
}

FlowPressureCorrection Fan(TermSign in_capacity) {
  return {.name = "indoor_fan_power_correction",
          .flow = {.quantity = "standard_air_flow",
                   .unit = "cfm",
                   .factor = {.value = Stated(0.472)}},
          .pressure = {.quantity = "external_static_pressure",
                       .unit = "in_wg_4c",
                       .factor = {.value = Stated(249)}},
          .divisor = {.value = Stated(300)},
          .in_power = TermSign::kSubtracted,
          .in_capacity = in_capacity,
          .capacity_factor = CitedNumber{.value = Stated(3.412)},
          .citation = Invented()};
}

FlowPressureCorrection Pump() {
  return {.name = "pump_power_correction",
          .flow = {.quantity = "water_flow",
                   .unit = "gpm",
                   .factor = {.value = Stated(0.0631)}},
          .pressure = {.input = "water_pressure_drop",
                       .unit = "ft_wg_4c",
                       .factor = {.value = Stated(2990)}},
          .divisor = {.value = Stated(300)},
          .in_power = TermSign::kAdded,
          .in_capacity = TermSign::kNone,
          .citation = Invented()};
}

Procedure WaterToAir() {
  Procedure procedure = FourPoints();
  procedure.metric = "EER";
  procedure.metric_unit = "Btu/Wh";
  procedure.load_points.clear();
  procedure.part_load.reset();
  procedure.common_conditions = {At("entering_condenser_water_temp", 86, "degF")};
  procedure.capacity_unit = "Btu/h";
  procedure.unit_constant = Stated(1, "Btu/Wh");
  procedure.form = document::OnePoint{.corrections = {Fan(TermSign::kAdded), Pump()},
                                      .citation = Invented()};
  procedure.required_inputs = {
      {"water_pressure_drop", "pressure drop of the water coil", "ft_wg_4c"}};
  return procedure;
}

FunctionFigureSource Source(double capacity_btu_per_hour, double power_w, double cfm,
                            double in_wg, double gpm, double ft_wg) {
  SourceDescription description{.unit = Chiller({}).unit, .mode = Chiller({}).mode};
  description.mode.stages = {{.id = "only"}};
  description.quantities = {"total_capacity", "power_input", "standard_air_flow",
                            "external_static_pressure", "water_flow"};
  description.unit.procedure_inputs = {
      {"four-points", "water_pressure_drop", ft_wg, "ft_wg_4c"}};
  const std::vector<double> figures_si = {
      InSi("total_capacity", capacity_btu_per_hour, "Btu/h"), power_w,
      InSi("standard_air_flow", cfm, "cfm"),
      InSi("external_static_pressure", in_wg, "in_wg_4c"),
      InSi("water_flow", gpm, "gpm")};
  return FunctionFigureSource(
      std::move(description),
      [figures_si](int, std::span<const double>, std::span<double> out) {
        std::copy_n(figures_si.begin(), out.size(), out.begin());
        return true;
      });
}

double TraceValue(const Rating& rating, const std::string& label) {
  for (const document::TraceStep& step : rating.trace) {
    if (step.label == label) return step.value;
  }
  ADD_FAILURE() << "no step " << label << "; " << rating.refusal;
  return 0;
}

TEST(OnePointRegression, FanAndPumpOfAWaterToAirHeatPump) {
  const Rating rating =
      RateSource(WaterToAir(), Source(36000, 2700, 1200, 0.5, 9, 12)).value();
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  OutsideCheck check({.name = "rating.water_to_air_corrections",
                      .source = "working forms of ISO 13256-1:1998 from makers' "
                                "catalogues, invented inputs",
                      .kind = "regression",
                      .tolerance = 6e-7});
  check.Relative("fan W", TraceValue(rating, "indoor_fan_power_correction"), 235.056);
  check.Relative("pump W", TraceValue(rating, "pump_power_correction"), 67.92084);
  check.Relative("capacity", TraceValue(rating, "capacity, corrected"), 36802.011);
  check.Relative("power", TraceValue(rating, "power, corrected"), 2532.86484);
  check.Relative("EER", *rating.value, 14.529797);
}

TEST(OnePointRegression, PublishedInputsOfACatalogue) {
  const Rating rating =
      RateSource(WaterToAir(), Source(11741, 1067, 308, 0, 3.1, 3.7)).value();
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  EXPECT_EQ(TraceValue(rating, "indoor_fan_power_correction"), 0);
  OutsideCheck pump({.name = "rating.water_to_air_pump_watts",
                     .source = "a maker's catalogue page on ISO 13256-1 corrections: 3.1 "
                               "gpm, 3.7 ft, printed as 7.2 W",
                     .tolerance = 0.05});
  pump.Absolute("pump W", TraceValue(rating, "pump_power_correction"), 7.2);
  OutsideCheck eer({.name = "rating.water_to_air_catalogue_eer",
                    .source = "the same page's inputs; its printed result is not known",
                    .kind = "regression",
                    .tolerance = 6e-6});
  eer.Absolute("EER", *rating.value, 10.92986);
}

TEST(OnePoint, SignsAreDataAndHeatingLosesTheFansHeat) {
  Procedure procedure = WaterToAir();
  auto& form = std::get<document::OnePoint>(procedure.form);
  form.corrections = {Fan(TermSign::kSubtracted)};
  const double fan_w = 235.056;
  EXPECT_NEAR(*RateSource(procedure, Source(36000, 2700, 1200, 0.5, 9, 12))->value,
              (36000 - 3.412 * fan_w) / (2700 - fan_w), 1e-9);
  form.corrections[0].in_power = TermSign::kNone;
  form.corrections[0].in_capacity = TermSign::kNone;
  EXPECT_NEAR(*RateSource(procedure, Source(36000, 2700, 1200, 0.5, 9, 12))->value,
              36000.0 / 2700, 1e-12);
}

TEST(OnePoint, WithoutCorrectionsIsTheEfficiencyOfTheLargestStage) {
  Procedure procedure = FourPoints();
  procedure.load_points.clear();
  procedure.part_load.reset();
  procedure.common_conditions = {At("entering_condenser_water_temp", 30, "degC")};
  procedure.form = document::OnePoint{.citation = Invented()};
  const Rating rating =
      RateUnit(procedure, Chiller({Constant(50e3, 10e3), Constant(90e3, 20e3),
                                   Constant(70e3, 10e3)}))
          .value();
  EXPECT_DOUBLE_EQ(*rating.value, 4.5);
  EXPECT_EQ(rating.trace[0].label, "IPLV");
  EXPECT_EQ(rating.trace[1].label, "stage s2");
}

TEST(OnePoint, CorrectionsThatCannotBeMadeAreRefused) {
  Procedure procedure = WaterToAir();
  // More fan power than there is power.
  EXPECT_THAT(RateSource(procedure, Source(36000, 100, 1200, 0.5, 9, 12))->refusal,
              HasSubstr("cannot be made"));
  // Neither measured nor asked.
  auto& form = std::get<document::OnePoint>(procedure.form);
  form.corrections[0].flow.quantity = "air_flow";
  EXPECT_THAT(
      RateSource(procedure, Source(36000, 2700, 1200, 0.5, 9, 12))->refusal,
      HasSubstr("needs air_flow, which mode cooling of unit c1 neither measures"));
}

}  // namespace
}  // namespace ratebound::rating
