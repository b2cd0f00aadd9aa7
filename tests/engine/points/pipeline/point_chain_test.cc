// How a point came to its figures: the same figures, and budgets that add up to them.
#include "engine/points/pipeline/point_chain.h"

#include <cmath>
#include <set>
#include <string>
#include <vector>

#include "engine/base/fault.h"
#include "engine/points/pipeline/reduce_points.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/points/pipeline/pipeline_line.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using document::PointChain;
using document::SiValue;
using document::TestPoint;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::SizeIs;
using testing::StatusIs;

document::LineManifest KnownLine(double scale = 1) {
  document::LineManifest line = AirLine();
  line.instruments = {
      Instrument("scanner", {"entering_air_db", "leaving_air_db"},
                 {Within(0.2 * scale, "degC")}),
      Instrument(
          "wicks", {"entering_air_wb", "leaving_air_wb"},
          {Within(0.1 * scale, "degC"), Random(Within(0.1 * scale, "degC", "wick"))}),
      Instrument("nozzle", {"standard_air_flow"}, {Part(0.01 * scale)}),
      Instrument("barometer", {"barometric_pressure"}, {Within(100 * scale, "Pa")}),
      Instrument("watts", {"power_input"}, {Part(0.005 * scale)})};
  return line;
}

TestPoint ReducedPoint(const document::LineManifest& line) {
  std::vector<TestPoint> points = {CoilPoint("p1")};
  EXPECT_THAT(ReducePoints(line, ShippedMethods(), points), testing::IsOk());
  return points[0];
}

TEST(PointChain, StepsEndInThePointsOwnValues) {
  const document::LineManifest line = KnownLine();
  const TestPoint point = ReducedPoint(line);
  ASSERT_OK_AND_ASSIGN(const PointChain chain,
                       ChainOf(line, ShippedMethods(), point, 0, 1));
  EXPECT_EQ(chain.point, point);
  EXPECT_THAT(chain.monte_carlo, IsEmpty());
  std::set<double> in_steps;
  for (const document::TraceStep& step : chain.steps) in_steps.insert(step.value);
  for (const char* quantity : {"total_capacity", "sensible_capacity"}) {
    EXPECT_TRUE(in_steps.contains(*point.Find(quantity))) << quantity;
  }
}

TEST(PointChain, BudgetsAreThoseOfThePointAndAddUp) {
  const document::LineManifest line = KnownLine();
  const TestPoint point = ReducedPoint(line);
  ASSERT_OK_AND_ASSIGN(const PointChain chain,
                       ChainOf(line, ShippedMethods(), point, 0, 1));
  std::set<std::string> budgeted;
  for (const document::UncertaintyBudget& budget : chain.budgets) {
    budgeted.insert(budget.quantity);
    const SiValue& value = *point.FindValue(budget.quantity);
    EXPECT_TRUE(value.computed) << budget.quantity;
    EXPECT_EQ(budget.value_si, value.value_si);
    ASSERT_TRUE(value.uncertainty.has_value());
    EXPECT_NEAR(budget.uncertainty.expanded_si, value.uncertainty->expanded_si,
                1e-12 * value.uncertainty->expanded_si);
    EXPECT_NEAR(budget.uncertainty.systematic_expanded_si,
                value.uncertainty->systematic_expanded_si,
                1e-12 * value.uncertainty->expanded_si);
    double shares = 0;
    for (size_t i = 0; i < budget.contributions.size(); ++i) {
      shares += budget.contributions[i].share;
      if (i == 0) continue;
      EXPECT_LE(std::fabs(budget.contributions[i].share),
                std::fabs(budget.contributions[i - 1].share))
          << "the greatest first";
    }
    EXPECT_NEAR(shares, 1, 1e-12) << budget.quantity;
    // Correlated contributions add with their signs: one scanner, one pair of wicks.
    const auto sum_of = [&](std::string_view name) {
      double sum = 0;
      for (const auto& line_of : budget.contributions) {
        if (line_of.name == name) sum += line_of.contribution_si;
      }
      return sum;
    };
    double systematic_variance = 0;
    for (const char* name :
         {"scanner, calibration", "wicks, calibration", "nozzle, calibration",
          "barometer, calibration", "watts, calibration"}) {
      systematic_variance += sum_of(name) * sum_of(name);
    }
    const double u = budget.uncertainty.systematic_standard_si;
    EXPECT_NEAR(systematic_variance, u * u, 1e-10 * u * u) << budget.quantity;
    double random_variance = 0;
    for (const auto& line_of : budget.contributions) {
      if (line_of.systematic) continue;
      EXPECT_EQ(line_of.name, "wicks, wick");
      random_variance += line_of.contribution_si * line_of.contribution_si;
    }
    const double r = budget.uncertainty.random_standard_si;
    EXPECT_NEAR(random_variance, r * r, 1e-10 * (r * r + u * u)) << budget.quantity;
  }
  EXPECT_TRUE(budgeted.contains("total_capacity"));
  EXPECT_FALSE(budgeted.contains("entering_air_db")) << "readings have their instruments";
}

// Capacity is nearly linear over a tenth of a degree. The mean of n draws is within 5
// standard deviations / sqrt(n), their standard deviation within 5 / sqrt(2 n).
TEST(PointChain, DrawingTheReadingsAgreesWithTheLinearAnswerWithinItsNoise) {
  const document::LineManifest line = KnownLine(0.2);
  const TestPoint point = ReducedPoint(line);
  constexpr int64_t kDraws = 40'000;
  ASSERT_OK_AND_ASSIGN(const PointChain chain,
                       ChainOf(line, ShippedMethods(), point, kDraws, 2));
  ASSERT_THAT(chain.monte_carlo, SizeIs(chain.budgets.size()));
  for (size_t i = 0; i < chain.budgets.size(); ++i) {
    const document::MonteCarloFigure& drawn = chain.monte_carlo[i];
    const document::UncertaintyBudget& linear = chain.budgets[i];
    EXPECT_EQ(drawn.quantity, linear.quantity);
    EXPECT_EQ(drawn.draw_count, kDraws);
    const double u = std::sqrt(linear.uncertainty.random_standard_si *
                                   linear.uncertainty.random_standard_si +
                               linear.uncertainty.systematic_standard_si *
                                   linear.uncertainty.systematic_standard_si);
    EXPECT_NEAR(drawn.mean_si, linear.value_si, u * 5 / std::sqrt(1.0 * kDraws))
        << drawn.quantity;
    EXPECT_NEAR(drawn.standard_deviation_si, u, u * 5 / std::sqrt(2.0 * kDraws))
        << drawn.quantity;
    EXPECT_LT(drawn.low_si, linear.value_si);
    EXPECT_GT(drawn.high_si, linear.value_si);
    EXPECT_NEAR(drawn.high_si - drawn.low_si, 2 * 1.96 * u, 0.15 * u) << drawn.quantity;
    EXPECT_TRUE(drawn.adequate) << drawn.adequacy;
    EXPECT_THAT(drawn.adequacy, Not(IsEmpty()));
  }
}

TEST(PointChain, DrawsHaveTheSameBitsForAnyNumberOfThreads) {
  const document::LineManifest line = KnownLine();
  const TestPoint point = ReducedPoint(line);
  ASSERT_OK_AND_ASSIGN(const PointChain one,
                       ChainOf(line, ShippedMethods(), point, 5'000, 1));
  ASSERT_OK_AND_ASSIGN(const PointChain four,
                       ChainOf(line, ShippedMethods(), point, 5'000, 4));
  EXPECT_EQ(one, four);
  // Other readings are other draws.
  TestPoint other = point;
  for (SiValue& value : other.values) {
    if (value.quantity == "barometric_pressure") value.value_si += 1e-9;
  }
  ASSERT_OK_AND_ASSIGN(const PointChain apart,
                       ChainOf(line, ShippedMethods(), other, 5'000, 1));
  EXPECT_NE(apart.monte_carlo[0].mean_si, one.monte_carlo[0].mean_si);
}

TEST(PointChain, RefusesTooFewAndTooManyDraws) {
  const document::LineManifest line = KnownLine();
  const TestPoint point = ReducedPoint(line);
  for (const int64_t draws : {int64_t{-1}, int64_t{1}, kLeastDraws - 1, kMostDraws + 1}) {
    EXPECT_THAT(
        ChainOf(line, ShippedMethods(), point, draws, 1),
        StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("give 2000 to 1000000")))
        << draws;
  }
  EXPECT_THAT(ChainOf(line, ShippedMethods(), point, kLeastDraws, 1), testing::IsOk());
}

TEST(PointChain, SaysWhereDrawsLeaveTheRangeOfTheReduction) {
  document::LineManifest line = AirLine();
  // Half of the draws have the leaving wet bulb above the dry.
  line.instruments = {Instrument("wick", {"leaving_air_wb"}, {Within(4, "degC")})};
  const TestPoint point = ReducedPoint(line);
  EXPECT_THAT(ChainOf(line, ShippedMethods(), point, 0, 1), testing::IsOk());
  EXPECT_THAT(ChainOf(line, ShippedMethods(), point, 2'000, 1),
              StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("draw")));
}

TEST(PointChain, APointThatIsNotReducedHasTheBudgetsOfItsReadingsAndNoSteps) {
  document::LineManifest line = KnownLine();
  TestPoint dropped = CoilPoint("p1");
  dropped.dropped_reason = "air leaked";
  Drop(dropped, "standard_air_flow");
  ASSERT_OK_AND_ASSIGN(const PointChain chain,
                       ChainOf(line, ShippedMethods(), dropped, 2'000, 1));
  EXPECT_THAT(chain.steps, IsEmpty());
  EXPECT_THAT(chain.monte_carlo, IsEmpty());
  ASSERT_THAT(chain.budgets, Not(IsEmpty()));
  EXPECT_EQ(chain.budgets[0].quantity, "barometric_pressure");
  EXPECT_NEAR(chain.budgets[0].uncertainty.systematic_standard_si, 50, 1e-12);
  ASSERT_THAT(chain.budgets[0].contributions, SizeIs(1));
  EXPECT_EQ(chain.budgets[0].contributions[0].name, "barometer, calibration");
  EXPECT_EQ(chain.budgets[0].contributions[0].share, 1);
}

}  // namespace
}  // namespace ratebound::points
