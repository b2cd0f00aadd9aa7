#include "engine/claim/regional_constant.h"

#include <cmath>
#include <numbers>
#include <optional>
#include <vector>

#include "engine/claim/level.h"
#include "engine/fit/band_ratios.h"
#include "engine/fit/intervals_by_block.h"
#include "engine/number/distribution.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::claim {
namespace {

using fit::DesignMatrix;
using ::testing::HasSubstr;
using testing::OutsideCheck;

constexpr int kDraws = 4000;

// Unit vectors of two terms, over an arc from 0.
DesignMatrix Arc(double angle, int places) {
  DesignMatrix rows(places, 2);
  for (int i = 0; i < places; ++i) {
    const double at = places == 1 ? 0 : angle * i / (places - 1);
    rows.at(i, 0) = std::cos(at);
    rows.at(i, 1) = std::sin(at);
  }
  return rows;
}

TEST(RegionalConstant, OfOnePlaceIsStudentsQuantile) {
  for (const int terms : {2, 6, 15}) {
    DesignMatrix one(1, terms);
    for (int k = 0; k < terms; ++k) one.at(0, k) = 1 + k;
    const std::vector<double> ratios = fit::RatiosOfDirections(one, kDraws);
    for (const double df : {6.0, 30.0}) {
      const double t = ProvingFactor(0.05, df);
      const ExceedanceEstimate at = ExceedanceOf(ratios, terms, df, t);
      EXPECT_NEAR(at.probability, 0.05, 4 * at.standard_error) << terms << " " << df;
      const double factor = RegionalFactor(ratios, terms, df, 0.05);
      EXPECT_GT(factor, 0.995 * t);
      EXPECT_LT(factor, 1.08 * t);
    }
  }
}

// Over all directions the greatest ratio is 1 in every draw: Scheffé's band, exactly.
TEST(RegionalConstant, OfAllConditionsIsScheffesBand) {
  const std::vector<double> ratios =
      fit::RatiosOfDirections(Arc(2 * std::numbers::pi, 2001), 200);
  for (const double df : {6.0, 30.0}) {
    const double scheffe = *RefutingFactor(0.05, 2, df, false);
    EXPECT_NEAR(RegionalFactor(ratios, 2, df, 0.05), scheffe, 1e-3 * scheffe);
  }
  const std::vector<double> ones(200, 1.0);
  EXPECT_NEAR(RegionalFactor(ones, 6, 20, 0.05), *RefutingFactor(0.05, 6, 20, false),
              2e-4 * 4);
}

// A straight line over an interval: places are an arc of some angle, and the one-sided
// constant k has the closed form
//   (angle / 2 pi) (1 + k^2 / df)^(-df / 2) + P(t > k).
TEST(RegionalConstant, OfAStraightLineIsTheClosedForm) {
  OutsideCheck check(
      {.name = "claim.regional_constant_of_a_line",
       .source = "one-sided band of a straight line over an interval: after Wynn and "
                 "Bloomfield, J. Royal Stat. Soc. B 33 (1971) 202, Uusipaikka, J. Am. "
                 "Stat. Assoc. 78 (1983) 638 and Naiman, Annals of Statistics 14 (1986) "
                 "896; formula from memory",
       .kind = "regression",
       .tolerance = 0.004});
  for (const double angle : {0.2, 1.0, 2.5}) {
    const std::vector<double> ratios = fit::RatiosOfDirections(Arc(angle, 301), kDraws);
    for (const double df : {8.0, 40.0}) {
      for (const double k : {1.8, 2.3, 3.0}) {
        const double exact =
            angle / (2 * std::numbers::pi) * std::pow(1 + k * k / df, -df / 2) +
            number::StudentTCdf(-k, df);
        const ExceedanceEstimate at = ExceedanceOf(ratios, 2, df, k);
        EXPECT_NEAR(at.probability, exact, 4 * at.standard_error + 1e-5)
            << angle << " " << df << " " << k;
        check.Absolute("angle, df, k", at.probability, exact);
      }
    }
  }
}

TEST(RegionalConstant, AGreaterRegionTakesNoLess) {
  const std::vector<double> small = fit::RatiosOfDirections(Arc(1, 101), 500);
  const std::vector<double> large = fit::RatiosOfDirections(Arc(2, 201), 500);
  for (size_t i = 0; i < small.size(); ++i) EXPECT_GE(large[i], small[i] - 1e-12);
  EXPECT_GT(RegionalFactor(large, 2, 20, 0.05), RegionalFactor(small, 2, 20, 0.05));
  EXPECT_GT(RegionalFactor(small, 2, 20, 0.01), RegionalFactor(small, 2, 20, 0.05));
  EXPECT_LT(RegionalFactor(large, 2, 20, 0.05), *RefutingFactor(0.05, 2, 20, false));
}

struct Problem {
  DesignMatrix design;
  std::vector<double> response;
  std::vector<int> blocks;
  fit::LeastSquaresProblem Get() const {
    return {.design = design, .response = response, .blocks = blocks};
  }
};

// A line through two levels: at a level the estimate is a mean of its own points, and
// the variance of blocks of one point is that of these, so Student's t has one degree of
// freedom less than the level has points.
TEST(RegionalConstant, OfTwoMeansFollowsTheirOwnPoints) {
  Problem problem{.design = DesignMatrix(14, 2)};
  for (int i = 0; i < 14; ++i) {
    problem.design.at(i, 0) = 1;
    problem.design.at(i, 1) = i < 6 ? 0 : 1;
    problem.response.push_back(0);
    problem.blocks.push_back(i);
  }
  for (const int level : {0, 1}) {
    DesignMatrix place(1, 2);
    place.at(0, 0) = 1;
    place.at(0, 1) = level;
    ASSERT_OK_AND_ASSIGN(const std::vector<double> ratios,
                         fit::RatiosOverBlocks(problem.Get(), place, kDraws));
    const double df = level == 0 ? 5 : 7;
    const ExceedanceEstimate at =
        ExceedanceOf(ratios, 2, kDrawnError, ProvingFactor(0.05, df));
    EXPECT_NEAR(at.probability, 0.05, 4 * at.standard_error) << level;
    EXPECT_LT(at.standard_error, 0.003);
  }
}

TEST(RegionalConstant, TheLesserBandRefutes) {
  const std::vector<double> ratios = fit::RatiosOfDirections(Arc(1, 101), 500);
  const double regional = RegionalFactor(ratios, 2, kDrawnError, 0.05);
  EXPECT_EQ(LesserRefutingFactor(2 * regional, ratios, 2, 0.05), regional);
  EXPECT_EQ(LesserRefutingFactor(0.9 * regional, ratios, 2, 0.05), 0.9 * regional);
  EXPECT_EQ(LesserRefutingFactor(std::nullopt, ratios, 2, 0.05), regional);
  EXPECT_EQ(LesserRefutingFactor(3.0, {}, 2, 0.05), 3.0);
  EXPECT_EQ(LesserRefutingFactor(std::nullopt, {}, 2, 0.05), std::nullopt);
}

// Whole simulated fits, with another generator, stay below the band at their rate.
TEST(RegionalConstant, SimulatedSurfacesStayBelowTheBand) {
  testing::Random random("SURFACES_BELOW");
  Problem problem{.design = DesignMatrix(24, 3)};
  for (int i = 0; i < 24; ++i) {
    const double x = random.Uniform(-1, 1);
    problem.design.at(i, 0) = 1;
    problem.design.at(i, 1) = x;
    problem.design.at(i, 2) = x * x;
    problem.response.push_back(0);
    problem.blocks.push_back(i / 2);
  }
  DesignMatrix places(21, 3);
  for (int i = 0; i < 21; ++i) {
    const double x = -0.9 + 0.09 * i;
    places.at(i, 0) = 1;
    places.at(i, 1) = x;
    places.at(i, 2) = x * x;
  }
  ASSERT_OK_AND_ASSIGN(const std::vector<double> ratios,
                       fit::RatiosOverBlocks(problem.Get(), places, kRegionalDraws));
  const double factor = RegionalFactor(ratios, 3, kDrawnError, 0.05);
  const auto hotelling = RefutingFactor(0.05, 3, 11, true);
  EXPECT_LT(factor, *hotelling);
  int above = 0;
  constexpr int kFits = 4000;
  for (int n = 0; n < kFits; ++n) {
    for (double& value : problem.response) value = random.Normal();
    ASSERT_OK_AND_ASSIGN(const auto intervals,
                         fit::BlockIntervals::Create(problem.Get(), {}));
    const std::vector<double> covariance = intervals.Covariance();
    bool any = false;
    for (int i = 0; i < places.rows && !any; ++i) {
      const double row[] = {places.at(i, 0), places.at(i, 1), places.at(i, 2)};
      any = fit::Estimate(intervals.fit(), row) >
            factor * fit::StandardError(covariance, row);
    }
    above += any;
  }
  EXPECT_LE(above, kFits * 0.05 + 4 * std::sqrt(kFits * 0.05 * 0.95));
  EXPECT_GE(above, kFits * 0.025) << "far wider than asked for";
}

TEST(RegionalConstant, WithoutBlocksOrPlacesIsRefused) {
  Problem problem{.design = DesignMatrix(4, 1), .response = {0, 0, 0, 0}};
  for (int i = 0; i < 4; ++i) problem.design.at(i, 0) = 1;
  DesignMatrix place(1, 1);
  place.at(0, 0) = 1;
  EXPECT_THAT(fit::RatiosOverBlocks(problem.Get(), place, 10),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("the block of each row")));
  problem.blocks = {0, 0, 1, 1};
  EXPECT_THAT(
      fit::RatiosOverBlocks(problem.Get(), DesignMatrix(0, 1), 10),
      testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("0 places")));
  problem.blocks = {0, 0, 0, 0};
  EXPECT_THAT(
      fit::RatiosOverBlocks(problem.Get(), place, 10),
      testing::StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("block")));
}

}  // namespace
}  // namespace ratebound::claim
