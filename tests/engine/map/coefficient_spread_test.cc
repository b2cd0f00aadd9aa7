// The error of a surface written as a sum over test days, against the covariance that the
// fit itself gives, and against fits without each day.
#include "engine/map/coefficient_spread.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/map/fit_line.h"
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
using ::testing::HasSubstr;
using testing::StatusIs;

std::vector<TestPoint> NoisyPoints(bool days, bool uncertain) {
  ratebound::testing::Random random("COEFFICIENT_SPREAD");
  std::vector<TestPoint> points = Grid("low");
  for (size_t i = 0; i < points.size(); ++i) {
    if (days) points[i].block = "day" + std::to_string(i % 9);
    for (document::SiValue& value : points[i].values) {
      if (value.quantity == "entering_air_wb") continue;
      if (value.quantity == "water_flow") continue;
      if (value.quantity == "entering_water_temp") continue;
      value.value_si *= 1 + 0.004 * random.Normal();
      if (uncertain) {
        value.uncertainty.emplace();
        value.uncertainty->random_standard_si =
            value.value_si * (0.002 + 0.003 * static_cast<double>(i % 3));
      }
    }
  }
  return points;
}

std::vector<StageMap> Fit(const std::vector<TestPoint>& points,
                          const document::LineManifest& manifest) {
  auto maps = FitLine(manifest, points);
  EXPECT_THAT(maps, testing::IsOk());
  return *std::move(maps);
}

// Sum over sources of deviation times deviation', lower triangle.
std::vector<double> SumOfSquares(const CoefficientSpread& spread) {
  const size_t terms = spread.deviations_si.size() / spread.sources.size();
  std::vector<double> triangle(terms * (terms + 1) / 2);
  for (size_t g = 0; g < spread.sources.size(); ++g) {
    const auto d = spread.Deviation(g);
    for (size_t i = 0, k = 0; i < terms; ++i) {
      for (size_t j = 0; j <= i; ++j) triangle[k++] += d[i] * d[j];
    }
  }
  return triangle;
}

double RelativeDifference(const std::vector<double>& a, const std::vector<double>& b,
                          size_t terms) {
  double worst = 0;
  const auto diagonal = [&](size_t i) { return b[i * (i + 1) / 2 + i]; };
  for (size_t i = 0, k = 0; i < terms; ++i) {
    for (size_t j = 0; j <= i; ++j, ++k) {
      const double scale = std::sqrt(diagonal(i) * diagonal(j));
      if (scale > 0) worst = std::max(worst, std::fabs(a[k] - b[k]) / scale);
    }
  }
  return worst;
}

TEST(CoefficientSpread, OfDaysAddsUpToTheCovarianceOfTheFit) {
  for (bool uncertain : {false, true}) {
    SCOPED_TRACE(uncertain ? "weighted" : "all alike");
    const std::vector<TestPoint> points = NoisyPoints(true, uncertain);
    const StageMap map = Fit(points, CoolingManifest())[0];
    ASSERT_FALSE(map.surfaces.empty());
    for (const Surface& surface : map.surfaces) {
      if (surface.covariance_si.empty()) continue;
      // Proofs take CR2 instead of the jackknife (proof_spread.h).
      if (surface.purpose == document::SurfacePurpose::kProof) continue;
      SCOPED_TRACE(surface.quantity);
      EXPECT_EQ(surface.weighted, uncertain);
      auto spread = SpreadOf(map, surface, points);
      ASSERT_THAT(spread, testing::IsOk());
      EXPECT_EQ(spread->sources.size(), 9u);
      EXPECT_EQ(spread->degrees_of_freedom, surface.degrees_of_freedom);
      EXPECT_FALSE(spread->apart);
      EXPECT_LT(RelativeDifference(SumOfSquares(*spread), surface.covariance_si,
                                   surface.coefficients_si.size()),
                1e-9);
    }
  }
}

// A day's deviation is what the coefficients change by when the day is left out.
TEST(CoefficientSpread, OfADayIsWhatLeavingItOutChanges) {
  const std::vector<TestPoint> points = NoisyPoints(true, false);
  const document::LineManifest manifest = CoolingManifest();
  const StageMap map = Fit(points, manifest)[0];
  const Surface& surface = *FindSurface(map, "total_capacity", SurfacePurpose::kTable);
  auto spread = SpreadOf(map, surface, points);
  ASSERT_THAT(spread, testing::IsOk());
  std::vector<TestPoint> rest;
  for (const TestPoint& point : points) {
    if (point.block != spread->sources[2]) rest.push_back(point);
  }
  StageMap without = map;
  without.point_ids.clear();
  for (const TestPoint& point : rest) without.point_ids.push_back(point.id);
  const WeightedQuantity alone[] = {{"total_capacity", 1}};
  auto refit =
      FitCombination(without, rest, alone, surface.degree, SurfacePurpose::kTable);
  ASSERT_THAT(refit, testing::IsOk());
  // Both as values at a point, since the scaling of conditions differs.
  const double point_z[] = {0.3, -0.6};
  const auto value = [](const Surface& s, std::span<const double> coefficients, double x0,
                        double x1) {
    double sum = 0;
    for (size_t t = 0; t < coefficients.size(); ++t) {
      double product = coefficients[t];
      const double z[] = {(x0 - s.centre_si[0]) / s.half_range_si[0],
                          (x1 - s.centre_si[1]) / s.half_range_si[1]};
      for (int j = 0; j < 2; ++j) {
        for (int p = s.exponents[2 * t + j]; p > 0; --p) product *= z[j];
      }
      sum += product;
    }
    return sum;
  };
  const double x0 = surface.centre_si[0] + point_z[0] * surface.half_range_si[0];
  const double x1 = surface.centre_si[1] + point_z[1] * surface.half_range_si[1];
  const double changed = value(*refit, refit->coefficients_si, x0, x1) -
                         value(surface, surface.coefficients_si, x0, x1);
  const double told = value(surface, spread->Deviation(2), x0, x1);
  const double count = 9;
  EXPECT_NEAR(-told / std::sqrt((count - 1) / count), changed, 1e-7 * std::fabs(changed));
}

TEST(CoefficientSpread, TakesEachPointForASourceWhereThereAreNoDays) {
  const std::vector<TestPoint> points = NoisyPoints(false, false);
  const StageMap map = Fit(points, CoolingManifest())[0];
  const Surface& surface = *FindSurface(map, "power_input", SurfacePurpose::kTable);
  auto spread = SpreadOf(map, surface, points);
  ASSERT_THAT(spread, testing::IsOk());
  EXPECT_EQ(spread->sources, map.point_ids);
  // Equal scatter is true of these points, so both estimates agree roughly.
  const double told = SumOfSquares(*spread)[0];
  EXPECT_GT(told, 0.3 * surface.covariance_si[0]);
  EXPECT_LT(told, 3 * surface.covariance_si[0]);
}

TEST(CoefficientSpread, NamesTheSurfaceThatHasNoUncertainty) {
  std::vector<TestPoint> points = NoisyPoints(true, false);
  for (size_t i = 0; i < points.size(); ++i) {
    points[i].block = "day" + std::to_string(i % 6);
  }
  const StageMap map = Fit(points, CoolingManifest())[0];
  // Six days do not carry the six terms of a quadratic over two conditions.
  const Surface* const surface =
      FindSurface(map, "total_capacity", SurfacePurpose::kTable);
  ASSERT_NE(surface, nullptr);
  ASSERT_GE(surface->coefficients_si.size(), 6u);
  EXPECT_THAT(
      SpreadOf(map, *surface, points),
      StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("total_capacity")));
}

TEST(CoefficientSpread, RefusesPointsThatAreMissing) {
  std::vector<TestPoint> points = NoisyPoints(true, false);
  const StageMap map = Fit(points, CoolingManifest())[0];
  points.pop_back();
  EXPECT_THAT(SpreadOf(map, map.surfaces[0], points),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("low34")));
}

}  // namespace
}  // namespace ratebound::map
