// A unit rated from its performance maps.
#include "engine/rating/map_rated_unit.h"

#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/map/fit_line.h"
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
  const absl::StatusOr<RatedUnit> unit =
      MapRatedUnit(manifest.units[0], models, procedure.mode_kind);
  EXPECT_TRUE(unit.ok()) << unit.status();
  return RateUnit(procedure, *unit).value();
}

TEST(MapRatedUnit, IsRatedAsTheTruthThatItsPointsWereTakenFrom) {
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

TEST(MapRatedUnit, SaysWhereItExtrapolates) {
  // Full load is at 30 degC, tested up to 26.
  const Rating rating = RateFromMaps(Manifest(), Points(26));
  EXPECT_EQ(rating.footing, Footing::kExtrapolated);
  EXPECT_THAT(rating.notes,
              Contains(HasSubstr("point A is extrapolated: entering_condenser")));
}

TEST(MapRatedUnit, TheRegimeWithTheBetterFootingAnswers) {
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

TEST(MapRatedUnit, RegimesOfEqualFootingAreRefused) {
  std::vector<document::TestPoint> points = Points(34, "wet");
  for (const document::TestPoint& point : Points(34, "dry")) points.push_back(point);
  EXPECT_THAT(RateFromMaps(Manifest(), points).refusal,
              HasSubstr("regimes dry and wet are equally well founded there"));
}

TEST(MapRatedUnit, WithoutAMapOrAModeOfTheKindIsRefused) {
  std::vector<document::TestPoint> points = Points(34);
  std::erase_if(points, [](const document::TestPoint& p) { return p.stage == "s2"; });
  EXPECT_THAT(RateFromMaps(Manifest(), points).refusal,
              HasSubstr("no figures of stage s2"));

  document::LineManifest heating = Manifest();
  heating.units[0].modes[0].kind = document::ModeKind::kHeating;
  EXPECT_THAT(RateFromMaps(heating, Points(34)).refusal,
              HasSubstr("in its heating mode"));
}

}  // namespace
}  // namespace ratebound::rating
