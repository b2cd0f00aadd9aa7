#include "engine/map/fit_response.h"

#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using document::Surface;
using document::SurfacePurpose;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

struct Data {
  std::vector<std::string> conditions;
  std::vector<std::vector<double>> columns;
  std::vector<double> values;
  std::vector<std::string> ids;
  std::vector<int> blocks;
  std::vector<std::string> block_names;

  ResponseProblem Problem() const {
    return {.quantity = "power_input",
            .values = values,
            .conditions = conditions,
            .columns = columns,
            .point_ids = ids,
            .blocks = blocks,
            .block_names = block_names};
  }
};

// One condition at 0, 1, ..., levels - 1, each `repeats` times.
Data Line(int levels, int repeats = 1) {
  Data data{.conditions = {"entering_water_temp"}, .columns = {{}}};
  for (int i = 0; i < levels; ++i) {
    for (int r = 0; r < repeats; ++r) {
      data.columns[0].push_back(i);
      data.values.push_back(100 + 7 * i);
      data.ids.push_back(absl::StrCat("p", i, ".", r));
    }
  }
  return data;
}

double At(const Surface& surface, const std::vector<double>& point) {
  double sum = 0;
  const size_t n = point.size();
  for (size_t t = 0; t < surface.coefficients_si.size(); ++t) {
    double term = surface.coefficients_si[t];
    for (size_t j = 0; j < n; ++j) {
      const double z = (point[j] - surface.centre_si[j]) / surface.half_range_si[j];
      for (int k = 0; k < surface.exponents[t * n + j]; ++k) term *= z;
    }
    sum += term;
  }
  return sum;
}

TEST(FitResponseTest, ReproducesAPolynomialOfItsOwnDegree) {
  ratebound::testing::Random random("FIT_RESPONSE_REPRODUCES_A_POLYNOMIAL");
  for (int degree = 1; degree <= kGreatestDegree; ++degree) {
    Data data{.conditions = {"a", "b"}, .columns = {{}, {}}};
    const auto truth = [&](double a, double b) {
      double value = 3 - a + 2 * b;
      for (int k = 1; k < degree; ++k) value = value * (0.1 * a - 0.2 * b) + 1;
      return value;
    };
    for (int i = 0; i < 60; ++i) {
      data.columns[0].push_back(random.Uniform(-5, 15));
      data.columns[1].push_back(random.Uniform(20, 22));
      data.values.push_back(truth(data.columns[0][i], data.columns[1][i]));
      data.ids.push_back(absl::StrCat(i));
    }
    ASSERT_OK_AND_ASSIGN(const FittedSurface fitted,
                         FitResponse(data.Problem(), degree, SurfacePurpose::kProof));
    double largest = 0;
    for (double v : data.values) largest = std::max(largest, std::fabs(v));
    for (int i = 0; i < 60; ++i) {
      EXPECT_NEAR(At(fitted.surface, {data.columns[0][i], data.columns[1][i]}),
                  data.values[i], 1e-11 * largest);
    }
    EXPECT_LT(fitted.surface.residual_sd_si, 1e-11 * largest);
  }
}

// Textbook line: Draper and Smith, Applied Regression Analysis (3rd ed. 1998), 1.2
// and 1.4: for y = b0 + b1 x the standard error at x0 is s sqrt(1/n + (x0 - mean)^2 /
// Sxx).
TEST(FitResponseTest, BandOfALineIsTheTextbooks) {
  Data data = Line(6);
  data.values = {100.3, 106.1, 114.9, 120.2, 128.6, 134.1};
  ASSERT_OK_AND_ASSIGN(const FittedSurface fitted,
                       FitResponse(data.Problem(), 1, SurfacePurpose::kTable));
  const Surface& s = fitted.surface;
  double sxy = 0, sxx = 0, mean = 0;
  for (double y : data.values) mean += y / 6;
  for (int i = 0; i < 6; ++i) {
    sxy += (i - 2.5) * (data.values[i] - mean);
    sxx += (i - 2.5) * (i - 2.5);
  }
  double rss = 0;
  for (int i = 0; i < 6; ++i) {
    const double e = data.values[i] - mean - sxy / sxx * (i - 2.5);
    rss += e * e;
  }
  const double sd = std::sqrt(rss / 4);
  EXPECT_NEAR(s.residual_sd_si, sd, 1e-12);
  EXPECT_EQ(s.degrees_of_freedom, 4);
  EXPECT_NEAR(s.mean_si, mean, 1e-12);
  // z = (x - 2.5) / 2.5, so at z the variance is C00 + 2 z C10 + z^2 C11.
  const auto& c = s.covariance_si;
  for (double x : {0.0, 1.0, 2.5, 5.0}) {
    const double z = (x - 2.5) / 2.5;
    EXPECT_NEAR(std::sqrt(c[0] + 2 * z * c[1] + z * z * c[2]),
                sd * std::sqrt(1.0 / 6 + (x - 2.5) * (x - 2.5) / sxx), 1e-12);
  }
  EXPECT_NEAR(s.greatest_leverage, 1.0 / 6 + 2.5 * 2.5 / sxx, 1e-12);
}

TEST(FitResponseTest, RefusesInWordsOfTheProblem) {
  EXPECT_THAT(FitResponse(Line(1, 5).Problem(), 1, SurfacePurpose::kTable),
              ratebound::testing::StatusIs(
                  absl::StatusCode::kFailedPrecondition,
                  "entering_water_temp has 1 level; a surface over it needs at least 2"));
  EXPECT_THAT(
      FitResponse(Line(2, 5).Problem(), 2, SurfacePurpose::kTable),
      ratebound::testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                                   "entering_water_temp has 2 levels; a surface of "
                                   "degree 2 over it needs at least 3"));
  EXPECT_THAT(
      FitResponse(Line(3).Problem(), 2, SurfacePurpose::kTable),
      ratebound::testing::StatusIs(
          absl::StatusCode::kFailedPrecondition,
          AllOf(HasSubstr("has 3 terms"), HasSubstr("at least 4 points; there are 3"))));
  Data diagonal{.conditions = {"entering_air_wb", "entering_water_temp"},
                .columns = {{}, {}}};
  for (int i = 0; i < 10; ++i) {
    diagonal.columns[0].push_back(i);
    diagonal.columns[1].push_back(2 * i);
    diagonal.values.push_back(i * i);
    diagonal.ids.push_back(absl::StrCat(i));
  }
  EXPECT_THAT(FitResponse(diagonal.Problem(), 1, SurfacePurpose::kTable),
              ratebound::testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                                           HasSubstr("entering_")));
  EXPECT_FALSE(FitResponse(Line(9).Problem(), 5, SurfacePurpose::kTable).ok());
  EXPECT_FALSE(FitResponse(Line(9).Problem(), 0, SurfacePurpose::kTable).ok());
}

TEST(FitResponseTest, BlocksDecideTheUncertainty) {
  ratebound::testing::Random random("BLOCKS_DECIDE_THE_UNCERTAINTY");
  Data data = Line(5, 8);
  for (size_t i = 0; i < data.values.size(); ++i) {
    data.values[i] += random.Normal();
    data.blocks.push_back(static_cast<int>(i % 8));
  }
  data.block_names = {"d0", "d1", "d2", "d3", "d4", "d5", "d6", "d7"};
  ASSERT_OK_AND_ASSIGN(FittedSurface fitted,
                       FitResponse(data.Problem(), 1, SurfacePurpose::kTable));
  EXPECT_TRUE(fitted.surface.cluster_robust);
  EXPECT_EQ(fitted.surface.degrees_of_freedom, 7);
  EXPECT_EQ(fitted.surface.block_count, 8);
  EXPECT_EQ(fitted.surface.covariance_si.size(), 3u);

  for (int& block : data.blocks) block /= 4;  // two blocks, two terms
  ASSERT_OK_AND_ASSIGN(fitted, FitResponse(data.Problem(), 1, SurfacePurpose::kTable));
  EXPECT_THAT(fitted.surface.covariance_si, IsEmpty());
  EXPECT_EQ(
      fitted.no_covariance,
      "degree 1 has 2 terms and the points come from 2 blocks; its uncertainty needs at "
      "least 3 blocks");
  EXPECT_FALSE(fitted.surface.leverage_matrix.empty());

  for (int& block : data.blocks) block = 0;
  ASSERT_OK_AND_ASSIGN(fitted, FitResponse(data.Problem(), 1, SurfacePurpose::kTable));
  EXPECT_THAT(fitted.surface.covariance_si, IsEmpty());
}

TEST(FitResponseTest, TestsLackOfFitOnRepeats) {
  Data data = Line(4, 3);
  for (size_t i = 0; i < data.values.size(); ++i) data.values[i] += 0.1 * (i % 3 == 0);
  ASSERT_OK_AND_ASSIGN(FittedSurface fitted,
                       FitResponse(data.Problem(), 1, SurfacePurpose::kTable));
  ASSERT_TRUE(fitted.surface.lack_of_fit_probability.has_value());
  EXPECT_GT(*fitted.surface.lack_of_fit_probability, 0.9);
  for (size_t i = 0; i < data.values.size(); ++i) {
    data.values[i] += data.columns[0][i] * data.columns[0][i];
  }
  ASSERT_OK_AND_ASSIGN(fitted, FitResponse(data.Problem(), 1, SurfacePurpose::kTable));
  EXPECT_LT(*fitted.surface.lack_of_fit_probability, 0.001);
  ASSERT_OK_AND_ASSIGN(fitted, FitResponse(Line(6).Problem(), 1, SurfacePurpose::kTable));
  EXPECT_FALSE(fitted.surface.lack_of_fit_probability.has_value());
}

// Set points that scatter by 1 % of the range are repeats; what their conditions explain
// is no error. A chain of points, each near the last, is not one group.
TEST(FitResponseTest, NearRepeatsAreRepeatsAndChainsAreNot) {
  ratebound::testing::Random random("NEAR_REPEATS");
  Data data = Line(5, 4);
  for (size_t i = 0; i < data.values.size(); ++i) {
    data.columns[0][i] += 0.04 * random.Uniform(-1, 1);
    data.values[i] = 100 + 7 * data.columns[0][i] + 0.01 * random.Normal();
  }
  ASSERT_OK_AND_ASSIGN(FittedSurface fitted,
                       FitResponse(data.Problem(), 1, SurfacePurpose::kProof));
  ASSERT_TRUE(fitted.surface.lack_of_fit_probability.has_value());
  // By responses, the set points' scatter (0.2) would hide a bend of this size.
  EXPECT_GT(*fitted.surface.lack_of_fit_probability, 0.01);
  for (size_t i = 0; i < data.values.size(); ++i) {
    data.values[i] += 0.02 * data.columns[0][i] * data.columns[0][i];
  }
  ASSERT_OK_AND_ASSIGN(fitted, FitResponse(data.Problem(), 1, SurfacePurpose::kProof));
  EXPECT_LT(*fitted.surface.lack_of_fit_probability, 0.001);

  // 41 points 2.5 % of the range apart: pairs. One group would leave nothing to test.
  Data chain = Line(41);
  for (double& value : chain.values) value += random.Normal();
  ASSERT_OK_AND_ASSIGN(fitted, FitResponse(chain.Problem(), 1, SurfacePurpose::kProof));
  EXPECT_TRUE(fitted.surface.lack_of_fit_probability.has_value());
}

TEST(FitResponseTest, RepeatsOfOneDayAloneTestNothing) {
  ratebound::testing::Random random("REPEATS_OF_ONE_DAY");
  Data data = Line(6, 2);
  for (size_t i = 0; i < data.values.size(); ++i) {
    data.values[i] += random.Normal();
    data.blocks.push_back(static_cast<int>(i / 2));
  }
  ASSERT_OK_AND_ASSIGN(FittedSurface fitted,
                       FitResponse(data.Problem(), 1, SurfacePurpose::kProof));
  EXPECT_FALSE(fitted.surface.lack_of_fit_probability.has_value());
  data.blocks[1] = 3;  // one repeat on another day
  ASSERT_OK_AND_ASSIGN(fitted, FitResponse(data.Problem(), 1, SurfacePurpose::kProof));
  EXPECT_TRUE(fitted.surface.lack_of_fit_probability.has_value());
}

// Scatter that grows with the response: a proof's standard error grows with it, that of a
// table is one for all. By hand: leaving out a point of a line moves the fit by its
// residual over 1 - h, and CR2 counts the square of that times 1 - h.
TEST(FitResponseTest, AProofWithoutBlocksCountsPointByPoint) {
  ratebound::testing::Random random("POINT_BY_POINT");
  Data data = Line(20, 2);
  for (size_t i = 0; i < data.values.size(); ++i) {
    data.values[i] *= 1 + 0.02 * random.Normal();
  }
  const Data all = data;
  ASSERT_OK_AND_ASSIGN(const FittedSurface table,
                       FitResponse(all.Problem(), 1, SurfacePurpose::kTable));
  ASSERT_OK_AND_ASSIGN(const FittedSurface proof,
                       FitResponse(all.Problem(), 1, SurfacePurpose::kProof));
  EXPECT_EQ(proof.surface.coefficients_si, table.surface.coefficients_si);
  EXPECT_TRUE(proof.surface.cluster_robust);
  EXPECT_EQ(proof.surface.block_count, 0);
  double mean = 0, spread = 0;
  for (const double x : all.columns[0]) mean += x / 40;
  for (const double x : all.columns[0]) spread += (x - mean) * (x - mean);
  double variance = 0;  // of the value at the upper end
  for (size_t out = 0; out < all.values.size(); ++out) {
    Data rest = all;
    rest.columns[0].erase(rest.columns[0].begin() + out);
    rest.values.erase(rest.values.begin() + out);
    rest.ids.erase(rest.ids.begin() + out);
    ASSERT_OK_AND_ASSIGN(const FittedSurface without,
                         FitResponse(rest.Problem(), 1, SurfacePurpose::kTable));
    const double change = At(without.surface, {19}) - At(proof.surface, {19});
    const double apart = all.columns[0][out] - mean;
    variance += (1 - 1.0 / 40 - apart * apart / spread) * change * change;
  }
  const auto& c = proof.surface.covariance_si;
  EXPECT_NEAR(c[0] + 2 * c[1] + c[2], variance, 1e-9 * variance);
}

TEST(FitResponseTest, NamesTheWorstPoint) {
  Data data = Line(9);
  data.values[6] += 5;
  ASSERT_OK_AND_ASSIGN(const FittedSurface fitted,
                       FitResponse(data.Problem(), 1, SurfacePurpose::kTable));
  EXPECT_EQ(fitted.surface.worst_point, "p6.0");
}

TEST(FitBestResponseTest, ChoosesTheDegreeOfTheTruth) {
  ratebound::testing::Random random("CHOOSES_THE_DEGREE_OF_THE_TRUTH");
  Data data = Line(7, 5);
  for (size_t i = 0; i < data.values.size(); ++i) {
    const double x = data.columns[0][i];
    data.values[i] = 50 + 3 * x - 2 * x * x + 0.2 * random.Normal();
  }
  ASSERT_OK_AND_ASSIGN(FittedSurface fitted, FitBestResponse(data.Problem()));
  EXPECT_EQ(fitted.surface.degree, 2);
  ASSERT_EQ(fitted.surface.candidates.size(), 3u);
  EXPECT_GT(fitted.surface.candidates[0].leave_out_rms_si,
            3 * fitted.surface.candidates[1].leave_out_rms_si);
  EXPECT_EQ(fitted.surface.candidates[1].leave_out_rms_si,
            fitted.surface.leave_out_rms_si);

  const Data two_levels = Line(2, 5);
  ASSERT_OK_AND_ASSIGN(fitted, FitBestResponse(two_levels.Problem()));
  EXPECT_EQ(fitted.surface.degree, 1);
  ASSERT_EQ(fitted.surface.candidates.size(), 3u);
  EXPECT_THAT(fitted.surface.candidates[2].refusal, HasSubstr("has 2 levels"));
}

}  // namespace
}  // namespace ratebound::map
