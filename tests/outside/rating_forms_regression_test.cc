// One-point, weighted-condition and compressor procedures, and test tolerances, against
// figures that were computed independently, from the stated equations with invented
// inputs and each clause's own constants. They guard the arithmetic and are not published
// examples; the one case whose inputs and correction are published is a check of its own.
#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/rating/rate.h"
#include "engine/rating/test_tolerance.h"
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

double TraceValue(const Rating& rating, const std::string& label) {
  for (const document::TraceStep& step : rating.trace) {
    if (step.label == label) return step.value;
  }
  ADD_FAILURE() << "no step '" << label << "'";
  return 0;
}

// An outdoor-air unit with the given efficiency at each outdoor dry bulb, in degF.
RatedUnit OutdoorAirUnit(const Procedure& procedure,
                         std::map<double, double> efficiency_by_f) {
  const bool heats = procedure.mode_kind == document::ModeKind::kHeating;
  RatedUnit rated;
  rated.unit = {.id = "outdoor-air",
                .equipment_class = procedure.scope.equipment_classes[0],
                .phase_count = 3,
                .nominal_capacity = {"moisture_removal", 60, "lb/h",
                                     InSi("moisture_removal", 60, "lb/h")}};
  const auto give = [&](const char* input, double value, const char* unit) {
    rated.unit.procedure_inputs.push_back({procedure.id, input, value, unit});
  };
  give("condition_c_dry_bulb", 70, "degF");
  give("condition_c_wet_bulb", 66, "degF");
  give("condition_d_dry_bulb", 63, "degF");
  give("condition_d_wet_bulb", 59, "degF");
  give("barometric_pressure", 29.92, "inHg");
  give("supply_dry_bulb_high", 75, "degF");
  give("supply_dry_bulb_low", 70, "degF");
  give("supplementary_cooling_cop", 3, "");
  give("supply_air_specific_heat", 0.24, "");
  give("dry_air_mass_flow", 4000, "lb/h");
  rated.mode = {.id = "m",
                .kind = procedure.mode_kind,
                .conditions = {"entering_air_db", "entering_air_wb"},
                .stages = {{.id = "1"}}};
  rated.evaluate =
      [heats, efficiency_by_f = std::move(efficiency_by_f)](
          int,
          std::span<const QuantityValue> conditions) -> absl::StatusOr<StageFigures> {
    const double outdoor_f =
        FromSi("entering_air_db", conditions[0].value_si, "degF").value();
    for (const auto& [at_f, efficiency] : efficiency_by_f) {
      if (std::fabs(at_f - outdoor_f) > 1e-6) continue;
      constexpr double kPowerW = 10e3;
      return StageFigures{
          .quantities = {{heats ? "heating_capacity" : "moisture_removal",
                          heats ? efficiency * kPowerW
                                : InSi("moisture_removal", efficiency * kPowerW / 1000,
                                       "lb/h")},
                         {"power_input", kPowerW},
                         {"leaving_air_dew_point",
                          InSi("leaving_air_dew_point", 55, "degF")},
                         {"leaving_air_db", InSi("leaving_air_db", 72, "degF")}},
          .footing = document::Footing::kTested};
    }
    return absl::NotFoundError("no such point");
  };
  return rated;
}

TEST(RatingFormsRegression, OutdoorAirUnits) {
  OutsideCheck check({.name = "rating.outdoor_air_units",
                      .source = "equations of AHRI 920-2020 and 920-2015 from memory, "
                                "invented inputs",
                      .kind = "regression",
                      .tolerance = 6e-7});
  struct Case {
    const char* id;
    std::map<double, double> efficiency_by_f;
    double value;
  };
  const std::map<double, double> removal = {
      {95, 4.10}, {80, 5.20}, {70, 5.60}, {63, 4.80}};
  const std::map<double, double> heating = {{47, 3.0}, {17, 2.2}};
  for (const Case& c : {Case{"ismre2-air-cooled", removal, 5.1500},
                        Case{"ismre-air-cooled", removal, 5.1160},
                        Case{"iscop2-air-cooled", heating, 2.816},
                        Case{"iscop-air-cooled", heating, 2.816}}) {
    ASSERT_OK_AND_ASSIGN(const Procedure procedure, LoadProcedure(c.id));
    ASSERT_OK_AND_ASSIGN(
        const Rating rating,
        RateUnit(procedure, OutdoorAirUnit(procedure, c.efficiency_by_f)));
    ASSERT_TRUE(rating.value.has_value()) << c.id << ": " << rating.refusal;
    check.Absolute(c.id, *rating.value, c.value);
  }
}

struct WaterToAir {
  double air_cfm;
  double static_in;
  double water_gpm;
  double drop_ft;
  double capacity_btu_per_hour;
  double power_w;
};

absl::StatusOr<Rating> RateWaterToAir(const std::string& id, const WaterToAir& c) {
  const absl::StatusOr<Procedure> procedure = LoadProcedure(id);
  if (!procedure.ok()) return procedure.status();
  RatedUnit rated;
  rated.unit = {
      .id = "water-to-air",
      .equipment_class = "water_to_air_heat_pump",
      .phase_count = 1,
      .nominal_capacity = {"total_capacity", 3, "ton", InSi("total_capacity", 3, "ton")}};
  rated.unit.procedure_inputs = {
      {id, "fan_air_flow", c.air_cfm, "cfm"},
      {id, "fan_external_static_pressure", c.static_in, "in_wg_4c"},
      {id, "pump_water_flow", c.water_gpm, "gpm"},
      {id, "pump_water_pressure_drop", c.drop_ft, "ft_wg_4c"}};
  rated.mode = {
      .id = "m",
      .kind = procedure->mode_kind,
      .conditions = {"entering_water_temp", "entering_air_db", "entering_air_wb"},
      .stages = {{.id = "1"}}};
  rated.evaluate = [=](int,
                       std::span<const QuantityValue>) -> absl::StatusOr<StageFigures> {
    return StageFigures{
        .quantities = {{procedure->capacity_quantity,
                        InSi("total_capacity", c.capacity_btu_per_hour, "Btu/h")},
                       {"power_input", c.power_w}},
        .footing = document::Footing::kTested};
  };
  return RateUnit(*procedure, rated);
}

TEST(RatingFormsRegression, WaterToAirHeatPumps) {
  ASSERT_OK_AND_ASSIGN(
      const Rating rating,
      RateWaterToAir("iso-13256-1-eer-water-loop-ip", {1200, 0.5, 9, 12, 36000, 2700}));
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  OutsideCheck check({.name = "rating.water_to_air_corrections",
                      .source = "ISO 13256-1:1998, inch-pound working forms as quoted "
                                "elsewhere, invented inputs",
                      .kind = "regression",
                      .tolerance = 6e-7});
  check.Absolute("fan W", TraceValue(rating, "fan_power_correction"), 235.056);
  check.Absolute("pump W", TraceValue(rating, "pump_power_correction"), 67.92084);
  check.Relative("capacity Btu/h", TraceValue(rating, "capacity, corrected"),
                 36802.011072);
  check.Absolute("power W", TraceValue(rating, "power, corrected"), 2532.86484);
  check.Absolute("EER", *rating.value, 14.529797);
}

TEST(RatingFormsRegression, PublishedWaterToAirExample) {
  ASSERT_OK_AND_ASSIGN(
      const Rating rating,
      RateWaterToAir("iso-13256-1-eer-water-loop-ip", {308, 0, 3.1, 3.7, 11741, 1067}));
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  OutsideCheck published({.name = "rating.water_to_air_example",
                          .source =
                              "a manufacturer's catalogue, example of the ISO "
                              "13256-1 corrections: 308 cfm, 3.1 gpm, 3.7 ft, fan 0 "
                              "W, pump 7.2 W",
                          .tolerance = 0.05});
  published.Absolute("fan W", TraceValue(rating, "fan_power_correction"), 0);
  published.Absolute("pump W", TraceValue(rating, "pump_power_correction"), 7.2);
  OutsideCheck computed({.name = "rating.water_to_air_example_result",
                         .source =
                             "the same inputs; its result line was not readable and "
                             "is computed from the equations",
                         .kind = "regression",
                         .tolerance = 6e-6});
  computed.Absolute("EER", *rating.value, 10.92986);
}

// Heating and SI: the same corrections with the other sign and with exact units.
TEST(RatingFormsRegression, HeatingTakesTheFanHeatOff) {
  const WaterToAir c{1200, 0.5, 9, 12, 36000, 2700};
  ASSERT_OK_AND_ASSIGN(const Rating ip,
                       RateWaterToAir("iso-13256-1-cop-water-loop-ip", c));
  ASSERT_OK_AND_ASSIGN(const Rating si, RateWaterToAir("iso-13256-1-cop-water-loop", c));
  ASSERT_TRUE(ip.value.has_value() && si.value.has_value()) << ip.refusal << si.refusal;
  OutsideCheck check({.name = "rating.water_to_air_heating",
                      .source = "ISO 13256-1:1998, working forms as quoted elsewhere, "
                                "invented inputs: (36000 - 3.412 x 235.056) / (3.412 x "
                                "2532.86484)",
                      .kind = "regression",
                      .tolerance = 6e-7});
  check.Absolute("COP", *ip.value, (36000 - 3.412 * 235.056) / (3.412 * 2532.86484));
  // The SI form with exact units is within a permille of the working form.
  EXPECT_NEAR(*si.value / *ip.value, 1, 1e-3);
}

TEST(RatingFormsRegression, CompressorCoefficients) {
  constexpr double kC[] = {1000, 10, 20, .1, .05, .15, .001, -.0005, .0003, .0002};
  const auto power_w = [&](double s, double d) {
    return kC[0] + kC[1] * s + kC[2] * d + kC[3] * s * s + kC[4] * s * d + kC[5] * d * d +
           kC[6] * s * s * s + kC[7] * d * s * s + kC[8] * s * d * d + kC[9] * d * d * d;
  };
  ASSERT_OK_AND_ASSIGN(const Procedure procedure, LoadProcedure("compressor-eer"));
  RatedUnit rated;
  rated.unit = {.id = "compressor",
                .equipment_class = "compressor",
                .phase_count = 3,
                .nominal_capacity = {"total_capacity", 10, "ton",
                                     InSi("total_capacity", 10, "ton")}};
  const auto give = [&](const char* input, double value, const char* unit) {
    rated.unit.procedure_inputs.push_back({procedure.id, input, value, unit});
  };
  give("rating_suction_dew_point", 45, "degF");
  give("rating_discharge_dew_point", 130, "degF");
  give("superheat_volumetric_factor", 0.75, "");
  give("superheat_density_ratio", 1, "");
  give("superheat_isentropic_work_ratio", 1, "");
  give("superheat_enthalpy_difference_ratio", 1, "");
  rated.mode = {.id = "m",
                .kind = document::ModeKind::kCooling,
                .conditions = {"saturated_suction_temp", "saturated_discharge_temp"},
                .stages = {{.id = "1"}}};
  rated.evaluate =
      [&](int,
          std::span<const QuantityValue> conditions) -> absl::StatusOr<StageFigures> {
    const double s =
        FromSi("saturated_suction_temp", conditions[0].value_si, "degF").value();
    const double d =
        FromSi("saturated_discharge_temp", conditions[1].value_si, "degF").value();
    return StageFigures{
        .quantities = {{"total_capacity",
                        InSi("total_capacity", 10 * power_w(s, d), "Btu/h")},
                       {"compressor_power", power_w(s, d)},
                       {"refrigerant_flow", 0.1}},
        .footing = document::Footing::kTested};
  };
  OutsideCheck check({.name = "rating.compressor_polynomial",
                      .source = "ten-coefficient form of AHRI 540 from memory, invented "
                                "coefficients; correction of Dabiri and Rice",
                      .kind = "regression",
                      .tolerance = 6e-7});
  ASSERT_OK_AND_ASSIGN(const Rating as_tested, RateUnit(procedure, rated));
  ASSERT_TRUE(as_tested.value.has_value()) << as_tested.refusal;
  check.Relative("X at 45 and 130", power_w(45, 130), 7707.05);
  check.Absolute("EER", *as_tested.value, 10);
  // Density up by 4 %, isentropic work by 1 %, enthalpy difference by 3 %:
  // EER' = 10 * 1.03 / 1.01.
  for (document::ProcedureInput& input : rated.unit.procedure_inputs) {
    if (input.input == "superheat_density_ratio") input.value = 1.04;
    if (input.input == "superheat_isentropic_work_ratio") input.value = 1.01;
    if (input.input == "superheat_enthalpy_difference_ratio") input.value = 1.03;
  }
  ASSERT_OK_AND_ASSIGN(const Rating warmer, RateUnit(procedure, rated));
  ASSERT_TRUE(warmer.value.has_value()) << warmer.refusal;
  check.Relative("EER at another superheat", *warmer.value, 10 * 1.03 / 1.01);
}

TEST(RatingFormsRegression, TestTolerancesOfChillers) {
  OutsideCheck check({.name = "rating.test_tolerances",
                      .source = "equations of AHRI 550/590 and 551/591 from memory",
                      .kind = "regression",
                      .tolerance = 6e-6});
  struct Case {
    const char* file;
    const char* tolerance;
    double difference_k;
    std::vector<double> percent;  // at 100, 75, 50 and 25 % of load
  };
  for (const Case& c :
       {Case{"ahri-550-590", "capacity-and-efficiency", 10 / 1.8, {5, 7.25, 10, 14.75}},
        Case{"ahri-550-590", "energy-balance", 10 / 1.8, {3.55, 5.125, 7.05, 10.375}},
        Case{"ahri-550-590", "integrated-efficiency", 10 / 1.8, {10, 10, 10, 10}},
        Case{"ahri-551-591",
             "capacity-and-efficiency",
             5,
             {5.166, 7.4713333, 10.332, 15.414}},
        Case{"ahri-551-591", "integrated-efficiency", 5, {10.38, 10.38, 10.38, 10.38}}}) {
    ASSERT_OK_AND_ASSIGN(const document::TestTolerances tolerances,
                         LoadTolerances(c.file));
    for (int i = 0; i < 4; ++i) {
      const double load = 1 - 0.25 * i;
      check.Absolute(
          absl::StrCat(c.file, " ", c.tolerance, " at ", load),
          100 * ToleranceFraction(tolerances, c.tolerance, load, c.difference_k).value(),
          c.percent[i]);
    }
  }
}

}  // namespace
}  // namespace ratebound::rating
