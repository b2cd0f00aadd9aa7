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

// Whatever the model and however many points a day has: fewer degrees than days.
TEST(ProofSpread, EveryModelCountsDaysAndNotPoints) {
  testing::Random random("EVERY_MODEL");
  const Data data = AnyPoints(2, 24, 4, random);
  for (int degree = 1; degree <= kGreatestDegree; ++degree) {
    ASSERT_OK_AND_ASSIGN(const FittedSurface proof,
                         FitResponse(data.Problem(), degree, SurfacePurpose::kProof));
    ASSERT_FALSE(proof.surface.covariance_si.empty()) << degree;
    EXPECT_TRUE(proof.surface.cluster_robust);
    EXPECT_EQ(proof.surface.block_count, 24);
    EXPECT_GE(proof.surface.degrees_of_freedom, 1);
    EXPECT_LE(proof.surface.degrees_of_freedom, 23);
  }
}

// Only what points count by against each other matters, and which of them share a day:
// not the unit of their uncertainty, the names of the days or their order.
TEST(ProofSpread, NeitherUnitsOfWeightsNorNamesOfDaysMatter) {
  testing::Random random("WEIGHTS_AND_NAMES");
  Data data = AnyPoints(2, 16, 3, random);
  std::vector<double> standard;
  for (size_t i = 0; i < data.values.size(); ++i) {
    standard.push_back(random.Uniform(1, 2));
  }
  const auto proof = [&](const Data& from, double unit) {
    std::vector<double> in_unit;
    for (const double u : standard) in_unit.push_back(unit * u);
    ResponseProblem problem = from.Problem();
    problem.standard_si = in_unit;
    return FitResponse(problem, 2, SurfacePurpose::kProof)->surface;
  };
  const document::Surface first = proof(data, 1), scaled = proof(data, 1e3);
  Data renamed = data;
  for (int& block : renamed.blocks) block = 100 - block;
  const document::Surface other = proof(renamed, 1);
  for (const document::Surface* surface : {&scaled, &other}) {
    EXPECT_NEAR(surface->degrees_of_freedom, first.degrees_of_freedom,
                1e-6 * first.degrees_of_freedom);
    for (size_t k = 0; k < first.covariance_si.size(); ++k) {
      EXPECT_NEAR(surface->covariance_si[k], first.covariance_si[k],
                  1e-9 * std::fabs(first.covariance_si[0]));
    }
  }
}

TEST(ProofSpread, DaysOfOnePointAreIndependentPoints) {
  testing::Random random("DAYS_OF_ONE");
  const Data points = AnyPoints(2, 30, 1, random);
  Data days = points;
  for (size_t i = 0; i < days.values.size(); ++i) {
    days.blocks.push_back(static_cast<int>(i));
  }
  ASSERT_OK_AND_ASSIGN(const FittedSurface alone,
                       FitResponse(points.Problem(), 2, SurfacePurpose::kProof));
  ASSERT_OK_AND_ASSIGN(const FittedSurface named,
                       FitResponse(days.Problem(), 2, SurfacePurpose::kProof));
  EXPECT_EQ(alone.surface.covariance_si, named.surface.covariance_si);
  EXPECT_EQ(alone.surface.degrees_of_freedom, named.surface.degrees_of_freedom);
  EXPECT_EQ(alone.surface.block_count, 0);
}

// Fieller's combination q - L p has the variance V(q) - 2 L C + L^2 V(p) everywhere: with
// C from one L that of any other follows. Independent bands would have no C.
TEST(ProofSpread, OfACombinationIsQuadraticInTheLimit) {
  testing::Random random("QUADRATIC_IN_LIMIT");
  Data capacity = AnyPoints(2, 20, 3, random), power = capacity;
  for (size_t i = 0; i < power.values.size(); ++i) {
    power.values[i] = 0.5 * capacity.values[i] + random.Normal();
  }
  const auto spread = [&](double of_capacity, double of_power) {
    Data combined = capacity;
    for (size_t i = 0; i < combined.values.size(); ++i) {
      combined.values[i] = of_capacity * capacity.values[i] + of_power * power.values[i];
    }
    return FitResponse(combined.Problem(), 2, SurfacePurpose::kProof)->surface;
  };
  const document::Surface q = spread(1, 0), p = spread(0, 1), one = spread(1, -1);
  for (const double limit : {-2.0, 0.5, 3.0}) {
    const document::Surface at = spread(1, -limit);
    EXPECT_NEAR(at.degrees_of_freedom, q.degrees_of_freedom, 1e-9);
    bool apart = false;
    for (size_t k = 0; k < at.covariance_si.size(); ++k) {
      const double vq = q.covariance_si[k], vp = p.covariance_si[k];
      const double twice_c = vq + vp - one.covariance_si[k];
      const double expected = vq - limit * twice_c + limit * limit * vp;
      EXPECT_NEAR(at.covariance_si[k], expected, 1e-8 * (1 + std::fabs(expected)));
      apart = apart || std::fabs(twice_c) > 1e-3 * std::fabs(vq);
    }
    EXPECT_TRUE(apart);
  }
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
