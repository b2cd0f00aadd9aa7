// Test points of a smooth surface with noise, and fits of them.
#ifndef RATEBOUND_TESTS_ENGINE_FIT_TEST_CAMPAIGN_H_
#define RATEBOUND_TESTS_ENGINE_FIT_TEST_CAMPAIGN_H_

#include <numeric>
#include <utility>
#include <vector>

#include "engine/fit/least_squares.h"
#include "engine/fit/polynomial_basis.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::fit {

struct Campaign {
  std::vector<std::vector<double>> columns;
  std::vector<double> response;
  std::vector<double> weights;
  std::vector<int> blocks;
};

// Test points of a smooth surface with noise, in conditions of unlike size.
inline Campaign MakeCampaign(testing::Random& random, int points, int variables,
                             int blocks) {
  Campaign campaign;
  campaign.columns.resize(variables);
  for (int i = 0; i < points; ++i) {
    double y = 5000;
    for (int v = 0; v < variables; ++v) {
      const double z = random.Uniform(-1, 1);
      campaign.columns[v].push_back(20 + 7 * v + (3 + 10 * v) * z);
      y += (300 - 80 * v) * z + 45 * z * z;
    }
    campaign.response.push_back(y + 12 * random.Normal());
    campaign.weights.push_back(random.Uniform(0.2, 3));
    campaign.blocks.push_back(100 + i % blocks);
  }
  return campaign;
}

inline Campaign WithoutRows(const Campaign& all, const std::vector<bool>& leave_out) {
  Campaign kept;
  kept.columns.resize(all.columns.size());
  for (size_t i = 0; i < all.response.size(); ++i) {
    if (leave_out[i]) continue;
    for (size_t v = 0; v < all.columns.size(); ++v) {
      kept.columns[v].push_back(all.columns[v][i]);
    }
    kept.response.push_back(all.response[i]);
    kept.weights.push_back(all.weights[i]);
    kept.blocks.push_back(all.blocks[i]);
  }
  return kept;
}

inline DesignMatrix DesignOf(const PolynomialBasis& basis, const Campaign& campaign) {
  absl::StatusOr<DesignMatrix> design = basis.Design(campaign.columns);
  EXPECT_THAT(design, testing::IsOk());
  return *std::move(design);
}

inline LeastSquaresFit FitOf(const PolynomialBasis& basis, const Campaign& campaign) {
  const DesignMatrix design = DesignOf(basis, campaign);
  absl::StatusOr<LeastSquaresFit> fit = SolveLeastSquares({.design = design,
                                                           .response = campaign.response,
                                                           .weights = campaign.weights,
                                                           .blocks = campaign.blocks});
  EXPECT_THAT(fit, testing::IsOk());
  return *std::move(fit);
}

inline double Predict(const PolynomialBasis& basis, const LeastSquaresFit& fit,
                      const Campaign& campaign, size_t row) {
  std::vector<double> point, terms(basis.terms());
  for (const std::vector<double>& column : campaign.columns) point.push_back(column[row]);
  basis.Row(point, terms);
  return std::inner_product(terms.begin(), terms.end(), fit.coefficients.begin(), 0.0);
}

}  // namespace ratebound::fit

#endif  // RATEBOUND_TESTS_ENGINE_FIT_TEST_CAMPAIGN_H_
