// Points of a line reduced, and their uncertainty against a propagation of its own: by
// central differences of the reduction and a covariance matrix written out by hand.
#include "engine/points/pipeline/reduce_points.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/base/fault.h"
#include "engine/points/ingest.h"
#include "engine/points/pipeline/reading_uncertainty.h"
#include "engine/points/uncertainty/propagation.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/pipeline/pipeline_line.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

using document::Finding;
using document::SiValue;
using document::TestPoint;
using ::testing::AllOf;
using ::testing::Contains;
using ::testing::Field;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::SizeIs;
using testing::StatusIs;

// One computed value of a point, not-a-number where the reduction refuses it.
double Reduced(const document::LineManifest& line, const TestPoint& point,
               std::string_view quantity) {
  const auto plan = ReductionPlan::Create(line.units[0].modes[0], ShippedMethods(),
                                          {.wet_bulb_slack_k = kHumidityReadingSlackK});
  Readings<double> readings(*plan);
  for (const SiValue& value : point.values) {
    readings.Set(*plan, value.quantity, value.value_si);
  }
  Results<double> results;
  EXPECT_TRUE(Reduce(*plan, readings, results).ok());
  return results.Find(*plan, quantity).value_or(std::nan(""));
}

// The power read works against 80 Pa of duct: EN 14511 takes the fan's share out.
document::LineManifest LineWithFanCorrection() {
  document::LineManifest line = AirLine();
  ModeOf(line).reduction->corrections = {{.method = "correction-en-14511-3",
                                          .kind = document::FanPumpCase::kFanInside,
                                          .flow = "standard_air_flow",
                                          .pressure = "external_static_pressure"}};
  ModeOf(line).reduction->inputs = {
      {"correction-en-14511-3", "fan_capacity_share", 1, ""}};
  return line;
}
TestPoint DuctedPoint(std::string id) {
  TestPoint point = CoilPoint(std::move(id));
  point.values.push_back({.quantity = "external_static_pressure", .value_si = 80});
  std::sort(point.values.begin(), point.values.end(),
            [](const auto& a, const auto& b) { return a.quantity < b.quantity; });
  return point;
}

TEST(ReducePoints, PutsComputedValuesAmongTheReadingsInTheOrderOfNames) {
  const document::LineManifest line = AirLine();
  std::vector<TestPoint> points = {CoilPoint("p1")};
  const TestPoint read = points[0];
  ASSERT_OK_AND_ASSIGN(const auto findings, ReducePoints(line, ShippedMethods(), points));
  EXPECT_THAT(findings, IsEmpty());
  EXPECT_TRUE(std::is_sorted(
      points[0].values.begin(), points[0].values.end(),
      [](const SiValue& a, const SiValue& b) { return a.quantity < b.quantity; }));
  for (const SiValue& value : points[0].values) {
    EXPECT_EQ(value.computed, read.FindValue(value.quantity) == nullptr)
        << value.quantity;
    EXPECT_FALSE(value.uncertainty.has_value()) << "nothing is known of any";
    EXPECT_TRUE(value.computed || value.value_si == read.Find(value.quantity));
  }
  EXPECT_EQ(*points[0].Find("total_capacity"), Reduced(line, read, "total_capacity"));
  EXPECT_EQ(*points[0].Find("sensible_heat_ratio"),
            Reduced(line, read, "sensible_heat_ratio"));
}

TEST(ReducePoints, KeepsTheLabsFigureBesideItsOwn) {
  std::vector<TestPoint> points = {PointWith("p1", {{"total_capacity", 9876}})};
  for (const SiValue& value : CoilPoint("p1").values) points[0].values.push_back(value);
  std::sort(points[0].values.begin(), points[0].values.end(),
            [](const auto& a, const auto& b) { return a.quantity < b.quantity; });
  ASSERT_THAT(ReducePoints(AirLine(), ShippedMethods(), points), testing::IsOk());
  const SiValue& capacity = ValueOf(points[0], "total_capacity");
  EXPECT_EQ(capacity.lab_value_si, 9876);
  EXPECT_NE(capacity.value_si, 9876);
  EXPECT_TRUE(capacity.computed);
  EXPECT_EQ(std::count_if(
                points[0].values.begin(), points[0].values.end(),
                [](const SiValue& value) { return value.quantity == "total_capacity"; }),
            1);
}

// What was reduced once gives the same when it is reduced again: the power that was
// corrected is read as the lab read it, and not corrected twice.
TEST(ReducePoints, IsIdempotent) {
  document::LineManifest line = LineWithFanCorrection();
  line.instruments = {Instrument("w", {"power_input"}, {Part(0.005)})};
  std::vector<TestPoint> points = {DuctedPoint("p1")};
  ASSERT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());
  const SiValue& power = ValueOf(points[0], "power_input");
  EXPECT_EQ(power.lab_value_si, 3500);
  EXPECT_LT(power.value_si, 3500);
  EXPECT_EQ(power.reading_si(), 3500);
  const std::vector<TestPoint> once = points;
  ASSERT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());
  EXPECT_EQ(points, once);
}

TEST(ReducePoints, ComputesPowerThatTheLabReadInParts) {
  std::vector<TestPoint> points = {CoilPoint("p1")};
  Drop(points[0], "power_input");
  points[0].values.push_back({.quantity = "indoor_fan_power", .value_si = 300});
  points[0].values.push_back({.quantity = "outdoor_section_power", .value_si = 3000});
  std::sort(points[0].values.begin(), points[0].values.end(),
            [](const auto& a, const auto& b) { return a.quantity < b.quantity; });
  ASSERT_THAT(ReducePoints(AirLine(), ShippedMethods(), points), testing::IsOk());
  const SiValue& power = ValueOf(points[0], "power_input");
  EXPECT_EQ(power.value_si, 3300);
  EXPECT_FALSE(power.lab_value_si.has_value());
  EXPECT_FALSE(power.reading_si().has_value());
}

TEST(ReducePoints, LeavesDroppedPointsAndThoseWithoutAReductionAsTheyWere) {
  document::LineManifest line = AirLine();
  std::vector<TestPoint> points = {CoilPoint("dropped"), CoilPoint("curve"),
                                   CoilPoint("other")};
  points[0].dropped_reason = "air leaked";
  ValueOf(points[0], "leaving_air_wb").value_si = 60;  // why it was dropped
  points[1].curve = "fan";
  points[1].mode = "";
  points[1].stage = "";
  document::Mode plain = ModeOf(line);
  plain.id = "plain";
  plain.reduction.reset();
  line.units[0].modes.push_back(plain);
  points[2].mode = "plain";
  const std::vector<TestPoint> before = points;
  ASSERT_OK_AND_ASSIGN(const auto findings, ReducePoints(line, ShippedMethods(), points));
  EXPECT_THAT(findings, IsEmpty());
  EXPECT_EQ(points, before);

  // With an instrument the accepted ones have their readings' uncertainty and no more.
  line.instruments = {Instrument("w", {"power_input"}, {Part(0.01)})};
  ASSERT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());
  EXPECT_EQ(points[0], before[0]);
  for (size_t i : {1, 2}) {
    EXPECT_THAT(points[i].values, SizeIs(before[i].values.size()));
    EXPECT_NEAR(ValueOf(points[i], "power_input").uncertainty->systematic_standard_si,
                17.5, 1e-12);
    EXPECT_FALSE(ValueOf(points[i], "entering_air_db").uncertainty.has_value());
  }
}

TEST(ReducePoints, DoesNotReduceTheMeansOfFrostCyclesAgain) {
  document::LineManifest line = AirLine();
  line.log_files = {{.path = "logs/frost.csv",
                     .unit = "u",
                     .mode = "cooling",
                     .frost_cycles = document::FrostCycles{.signal = "defrost"}}};
  std::vector<TestPoint> points = {PointWith(
      "frost.csv:9", {{"integrated_heating_capacity", 7000}, {"power_input", 2000}})};
  points[0].file = "logs/frost.csv";
  const auto refused = ReducePoints(line, ShippedMethods(), points);
  EXPECT_THAT(refused, StatusIs(absl::StatusCode::kInvalidArgument,
                                AllOf(HasSubstr("outdoor_air_db, a condition"),
                                      HasSubstr("entering_air_wb, a condition"),
                                      Not(HasSubstr("which the air side")))));
  points[0].values.insert(points[0].values.begin(),
                          {.quantity = "entering_air_wb", .value_si = 15});
  points[0].values.push_back({.quantity = "outdoor_air_db", .value_si = 2});
  const std::vector<TestPoint> before = points;
  ASSERT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());
  EXPECT_EQ(points, before);
}

// A point is spoiled; the one good fault names its file and line.
struct BadPoint {
  std::string name;
  void (*spoil)(TestPoint&);
  std::vector<std::string> says;
};
void PrintTo(const BadPoint& bad, std::ostream* out) { *out << bad.name; }
class BadPoints : public ::testing::TestWithParam<BadPoint> {};

TEST_P(BadPoints, AreFaultsWithFileAndLineOfThePoint) {
  std::vector<TestPoint> points = {CoilPoint("good"), CoilPoint("bad"),
                                   CoilPoint("bad, too")};
  GetParam().spoil(points[1]);
  points[1].line = 12;
  GetParam().spoil(points[2]);
  points[2].line = 13;
  const auto refused = ReducePoints(AirLine(), ShippedMethods(), points);
  ASSERT_EQ(refused.status().code(), absl::StatusCode::kInvalidArgument);
  const std::vector<base::Fault> faults = base::FaultsOf(refused.status());
  ASSERT_THAT(faults, SizeIs(2)) << refused.status();
  EXPECT_EQ(faults[0].line, 12);
  EXPECT_EQ(faults[1].line, 13);
  EXPECT_EQ(faults[0].file, "points/day1.csv");
  EXPECT_THAT(faults[0].message, HasSubstr("point 'bad'"));
  for (const std::string& say : GetParam().says) {
    EXPECT_THAT(faults[0].ToString(), HasSubstr(say));
  }
}
INSTANTIATE_TEST_SUITE_P(
    Spoiled, BadPoints,
    ::testing::Values(
        BadPoint{"ReadingIsMissing",
                 [](TestPoint& point) { Drop(point, "standard_air_flow"); },
                 {"standard_air_flow was not read"}},
        BadPoint{"WetBulbAboveDry",
                 [](TestPoint& point) { ValueOf(point, "leaving_air_wb").value_si = 16; },
                 {"leaving_air_wb"}},
        BadPoint{"ConditionNeitherReadNorComputed",
                 [](TestPoint& point) { Drop(point, "outdoor_air_db"); },
                 {"outdoor_air_db, a condition of mode cooling, was neither measured nor "
                  "computed",
                  "drop the point"}},
        BadPoint{"NothingAtAll",
                 [](TestPoint& point) { point.values.clear(); },
                 {"nothing was read"}}),
    [](const auto& bad) { return bad.param.name; });

// The flow of a nozzle goes with the root of its pressure drop, which has no slope at 0.
TEST(ReducePoints, AReadingAtWhichNothingHasASlopeIsAFaultAndNoNumber) {
  document::LineManifest line = AirLine();
  document::AirSide air = Nozzles("nozzle-flow-fixed", {6});
  air.method = kIp;
  ModeOf(line).reduction->air_side = air;
  std::vector<TestPoint> points = {CoilPoint("p1")};
  Drop(points[0], "standard_air_flow");
  points[0].values.push_back({.quantity = "nozzle_air_db", .value_si = 15});
  points[0].values.push_back({.quantity = "nozzle_pressure_drop", .value_si = 300});
  std::sort(points[0].values.begin(), points[0].values.end(),
            [](const auto& a, const auto& b) { return a.quantity < b.quantity; });
  std::vector<TestPoint> still = points;
  ValueOf(still[0], "nozzle_pressure_drop").value_si = 0;
  EXPECT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());
  EXPECT_THAT(ReducePoints(line, ShippedMethods(), still),
              StatusIs(absl::StatusCode::kInvalidArgument,
                       AllOf(HasSubstr("points/day1.csv:7: point 'p1'"),
                             HasSubstr("nozzle_pressure_drop"))));
}

TEST(ReducePoints, AFaultOfThePlanStandsInTheManifestOnce) {
  document::LineManifest line = AirLine();
  ModeOf(line).reduction->air_side->method = "air-enthalpy-sy";
  std::vector<TestPoint> points = {CoilPoint("p1"), CoilPoint("p2")};
  const auto refused = ReducePoints(line, ShippedMethods(), points);
  const std::vector<base::Fault> faults = base::FaultsOf(refused.status());
  ASSERT_THAT(faults, SizeIs(1)) << refused.status();
  EXPECT_EQ(faults[0].file, "line.textproto");
  EXPECT_THAT(faults[0].ToString(),
              AllOf(HasSubstr("u/cooling"), HasSubstr("air-enthalpy-si")));
}

TEST(ReducePoints, AContradictionAmongInstrumentsStandsInTheManifestOnce) {
  document::LineManifest line = AirLine();
  line.instruments = {
      Instrument("t", {"entering_air_db", "leaving_air_db"}, {Within(0.1, "degC")})};
  line.reading_correlations = {{"entering_air_db", "leaving_air_db", 0.5, "s"}};
  std::vector<TestPoint> points = {CoilPoint("p1"), CoilPoint("p2")};
  const auto refused = ReducePoints(line, ShippedMethods(), points);
  const std::vector<base::Fault> faults = base::FaultsOf(refused.status());
  ASSERT_THAT(faults, SizeIs(1)) << refused.status();
  EXPECT_EQ(faults[0].file, "line.textproto");
  EXPECT_EQ(faults[0].field, "reading_correlations[0]");
}

// What a correction takes may be a condition that only the reduction computes.
TEST(ReducePoints, AConditionMayBeComputed) {
  document::LineManifest line = AirLine();
  ModeOf(line).conditions = {"outdoor_air_db", "air_flow"};
  std::vector<TestPoint> points = {CoilPoint("p1")};
  const double air_flow = Reduced(line, points[0], "air_flow");
  ASSERT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());
  EXPECT_EQ(points[0].Find("air_flow"), air_flow);
}

// Points sorted before their conditions were computed are sorted again after.
TEST(ReducePoints, SortingAgainOrdersByComputedConditionsWhateverTheOrderBefore) {
  document::LineManifest line = AirLine();
  ModeOf(line).conditions = {"air_flow"};
  const std::vector<double> standard_flows = {0.62, 0.50, 0.58, 0.54, 0.66};
  std::vector<std::vector<TestPoint>> outcomes;
  testing::Random random("SORTING_AGAIN");
  for (int trial = 0; trial < 6; ++trial) {
    std::vector<TestPoint> points;
    for (const double flow : standard_flows) {
      points.push_back(CoilPoint(absl::StrCat("p", flow)));
      ValueOf(points.back(), "standard_air_flow").value_si = flow;
    }
    for (size_t i = points.size() - 1; i > 0; --i) {
      std::swap(points[i],
                points[static_cast<size_t>(random.Integer(0, static_cast<int>(i)))]);
    }
    ASSERT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());
    SortPoints(line, points);
    EXPECT_TRUE(std::is_sorted(points.begin(), points.end(), [](auto& a, auto& b) {
      return *a.Find("air_flow") < *b.Find("air_flow");
    }));
    outcomes.push_back(std::move(points));
  }
  for (const auto& outcome : outcomes) EXPECT_EQ(outcome, outcomes[0]);
}

TEST(ReducePoints, SaysOnceAModeWhichReadingsNothingIsKnownOf) {
  document::LineManifest line = AirLine();
  line.instruments = {
      Instrument("t", {"entering_air_db", "entering_air_wb", "leaving_air_db"},
                 {Within(0.1, "degC")}),
      Instrument("w", {"power_input"}, {Part(0.01)})};
  std::vector<TestPoint> points = {CoilPoint("p1"), CoilPoint("p2")};
  ASSERT_OK_AND_ASSIGN(const auto findings, ReducePoints(line, ShippedMethods(), points));
  ASSERT_THAT(findings, SizeIs(1));
  EXPECT_EQ(findings[0].severity, document::Severity::kWarning);
  EXPECT_EQ(findings[0].subject, "u/cooling");
  EXPECT_THAT(
      findings[0].message,
      HasSubstr(": barometric_pressure, leaving_air_wb, standard_air_flow; give"));
  EXPECT_TRUE(ValueOf(points[0], "total_capacity").uncertainty.has_value());
}

TEST(ReducePoints, AValueWithoutAnyKnownReadingHasNoUncertainty) {
  document::LineManifest line = AirLine();
  line.instruments = {Instrument("w", {"power_input"}, {Part(0.01)})};
  std::vector<TestPoint> points = {CoilPoint("p1")};
  ASSERT_OK_AND_ASSIGN(const auto findings, ReducePoints(line, ShippedMethods(), points));
  EXPECT_THAT(findings, IsEmpty());
  EXPECT_FALSE(ValueOf(points[0], "total_capacity").uncertainty.has_value());
  EXPECT_TRUE(ValueOf(points[0], "power_input").uncertainty.has_value());
}

// The manifest's own figures serve a reduction, and alone they change no reading.
TEST(ReducePoints, CarriesTheManifestsFiguresToWhatIsComputed) {
  document::LineManifest line = AirLine();
  line.systematic_uncertainties = {
      {.quantity = "standard_air_flow", .relative_fraction = 0.02}};
  std::vector<TestPoint> points = {CoilPoint("p1")};
  ASSERT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());
  const SiValue& capacity = ValueOf(points[0], "total_capacity");
  // Capacity is proportional to standard flow, so it has the flow's 1 % standard.
  EXPECT_NEAR(capacity.uncertainty->systematic_standard_si, 0.01 * capacity.value_si,
              1e-9 * capacity.value_si);
  EXPECT_EQ(capacity.uncertainty->random_standard_si, 0);
}

// The part of a covariance matrix of readings, written out.
using Matrix = std::vector<std::vector<double>>;

TEST(ReducePoints, UncertaintyIsThatOfCentralDifferencesAndAWrittenOutCovariance) {
  document::LineManifest line = LineWithFanCorrection();
  // Two dry bulbs by one scanner, two wet bulbs calibrated in one bath, flow and pressure
  // correlated, power with scatter.
  line.instruments = {
      Instrument("scanner", {"entering_air_db", "leaving_air_db"}, {Within(0.2, "degC")}),
      Instrument("wb1", {"entering_air_wb"},
                 {SharedBy("bath", Within(0.10, "degC")), Within(0.06, "degC", "drift"),
                  Random(Within(0.08, "degC", "noise"))}),
      Instrument("wb2", {"leaving_air_wb"}, {SharedBy("bath", Within(0.14, "degC"))}),
      Instrument("nozzle", {"standard_air_flow"}, {Part(0.012)}),
      Instrument("barometer", {"barometric_pressure"}, {Within(200, "Pa")}),
      Instrument("duct", {"external_static_pressure"}, {Within(3, "Pa")}),
      Instrument("watts", {"power_input"}, {Part(0.004)}),
      Instrument("outdoor", {"outdoor_air_db"}, {Within(0.3, "degC")})};
  line.reading_correlations = {
      {"standard_air_flow", "external_static_pressure", -0.4, "one set of taps"}};
  testing::Random random("CENTRAL_DIFFERENCES");
  for (int trial = 0; trial < 20; ++trial) {
    TestPoint read = DuctedPoint("p1");
    for (SiValue& value : read.values) {
      value.value_si *= 1 + 0.02 * random.Uniform(-1, 1);
    }
    SiValue& scatter = ValueOf(read, "power_input");
    scatter.standard_deviation_si = 24;
    scatter.reading_count = 9;
    std::vector<TestPoint> points = {read};
    ASSERT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());

    const std::vector<std::string> names = {
        "entering_air_db",          "leaving_air_db",    "entering_air_wb",
        "leaving_air_wb",           "standard_air_flow", "barometric_pressure",
        "external_static_pressure", "power_input"};
    const double flow = *read.Find("standard_air_flow");
    const double power = *read.Find("power_input");
    Matrix systematic(8, std::vector<double>(8));
    Matrix spread(8, std::vector<double>(8));
    const auto set = [&](size_t i, size_t j, double covariance) {
      systematic[i][j] = systematic[j][i] = covariance;
    };
    set(0, 0, 0.1 * 0.1);
    set(1, 1, 0.1 * 0.1);
    set(0, 1, 0.1 * 0.1);  // one scanner
    set(2, 2, 0.05 * 0.05 + 0.03 * 0.03);
    set(3, 3, 0.07 * 0.07);
    set(2, 3, 0.05 * 0.07);  // one bath
    set(4, 4, 0.006 * flow * 0.006 * flow);
    set(5, 5, 100.0 * 100);
    set(6, 6, 1.5 * 1.5);
    set(4, 6, -0.4 * 0.006 * flow * 1.5);
    set(7, 7, 0.002 * power * 0.002 * power);
    spread[2][2] = 0.04 * 0.04;
    spread[7][7] = 8.0 * 8;

    for (const char* quantity : {"total_capacity", "sensible_capacity", "power_input",
                                 "moisture_removal", "sensible_heat_ratio"}) {
      std::vector<double> slope;
      for (const std::string& name : names) {
        const double h = 1e-5 * std::fabs(*read.Find(name));
        TestPoint above = read;
        ValueOf(above, name).value_si += h;
        TestPoint below = read;
        ValueOf(below, name).value_si -= h;
        slope.push_back(
            (Reduced(line, above, quantity) - Reduced(line, below, quantity)) / (2 * h));
      }
      const auto variance = [&](const Matrix& covariance) {
        double sum = 0;
        for (size_t i = 0; i < 8; ++i) {
          for (size_t j = 0; j < 8; ++j) sum += slope[i] * slope[j] * covariance[i][j];
        }
        return sum;
      };
      const document::ValueUncertainty& u = *ValueOf(points[0], quantity).uncertainty;
      const double want_systematic = std::sqrt(variance(systematic));
      const double want_random = std::sqrt(variance(spread));
      EXPECT_NEAR(u.systematic_standard_si, want_systematic, 1e-6 * want_systematic)
          << quantity;
      EXPECT_NEAR(u.random_standard_si, want_random,
                  1e-6 * (want_random + want_systematic))
          << quantity;
      // The systematic part rests on certificates without end of degrees of freedom.
      EXPECT_NEAR(u.systematic_expanded_si, 1.959963984540054 * u.systematic_standard_si,
                  1e-9 * u.systematic_standard_si);
    }
    // JCGM 100, G.4.1 (G.2b): only the scatter of power is known from few readings.
    const document::ValueUncertainty& u = *ValueOf(points[0], "power_input").uncertainty;
    const double total_squared = u.random_standard_si * u.random_standard_si +
                                 u.systematic_standard_si * u.systematic_standard_si;
    EXPECT_NEAR(u.degrees_of_freedom,
                total_squared * total_squared / (8.0 * 8 * 8 * 8 / 8),
                1e-6 * u.degrees_of_freedom);
  }
}

}  // namespace
}  // namespace ratebound::points
