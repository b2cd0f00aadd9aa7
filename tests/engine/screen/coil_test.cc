#include "engine/screen/coil.h"

#include <ostream>
#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/screen/check.h"
#include "engine/screen/humidity.h"
#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"

namespace ratebound::screen {
namespace {

using document::Severity;
using document::TestPoint;
using Values = std::vector<std::pair<std::string, double>>;

struct CoilCase {
  std::string name;
  Values values;
  Coil coil = Coil::kUncertain;
  bool signs_of_both = false;

  friend void PrintTo(const CoilCase& c, std::ostream* out) { *out << c.name; }
};

class CoilTest : public ::testing::TestWithParam<CoilCase> {};

TEST_P(CoilTest, IsToldByWhatWasMeasured) {
  TestPoint point{.id = "p"};
  for (const auto& [quantity, value_si] : GetParam().values) {
    Set(point, quantity, value_si);
  }
  const CoilJudgement judged = JudgeCoil(Manifest(), point);
  EXPECT_EQ(judged.coil, GetParam().coil)
      << judged.wet_evidence << " | " << judged.dry_evidence;
  EXPECT_EQ(!judged.wet_evidence.empty() && !judged.dry_evidence.empty(),
            GetParam().signs_of_both);
}

INSTANTIATE_TEST_SUITE_P(
    Evidence, CoilTest,
    ::testing::Values(
        CoilCase{"Nothing", {{"total_capacity", 1e4}}, Coil::kUncertain},
        CoilCase{"DewPointFalls",
                 {{"entering_air_dew_point", 14}, {"leaving_air_dew_point", 11}},
                 Coil::kWet},
        CoilCase{"DewPointStays",
                 {{"entering_air_dew_point", 8}, {"leaving_air_dew_point", 8.1}},
                 Coil::kDry},
        // Within the 0.3 K of each reading: neither.
        CoilCase{"DewPointFallsALittle",
                 {{"entering_air_dew_point", 14}, {"leaving_air_dew_point", 13.6}},
                 Coil::kUncertain},
        // 26.7/19.4 degC is a dew point of 15.8 degC; leaving air of 12 degC cannot hold
        // it.
        CoilCase{"LeavingBelowTheDewPoint",
                 {{"entering_air_db", 26.7},
                  {"entering_air_wb", 19.4},
                  {"leaving_air_db", 12}},
                 Coil::kWet},
        CoilCase{"LeavingAboveTheDewPoint",
                 {{"entering_air_db", 26.7},
                  {"entering_air_wb", 19.4},
                  {"leaving_air_db", 17}},
                 Coil::kUncertain},
        CoilCase{"SensibleHeatAlone",
                 {{"total_capacity", 1e4}, {"sensible_capacity", 9950}},
                 Coil::kDry},
        CoilCase{"AQuarterLatent",
                 {{"total_capacity", 1e4}, {"sensible_capacity", 7500}},
                 Coil::kWet},
        CoilCase{"LatentCapacity",
                 {{"total_capacity", 1e4}, {"latent_capacity", 2000}},
                 Coil::kWet},
        CoilCase{"Condensate",
                 {{"total_capacity", 1e4}, {"condensate_flow", 1e-3}},
                 Coil::kWet},
        CoilCase{"NoCondensate",
                 {{"total_capacity", 1e4}, {"condensate_flow", 0}},
                 Coil::kDry},
        CoilCase{"HumidityFallsAndNothingLatent",
                 {{"entering_air_dew_point", 14},
                  {"leaving_air_dew_point", 11},
                  {"total_capacity", 1e4},
                  {"sensible_capacity", 1e4}},
                 Coil::kUncertain,
                 true},
        CoilCase{"RelativeHumidity",
                 {{"entering_air_db", 27},
                  {"entering_air_relative_humidity", 0.5},
                  {"leaving_air_db", 14},
                  {"leaving_air_relative_humidity", 0.9}},
                 Coil::kWet}),
    [](const auto& the_case) { return the_case.param.name; });

// 25 degC dry bulb and 18 degC wet bulb at 101325 Pa, by hand: ASHRAE Handbook -
// Fundamentals 2017, chapter 1, equation 33 (as quoted by PsychroLib 2.5.0) with a
// saturation pressure of 2064.8 Pa at 18 degC, so that Ws = 0.012938:
// ((2501 - 2.326 * 18) * Ws - 1.006 * 7) / (2501 + 1.86 * 25 - 4.186 * 18) = 0.01002.
TEST(HumidityTest, ComesFromWhateverWasMeasured) {
  TestPoint point{.id = "p"};
  Set(point, "entering_air_db", 25);
  EXPECT_FALSE(HumidityOf(Manifest(), point, "entering").has_value());
  Set(point, "entering_air_wb", 18);
  const auto wet = HumidityOf(Manifest(), point, "entering");
  ASSERT_TRUE(wet.has_value());
  EXPECT_NEAR(wet->ratio, 0.01002, 1e-5);
  EXPECT_EQ(wet->measured, "entering_air_wb");
  EXPECT_GT(wet->slack, 2e-4);  // 0.3 K of wet bulb is about 0.3 g/kg
  EXPECT_LT(wet->slack, 6e-4);
  // Thinner air holds more at the same readings.
  Set(point, "barometric_pressure", 85000);
  EXPECT_GT(HumidityOf(Manifest(), point, "entering")->ratio, 1.15 * wet->ratio);
  Set(point, "entering_air_humidity_ratio", 0.009);
  EXPECT_EQ(HumidityOf(Manifest(), point, "entering")->ratio, 0.009);
  EXPECT_FALSE(HumidityOf(Manifest(), point, "leaving").has_value());
}

TEST(DeclaredCoilTest, ReadsTheWord) {
  EXPECT_EQ(DeclaredCoil("wet_coil"), Coil::kWet);
  EXPECT_EQ(DeclaredCoil("dry"), Coil::kDry);
  EXPECT_EQ(DeclaredCoil("frosting"), Coil::kUncertain);
  EXPECT_EQ(DeclaredCoil("wetted-media"), Coil::kUncertain);
  EXPECT_EQ(DeclaredCoil(""), Coil::kUncertain);
}

std::vector<TestPoint> GridWithSensible(double part, const std::string& regime) {
  std::vector<TestPoint> points = Grid();
  for (TestPoint& point : points) {
    Set(point, "sensible_capacity", part * *point.Find("total_capacity"));
    point.regime = regime;
  }
  return points;
}

TEST(RegimeTest, FlagsAPointThatIsNotInItsRegime) {
  auto points = GridWithSensible(0.7, "wet_coil");
  EXPECT_THAT(Screen(Manifest(), points), AllNotes());
  Set(points[3], "sensible_capacity", *points[3].Find("total_capacity"));
  EXPECT_THAT(Screen(Manifest(), points),
              Says(Severity::kWarning, "p3",
                   "coil is not as its regime says: the coil is dry and the regime is "
                   "wet_coil: sensible_capacity is 100.0 % of total_capacity"));
  points = GridWithSensible(1, "dry_coil");
  Set(points[3], "sensible_capacity", 0.7 * *points[3].Find("total_capacity"));
  EXPECT_THAT(Screen(Manifest(), points),
              Says(Severity::kWarning, "p3", "the coil is wet and the regime is dry"));
}

TEST(RegimeTest, FailsAGroupThatSpansBoth) {
  auto points = GridWithSensible(0.7, "");
  EXPECT_THAT(Screen(Manifest(), points), AllNotes());
  for (const int row : {6, 8}) {
    Set(points[row], "sensible_capacity", *points[row].Find("total_capacity"));
  }
  EXPECT_THAT(Screen(Manifest(), points),
              Says(Severity::kFailure, "u/cooling/low",
                   "wet and dry coils on one surface: 7 point(s) wet, 2 dry; dry are p6, "
                   "p8; give the points a regime each"));
  // Heating has no such regimes.
  auto manifest = Manifest();
  OnlyMode(manifest).kind = document::ModeKind::kHeating;
  for (const auto& finding : Screen(manifest, points)) {
    EXPECT_EQ(finding.message.find("coil"), std::string::npos) << finding.message;
  }
}

TEST(RegimeTest, NotesWhatCannotBeTold) {
  const auto points = GridWithSensible(0.97, "");
  EXPECT_THAT(Screen(Manifest(), points),
              Says(Severity::kNote, "u/cooling/low",
                   "wet or dry coil cannot be told, within what the readings allow, at 9 "
                   "of 9 point(s)"));
}

}  // namespace
}  // namespace ratebound::screen
