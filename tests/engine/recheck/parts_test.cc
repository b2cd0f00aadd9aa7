// The recheck's own arithmetic, each piece against what it is defined by.
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "engine/recheck/cover.h"
#include "engine/recheck/least_squares.h"
#include "engine/recheck/polynomial.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::recheck {
namespace {

using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

struct Sample {
  std::vector<std::vector<double>> points;
  std::vector<long double> values;
  std::vector<long double> weights;
};

// 3 - x + 2 x y over a plane, with scatter.
Sample InventedSample(Random& random, double scatter) {
  Sample sample;
  for (int k = 0; k < 24; ++k) {
    const double x = random.Uniform(-1, 1), y = random.Uniform(-1, 1);
    sample.points.push_back({x, y});
    sample.values.push_back(3 - x + 2 * x * y + scatter * random.Uniform(-1, 1));
    sample.weights.push_back(random.Uniform(0.5, 2));
  }
  return sample;
}

TEST(RecheckLeastSquares, FindsAPolynomialThatAllPointsLieOn) {
  Random random("RECHECK_EXACT_POLYNOMIAL");
  const Sample sample = InventedSample(random, 0);
  ASSERT_OK_AND_ASSIGN(
      const LeastSquares fit,
      LeastSquares::Solve(sample.points, sample.values, sample.weights, 2));
  ASSERT_EQ(fit.rows().size(), 6u);
  for (size_t t = 0; t < fit.rows().size(); ++t) {
    const std::vector<int>& row = fit.rows()[t];
    double expected = 0;
    if (row == std::vector<int>{0, 0}) expected = 3;
    if (row == std::vector<int>{1, 0}) expected = -1;
    if (row == std::vector<int>{1, 1}) expected = 2;
    EXPECT_NEAR(static_cast<double>(fit.coefficients()[t]), expected, 1e-13);
  }
}

// Where each point is a block the covariance is the sandwich of e^2 / (1 - h), HC2
// (MacKinnon and White, Journal of Econometrics 29 (1985) 305).
TEST(RecheckLeastSquares, CovarianceOfSinglePointsIsTheSandwichOfTheirResiduals) {
  Random random("RECHECK_SINGLE_POINTS");
  const Sample sample = InventedSample(random, 0.3);
  ASSERT_OK_AND_ASSIGN(const LeastSquares fit,
                       LeastSquares::Solve(sample.points, sample.values, {}, 1));
  std::vector<int> blocks;
  for (size_t k = 0; k < sample.points.size(); ++k) blocks.push_back(static_cast<int>(k));
  ASSERT_OK_AND_ASSIGN(const BlockSpread spread, BlockSpread::Of(fit, blocks));
  // The variance of what a fit gives at a point is row' V row; here by the weights that
  // the fit gives each value: moving a value by 1 moves the fit by them.
  for (size_t at = 0; at < 3; ++at) {
    const std::vector<long double> row = fit.TermsAt(sample.points[at]);
    long double direct = 0;
    for (size_t k = 0; k < sample.points.size(); ++k) {
      std::vector<long double> moved(sample.values.size(), 0);
      moved[k] = 1;
      ASSERT_OK_AND_ASSIGN(const LeastSquares unit,
                           LeastSquares::Solve(sample.points, moved, {}, 1));
      long double influence = 0;
      for (size_t t = 0; t < row.size(); ++t)
        influence += row[t] * unit.coefficients()[t];
      const long double residual = fit.residuals()[k];
      direct += influence * influence * residual * residual / (1 - fit.leverages()[k]);
    }
    long double variance = 0;
    for (size_t s = 0; s < row.size(); ++s) {
      for (size_t t = 0; t < row.size(); ++t) {
        variance += row[s] * spread.covariance(s, t) * row[t];
      }
    }
    EXPECT_NEAR(static_cast<double>(variance / direct), 1, 1e-12);
  }
}

// Blocks of one place each, alike in all: as many degrees as blocks less one.
TEST(RecheckLeastSquares, DegreesOfAMeanOfEvenBlocksAreTheirNumberLessOne) {
  std::vector<std::vector<double>> points;
  std::vector<long double> values;
  std::vector<int> blocks;
  for (int block = 0; block < 6; ++block) {
    for (const double x : {-1.0, -0.5, 0.5, 1.0}) {
      points.push_back({x});
      values.push_back(x + block % 2 + 0.1 * block);
      blocks.push_back(block);
    }
  }
  ASSERT_OK_AND_ASSIGN(const LeastSquares fit,
                       LeastSquares::Solve(points, values, {}, 1));
  ASSERT_OK_AND_ASSIGN(const BlockSpread spread, BlockSpread::Of(fit, blocks));
  EXPECT_NEAR(spread.DegreesAt({0}), 5, 1e-12);  // the mean
}

TEST(RecheckLeastSquares, RefusesWhatPointsDoNotCarry) {
  const std::vector<std::vector<double>> two_levels = {{-1}, {1}, {-1}, {1}, {1}};
  EXPECT_THAT(LeastSquares::Solve(two_levels, {1, 2, 3, 4, 5}, {}, 2),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("depends")));
  EXPECT_THAT(LeastSquares::Solve({{1}, {2}}, {1, 2}, {}, 1),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("fewer points")));
  EXPECT_THAT(LeastSquares::Solve({{1, 2}, {2, 1}}, {1, 2}, {}, 2'000'000'000),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("fewer points")));
  // All that is known of the slope is one block's.
  ASSERT_OK_AND_ASSIGN(const LeastSquares fit,
                       LeastSquares::Solve({{0}, {0}, {0}, {1}}, {1, 2, 3, 4}, {}, 1));
  EXPECT_THAT(BlockSpread::Of(fit, {0, 0, 1, 2}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("one block alone")));
}

TEST(RecheckPolynomial, IsPositiveOnlyWhereItIs) {
  // (x - 1/2)^2 + c over [0, 1].
  const auto above = [](double c) {
    const SpanPolynomial p = {{{0}, 0.25 + c}, {{1}, -1.0}, {{2}, 1.0}};
    return IsPositive(p, {0}, {1});
  };
  EXPECT_TRUE(above(0.01));
  EXPECT_FALSE(above(0));
  EXPECT_FALSE(above(-0.01));
}

TEST(RecheckPolynomial, AWideErrorIsNoWayRoundAComparison) {
  const SpanPolynomial derived = {{{0}, 1.0}, {{1}, 2.0}};
  document::CertifiedPolynomial certified{.exponents = {0, 1}, .coefficients = {1, 2}};
  EXPECT_TRUE(Same(certified, derived));
  certified.coefficients[0] = std::nextafter(1.0, 2.0);
  EXPECT_FALSE(Same(certified, derived));
  certified.errors = {1e-15, 0};
  EXPECT_TRUE(Same(certified, derived));
  certified.coefficients[0] = 1.1;
  certified.errors = {0.2, 0};
  EXPECT_FALSE(Same(certified, derived));
  EXPECT_FALSE(Same({.exponents = {1}, .coefficients = {2}}, derived));
  EXPECT_FALSE(Same({.exponents = {0, 1, 2}, .coefficients = {1, 2, 1e-9}}, derived));
}

struct Part {
  std::vector<double> low, high;
  size_t side = 0;
  int way = 0;
};

std::string LeftOutOf(size_t sides, const std::vector<Part>& parts) {
  std::vector<Shown> shown;
  for (const Part& part : parts) {
    shown.push_back({&part.low, &part.high, part.side, part.way});
  }
  return LeftOut({{0, 0}, {1, 1}}, shown, sides, [](const Reach&) { return false; },
                 {"x", "y"});
}

TEST(RecheckCover, HoldsABoxByPartsThatMeetOrOverlap) {
  struct Case {
    std::string description;
    size_t sides;
    std::vector<Part> parts;
    bool holds;
  };
  const Case cases[] = {
      {"one", 1, {{{0, 0}, {1, 1}}}, true},
      {"a little less", 1, {{{0, 0}, {1, std::nextafter(1.0, 0.0)}}}, false},
      {"halves that meet", 1, {{{0, 0}, {0.5, 1}}, {{0.5, 0}, {1, 1}}}, true},
      {"halves that do not", 1, {{{0, 0}, {0.4, 1}}, {{0.5, 0}, {1, 1}}}, false},
      {"three of four quarters",
       1,
       {{{0, 0}, {0.5, 0.5}}, {{0.5, 0}, {1, 0.5}}, {{0, 0.5}, {0.5, 1}}},
       false},
      {"other ways of one side",
       1,
       {{{0, 0}, {0.5, 1}, 0, 1}, {{0.5, 0}, {1, 1}, 0, 2}},
       true},
      {"one side of two", 2, {{{0, 0}, {1, 1}, 0, 0}}, false},
      {"sides of unlike ways",
       2,
       {{{0, 0}, {1, 1}, 0, 0}, {{0, 0}, {1, 1}, 1, 1}},
       false},
      {"both of one way", 2, {{{0, 0}, {1, 1}, 0, 1}, {{0, 0}, {1, 1}, 1, 1}}, true},
      {"both of one way here and of another there",
       2,
       {{{0, 0}, {0.5, 1}, 0, 0},
        {{0, 0}, {0.5, 1}, 1, 0},
        {{0.5, 0}, {1, 1}, 0, 1},
        {{0.5, 0}, {1, 1}, 1, 1}},
       true},
      {"sides that several ways share",
       2,
       {{{0, 0}, {1, 1}, 0, -1}, {{0, 0}, {1, 1}, 1, -1}},
       false},
  };
  for (const Case& c : cases) {
    EXPECT_EQ(LeftOutOf(c.sides, c.parts).empty(), c.holds) << c.description;
  }
}

// As many parts as a hard window makes; no two of them may be missed.
TEST(RecheckCover, HoldsABoxByThousandsOfParts) {
  constexpr int kSide = 48;
  std::vector<Part> parts;
  for (int i = 0; i < kSide; ++i) {
    for (int j = 0; j < kSide; ++j) {
      for (const size_t side : {0, 1}) {
        parts.push_back(
            {{i / 48.0, j / 48.0}, {(i + 1) / 48.0, (j + 1) / 48.0}, side, (i + j) % 3});
      }
    }
  }
  EXPECT_EQ(LeftOutOf(2, parts), "");
  parts.erase(parts.begin() + 1001);
  EXPECT_NE(LeftOutOf(2, parts), "");
}

// A stack has an end, and no claim is divided so often.
TEST(RecheckCover, IsNotLedIntoPartsWithinPartsWithoutEnd) {
  const auto left_out = [](int depth) {
    std::vector<Part> parts;
    double high = 1;
    for (int k = 0; k < depth; ++k, high /= 2) {
      parts.push_back({{high / 2, 0}, {high, 1}});
    }
    parts.push_back({{0, 0}, {high, 1}});
    return LeftOutOf(1, parts);
  };
  EXPECT_EQ(left_out(40), "");
  EXPECT_NE(left_out(1'050), "");
}

}  // namespace
}  // namespace ratebound::recheck
