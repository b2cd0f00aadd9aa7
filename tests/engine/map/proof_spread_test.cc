#include "engine/map/proof_spread.h"

#include <cmath>
#include <numeric>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/map/fit_response.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using document::SurfacePurpose;

struct Data {
  std::vector<std::string> conditions;
  std::vector<std::vector<double>> columns;
  std::vector<double> values;
  std::vector<std::string> ids;
  std::vector<int> blocks;

  ResponseProblem Problem() const {
    return {.quantity = "power_input",
            .values = values,
            .conditions = conditions,
            .columns = columns,
            .point_ids = ids,
            .blocks = blocks};
  }
};

Data AnyPoints(int conditions, int days, int per_day, testing::Random& random) {
  Data data{.columns = std::vector<std::vector<double>>(conditions)};
  for (int v = 0; v < conditions; ++v) data.conditions.push_back(absl::StrCat("x", v));
  for (int day = 0; day < days; ++day) {
    const double of_day = random.Normal();
    for (int k = 0; k < per_day; ++k) {
      for (auto& column : data.columns) column.push_back(random.Uniform(10, 40));
      data.values.push_back(100 + of_day + random.Normal());
      data.ids.push_back(absl::StrCat("p", data.ids.size()));
      if (per_day > 1) data.blocks.push_back(day);
    }
  }
  return data;
}

double DegreesAt(const fit::BlockIntervals& intervals, const fit::CandidateBasis& basis,
                 const std::vector<double>& place) {
  std::vector<double> row(basis.terms());
  basis.full().Row(place, row);
  return intervals.DegreesOfFreedomAt(row);
}

// Whatever is asked inside the tested region has as many degrees of freedom as the
// surface says, or more.
TEST(ProofSpread, NoTestedPlaceHasFewerDegreesThanTheSurface) {
  testing::Random random("LEAST_DEGREES");
  for (const int per_day : {1, 4}) {
    for (int trial = 0; trial < 6; ++trial) {
      const int conditions = 1 + trial % 3;
      const Data data = AnyPoints(conditions, per_day == 1 ? 40 : 20, per_day, random);
      ASSERT_OK_AND_ASSIGN(const ModelFit fitted, FitModel(data.Problem(), {.degree = 2},
                                                           SurfacePurpose::kProof));
      ASSERT_TRUE(fitted.of_proof.has_value());
      ASSERT_OK_AND_ASSIGN(const fit::BlockIntervals intervals,
                           fit::BlockIntervals::Create(fitted.Problem(), {}));
      double greatest = 0;
      for (const double h : fitted.fit.leverages) greatest = std::max(greatest, h);
      double least = 1e9;
      std::vector<double> row(fitted.basis.terms()), place(conditions);
      for (int k = 0; k < 3000; ++k) {
        for (int v = 0; v < conditions; ++v) {
          const auto& range = fitted.basis.full().ranges()[v];
          place[v] = range.centre + range.half_range * random.Uniform(-1, 1);
        }
        fitted.basis.full().Row(place, row);
        const double se = fitted.fit.StandardError(row) / fitted.fit.residual_sd;
        if (se * se > greatest) continue;
        least = std::min(least, DegreesAt(intervals, fitted.basis, place));
      }
      // What the search may leave is far below what a tenth of a degree means for t.
      EXPECT_LE(fitted.of_proof->degrees_of_freedom, 1.01 * least)
          << conditions << " conditions, " << per_day << " points a day";
      EXPECT_GE(fitted.of_proof->degrees_of_freedom, 1);
    }
  }
}

// A straight line through equally many points at two levels is two means: the variance
// of one at its level has its points less one, known without any formula of CR2.
TEST(ProofSpread, TwoMeansHaveTheirPointsLessOne) {
  testing::Random random("TWO_MEANS");
  Data data{.conditions = {"x"}, .columns = {{}}};
  for (int i = 0; i < 12; ++i) {
    data.columns[0].push_back(i % 2);
    data.values.push_back(random.Normal());
    data.ids.push_back(absl::StrCat("p", i));
  }
  ASSERT_OK_AND_ASSIGN(const ModelFit fitted,
                       FitModel(data.Problem(), {.degree = 1}, SurfacePurpose::kProof));
  ASSERT_OK_AND_ASSIGN(const fit::BlockIntervals intervals,
                       fit::BlockIntervals::Create(fitted.Problem(), {}));
  EXPECT_NEAR(DegreesAt(intervals, fitted.basis, {0}), 5, 1e-9);
  EXPECT_NEAR(DegreesAt(intervals, fitted.basis, {1}), 5, 1e-9);
  EXPECT_NEAR(fitted.of_proof->degrees_of_freedom, 5, 1e-9);
}

TEST(ProofSpread, TablesKeepTheirOwn) {
  testing::Random random("TABLES");
  const Data data = AnyPoints(2, 20, 4, random);
  ASSERT_OK_AND_ASSIGN(const FittedSurface table,
                       FitResponse(data.Problem(), 1, SurfacePurpose::kTable));
  ASSERT_OK_AND_ASSIGN(const FittedSurface proof,
                       FitResponse(data.Problem(), 1, SurfacePurpose::kProof));
  EXPECT_EQ(table.surface.degrees_of_freedom, 19);
  EXPECT_LT(proof.surface.degrees_of_freedom, 19);
  EXPECT_NE(table.surface.covariance_si, proof.surface.covariance_si);
  EXPECT_EQ(table.surface.coefficients_si, proof.surface.coefficients_si);
}

TEST(ProofSpread, LooksAtVerticesAndAtThePointsInside) {
  const std::vector<double> low = {0, 0}, high = {1, 2};
  const std::vector<double> points = {0.5, 0.25, 7, 7};
  const auto places = PlacesToLookAt(low, high, points);
  EXPECT_EQ(places.size(), 9u + 1);
  EXPECT_THAT(places, ::testing::Contains(std::vector<double>{1, 2}));
  EXPECT_THAT(places, ::testing::Contains(std::vector<double>{0.5, 0.25}));
  const std::vector<double> zeros(8), ones(8, 1);
  EXPECT_EQ(PlacesToLookAt(zeros, ones, {}).size(), 1u);
  EXPECT_EQ(
      PlacesToLookAt(std::span(zeros).first(6), std::span(ones).first(6), {}).size(),
      65u);
}

}  // namespace
}  // namespace ratebound::map
