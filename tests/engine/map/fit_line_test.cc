#include "engine/map/fit_line.h"

#include <algorithm>
#include <atomic>
#include <string>
#include <vector>

#include "engine/points/ingest.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/map/map_fixture.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using document::StageMap;
using document::Surface;
using document::SurfacePurpose;
using document::TestPoint;
using ::testing::AllOf;
using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

// Every number of a map, so that equal means equal bits.
std::vector<double> Numbers(const std::vector<StageMap>& maps) {
  std::vector<double> numbers;
  const auto add = [&](const std::vector<double>& values) {
    numbers.insert(numbers.end(), values.begin(), values.end());
  };
  for (const StageMap& map : maps) {
    add(map.tested_low_si);
    add(map.tested_high_si);
    add(map.point_conditions_si);
    for (const Surface& s : map.surfaces) {
      add(s.coefficients_si);
      add(s.covariance_si);
      add(s.leverage_matrix);
      add({s.greatest_leverage, s.residual_sd_si, s.r_squared, s.leave_out_rms_si,
           s.mean_si, s.condition_number, double(s.degree),
           s.lack_of_fit_probability.value_or(-1)});
    }
  }
  return numbers;
}

std::vector<TestPoint> NoisyPoints() {
  ratebound::testing::Random random("FIT_LINE_NOISY_POINTS");
  std::vector<TestPoint> points = Grid("low");
  for (const TestPoint& point : Grid("high")) points.push_back(point);
  for (size_t i = 0; i < points.size(); ++i) {
    points[i].block = "day" + std::to_string(i % 7);
    for (auto& value : points[i].values) {
      if (value.quantity != "water_flow") value.value_si *= 1 + 0.002 * random.Normal();
    }
  }
  return points;
}

TEST(FitLineTest, FitsATableAndAProofSurfaceOfEveryResponse) {
  auto points = Grid("low");
  for (const TestPoint& point : Grid("high")) points.push_back(point);
  ASSERT_OK_AND_ASSIGN(const auto maps, FitLine(CoolingManifest(), points));
  ASSERT_EQ(maps.size(), 2u);
  const StageMap& map = maps[0];
  EXPECT_EQ(map.stage, "low");
  EXPECT_THAT(map.tested_low_si, ElementsAre(14, 20));
  EXPECT_THAT(map.tested_high_si, ElementsAre(23, 40));
  EXPECT_EQ(map.point_ids.size(), 20u);
  EXPECT_EQ(map.point_conditions_si.size(), 40u);
  EXPECT_THAT(map.held_values_si, ElementsAre(0.0005));
  EXPECT_THAT(map.refusals, IsEmpty());
  EXPECT_EQ(map.surfaces.size(), 6u);
  // The truth is quadratic in capacity and linear in power; a proof goes one above.
  EXPECT_EQ(FindSurface(map, "total_capacity", SurfacePurpose::kTable)->degree, 2);
  EXPECT_EQ(FindSurface(map, "total_capacity", SurfacePurpose::kProof)->degree, 3);
  EXPECT_EQ(FindSurface(map, "power_input", SurfacePurpose::kTable)->degree, 1);
  EXPECT_EQ(FindSurface(map, "power_input", SurfacePurpose::kProof)->degree, 2);
  EXPECT_EQ(FindSurface(map, "moisture_removal", SurfacePurpose::kTable), nullptr);
  const std::string both[] = {"total_capacity", "power_input"};
  EXPECT_EQ(ProofDegree(map, both), 3);
}

TEST(FitLineTest, TakesTheDeclaredProofDegree) {
  auto manifest = CoolingManifest();
  manifest.units[0].modes[0].declared_proof_degree = 1;
  ASSERT_OK_AND_ASSIGN(const auto maps, FitLine(manifest, Grid()));
  EXPECT_EQ(FindSurface(maps[0], "total_capacity", SurfacePurpose::kProof)->degree, 1);
}

TEST(FitLineTest, SaysWhatThePointsCannotCarry) {
  const auto manifest = CoolingManifest();
  auto points = Grid();
  points.resize(5);  // one wet bulb
  ASSERT_OK_AND_ASSIGN(auto maps, FitLine(manifest, points));
  EXPECT_THAT(maps[0].surfaces, IsEmpty());
  EXPECT_THAT(
      maps[0].refusals,
      Contains("no surface of total_capacity for tables: entering_air_wb has 1 level; a "
               "surface over it needs at least 2"));

  points = Grid();
  points[3].values.erase(points[3].values.begin() + 3);  // sensible capacity
  ASSERT_OK_AND_ASSIGN(maps, FitLine(manifest, points));
  EXPECT_THAT(maps[0].refusals,
              ElementsAre("no surface of sensible_capacity: not measured at 1 "
                          "of 20 points (low03)"));
  EXPECT_EQ(maps[0].surfaces.size(), 4u);

  points = Grid();
  points[3].values.erase(points[3].values.begin() + 4);  // total capacity
  ASSERT_OK_AND_ASSIGN(maps, FitLine(manifest, points));
  EXPECT_THAT(maps[0].refusals,
              ElementsAre(HasSubstr("left out, without total_capacity or "
                                    "power_input: low03")));
  EXPECT_EQ(maps[0].point_ids.size(), 19u);
  EXPECT_EQ(maps[0].surfaces.size(), 6u);

  points = Grid();
  for (size_t i = 0; i < points.size(); ++i) points[i].block = i % 2 ? "a" : "b";
  ASSERT_OK_AND_ASSIGN(maps, FitLine(manifest, points));
  EXPECT_THAT(
      maps[0].refusals,
      Contains(HasSubstr("no uncertainty of the surface of power_input for proofs: ")));

  points = Grid();
  std::erase_if(points,
                [](const TestPoint& p) { return *p.Find("entering_air_wb") == 20; });
  std::erase_if(points,
                [](const TestPoint& p) { return *p.Find("entering_air_wb") == 17; });
  ASSERT_OK_AND_ASSIGN(maps, FitLine(manifest, points));
  EXPECT_THAT(
      maps[0].refusals,
      Contains("no surface of power_input for proofs: entering_air_wb has 2 levels; a "
               "surface of degree 2 over it needs at least 3"));
}

TEST(FitLineTest, LeavesDroppedPointsOut) {
  auto points = Grid();
  Set(points[0], "total_capacity", 1);
  points[0].dropped_reason = "spoilt";
  ASSERT_OK_AND_ASSIGN(const auto maps, FitLine(CoolingManifest(), points));
  EXPECT_EQ(maps[0].point_ids.size(), 19u);
  EXPECT_LT(
      FindSurface(maps[0], "total_capacity", SurfacePurpose::kTable)->residual_sd_si,
      1e-6);
}

TEST(FitLineTest, NeverSpansRegimesOrUnlikeSpecimens) {
  auto points = Grid();
  for (size_t i = 0; i < points.size(); ++i) points[i].regime = i < 8 ? "dry" : "wet";
  ASSERT_OK_AND_ASSIGN(auto maps, FitLine(CoolingManifest(), points));
  ASSERT_EQ(maps.size(), 2u);
  EXPECT_EQ(maps[0].regime, "dry");
  EXPECT_EQ(maps[0].point_ids.size(), 8u);

  points = Grid();
  for (size_t i = 0; i < points.size(); ++i) points[i].specimen = i < 8 ? "one" : "two";
  EXPECT_THAT(
      FitLine(CoolingManifest(), points),
      ratebound::testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                   AllOf(HasSubstr("'one'"), HasSubstr("'two'"))));
  auto manifest = CoolingManifest();
  manifest.units[0].pool_specimens = true;
  EXPECT_THAT(FitLine(manifest, points), ratebound::testing::IsOk());
}

TEST(FitLineTest, HasTheSameBitsForAnyOrderAndAnyNumberOfThreads) {
  ratebound::testing::Random random("SAME_BITS_FOR_ANY_ORDER");
  const auto manifest = CoolingManifest();
  auto points = NoisyPoints();
  points::SortPoints(manifest, points);
  ASSERT_OK_AND_ASSIGN(const auto maps, FitLine(manifest, points));
  const std::vector<double> expected = Numbers(maps);
  for (int trial = 0; trial < 5; ++trial) {
    for (size_t i = points.size(); i > 1; --i) {
      std::swap(points[i - 1], points[random.Integer(0, static_cast<int>(i) - 1)]);
    }
    points::SortPoints(manifest, points);
    ASSERT_OK_AND_ASSIGN(const auto again,
                         FitLine(manifest, points, {.thread_count = 1 + trial}));
    EXPECT_EQ(Numbers(again), expected);
  }
}

TEST(FitLineTest, StopsWhenToldAndTakesOneUnit) {
  std::atomic<int> asked{0};
  const auto stop = [&] { return ++asked > 2; };
  EXPECT_THAT(
      FitLine(CoolingManifest(), NoisyPoints(), {.thread_count = 2, .stop = stop}),
      ratebound::testing::StatusIs(absl::StatusCode::kCancelled, HasSubstr("stopped")));
  auto manifest = CoolingManifest();
  manifest.units.push_back(manifest.units[0]);
  manifest.units[1].id = "v";
  ASSERT_OK_AND_ASSIGN(const auto maps,
                       FitLine(manifest, NoisyPoints(), {.only_unit = "v"}));
  EXPECT_THAT(maps, IsEmpty());
  EXPECT_FALSE(FitLine(manifest, NoisyPoints(), {.only_unit = "w"}).ok());
}

// Least squares is linear in the response.
TEST(FitCombinationTest, IsTheCombinationOfTheFits) {
  const auto points = NoisyPoints();
  auto manifest = CoolingManifest();
  manifest.units[0].modes[0].declared_proof_degree = 2;
  ASSERT_OK_AND_ASSIGN(const auto maps, FitLine(manifest, points));
  const WeightedQuantity combination[] = {{"total_capacity", 1}, {"power_input", -3.25}};
  ASSERT_OK_AND_ASSIGN(const Surface surface,
                       FitCombination(maps[0], points, combination, 2));
  EXPECT_EQ(surface.quantity, "total_capacity -3.25 power_input");
  const Surface& capacity =
      *FindSurface(maps[0], "total_capacity", SurfacePurpose::kProof);
  const Surface& power = *FindSurface(maps[0], "power_input", SurfacePurpose::kProof);
  for (size_t t = 0; t < surface.coefficients_si.size(); ++t) {
    EXPECT_NEAR(surface.coefficients_si[t],
                capacity.coefficients_si[t] - 3.25 * power.coefficients_si[t], 1e-8);
  }
  EXPECT_EQ(surface.leverage_matrix, capacity.leverage_matrix);
  EXPECT_EQ(surface.degrees_of_freedom, capacity.degrees_of_freedom);
  EXPECT_FALSE(surface.covariance_si.empty());
}

TEST(FitCombinationTest, RefusesPointsThatAreNotThere) {
  auto points = NoisyPoints();
  ASSERT_OK_AND_ASSIGN(const auto maps, FitLine(CoolingManifest(), points));
  const WeightedQuantity unknown[] = {{"moisture_removal", 1}};
  EXPECT_THAT(FitCombination(maps[0], points, unknown, 1),
              ratebound::testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                           HasSubstr("has no moisture_removal")));
  const WeightedQuantity power[] = {{"power_input", 1}};
  points.erase(points.begin());
  EXPECT_THAT(FitCombination(maps[0], points, power, 1),
              ratebound::testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                           HasSubstr("is not among the points")));
}

}  // namespace
}  // namespace ratebound::map
