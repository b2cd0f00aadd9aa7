#include "engine/points/log/sample_statistics.h"

#include <cmath>
#include <vector>

#include "engine/points/log/sliding_figures.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

// NIST StRD, univariate summary statistics: NumAcc3 (certified mean 1000000.2, standard
// deviation 0.1, 1001 values 1000000.2 and 1000000.1 / 1000000.3 in turn) and NumAcc4
// (10000000.2). Built by their published rule; from memory of the certified values.
TEST(SampleStatistics, KeepsTheDigitsOfNumericalAccuracySets) {
  for (const auto& [base, digits] : {std::pair(1000000.0, 1e-9), std::pair(1e7, 1e-8)}) {
    std::vector<double> readings = {base + 0.2};
    for (int i = 0; i < 500; ++i) {
      readings.push_back(base + 0.1);
      readings.push_back(base + 0.3);
    }
    const SampleStatistics statistics = StatisticsOf(readings);
    EXPECT_DOUBLE_EQ(statistics.mean, base + 0.2);
    EXPECT_NEAR(statistics.standard_deviation, 0.1, digits);
    EXPECT_EQ(statistics.least, base + 0.1);
    EXPECT_EQ(statistics.greatest, base + 0.3);
  }
}

TEST(EffectiveReadings, AreAllOfWhiteNoiseAndFewOfATrend) {
  testing::Random random("EFFECTIVE_READINGS");
  std::vector<double> noise, trend;
  for (int i = 0; i < 2000; ++i) {
    noise.push_back(random.Normal());
    trend.push_back(0.01 * i);
  }
  EXPECT_GT(EffectiveReadings(noise, StatisticsOf(noise).standard_deviation), 1000);
  EXPECT_EQ(EffectiveReadings(trend, StatisticsOf(trend).standard_deviation), 2);
  EXPECT_EQ(EffectiveReadings(std::vector<double>(50, 3.0), 0), 50);
  EXPECT_EQ(EffectiveReadings(std::vector<double>{1.0}, 0), 1);
}

// An autoregressive process of first order has n (1 - r) / (1 + r) effective readings.
TEST(EffectiveReadings, AgreeWithTheClosedFormOfAnAutoregressiveProcess) {
  testing::Random random("EFFECTIVE_READINGS_AR1");
  for (const double r : {0.5, 0.8, 0.95}) {
    double sum = 0;
    const int kRuns = 40;
    const int n = 4000;
    for (int run = 0; run < kRuns; ++run) {
      std::vector<double> readings;
      double x = random.Normal() / std::sqrt(1 - r * r);
      for (int i = 0; i < n; ++i) {
        readings.push_back(x);
        x = r * x + random.Normal();
      }
      sum += EffectiveReadings(readings, StatisticsOf(readings).standard_deviation);
    }
    const double expected = n * (1 - r) / (1 + r);
    EXPECT_NEAR(sum / kRuns, expected, 0.25 * expected) << r;
  }
}

// Sliding sums stay within the error that they tell, over a million steps and with
// readings that jump by a thousand times their scatter.
TEST(SlidingFigures, StayWithinTheErrorTheyTell) {
  testing::Random random("SLIDING_FIGURES");
  SlidingFigures figures(true, true);
  std::vector<double> held;
  double level = 300;
  for (int i = 0; i < 200000; ++i) {
    if (random.Integer(0, 999) == 0) level = random.Uniform(-1000, 1000);
    const double value = level + random.Normal();
    held.push_back(value);
    figures.Push(value);
    if (held.size() > 60) {
      figures.Pop(held.front());
      held.erase(held.begin());
      if (figures.pops() >= 60) {
        figures.Anchor(held.front());
        for (const double each : held) figures.AddAgain(each);
      }
    }
    if (held.size() < 2) continue;
    const SampleStatistics exact = StatisticsOf(held);
    const double variance = exact.standard_deviation * exact.standard_deviation;
    ASSERT_EQ(figures.least(), exact.least);
    ASSERT_EQ(figures.greatest(), exact.greatest);
    ASSERT_LE(std::fabs(figures.mean() - exact.mean), figures.mean_error() + 1e-13);
    ASSERT_LE(std::fabs(figures.variance() - variance),
              figures.variance_error() + 1e-14 * variance);
    ASSERT_LT(figures.variance_error(), 1e-4);
  }
}

}  // namespace
}  // namespace ratebound::points
