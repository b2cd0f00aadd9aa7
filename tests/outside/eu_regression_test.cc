// EU seasons through the procedure files and the whole engine, against figures that were
// computed independently from the stated equations with invented inputs. The equations of
// the active figures are from memory (EN 14825); the test points of the air-to-water unit
// are remembered from an informative example. They guard the arithmetic and are not
// published examples.
#include <cmath>
#include <string>

#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/eu_unit.h"
#include "tests/outside/rating_files.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::rating {
namespace {

using document::Procedure;
using document::Rating;
using ratebound::testing::OutsideCheck;

struct At {
  double temperature_c;
  double capacity_kw;
  double efficiency;
};

// The row at the temperature.
template <int kCount>
EuFigures Row(const At (&rows)[kCount], double temperature_c) {
  for (const At& row : rows) {
    if (std::fabs(row.temperature_c - temperature_c) < 1e-9) {
      return {1000 * row.capacity_kw, row.efficiency};
    }
  }
  ADD_FAILURE() << "no row at " << temperature_c;
  return {};
}

EuFigures FixedSpeed(double temperature_c) {
  static constexpr At kRows[] = {{-10, 7.80, 2.60}, {-7, 9.55, 3.26}, {-6, 9.70, 3.30},
                                 {2, 11.17, 4.00},  {7, 12.66, 4.91}, {12, 14.30, 5.50}};
  return Row(kRows, temperature_c);
}

EuInputs FixedSpeedInputs() {
  EuInputs inputs = NoIdlePower();
  inputs["design_load"] = 11.46;
  inputs["bivalent_temperature"] = -6;
  inputs["operation_limit"] = -10;
  return inputs;
}

TEST(EuRegression, FixedSpeedAirToWater) {
  OutsideCheck check({.name = "eu.scop_fixed_speed_air_to_water",
                      .source = "equations of EN 14825 from memory; test points from "
                                "memory of its informative example",
                      .kind = "regression",
                      .tolerance = 1e-6});
  ASSERT_OK_AND_ASSIGN(const Procedure procedure,
                       LoadProcedure("etas-hydronic-air-low-fixed-average"));
  const auto rate = [&](const EuInputs& inputs) {
    return RateUnit(procedure, EuUnit(procedure, inputs, "outdoor_air_db", FixedSpeed))
        .value();
  };
  const Rating active = rate(FixedSpeedInputs());
  ASSERT_TRUE(active.value.has_value()) << active.refusal;
  check.Relative("SCOPon", EuFigure(active, "SCOPon"), 23671.952 / 6579.979);
  check.Relative("SCOPnet", EuFigure(active, "SCOPnet"), 23551.219 / 6459.245);

  EuInputs inputs = FixedSpeedInputs();
  inputs["thermostat_off_power"] = 20;
  inputs["standby_power"] = 10;
  inputs["crankcase_heater_power"] = 30;
  inputs["off_mode_power"] = 10;
  inputs["crankcase_heater_hours"] = 3850;
  inputs["off_mode_hours"] = 3672;
  const Rating year = rate(inputs);
  ASSERT_TRUE(year.value.has_value()) << year.refusal;
  check.Relative("SCOP", EuFigure(year, "SCOP"), 3.514386);
  OutsideCheck rounded({.name = "eu.eta_s_fixed_speed_air_to_water",
                        .source = "as eu.scop_fixed_speed_air_to_water, to 3 decimals",
                        .kind = "regression",
                        .tolerance = 4e-6});
  rounded.Relative("eta_s", *year.value, 137.575);
  EXPECT_EQ(year.rounded, "138");
}

// Capacity is the load at every point, so that the efficiencies are those of the bins.
EuFunction OnTheLoad(double design_kw, double at_35, double at_30, double at_25,
                     double at_20) {
  return [=](double temperature_c) -> EuFigures {
    const At rows[] = {{35, 1, at_35}, {30, 1, at_30}, {25, 1, at_25}, {20, 1, at_20}};
    return {1000 * design_kw * (temperature_c - 16) / 19,
            Row(rows, temperature_c).efficiency};
  };
}

TEST(EuRegression, ReversibleRoomUnit) {
  OutsideCheck check({.name = "eu.seer_room_unit",
                      .source =
                          "equations of Regulation (EU) No 206/2012 and, of SEERon, "
                          "EN 14825 from memory; invented inputs",
                      .kind = "regression",
                      .tolerance = 1e-7});
  ASSERT_OK_AND_ASSIGN(const Procedure procedure, LoadProcedure("seer-room-reversible"));
  EuInputs inputs = NoIdlePower();
  inputs["thermostat_off_power"] = 20;
  inputs["standby_power"] = 1;
  inputs["crankcase_heater_power"] = 8;
  ASSERT_OK_AND_ASSIGN(const Rating rating,
                       RateUnit(procedure, EuUnit(procedure, inputs, "outdoor_air_db",
                                                  OnTheLoad(3.5, 3.2, 4.6, 7.0, 9.5))));
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  check.Relative("SEERon", EuFigure(rating, "SEERon"), 6.200869);
  check.Relative("SEER", *rating.value, 5.432591);
  EXPECT_EQ(rating.rounded, "5.4");
}

TEST(EuRegression, ComfortChillers) {
  OutsideCheck check({.name = "eu.seer_chiller",
                      .source = "equations of Regulation (EU) 2016/2281 and, of SEERon, "
                                "EN 14825 from memory; invented inputs",
                      .kind = "regression",
                      .tolerance = 5e-6});
  EuInputs inputs = NoIdlePower();
  inputs["thermostat_off_power"] = 900;
  inputs["standby_power"] = 50;
  inputs["crankcase_heater_power"] = 300;
  const EuFunction figures = OnTheLoad(250, 3.0, 3.9, 4.8, 5.3);
  ASSERT_OK_AND_ASSIGN(const Procedure air,
                       LoadProcedure("etas-chiller-air-fan-coil-fixed"));
  ASSERT_OK_AND_ASSIGN(const Rating air_rating,
                       RateUnit(air, EuUnit(air, inputs, "outdoor_air_db", figures)));
  ASSERT_TRUE(air_rating.value.has_value()) << air_rating.refusal;
  check.Relative("SEERon", EuFigure(air_rating, "SEERon"), 4.472030);
  check.Relative("SEER", EuFigure(air_rating, "SEER"), 4.308542);
  check.Relative("eta_s,c air", *air_rating.value, 169.342);
  EXPECT_EQ(air_rating.rounded, "169.3");

  // The tower's water is 0.8 degC lower for each degree outdoors.
  ASSERT_OK_AND_ASSIGN(const Procedure tower,
                       LoadProcedure("etas-chiller-tower-fan-coil-fixed"));
  ASSERT_OK_AND_ASSIGN(
      const Rating tower_rating,
      RateUnit(tower, EuUnit(tower, inputs, "entering_condenser_water_temp",
                             [&](double water_c) {
                               return figures(20 + (water_c - 18) / 0.8);
                             })));
  ASSERT_TRUE(tower_rating.value.has_value()) << tower_rating.refusal;
  check.Relative("eta_s,c water", *tower_rating.value, 164.342);
}

TEST(EuRegression, ProcessChillers) {
  OutsideCheck check({.name = "eu.sepr",
                      .source = "equations of Regulation (EU) 2016/2281, constant beyond "
                                "the points from memory; invented inputs",
                      .kind = "regression",
                      .tolerance = 1e-7});
  const auto figures = [](double temperature_c) -> EuFigures {
    const At rows[] = {{35, 1, 3.0}, {25, 1, 4.2}, {15, 1, 5.6}, {5, 1, 6.5}};
    return {500e3 * (0.8 + 0.2 * (temperature_c - 5) / 30),
            Row(rows, temperature_c).efficiency};
  };
  ASSERT_OK_AND_ASSIGN(const Procedure air,
                       LoadProcedure("sepr-high-temperature-air-cooled"));
  ASSERT_OK_AND_ASSIGN(const Rating air_rating,
                       RateUnit(air, EuUnit(air, {}, "outdoor_air_db", figures)));
  ASSERT_TRUE(air_rating.value.has_value()) << air_rating.refusal;
  check.Relative("SEPR air", *air_rating.value, 5.647939);
  check.Relative("SEPR from sums", *air_rating.value, 3704681.03 / 655935.08);
  EXPECT_EQ(air_rating.rounded, "5.65");

  ASSERT_OK_AND_ASSIGN(const Procedure water,
                       LoadProcedure("sepr-high-temperature-water-cooled"));
  ASSERT_OK_AND_ASSIGN(const Rating water_rating,
                       RateUnit(water, EuUnit(water, {}, "entering_condenser_water_temp",
                                              [&](double water_c) {
                                                return figures(5 + (water_c - 9) / 0.7);
                                              })));
  ASSERT_TRUE(water_rating.value.has_value()) << water_rating.refusal;
  check.Relative("SEPR water", *water_rating.value, 5.647939);
}

}  // namespace
}  // namespace ratebound::rating
