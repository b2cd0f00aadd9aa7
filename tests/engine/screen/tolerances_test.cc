#include "engine/screen/tolerances.h"

#include <ostream>
#include <string>
#include <vector>

#include "engine/screen/check.h"
#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"

namespace ratebound::screen {
namespace {

using document::MeasurementMethod;
using document::SiValue;
using document::ToleranceFigure;
using ::testing::HasSubstr;

ToleranceFigure Absolute(double si) { return {.absolute = si, .absolute_si = si}; }
ToleranceFigure Relative(double fraction) { return {.relative_fraction = fraction}; }

MeasurementMethod Steadiness() {
  MeasurementMethod method{.id = "steady", .kind = document::MethodKind::kSteadiness};
  const document::Citation citation = {"invented standard, table 2",
                                       document::Basis::kMemory};
  method.tolerances = {
      {.quantity = "entering_air_db",
       .greatest_spread = Absolute(1.1),
       .greatest_deviation = Absolute(0.8),
       .greatest_standard_deviation = Absolute(0.3),
       .mean_deviation = Absolute(0.28),
       .citation = citation},
      {.quantity = "water_flow",
       .greatest_spread = Relative(0.02),
       .mean_deviation = Relative(0.01),
       .citation = citation},
  };
  return method;
}

// Held: entering_air_db at 26.7 degC. Water flow is measured only.
document::LineManifest HeldLine() {
  document::LineManifest manifest = Manifest();
  OnlyMode(manifest).held_conditions = {
      {.quantity = "entering_air_db", .value_si = 26.7, .tolerance_si = 1}};
  OnlyMode(manifest).steadiness_method = "steady";
  return manifest;
}

struct ToleranceCase {
  std::string name;
  SiValue value;
  std::vector<std::string> said;  // none: within all tolerances

  friend void PrintTo(const ToleranceCase& c, std::ostream* out) { *out << c.name; }
};

class ToleranceTest : public ::testing::TestWithParam<ToleranceCase> {};

TEST_P(ToleranceTest, IsJudgedByFigureAllowanceAndClause) {
  const document::LineManifest manifest = HeldLine();
  document::TestPoint point{.id = "p"};
  point.values = {GetParam().value};
  const std::vector<Doubt> doubts =
      CheckTolerances(Steadiness(), manifest.units[0].modes[0], point);
  ASSERT_EQ(doubts.size(), GetParam().said.empty() ? 0u : 1u);
  for (const std::string& part : GetParam().said) {
    EXPECT_THAT(doubts[0].message, HasSubstr(part));
  }
  if (!doubts.empty()) {
    EXPECT_THAT(doubts[0].message, HasSubstr("by invented standard, table 2 (MEMORY);"));
  }
}

SiValue Air(double mean_c, double spread_k, double sd_k) {
  return {.quantity = "entering_air_db",
          .value_si = mean_c,
          .standard_deviation_si = sd_k,
          .spread_si = spread_k};
}
SiValue Water(double mean, double spread) {
  return {.quantity = "water_flow", .value_si = mean, .spread_si = spread};
}

INSTANTIATE_TEST_SUITE_P(
    Tolerances, ToleranceTest,
    ::testing::Values(
        ToleranceCase{"Steady", Air(26.95, 1.1, 0.3), {}},
        ToleranceCase{"Spread",
                      Air(26.7, 1.2, 0.3),
                      {"entering_air_db: readings spread over 1.20 K, allowed 1.10 K,"}},
        ToleranceCase{"StandardDeviation",
                      Air(26.7, 1, 0.31),
                      {"readings have a standard deviation of 0.31 K, allowed 0.30 K"}},
        ToleranceCase{"SetPoint",
                      Air(27.0, 1, 0.3),
                      {"the mean is off its set point by 0.30 K, allowed 0.28 K"}},
        ToleranceCase{"AllTogether",
                      Air(27.6, 1.7, 0.4),
                      {"readings spread over 1.70 K, allowed 1.10 K; readings have",
                       "0.40 K, allowed 0.30 K; some reading is off by at least 0.90 K, "
                       "allowed 0.80 K; the mean"}},
        ToleranceCase{"HalfASpread",
                      Air(26.7, 1.7, 0.3),
                      {"some reading is off by at least 0.85 K, allowed 0.80 K"}},
        ToleranceCase{"RelativeToTheMean", Water(0.002, 0.00004), {}},
        ToleranceCase{"RelativeAndOver",
                      Water(0.002, 0.00005),
                      {"spread over 5e-05 m3/s, allowed 4e-05 m3/s (2 %)"}},
        ToleranceCase{
            "NoFigureNoJudgement", SiValue{.quantity = "water_flow", .value_si = 1}, {}},
        ToleranceCase{"NoTolerance",
                      SiValue{.quantity = "power_input", .value_si = 1, .spread_si = 9},
                      {}}),
    [](const auto& the_case) { return the_case.param.name; });

TEST(TolerancesTest, SaysWhichReadingsHadNoSpread) {
  auto points = Grid();
  for (auto& point : points) point.values.push_back(Water(0.002, 0.00001));
  for (auto& point : points) Set(point, "entering_air_db", 26.7);
  const MeasurementMethod methods[] = {Steadiness()};
  EXPECT_THAT(Screen(HeldLine(), methods, points),
              Says(document::Severity::kNote, "u/cooling/low",
                   "no spread or standard deviation of the readings of entering_air_db"));
  for (auto& point : points) {
    ValueOf(point, "entering_air_db").spread_si = 0.5;
    ValueOf(point, "entering_air_db").standard_deviation_si = 0.1;
  }
  EXPECT_THAT(Screen(HeldLine(), methods, points), AllNotes());
  ValueOf(points[5], "entering_air_db").spread_si = 1.5;
  EXPECT_THAT(Screen(HeldLine(), methods, points),
              Says(document::Severity::kWarning, "p5",
                   "test tolerance: entering_air_db: readings spread over 1.50 K"));
}

}  // namespace
}  // namespace ratebound::screen
