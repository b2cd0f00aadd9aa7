// Moist air against published tables and examples, by the vectors of
// tests/data/psychro-vectors.
#include <array>
#include <charconv>
#include <cmath>
#include <fstream>
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "engine/fluid/moist_air.h"
#include "engine/fluid/moist_air_state.h"
#include "gtest/gtest.h"
#include "tests/testing/outside.h"

namespace ratebound::fluid {
namespace {

using testing::OutsideCheck;
using Row = std::vector<std::string>;

std::vector<Row> ReadRows(const std::string& name) {
  std::ifstream file(std::string(RATEBOUND_SOURCE_DIR "/tests/data/psychro-vectors/") +
                     name);
  std::vector<Row> rows;
  std::string line;
  std::getline(file, line);  // headings
  while (std::getline(file, line)) {
    Row row(1);
    for (const char c : line) {
      if (c == ',') {
        row.emplace_back();
      } else {
        row.back() += c;
      }
    }
    rows.push_back(row);
  }
  EXPECT_FALSE(rows.empty()) << name;
  return rows;
}

double NumberOf(const std::string& text) {
  double value = std::nan("");
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

using Arguments = std::array<double, 3>;

template <Formulation Form>
double Saturated(double t) {
  return SaturationPressure<Form>(t);
}
template <Formulation Form>
double SaturatedHumidityRatio(double t, double p) {
  return HumidityRatioFromVapourPressure<Form>(Saturated<Form>(t), p);
}
template <Formulation Form>
double StateOf(const std::string& output, double pressure, MoistAirInput first,
               MoistAirInput second) {
  const auto state = SolveMoistAir<Form>(pressure, first, second);
  EXPECT_TRUE(state.ok()) << state.status();
  if (!state.ok()) return std::nan("");
  if (output == "HumRatio") return state->humidity_ratio;
  if (output == "TDewPoint") return state->dew_point.value_or(std::nan(""));
  if (output == "RelHum") return state->relative_humidity;
  if (output == "TWetBulb") return state->wet_bulb;
  if (output == "MoistAirEnthalpy") return state->enthalpy;
  if (output == "MoistAirVolume") return state->specific_volume;
  ADD_FAILURE() << "no output " << output;
  return std::nan("");
}

// The vectors' functions, by ours.
template <Formulation Form>
double Evaluate(const std::string& function, const Arguments& a,
                const std::string& output) {
  using P = MoistAirProperty;
  const auto from = [&](P property) {
    return StateOf<Form>(output, a[2], {P::kDryBulb, a[0]}, {property, a[1]});
  };
  const std::map<std::string, std::function<double()>> functions = {
      {"GetTKelvinFromTCelsius", [&] { return a[0] - Form::kAbsoluteZero; }},
      {"GetTCelsiusFromTKelvin", [&] { return a[0] + Form::kAbsoluteZero; }},
      {"GetSatVapPres", [&] { return Saturated<Form>(a[0]); }},
      {"GetSatHumRatio", [&] { return SaturatedHumidityRatio<Form>(a[0], a[1]); }},
      {"GetSatAirEnthalpy",
       [&] { return Enthalpy<Form>(a[0], SaturatedHumidityRatio<Form>(a[0], a[1])); }},
      {"GetTDewPointFromVapPres",
       [&] {
         const double frost = SaturationTemperature<Form>(a[1], Phase::kIce);
         return frost <= Form::kTriplePoint
                    ? frost
                    : SaturationTemperature<Form>(a[1], Phase::kWater);
       }},
      {"GetTWetBulbFromRelHum",
       [&] {
         return StateOf<Form>("TWetBulb", a[2], {P::kDryBulb, a[0]},
                              {P::kRelativeHumidity, a[1]});
       }},
      {"GetHumRatioFromVapPres",
       [&] { return HumidityRatioFromVapourPressure<Form>(a[0], a[1]); }},
      {"GetVapPresFromHumRatio", [&] { return VapourPressure<Form>(a[0], a[1]); }},
      {"GetVapPresFromRelHum", [&] { return a[1] * Saturated<Form>(a[0]); }},
      {"GetRelHumFromVapPres", [&] { return a[1] / Saturated<Form>(a[0]); }},
      {"GetHumRatioFromTWetBulb", [&] { return from(P::kWetBulb); }},
      {"GetTWetBulbFromHumRatio", [&] { return from(P::kHumidityRatio); }},
      {"GetDryAirEnthalpy", [&] { return Enthalpy<Form>(a[0], 0.0); }},
      {"GetDryAirVolume", [&] { return SpecificVolume<Form>(a[0], 0.0, a[1]); }},
      {"GetDryAirDensity", [&] { return MoistAirDensity<Form>(a[0], 0.0, a[1]); }},
      {"GetTDryBulbFromEnthalpyAndHumRatio",
       [&] { return DryBulbFromEnthalpy<Form>(a[0], a[1]); }},
      {"GetHumRatioFromEnthalpyAndTDryBulb",
       [&] { return HumidityRatioFromEnthalpy<Form>(a[1], a[0]); }},
      {"GetMoistAirEnthalpy", [&] { return Enthalpy<Form>(a[0], a[1]); }},
      {"GetMoistAirVolume", [&] { return SpecificVolume<Form>(a[0], a[1], a[2]); }},
      {"GetMoistAirDensity", [&] { return MoistAirDensity<Form>(a[0], a[1], a[2]); }},
      {"GetTDryBulbFromMoistAirVolumeAndHumRatio",
       [&] { return DryBulbFromSpecificVolume<Form>(a[0], a[1], a[2]); }},
      {"GetStandardAtmPressure", [&] { return StandardPressure<Form>(a[0]); }},
      {"GetStandardAtmTemperature", [&] { return StandardTemperature<Form>(a[0]); }},
      {"GetSeaLevelPressure", [&] { return SeaLevelPressure<Form>(a[0], a[1], a[2]); }},
      {"GetStationPressure", [&] { return StationPressure<Form>(a[0], a[1], a[2]); }},
      {"GetSpecificHumFromHumRatio", [&] { return SpecificHumidity(a[0]); }},
      {"GetHumRatioFromSpecificHum",
       [&] { return HumidityRatioFromSpecificHumidity(a[0]); }},
      {"CalcPsychrometricsFromTWetBulb", [&] { return from(P::kWetBulb); }},
      {"CalcPsychrometricsFromTDewPoint", [&] { return from(P::kDewPoint); }},
      {"CalcPsychrometricsFromRelHum", [&] { return from(P::kRelativeHumidity); }},
  };
  const auto found = functions.find(function);
  if (found == functions.end()) {
    ADD_FAILURE() << "no function " << function;
    return std::nan("");
  }
  return found->second();
}

template <Formulation Form>
void CheckVectors(const std::string& file, OutsideCheck& check) {
  std::map<std::string, double> outputs;
  for (const Row& row : ReadRows(file)) {
    ASSERT_GE(row.size(), 8u);
    Arguments arguments;
    std::string what = row[0];
    for (int i = 0; i < 3; ++i) {
      const std::string& text = row[1 + i];
      arguments[i] =
          text.starts_with("previous:") ? outputs.at(text.substr(9)) : NumberOf(text);
      what += " " + text;
    }
    const double computed = Evaluate<Form>(row[0], arguments, row[4]);
    if (!row[4].empty()) outputs[row[4]] = computed;
    if (row[5].empty()) continue;
    const double expected = NumberOf(row[5]);
    const double tolerance = NumberOf(row[7]);
    const double deviation = std::fabs(computed - expected);
    check.Deviation(
        what + " " + row[4],
        deviation / (row[6] == "rel" ? tolerance * std::fabs(expected) : tolerance));
  }
}

TEST(MoistAirPublished, SiVectorsHoldWithinTheTolerancesTheyState) {
  OutsideCheck check({.name = "fluid.moist_air_si_vectors",
                      .source = "ASHRAE Handbook - Fundamentals 2017 ch. 1 tables 1-3, "
                                "example 1, by PsychroLib 2.5.0 tests; worst as a share "
                                "of each stated tolerance",
                      .tolerance = 1});
  CheckVectors<Si>("psychrolib-si.csv", check);
  EXPECT_EQ(check.cases(), 68);
}

TEST(MoistAirPublished, InchPoundVectorsHoldWithinTheTolerancesTheyState) {
  OutsideCheck check({.name = "fluid.moist_air_ip_vectors",
                      .source = "ASHRAE Handbook - Fundamentals 2017 ch. 1 tables 1, 3, "
                                "example 1 (I-P), by PsychroLib 2.5.0 tests; worst as a "
                                "share of each stated tolerance",
                      .tolerance = 1});
  CheckVectors<InchPound>("inch-pound.csv", check);
  EXPECT_EQ(check.cases(), 16);
}

// Computed independently from the same equations at the conditions that ratings are taken
// at; humidity ratio, enthalpy in kJ/kg, volume in m3/kg, relative humidity.
TEST(MoistAirPublished, RatingConditionsHaveTheValuesOfTheEquations) {
  struct Condition {
    double dry_bulb, wet_bulb, humidity_ratio, enthalpy, volume, relative_humidity;
  };
  const Condition conditions[] = {
      {27, 19, .0104503, 53.8231, .86458, .4694},
      {35, 24, .0142345, 71.7372, .89293, .4028},
      {20, 15, .0085755, 41.8862, .84191, .5892},
      {7, 6, .0053856, 20.5815, .80050, .8682},
      {2, 1, .0036542, 11.1647, .78405, .8384},
      {-7, -8, .0015523, -3.1799, .75585, .7459},
      {12, 11, .0077513, 31.6310, .81786, .8893},
      {46, 24, .0096662, 71.2782, .91817, .1536},
      {40, 20, .0064008, 56.7246, .89625, .1398},
  };
  OutsideCheck check({.name = "fluid.moist_air_rating_conditions",
                      .source = "ASHRAE Handbook - Fundamentals 2017 ch. 1 equations, "
                                "evaluated apart, to the digits given",
                      .kind = "regression",
                      .tolerance = 0.51});
  for (const Condition& c : conditions) {
    const auto state = SolveMoistAir<Si>(101325, {MoistAirProperty::kDryBulb, c.dry_bulb},
                                         {MoistAirProperty::kWetBulb, c.wet_bulb});
    ASSERT_TRUE(state.ok()) << state.status();
    const std::string what =
        std::to_string(c.dry_bulb) + "/" + std::to_string(c.wet_bulb);
    check.Deviation(what + " W",
                    std::fabs(state->humidity_ratio - c.humidity_ratio) / 1e-7);
    check.Deviation(what + " h", std::fabs(state->enthalpy / 1000 - c.enthalpy) / 1e-4);
    check.Deviation(what + " v", std::fabs(state->specific_volume - c.volume) / 1e-5);
    check.Deviation(what + " rh",
                    std::fabs(state->relative_humidity - c.relative_humidity) / 1e-4);
  }
}

// Real gas at 200 degC and far more vapour than in any rating. Not followed, and so not
// checked: entropy (not computed), relative humidity at 10 MPa, enhancement factors (up
// to 2.2, taken as 1). At sea level's pressure 1 % holds, as the source states; at 1 and
// 10 MPa it does not, and what does hold is stated here.
TEST(MoistAirPublished, IdealGasFollowsRealMoistAirAtHighTemperature) {
  const auto run = [](const std::string& table, const std::string& output,
                      double tolerance, int cases) {
    OutsideCheck check(
        {.name = "fluid.moist_air_real_gas_" + table + "_" + output,
         .source = "ASHRAE RP-1485 " + table + ", by CoolProp tests; 200 degC, real gas",
         .tolerance = tolerance});
    for (const Row& row : ReadRows("rp1485-humid-air.csv")) {
      if (row[0] != table || row[4] != output) continue;
      const double dry_bulb = NumberOf(row[1]) + Si::kAbsoluteZero;
      const double w = NumberOf(row[2]);
      const double p = NumberOf(row[3]);
      const double computed =
          output == "B"   ? WetBulb<Si>(dry_bulb, w, p, Phase::kWater) - Si::kAbsoluteZero
          : output == "V" ? SpecificVolume<Si>(dry_bulb, w, p)
                          : Enthalpy<Si>(dry_bulb, w);
      check.Relative("W " + row[2], computed, NumberOf(row[6]));
    }
    EXPECT_EQ(check.cases(), cases);
  };
  run("table_A11", "B", 0.01, 3);
  run("table_A11", "V", 0.01, 3);
  run("table_A11", "H", 0.01, 3);
  run("table_A12", "B", 0.01, 3);
  run("table_A12", "V", 0.03, 3);
  run("table_A12", "H", 0.01, 3);
  run("table_A15", "B", 0.02, 1);
  run("table_A15", "V", 0.02, 1);
  run("table_A15", "H", 0.05, 1);
}

}  // namespace
}  // namespace ratebound::fluid
