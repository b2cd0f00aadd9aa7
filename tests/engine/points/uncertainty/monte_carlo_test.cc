#include "engine/points/uncertainty/monte_carlo.h"

#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::points {
namespace {

using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

Component Part(int input, double standard_uncertainty, Distribution distribution,
               bool systematic = false, const char* shared = "") {
  return {.name = "part",
          .input = input,
          .standard_uncertainty = standard_uncertainty,
          .distribution = distribution,
          .systematic = systematic,
          .shared = shared};
}

const ModelFunction kSumAndDifference = [](std::span<const double> x,
                                           std::span<double> y) {
  y[0] = x[0] + x[1];
  y[1] = x[0] - x[1];
};
constexpr std::array<double, 2> kEstimates = {5, 3};

absl::StatusOr<MonteCarlo> Draw(std::vector<Component> components,
                                std::vector<Correlation> correlations,
                                const MonteCarloOptions& options) {
  absl::StatusOr<InputUncertainty> inputs =
      InputUncertainty::Create(2, std::move(components), std::move(correlations));
  if (!inputs.ok()) return inputs.status();
  return RunMonteCarlo(*inputs, kEstimates, 2, kSumAndDifference, options);
}

void ExpectSameBits(const MonteCarlo& a, const MonteCarlo& b) {
  EXPECT_EQ(a.draws, b.draws);
  EXPECT_EQ(a.covariance.values, b.covariance.values);
  for (size_t i = 0; i < a.outputs.size(); ++i) {
    EXPECT_EQ(a.outputs[i].mean, b.outputs[i].mean);
    EXPECT_EQ(a.outputs[i].standard_uncertainty, b.outputs[i].standard_uncertainty);
    EXPECT_EQ(a.outputs[i].symmetric.low, b.outputs[i].symmetric.low);
    EXPECT_EQ(a.outputs[i].shortest.high, b.outputs[i].shortest.high);
  }
}

TEST(RunMonteCarlo, SameBitsOnAnyNumberOfThreads) {
  const std::vector<Component> components = {Part(0, 1, Distribution::kNormal),
                                             Part(1, 2, Distribution::kArcsine)};
  for (const int digits : {0, 1}) {
    MonteCarloOptions options{.seed = 7, .draws = 50'001, .significant_digits = digits};
    ASSERT_OK_AND_ASSIGN(const MonteCarlo one, Draw(components, {}, options));
    for (const int threads : {2, 3, 8}) {
      options.threads = threads;
      ASSERT_OK_AND_ASSIGN(const MonteCarlo more, Draw(components, {}, options));
      ExpectSameBits(one, more);
    }
    options.seed = 8;
    ASSERT_OK_AND_ASSIGN(const MonteCarlo other, Draw(components, {}, options));
    EXPECT_NE(one.outputs[0].mean, other.outputs[0].mean);
  }
}

TEST(RunMonteCarlo, SharedCausesAreDrawnOnce) {
  ASSERT_OK_AND_ASSIGN(const MonteCarlo run,
                       Draw({Part(0, 0.25, Distribution::kRectangular, true, "bath"),
                             Part(1, 0.25, Distribution::kRectangular, true, "bath")},
                            {}, {.draws = 20'000}));
  EXPECT_NEAR(run.outputs[0].standard_uncertainty, 0.5, 0.01);
  EXPECT_NEAR(run.outputs[1].standard_uncertainty, 0, 1e-15);
}

TEST(RunMonteCarlo, CorrelatedInputsAreDrawnTogether) {
  ASSERT_OK_AND_ASSIGN(const MonteCarlo run, Draw({Part(0, 3, Distribution::kNormal),
                                                   Part(1, 4, Distribution::kNormal)},
                                                  {{0, 1, -0.75}}, {.draws = 200'000}));
  // var(x +- y) = 25 -+ 18; cov = 9 - 16. Four standard errors.
  EXPECT_NEAR(run.covariance.at(0, 0), 7, 4 * 7 * std::sqrt(2.0 / 200'000));
  EXPECT_NEAR(run.covariance.at(1, 1), 43, 4 * 43 * std::sqrt(2.0 / 200'000));
  EXPECT_NEAR(run.covariance.at(0, 1), -7, 4 * std::sqrt((7.0 * 43 + 49) / 200'000));
  EXPECT_EQ(run.covariance.at(0, 1), run.covariance.at(1, 0));
}

TEST(RunMonteCarlo, PartsAreDrawnApartWithTheSameNumbers) {
  const std::vector<Component> both = {Part(0, 3, Distribution::kNormal),
                                       Part(1, 4, Distribution::kNormal, true)};
  const std::vector<Component> random_only = {Part(0, 3, Distribution::kNormal)};
  ASSERT_OK_AND_ASSIGN(const MonteCarlo random,
                       Draw(both, {}, {.draws = 10'000, .part = DrawnPart::kRandom}));
  ASSERT_OK_AND_ASSIGN(const MonteCarlo alone, Draw(random_only, {}, {.draws = 10'000}));
  ExpectSameBits(random, alone);
  ASSERT_OK_AND_ASSIGN(const MonteCarlo systematic,
                       Draw(both, {}, {.draws = 10'000, .part = DrawnPart::kSystematic}));
  EXPECT_NEAR(systematic.outputs[0].standard_uncertainty, 4, 0.12);
  // Moved by one input only, the sum and the difference mirror each other.
  EXPECT_NEAR(systematic.covariance.at(0, 1), -systematic.covariance.at(0, 0), 1e-9);
}

TEST(RunMonteCarlo, DistributionsHaveTheirVarianceAndLimits) {
  struct Case {
    Distribution distribution;
    double degrees_of_freedom;
    double limit;     // in standard uncertainties
    double variance;  // of a component of standard uncertainty 1
  };
  const double kNoLimit = std::numeric_limits<double>::infinity();
  const Case kCases[] = {
      {Distribution::kNormal, kExactlyKnown, kNoLimit, 1},
      {Distribution::kNormal, 10, kNoLimit, 10.0 / 8},
      {Distribution::kRectangular, kExactlyKnown, std::sqrt(3.0), 1},
      // Limits uncertain by half of themselves: 1 + (1/4)(3/9).
      {Distribution::kRectangular, 2, 1.5 * std::sqrt(3.0), 1 + 1.0 / 12},
      {Distribution::kTriangular, kExactlyKnown, std::sqrt(6.0), 1},
      {Distribution::kArcsine, kExactlyKnown, std::sqrt(2.0), 1},
  };
  for (const Case& c : kCases) {
    Component component = Part(0, 1, c.distribution);
    component.degrees_of_freedom = c.degrees_of_freedom;
    ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                         InputUncertainty::Create(1, {component}));
    double largest = 0;
    const ModelFunction watch = [&](std::span<const double> x, std::span<double> y) {
      largest = std::max(largest, std::fabs(x[0]));
      y[0] = x[0];
    };
    ASSERT_OK_AND_ASSIGN(const MonteCarlo run, RunMonteCarlo(inputs, std::array{0.0}, 1,
                                                             watch, {.draws = 200'000}));
    EXPECT_NEAR(run.covariance.at(0, 0), c.variance, 0.02);
    EXPECT_NEAR(run.outputs[0].mean, 0, 0.01);
    EXPECT_LE(largest, c.limit * (1 + 1e-15));
    if (std::isfinite(c.limit)) {
      EXPECT_GT(largest, 0.97 * c.limit);
    }
  }
}

TEST(RunMonteCarlo, AdaptiveProcedureStopsWhereItIsStable) {
  const std::vector<Component> components = {Part(0, 1, Distribution::kNormal),
                                             Part(1, 1, Distribution::kNormal)};
  ASSERT_OK_AND_ASSIGN(
      const MonteCarlo coarse,
      Draw(components, {}, {.draws = 2'000'000, .significant_digits = 1}));
  EXPECT_TRUE(coarse.is_stable);
  EXPECT_EQ(coarse.draws % 10'000, 0);
  EXPECT_LT(coarse.draws, 100'000);
  ASSERT_OK_AND_ASSIGN(
      const MonteCarlo fine,
      Draw(components, {}, {.draws = 2'000'000, .significant_digits = 2}));
  EXPECT_GT(fine.draws, coarse.draws);
  for (const MonteCarloOutput& output : fine.outputs) {
    EXPECT_DOUBLE_EQ(output.tolerance, 0.05);  // u = 1.4
    EXPECT_LE(output.instability, output.tolerance);
    EXPECT_GT(output.instability, 0);
  }
  ASSERT_OK_AND_ASSIGN(const MonteCarlo unfinished,
                       Draw(components, {}, {.draws = 30'000, .significant_digits = 4}));
  EXPECT_FALSE(unfinished.is_stable);
  EXPECT_EQ(unfinished.draws, 30'000);
}

TEST(RunMonteCarlo, FaultsAreSaid) {
  const std::vector<Component> normal = {Part(0, 1, Distribution::kNormal),
                                         Part(1, 1, Distribution::kNormal)};
  const auto refused = [](const char* words) {
    return StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(words));
  };
  EXPECT_THAT(Draw(normal, {}, {.draws = 1999}), refused("1999 draws are outside 2000"));
  EXPECT_THAT(Draw(normal, {}, {.draws = 200'000'000}), refused("draws are outside"));
  EXPECT_THAT(Draw(normal, {}, {.probability = 1}), refused("probability"));
  EXPECT_THAT(Draw(normal, {}, {.threads = 0}), refused("threads"));
  EXPECT_THAT(Draw(normal, {}, {.significant_digits = 9}), refused("significant_digits"));
  EXPECT_THAT(Draw(normal, {}, {.tolerance_share = 0}), refused("tolerance_share"));
  EXPECT_THAT(
      Draw({Part(0, 1, Distribution::kRectangular), Part(1, 1, Distribution::kNormal)},
           {{0, 1, 0.5}}, {}),
      refused("not normal"));
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(2, normal));
  EXPECT_THAT(RunMonteCarlo(inputs, std::array{1.0}, 2, kSumAndDifference, {}),
              refused("estimates"));
}

TEST(RunMonteCarlo, AModelThatFailsNamesItsFirstDrawOnAnyThread) {
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(1, {Part(0, 1, Distribution::kNormal)}));
  const ModelFunction root = [](std::span<const double> x, std::span<double> y) {
    y[0] = std::sqrt(x[0]);
  };
  MonteCarloOptions options{.draws = 10'000};
  const absl::StatusOr<MonteCarlo> one =
      RunMonteCarlo(inputs, std::array{2.5}, 1, root, options);
  EXPECT_THAT(one, StatusIs(absl::StatusCode::kFailedPrecondition,
                            HasSubstr("for output 0; the model must hold")));
  options.threads = 3;
  EXPECT_EQ(one.status(),
            RunMonteCarlo(inputs, std::array{2.5}, 1, root, options).status());
}

}  // namespace
}  // namespace ratebound::points
