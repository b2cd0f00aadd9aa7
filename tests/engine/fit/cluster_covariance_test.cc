// Fits of points that err together in blocks: leaving blocks out, and the covariance that
// allows for them.
#include <cmath>
#include <numeric>
#include <vector>

#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "engine/number/distribution.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/fit/test_campaign.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

using ::ratebound::testing::Random;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

TEST(ClusterCovarianceTest, LeaveOneBlockOutAndClusterCovarianceEqualRefitting) {
  Random random("LEAVE_ONE_BLOCK_OUT_EQUALS_REFITTING");
  const int kBlocks = 9;
  const Campaign campaign = MakeCampaign(random, 40, 2, kBlocks);
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(campaign.columns, 2));
  const LeastSquaresFit fit = FitOf(basis, campaign);
  const int terms = fit.terms;
  ASSERT_TRUE(fit.clusters.has_value());
  EXPECT_EQ(fit.clusters->blocks, kBlocks);
  EXPECT_EQ(fit.clusters->degrees_of_freedom, kBlocks - 1);
  EXPECT_EQ(fit.clusters->refused, "");

  std::vector<double> covariance(terms * terms);
  double squares = 0, weight_sum = 0;
  for (int block = 100; block < 100 + kBlocks; ++block) {
    std::vector<bool> leave_out;
    for (int id : campaign.blocks) leave_out.push_back(id == block);
    const LeastSquaresFit rest = FitOf(basis, WithoutRows(campaign, leave_out));
    for (int a = 0; a < terms; ++a) {
      for (int b = 0; b < terms; ++b) {
        covariance[a * terms + b] += (kBlocks - 1.0) / kBlocks *
                                     (rest.coefficients[a] - fit.coefficients[a]) *
                                     (rest.coefficients[b] - fit.coefficients[b]);
      }
    }
    for (size_t i = 0; i < leave_out.size(); ++i) {
      if (!leave_out[i]) continue;
      const double residual = campaign.response[i] - Predict(basis, rest, campaign, i);
      EXPECT_NEAR(fit.clusters->leave_block_out_residuals[i], residual, 1e-8);
      squares += campaign.weights[i] * residual * residual;
      weight_sum += campaign.weights[i];
    }
  }
  EXPECT_NEAR(fit.clusters->leave_block_out_rms, std::sqrt(squares / weight_sum), 1e-8);
  for (int k = 0; k < terms * terms; ++k) {
    EXPECT_NEAR(fit.clusters->covariance[k], covariance[k], 1e-8 * covariance[0]) << k;
  }
}

TEST(ClusterCovarianceTest, BlocksOfOnePointEachGiveTheJackknife) {
  Random random("BLOCKS_OF_ONE_POINT");
  Campaign campaign = MakeCampaign(random, 25, 2, 25);
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(campaign.columns, 2));
  const LeastSquaresFit fit = FitOf(basis, campaign);
  for (int i = 0; i < fit.rows; ++i) {
    EXPECT_NEAR(fit.clusters->leave_block_out_residuals[i], fit.loo_residuals[i], 1e-9);
  }
  EXPECT_NEAR(fit.clusters->leave_block_out_rms, fit.loo_rms, 1e-10);
}

// One-sided 95 % bounds of a plane when the points of a test day share most of their
// error (correlation 0.8) and one condition is held for the day. Tolerances are four
// standard deviations of the count.
TEST(ClusterCovarianceTest, ClusterCovarianceKeepsTheErrorRateThatNaiveCovarianceBreaks) {
  Random random("CLUSTER_COVARIANCE_KEEPS_THE_ERROR_RATE");
  for (const int blocks : {12, 20, 30}) {
    const int kCampaigns = 2000;
    const int kPointsEach = 4;
    int misses = 0, naive_misses = 0;
    for (int campaign = 0; campaign < kCampaigns; ++campaign) {
      DesignMatrix design(blocks * kPointsEach, 3);
      std::vector<double> response;
      std::vector<int> ids;
      for (int i = 0; i < design.rows; ++i) {
        const int block = i / kPointsEach;
        const bool first = i % kPointsEach == 0;
        design.at(i, 0) = 1;
        design.at(i, 1) = first ? random.Uniform(-1, 1) : design.at(i - 1, 1);
        design.at(i, 2) = random.Uniform(-1, 1);
        ids.push_back(block);
      }
      for (int block = 0; block < blocks; ++block) {
        const double shared = std::sqrt(0.8) * random.Normal();
        for (int k = 0; k < kPointsEach; ++k) {
          response.push_back(shared + std::sqrt(0.2) * random.Normal());
        }
      }
      ASSERT_OK_AND_ASSIGN(
          const LeastSquaresFit fit,
          SolveLeastSquares({.design = design, .response = response, .blocks = ids}));
      // The true surface is zero everywhere; a miss is a lower bound above it.
      const std::vector<double> row = {1, random.Uniform(-1, 1), random.Uniform(-1, 1)};
      const double value =
          std::inner_product(row.begin(), row.end(), fit.coefficients.begin(), 0.0);
      const double t = number::StudentTQuantile(0.95, fit.clusters->degrees_of_freedom);
      misses += value > t * StandardError(fit.clusters->covariance, row);
      naive_misses += value > number::StudentTQuantile(0.95, fit.degrees_of_freedom) *
                                  fit.StandardError(row);
    }
    const double spread = 4 * std::sqrt(kCampaigns * 0.05 * 0.95);
    EXPECT_NEAR(misses, 0.05 * kCampaigns, spread) << blocks;
    EXPECT_GT(naive_misses, 2 * 0.05 * kCampaigns) << blocks;
  }
}

TEST(ClusterCovarianceTest, ClusterCovarianceIsRefusedWithReason) {
  Random random("CLUSTER_COVARIANCE_IS_REFUSED");
  Campaign campaign = MakeCampaign(random, 30, 2, 6);
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(campaign.columns, 2));
  LeastSquaresFit fit = FitOf(basis, campaign);
  EXPECT_TRUE(fit.clusters->covariance.empty());
  EXPECT_THAT(fit.clusters->refused, HasSubstr("6 blocks cannot carry 6 terms"));
  EXPECT_GT(fit.clusters->leave_block_out_rms, 0);

  // All points off the plane x1 = 20 are in one block: without it x1 cannot be estimated.
  campaign = MakeCampaign(random, 40, 2, 10);
  for (size_t i = 0; i < campaign.response.size(); ++i) {
    if (campaign.blocks[i] != 103) campaign.columns[1][i] = 20;
  }
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis plane,
                       PolynomialBasis::ForPoints(campaign.columns, 1));
  fit = FitOf(plane, campaign);
  EXPECT_THAT(fit.clusters->decisive_blocks, ElementsAre(103));
  EXPECT_THAT(fit.clusters->refused, HasSubstr("without block 103"));
}

}  // namespace
}  // namespace ratebound::fit
