// How sure a metric is: against what a figure of one point gives by hand, Monte Carlo
// against first order, and against truths that are known.
#include "engine/rating/uncertainty.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/map/fit_line.h"
#include "engine/number/distribution.h"
#include "engine/rating/rate.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::rating {
namespace {

using document::MetricUncertainty;
using document::TestPoint;
using ::testing::Contains;
using ::testing::HasSubstr;
using testing::StatusIs;

constexpr int kStages = 4;

double TrueCapacityW(int stage, double water_c) {
  return (stage + 1) * (30e3 - 200 * water_c);
}
double TruePowerW(int stage, double water_c) {
  return (stage + 1) * (2e3 + 100 * water_c);
}

document::LineManifest Manifest() {
  document::Unit unit = Chiller({}).unit;
  document::Mode mode{.id = "cooling",
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"entering_condenser_water_temp"}};
  for (int stage = 0; stage < kStages; ++stage) {
    mode.stages.push_back({.id = absl::StrCat("s", stage + 1)});
  }
  unit.modes = {mode};
  return {.id = "line", .units = {unit}};
}

// Water of 16 to 34 degC; each day errs as a whole, capacity and power together, and each
// point by itself.
std::vector<TestPoint> Points(ratebound::testing::Random& random, int days = 10) {
  std::vector<double> of_day;
  for (int day = 0; day < days; ++day) of_day.push_back(0.01 * random.Normal());
  std::vector<TestPoint> points;
  for (int stage = 0; stage < kStages; ++stage) {
    for (int i = 0; i < 20; ++i) {
      const double water_c = 16 + 18.0 * i / 19;
      const int day = (3 * i + stage) % days;
      TestPoint point{.id = absl::StrCat("p", points.size()),
                      .unit = "c1",
                      .mode = "cooling",
                      .stage = absl::StrCat("s", stage + 1),
                      .block = absl::StrCat("day", day)};
      const double shared = of_day[static_cast<size_t>(day)];
      point.values = {{"entering_condenser_water_temp", water_c},
                      {"power_input", TruePowerW(stage, water_c) *
                                          (1 - 0.5 * shared + 0.004 * random.Normal())},
                      {"total_capacity", TrueCapacityW(stage, water_c) *
                                             (1 + shared + 0.004 * random.Normal())}};
      points.push_back(point);
    }
  }
  return points;
}

// The coefficient of performance of the largest stage at 30 degC, and nothing else.
document::Procedure OneLoad() {
  document::Procedure procedure = FourPoints();
  procedure.id = "one-load";
  procedure.load_points = {
      {.id = "A", .percent_load = Stated(100, "%"), .weight = Stated(1)}};
  procedure.load_points[0].conditions = {At("entering_condenser_water_temp", 30, "degC")};
  return procedure;
}

struct Rated {
  document::LineManifest manifest;
  std::vector<TestPoint> points;
  std::vector<map::StageModel> models;
  MapFigureSource source;
  Metric metric;
  Variation variation;
};

Rated Prepare(document::LineManifest manifest, std::vector<TestPoint> points,
              const document::Procedure& procedure) {
  std::vector<map::StageModel> models;
  const auto maps = map::FitLine(manifest, points);
  EXPECT_THAT(maps, testing::IsOk());
  for (const document::StageMap& stage_map : *maps) {
    models.push_back(map::StageModel::Create(stage_map).value());
  }
  auto source = MapFigureSource::Create(manifest.units[0], models, procedure.mode_kind,
                                        QuantitiesOf(procedure));
  EXPECT_THAT(source, testing::IsOk());
  auto metric = Metric::Compile(procedure, source->description());
  EXPECT_THAT(metric, testing::IsOk());
  auto variation = Variation::Create(*source, manifest, points);
  EXPECT_THAT(variation, testing::IsOk());
  return {std::move(manifest), std::move(points),  std::move(models),
          *std::move(source),  *std::move(metric), *std::move(variation)};
}

TEST(Uncertainty, OfARatioIsWhatTheDaysDoToBothSides) {
  ratebound::testing::Random random("UNCERTAINTY_OF_A_RATIO");
  const Rated rated = Prepare(Manifest(), Points(random), OneLoad());
  const auto sure =
      FirstOrderUncertainty(rated.metric, rated.source, rated.variation, {});
  ASSERT_THAT(sure, testing::IsOk());
  // By hand: for each day, the ratio moved by that day's deviation of both surfaces.
  const document::StageMap& map = rated.models[kStages - 1].map();
  const double at_c[] = {30};
  std::vector<map::PointSpread> spreads;
  std::vector<map::CoefficientSpread> sources;
  for (const char* quantity : {"total_capacity", "power_input"}) {
    const document::Surface& surface =
        *map::FindSurface(map, quantity, document::SurfacePurpose::kTable);
    sources.push_back(map::SpreadOf(map, surface, rated.points).value());
    spreads.push_back(map::SpreadAt(map, surface, sources.back(), at_c).value());
  }
  ASSERT_EQ(sources[0].sources, sources[1].sources);
  double squares = 0;
  for (size_t g = 0; g < sources[0].sources.size(); ++g) {
    const auto ratio = [&](double side) {
      return (spreads[0].polynomial + side * spreads[0].deviations[g]) /
             (spreads[1].polynomial + side * spreads[1].deviations[g]);
    };
    const double change = (ratio(1) - ratio(-1)) / 2;
    squares += change * change;
  }
  EXPECT_NEAR(sure->standard_error, std::sqrt(squares), 1e-9 * std::sqrt(squares));
  EXPECT_EQ(sure->degrees_of_freedom, 9);
  EXPECT_EQ(sure->systematic, 0);
  const double value = rated.metric.Value(rated.source);
  const double t = number::StudentTQuantile(0.975, 9);
  EXPECT_NEAR(sure->high, value + t * sure->standard_error, 1e-12);
  EXPECT_NEAR(sure->low, value - t * sure->standard_error, 1e-12);
  // Days move capacity up where they move power down: together they do more than the two
  // would in quadrature.
  double in_quadrature = 0;
  for (const document::MetricContribution& part : sure->contributions) {
    in_quadrature += part.value * part.value;
  }
  EXPECT_GT(sure->standard_error, 1.1 * std::sqrt(in_quadrature));
}

TEST(Uncertainty, MonteCarloAgreesWithFirstOrderWhereTheMetricIsSmooth) {
  ratebound::testing::Random random("UNCERTAINTY_BOTH_WAYS");
  // FourPoints asks stages at fixed conditions; the other searches for loads in balance.
  document::Procedure searching = FourPoints();
  searching.part_load->bracket_condition = document::BracketCondition::kOwnLoad;
  searching.part_load->window_percent = Stated(0.001, "%");
  for (const document::Procedure& procedure : {OneLoad(), searching}) {
    SCOPED_TRACE(procedure.id);
    const Rated rated = Prepare(Manifest(), Points(random), procedure);
    const auto linear =
        FirstOrderUncertainty(rated.metric, rated.source, rated.variation, {});
    ASSERT_THAT(linear, testing::IsOk());
    const auto drawn = MonteCarloUncertainty(rated.metric, rated.source, rated.variation,
                                             {.draws = 20'000, .seed = 7});
    ASSERT_THAT(drawn, testing::IsOk());
    // Of 20,000 draws the standard deviation is known to 0.5 % (JCGM 101:2008, 7.6).
    EXPECT_NEAR(drawn->standard_error, linear->standard_error,
                0.03 * linear->standard_error);
    EXPECT_NEAR(drawn->low, linear->low, 0.1 * linear->standard_error);
    EXPECT_NEAR(drawn->high, linear->high, 0.1 * linear->standard_error);
    EXPECT_EQ(drawn->failed_draw_count, 0);
  }
}

TEST(Uncertainty, DrawsHaveTheSameBitsOnAnyNumberOfThreads) {
  ratebound::testing::Random random("UNCERTAINTY_THREADS");
  const Rated rated = Prepare(Manifest(), Points(random), FourPoints());
  const UncertaintyOptions one{.draws = 5'000, .seed = 3};
  UncertaintyOptions three = one;
  three.thread_count = 3;
  const auto a = MonteCarloUncertainty(rated.metric, rated.source, rated.variation, one);
  const auto b =
      MonteCarloUncertainty(rated.metric, rated.source, rated.variation, three);
  ASSERT_THAT(a, testing::IsOk());
  ASSERT_THAT(b, testing::IsOk());
  EXPECT_EQ(*a, *b);
}

// A meter that reads a part r high: the ratio is off by r / (1 - r^2) of itself, as the
// mean of both sides.
TEST(Uncertainty, OfInstrumentsAddsUpLinearly) {
  ratebound::testing::Random random("UNCERTAINTY_INSTRUMENTS");
  document::LineManifest manifest = Manifest();
  manifest.systematic_uncertainties = {
      {.quantity = "power_input", .relative_fraction = 0.01},
      {.quantity = "total_capacity", .relative_fraction = 0.03},
      {.quantity = "entering_condenser_water_temp", .absolute_si = 0.2}};
  const Rated rated = Prepare(manifest, Points(random), OneLoad());
  const double value = rated.metric.Value(rated.source);
  const auto sure =
      FirstOrderUncertainty(rated.metric, rated.source, rated.variation, {});
  ASSERT_THAT(sure, testing::IsOk());
  const double q = rated.models[3].Evaluate("total_capacity", {{30.0}})->value_si;
  const double p = rated.models[3].Evaluate("power_input", {{30.0}})->value_si;
  const double above_q = rated.models[3].Evaluate("total_capacity", {{30.1}})->value_si;
  const double above_p = rated.models[3].Evaluate("power_input", {{30.1}})->value_si;
  const double slope_q = (above_q - q) / 0.1;
  const double slope_p = (above_p - p) / 0.1;
  const double of_water = (slope_q / q - slope_p / p) * value * 0.2;
  const double expected =
      value * 0.03 + value * 0.01 / (1 - 0.0001) + std::fabs(of_water);
  EXPECT_NEAR(sure->systematic, expected, 0.01 * std::fabs(of_water) + 1e-9);
  EXPECT_GT(std::fabs(of_water), 0.01);
  const double t = number::StudentTQuantile(0.975, sure->degrees_of_freedom);
  EXPECT_NEAR(sure->high - value, t * sure->standard_error + sure->systematic, 1e-12);
}

// An instrument that all stages share cancels out of a load, and so out of which stage
// runs; the efficiency is off by the gain all the same, and no more.
TEST(Uncertainty, OfAGainThatStagesShareIsThatOfTheMetric) {
  ratebound::testing::Random random("UNCERTAINTY_SHARED_GAIN");
  document::LineManifest manifest = Manifest();
  manifest.systematic_uncertainties = {
      {.quantity = "total_capacity", .relative_fraction = 0.02}};
  const Rated rated = Prepare(manifest, Points(random), FourPoints());
  const auto sure =
      FirstOrderUncertainty(rated.metric, rated.source, rated.variation, {});
  ASSERT_THAT(sure, testing::IsOk());
  const double value = rated.metric.Value(rated.source);
  EXPECT_NEAR(sure->systematic, 0.02 * value, 1e-9 * value);
}

TEST(Uncertainty, HoldsTheTruthAsOftenAsItSays) {
  constexpr int kCampaigns = 160;
  const document::Procedure procedure = OneLoad();
  const double truth = TrueCapacityW(3, 30) / TruePowerW(3, 30);
  int held = 0;
  ratebound::testing::Random random("UNCERTAINTY_COVERAGE");
  for (int campaign = 0; campaign < kCampaigns; ++campaign) {
    const Rated rated = Prepare(Manifest(), Points(random), procedure);
    const auto sure =
        FirstOrderUncertainty(rated.metric, rated.source, rated.variation, {});
    ASSERT_THAT(sure, testing::IsOk());
    held += sure->low <= truth && truth <= sure->high;
  }
  // Binomial: 95 % of 160 is 152, with a standard deviation of 2.8. The degree of the
  // surfaces is chosen by the same points, which costs a few percent.
  EXPECT_GE(held, 142);
}

TEST(Uncertainty, IsRefusedWhereTheDaysDoNotTellOfScatter) {
  ratebound::testing::Random random("UNCERTAINTY_FEW_DAYS");
  const Rated rated = Prepare(Manifest(), Points(random, 2), OneLoad());
  EXPECT_THAT(FirstOrderUncertainty(rated.metric, rated.source, rated.variation, {}),
              StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("scatter")));
}

TEST(Uncertainty, RefusesOptionsThatMeanNothing) {
  ratebound::testing::Random random("UNCERTAINTY_OPTIONS");
  const Rated rated = Prepare(Manifest(), Points(random), OneLoad());
  for (const UncertaintyOptions& options :
       {UncertaintyOptions{.confidence = 1}, UncertaintyOptions{.confidence = 0.5},
        UncertaintyOptions{.draws = 999}, UncertaintyOptions{.draws = kMostDraws + 1}}) {
    EXPECT_THAT(
        MonteCarloUncertainty(rated.metric, rated.source, rated.variation, options),
        StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("not")));
  }
}

TEST(Uncertainty, CanBeStopped) {
  ratebound::testing::Random random("UNCERTAINTY_STOPPED");
  const Rated rated = Prepare(Manifest(), Points(random), OneLoad());
  EXPECT_THAT(MonteCarloUncertainty(rated.metric, rated.source, rated.variation,
                                    {.draws = 100'000, .stop = [] { return true; }}),
              StatusIs(absl::StatusCode::kCancelled, HasSubstr("stopped")));
}

}  // namespace
}  // namespace ratebound::rating
