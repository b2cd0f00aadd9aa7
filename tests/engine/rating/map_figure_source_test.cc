// A unit rated from its performance maps.
#include "engine/rating/map_figure_source.h"

#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/map/fit_line.h"
#include "engine/rating/metric.h"
#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::Footing;
using document::Rating;
using ::testing::Contains;
using ::testing::HasSubstr;

// Linear in the condenser's water, so that a fit has it exactly.
double CapacityW(int stage, double water_c) {
  return (stage + 1) * (30e3 - 200 * water_c);
}
double PowerW(int stage, double water_c) { return (stage + 1) * (2e3 + 100 * water_c); }

StageFigures Truth(int stage, double water_c) {
  return Figures(CapacityW(stage, water_c), PowerW(stage, water_c));
}

document::LineManifest Manifest() {
  document::Unit unit = Chiller({[](double water_c) { return Truth(0, water_c); }}).unit;
  document::Mode mode{.id = "cooling",
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {"entering_condenser_water_temp"}};
  for (int stage = 0; stage < 4; ++stage) {
    mode.stages.push_back({.id = absl::StrCat("s", stage + 1)});
  }
  unit.modes = {mode};
  return {.id = "line", .units = {unit}};
}

// Water from 16 to `warmest_c` in steps of 2 K.
std::vector<document::TestPoint> Points(double warmest_c, std::string regime = "") {
  std::vector<document::TestPoint> points;
  for (int stage = 0; stage < 4; ++stage) {
    for (double water_c = 16; water_c <= warmest_c; water_c += 2) {
      document::TestPoint point{.id = absl::StrCat("p", points.size(), regime),
                                .unit = "c1",
                                .mode = "cooling",
                                .stage = absl::StrCat("s", stage + 1),
                                .regime = regime};
      point.values = {{"entering_condenser_water_temp", water_c},
                      {"power_input", PowerW(stage, water_c)},
                      {"total_capacity", CapacityW(stage, water_c)}};
      points.push_back(point);
    }
  }
  return points;
}

std::vector<map::StageModel> ModelsOf(const document::LineManifest& manifest,
                                      const std::vector<document::TestPoint>& points) {
  std::vector<map::StageModel> models;
  const absl::StatusOr<std::vector<document::StageMap>> maps =
      map::FitLine(manifest, points);
  EXPECT_TRUE(maps.ok()) << maps.status();
  for (const document::StageMap& stage_map : maps.value()) {
    models.push_back(map::StageModel::Create(stage_map).value());
  }
  return models;
}

Rating RateFromMaps(const document::LineManifest& manifest,
                    const std::vector<document::TestPoint>& points) {
  const std::vector<map::StageModel> models = ModelsOf(manifest, points);
  const document::Procedure procedure = FourPoints();
  const absl::StatusOr<MapFigureSource> source = MapFigureSource::Create(
      manifest.units[0], models, procedure.mode_kind, QuantitiesOf(procedure));
  EXPECT_TRUE(source.ok()) << source.status();
  return RateSource(procedure, *source).value();
}

TEST(MapFigureSource, IsRatedAsTheTruthThatItsPointsWereTakenFrom) {
  const Rating from_maps = RateFromMaps(Manifest(), Points(34));
  std::vector<ChillerStage> stages;
  for (int stage = 0; stage < 4; ++stage) {
    stages.push_back([stage](double water_c) { return Truth(stage, water_c); });
  }
  const Rating from_truth = RateUnit(FourPoints(), Chiller(stages)).value();
  ASSERT_TRUE(from_maps.value.has_value()) << from_maps.refusal;
  EXPECT_NEAR(*from_maps.value, *from_truth.value, 1e-9);
  EXPECT_EQ(from_maps.footing, Footing::kInterpolated);
}

TEST(MapFigureSource, SaysWhereItExtrapolates) {
  // Full load is at 30 degC, tested up to 26.
  const Rating rating = RateFromMaps(Manifest(), Points(26));
  EXPECT_EQ(rating.footing, Footing::kExtrapolated);
  EXPECT_THAT(rating.notes,
              Contains(HasSubstr("point A is extrapolated: entering_condenser")));
}

TEST(MapFigureSource, TheRegimeWithTheBetterFootingAnswers) {
  // Dry below 23 degC at half the power, wet above.
  std::vector<document::TestPoint> points = Points(34, "wet");
  std::erase_if(points, [](const document::TestPoint& point) {
    return *point.Find("entering_condenser_water_temp") < 23;
  });
  for (document::TestPoint point : Points(22, "dry")) {
    for (document::SiValue& value : point.values) {
      if (value.quantity == "power_input") value.value_si /= 2;
    }
    points.push_back(point);
  }
  const Rating rating = RateFromMaps(Manifest(), points);
  ASSERT_TRUE(rating.value.has_value()) << rating.refusal;
  for (const document::TraceStep& step : rating.trace) {
    if (step.label == "point A, 100 % load") {
      EXPECT_NEAR(step.value, CapacityW(3, 30) / PowerW(3, 30), 1e-9);
    }
    if (step.label == "point D, 25 % load") {
      const double load_factor = CapacityW(3, 30) / 4 / CapacityW(0, 20);
      EXPECT_NEAR(step.value,
                  2 * CapacityW(0, 20) / PowerW(0, 20) / (1.13 - 0.13 * load_factor),
                  1e-9);
    }
  }
}

TEST(MapFigureSource, RegimesOfEqualFootingAreRefused) {
  std::vector<document::TestPoint> points = Points(34, "wet");
  for (const document::TestPoint& point : Points(34, "dry")) points.push_back(point);
  EXPECT_THAT(RateFromMaps(Manifest(), points).refusal,
              HasSubstr("regimes dry and wet are equally well founded there"));
}

TEST(MapFigureSource, WithoutAMapOrAModeOfTheKindIsRefused) {
  std::vector<document::TestPoint> points = Points(34);
  std::erase_if(points, [](const document::TestPoint& p) { return p.stage == "s2"; });
  EXPECT_THAT(RateFromMaps(Manifest(), points).refusal,
              HasSubstr("no figures of stage s2"));

  document::LineManifest heating = Manifest();
  heating.units[0].modes[0].kind = document::ModeKind::kHeating;
  EXPECT_THAT(RateFromMaps(heating, Points(34)).refusal,
              HasSubstr("in its heating mode"));
}

TEST(MapFigureSource, GivesTheBitsOfTheMapAndTakesOtherCoefficients) {
  const document::LineManifest manifest = Manifest();
  const std::vector<map::StageModel> models = ModelsOf(manifest, Points(34));
  const std::vector<std::string> wanted = {"total_capacity", "heating_capacity",
                                           "power_input"};
  ASSERT_OK_AND_ASSIGN(const MapFigureSource source,
                       MapFigureSource::Create(manifest.units[0], models,
                                               document::ModeKind::kCooling, wanted));
  EXPECT_THAT(source.description().quantities,
              ::testing::ElementsAre("total_capacity", "power_input"));
  ASSERT_EQ(source.surfaces().size(), 8);
  for (double water_c : {16.0, 23.7, 31.0}) {
    for (int stage = 0; stage < 4; ++stage) {
      double figures[2];
      const double conditions[] = {water_c};
      ASSERT_TRUE(source.Figures(stage, conditions, figures));
      EXPECT_EQ(figures[0],
                models[stage].Evaluate("total_capacity", conditions)->value_si);
      EXPECT_EQ(figures[1], models[stage].Evaluate("power_input", conditions)->value_si);
    }
  }

  MapFigureSource moved = source;
  const int surface = source.SurfaceAt(2, 1, std::vector<double>{20.0});
  EXPECT_EQ(source.surfaces()[surface].fitted->quantity, "power_input");
  std::vector<double> coefficients = source.Coefficients(surface);
  EXPECT_EQ(coefficients, source.surfaces()[surface].fitted->coefficients_si);
  std::vector<double> slopes(coefficients.size());
  const double conditions[] = {20};
  source.SlopesAt(surface, conditions, slopes);
  double figures[2];
  double moved_figures[2];
  ASSERT_TRUE(source.Figures(2, conditions, figures));
  for (size_t i = 0; i < coefficients.size(); ++i) {
    std::vector<double> more = coefficients;
    more[i] += 50;
    moved.SetCoefficients(surface, more);
    ASSERT_TRUE(moved.Figures(2, conditions, moved_figures));
    EXPECT_EQ(moved_figures[0], figures[0]);
    EXPECT_NEAR(moved_figures[1] - figures[1], 50 * slopes[i], 1e-9);
  }
  // The copy alone has moved.
  ASSERT_TRUE(source.Figures(2, conditions, moved_figures));
  EXPECT_EQ(moved_figures[1], figures[1]);
}

TEST(MapFigureSource, NamesTheTestPointThatARunRestsOn) {
  const Rating rating = RateFromMaps(Manifest(), Points(34));
  int runs = 0;
  for (const document::TraceStep& step : rating.trace) {
    if (!step.label.starts_with("stage ")) continue;
    ++runs;
    ASSERT_EQ(step.test_points.size(), 1) << step.label;
    if (step.footing != Footing::kTested) continue;
    // Stage s4 at 30 degC is the eighth point of its ten.
    if (step.label == "stage s4") {
      EXPECT_EQ(step.test_points[0], "p37");
    }
  }
  EXPECT_GE(runs, 4);
}

}  // namespace
}  // namespace ratebound::rating
