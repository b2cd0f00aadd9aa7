#include "engine/fit/intervals.h"

#include <cmath>
#include <string>
#include <vector>

#include "engine/fit/intervals_by_block.h"
#include "engine/fit/intervals_eigen.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/fit/published_sets.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

TEST(IntervalsTest, AgreeWithAnotherImplementation) {
  const ReferenceTable table("regression-diagnostics/diagnostics.txt");
  OutsideCheck ordinary({.name = "fit.intervals_of_r",
                         .source = "R 4.2.2: confint, predict; seven classical sets",
                         .tolerance = 1e-11});
  OutsideCheck ill_conditioned({.name = "fit.intervals_of_r_longley",
                                .source = "R 4.2.2: confint; Longley (1967)",
                                .tolerance = 1e-9});
  for (const std::string set : {"stackloss", "longley_r", "anscombe1", "anscombe2",
                                "anscombe3", "anscombe4", "phones", "cars"}) {
    const PublishedSet data = ReadPublishedSet(set);
    ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(data.problem()));
    OutsideCheck& check = set == "longley_r" ? ill_conditioned : ordinary;
    std::vector<double> ours;
    for (int t = 0; t < fit.terms; ++t) {
      ASSERT_OK_AND_ASSIGN(const Interval interval, TermInterval(fit, t, 0.95));
      ours.push_back(interval.low);
      ours.push_back(interval.high);
    }
    check.Each(set + " terms", ours, table.Numbers(set, "term_interval"));
    if (!table.Has(set, "new_condition")) continue;
    const std::vector<double> conditions = table.Numbers(set, "new_condition");
    std::vector<double> means, predictions;
    for (size_t at = 0; at < conditions.size(); at += fit.terms - 1) {
      std::vector<double> row = {1};
      for (int j = 1; j < fit.terms; ++j) row.push_back(conditions[at + j - 1]);
      ASSERT_OK_AND_ASSIGN(const Interval mean, MeanInterval(fit, row, 0.95));
      ASSERT_OK_AND_ASSIGN(const Interval next, PredictionInterval(fit, row, 0.95));
      for (const double value : {mean.estimate, mean.low, mean.high}) {
        means.push_back(value);
      }
      for (const double value : {next.estimate, next.low, next.high}) {
        predictions.push_back(value);
      }
    }
    check.Each(set + " mean", means, table.Numbers(set, "mean_interval"));
    check.Each(set + " prediction", predictions,
               table.Numbers(set, "prediction_interval"));
  }
}

PublishedSet StackLossInBlocks(bool weighted) {
  PublishedSet data = ReadPublishedSet(weighted ? "stackloss_weighted" : "stackloss");
  for (int i = 0; i < data.design.rows; ++i) data.blocks.push_back(i % 7);
  return data;
}

TEST(BlockIntervalsTest, AgreeWithAnotherImplementation) {
  const ReferenceTable table("regression-diagnostics/influence.txt");
  OutsideCheck check({.name = "fit.intervals_by_block",
                      .source = "R 4.2.2, clubSandwich 0.5.8: vcovCR, coef_test with "
                                "Satterthwaite's degrees; stackloss in 7 blocks",
                      .tolerance = 1e-9});
  for (const bool weighted : {false, true}) {
    const PublishedSet data = StackLossInBlocks(weighted);
    for (const BlockCorrection correction :
         {BlockCorrection::kCR2, BlockCorrection::kCR3}) {
      ASSERT_OK_AND_ASSIGN(const BlockIntervals intervals,
                           BlockIntervals::Create(
                               data.problem(), {.correction = correction,
                                                .degrees = BlockDegrees::kIndependent}));
      const std::string name = std::string(weighted ? "weighted_" : "") +
                               (correction == BlockCorrection::kCR2 ? "cr2" : "cr3");
      // Its CR3 has no factor (G - 1) / G.
      const double factor = correction == BlockCorrection::kCR3 ? std::sqrt(7.0 / 6) : 1;
      std::vector<double> errors, degrees;
      for (int j = 0; j < 4; ++j) {
        std::vector<double> row(4);
        row[j] = 1;
        ASSERT_OK_AND_ASSIGN(const Interval interval, intervals.Mean(row, 0.95));
        errors.push_back(factor * interval.standard_error);
        degrees.push_back(interval.degrees_of_freedom);
      }
      const auto of = [&](const std::string& what) {
        return table.Numbers("stackloss_blocks", name + what);
      };
      check.Each(name + " error", errors, of("_standard_error"));
      check.Each(name + " degrees", degrees, of("_degrees"));
      ASSERT_OK_AND_ASSIGN(const Interval at,
                           intervals.Mean(std::vector<double>{1, 60, 20, 88}, 0.95));
      check.Each(
          name + " at 60, 20, 88",
          std::vector{at.estimate, factor * at.standard_error, at.degrees_of_freedom},
          of("_at_60_20_88"));
    }
  }
}

TEST(BlockIntervalsTest, JackknifeIsThatOfTheFit) {
  for (const bool weighted : {false, true}) {
    const PublishedSet data = StackLossInBlocks(weighted);
    ASSERT_OK_AND_ASSIGN(const BlockIntervals intervals,
                         BlockIntervals::Create(
                             data.problem(), {.correction = BlockCorrection::kCR3,
                                              .degrees = BlockDegrees::kBlocksLessOne}));
    const std::vector<double> row = {1, 65, 22, 85};
    ASSERT_OK_AND_ASSIGN(const Interval mean, intervals.Mean(row, 0.95));
    const LeastSquaresFit& fit = intervals.fit();
    const double expected = StandardError(fit.clusters->covariance, row);
    EXPECT_NEAR(mean.standard_error / expected, 1, 1e-10);
    EXPECT_EQ(mean.degrees_of_freedom, 6);
    const std::vector<double> ratios = BlockErrorRatios(fit);
    ASSERT_EQ(ratios.size(), 4u);
    for (int j = 0; j < 4; ++j) {
      const double robust = std::sqrt(fit.clusters->covariance[5 * j]);
      EXPECT_NEAR(ratios[j] * fit.StandardErrorOf(j) / robust, 1, 1e-14);
    }
  }
}

// A balanced one-way layout has textbook answers: the mean of G blocks of m.
TEST(BlockIntervalsTest, OneWayLayoutIsThatOfTheAnalysisOfVariance) {
  Random random("ONE_WAY_LAYOUT");
  constexpr int kBlocks = 9, kEach = 4, kRows = kBlocks * kEach;
  DesignMatrix design(kRows, 1);
  std::vector<double> response, means(kBlocks);
  std::vector<int> blocks;
  double grand = 0;
  for (int g = 0; g < kBlocks; ++g) {
    const double day = 3 * random.Normal();
    for (int k = 0; k < kEach; ++k) {
      design.at(g * kEach + k, 0) = 1;
      response.push_back(100 + day + random.Normal());
      blocks.push_back(10 + g);
      means[g] += response.back() / kEach;
      grand += response.back() / kRows;
    }
  }
  double between = 0, within = 0;  // mean squares
  for (int i = 0; i < kRows; ++i) {
    within += (response[i] - means[i / kEach]) * (response[i] - means[i / kEach]) /
              (kRows - kBlocks);
  }
  for (const double mean : means) {
    between += kEach * (mean - grand) * (mean - grand) / (kBlocks - 1);
  }
  const std::vector<double> row = {1};
  for (const BlockCorrection correction :
       {BlockCorrection::kCR2, BlockCorrection::kCR3}) {
    for (const BlockDegrees degrees :
         {BlockDegrees::kBlocksLessOne, BlockDegrees::kIndependent,
          BlockDegrees::kEquallyCorrelated}) {
      ASSERT_OK_AND_ASSIGN(const BlockIntervals intervals,
                           BlockIntervals::Create(
                               {.design = design, .response = response, .blocks = blocks},
                               {.correction = correction, .degrees = degrees}));
      EXPECT_NEAR(intervals.within_variance(), within, 1e-11);
      EXPECT_NEAR(intervals.between_variance(), (between - within) / kEach, 1e-11);
      ASSERT_OK_AND_ASSIGN(const Interval mean, intervals.Mean(row, 0.95));
      EXPECT_NEAR(mean.degrees_of_freedom, kBlocks - 1, 1e-10);
      EXPECT_NEAR(mean.standard_error, std::sqrt(between / kRows), 1e-11);
      ASSERT_OK_AND_ASSIGN(const Interval next, intervals.Prediction(row, 0.95));
      const double total = (between - within) / kEach + within;
      EXPECT_NEAR(next.standard_error, std::sqrt(total + between / kRows), 1e-10);
      // Satterthwaite's own example of such a sum of mean squares.
      const double a = between / kEach, b = within * (kEach - 1) / kEach;
      EXPECT_NEAR(intervals.total_degrees_of_freedom(),
                  total * total / (a * a / (kBlocks - 1) + b * b / (kRows - kBlocks)),
                  1e-8);
    }
  }
}

// What leaving block g out does to the surface is linear in the responses, so refitting
// unit responses gives the z_g of the jackknife, and Omega from its definition.
TEST(BlockIntervalsTest, DegreesAreThoseOfRefittedUnitResponses) {
  PublishedSet data = ReadPublishedSet("stackloss");
  const int rows = data.design.rows, blocks = 7;
  for (int i = 0; i < rows; ++i) data.blocks.push_back(i < 4 ? 0 : i % blocks);
  for (int i = 0; i < rows; ++i) data.response[i] += 4 * (data.blocks[i] % 3);
  const std::vector<double> row = {1, 65, 22, 85};
  std::vector<std::vector<double>> z(blocks);  // by block, then by response
  for (int unit = 0; unit < rows; ++unit) {
    for (int g = 0; g < blocks; ++g) {
      std::vector<int> kept;
      for (int i = 0; i < rows; ++i) {
        if (data.blocks[i] != g) kept.push_back(i);
      }
      DesignMatrix design(static_cast<int>(kept.size()), data.design.columns);
      std::vector<double> without, all(rows);
      for (int i = 0; i < design.rows; ++i) {
        for (int j = 0; j < design.columns; ++j) {
          design.at(i, j) = data.design.at(kept[i], j);
        }
        without.push_back(kept[i] == unit);
      }
      all[unit] = 1;
      ASSERT_OK_AND_ASSIGN(const LeastSquaresFit part,
                           SolveLeastSquares({.design = design, .response = without}));
      ASSERT_OK_AND_ASSIGN(const LeastSquaresFit whole,
                           SolveLeastSquares({.design = data.design, .response = all}));
      z[g].push_back(Estimate(whole, row) - Estimate(part, row));
    }
  }
  for (const BlockDegrees degrees :
       {BlockDegrees::kIndependent, BlockDegrees::kEquallyCorrelated}) {
    ASSERT_OK_AND_ASSIGN(
        const BlockIntervals intervals,
        BlockIntervals::Create(
            data.problem(), {.correction = BlockCorrection::kCR3, .degrees = degrees}));
    EXPECT_GT(intervals.correlation(), 0.1);
    const double rho =
        degrees == BlockDegrees::kIndependent ? 0 : intervals.correlation();
    double trace = 0, trace_of_square = 0;
    for (int g = 0; g < blocks; ++g) {
      for (int h = 0; h < blocks; ++h) {
        double omega = 0;
        for (int a = 0; a < rows; ++a) {
          for (int b = 0; b < rows; ++b) {
            const double phi = a == b ? 1 : (data.blocks[a] == data.blocks[b] ? rho : 0);
            omega += z[g][a] * phi * z[h][b];
          }
        }
        trace += g == h ? omega : 0;
        trace_of_square += omega * omega;
      }
    }
    ASSERT_OK_AND_ASSIGN(const Interval mean, intervals.Mean(row, 0.95));
    EXPECT_NEAR(mean.degrees_of_freedom, trace * trace / trace_of_square, 1e-7);
  }
}

TEST(BlockIntervalsTest, BlocksOfOnePointAreIndependentPoints) {
  PublishedSet data = ReadPublishedSet("cars");
  for (int i = 0; i < data.design.rows; ++i) data.blocks.push_back(i);
  ASSERT_OK_AND_ASSIGN(const BlockIntervals intervals,
                       BlockIntervals::Create(data.problem(), {}));
  const LeastSquaresFit& fit = intervals.fit();
  EXPECT_EQ(intervals.between_variance(), 0);
  EXPECT_NEAR(intervals.within_variance(), fit.residual_sd * fit.residual_sd, 1e-10);
  EXPECT_NEAR(intervals.total_degrees_of_freedom(), fit.degrees_of_freedom, 1e-9);
}

TEST(BlockIntervalsTest, WhatTheBlocksCannotCarryIsRefused) {
  PublishedSet data = ReadPublishedSet("stackloss");
  EXPECT_THAT(BlockIntervals::Create(data.problem(), {}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("block of each")));
  for (int i = 0; i < data.design.rows; ++i) data.blocks.push_back(i % 4);
  EXPECT_THAT(
      BlockIntervals::Create(data.problem(), {}),
      StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("at least 5 blocks")));
}

TEST(IntervalsTest, UnusableInputIsRefused) {
  constexpr auto kInvalid = absl::StatusCode::kInvalidArgument;
  const PublishedSet data = StackLossInBlocks(false);
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit, SolveLeastSquares(data.problem()));
  ASSERT_OK_AND_ASSIGN(const BlockIntervals by_block,
                       BlockIntervals::Create(data.problem(), {}));
  const std::vector<double> row = {1, 60, 20, 88}, short_row = {1, 60};
  for (const double bad : {0.0, 1.0, -0.5, std::nan("")}) {
    EXPECT_THAT(TermInterval(fit, 0, bad), StatusIs(kInvalid, HasSubstr("confidence")));
    EXPECT_THAT(MeanInterval(fit, row, bad), StatusIs(kInvalid, HasSubstr("0.95")));
    EXPECT_THAT(by_block.Mean(row, bad), StatusIs(kInvalid, HasSubstr("confidence")));
  }
  EXPECT_THAT(TermInterval(fit, 4, 0.95), StatusIs(kInvalid, HasSubstr("no term 4")));
  EXPECT_THAT(MeanInterval(fit, short_row, 0.95),
              StatusIs(kInvalid, HasSubstr("2 numbers")));
  EXPECT_THAT(by_block.Prediction(short_row, 0.95),
              StatusIs(kInvalid, HasSubstr("2 numbers")));
  EXPECT_THAT(PredictionInterval(fit, row, 0.95, 0),
              StatusIs(kInvalid, HasSubstr("weight")));
  EXPECT_THAT(by_block.Prediction(row, 0.95, -1),
              StatusIs(kInvalid, HasSubstr("weight")));
}

TEST(IntervalsTest, EigenvectorsRebuildTheirMatrix) {
  Random random("EIGENVECTORS_REBUILD_THEIR_MATRIX");
  for (int size = 1; size <= 12; ++size) {
    std::vector<double> matrix(size * size);
    for (int a = 0; a < size; ++a) {
      for (int b = 0; b <= a; ++b) {
        matrix[a * size + b] = matrix[b * size + a] = random.Uniform(-1, 1);
      }
    }
    const SymmetricEigen eigen = EigenOf(matrix, size);
    for (int a = 0; a < size; ++a) {
      for (int b = 0; b < size; ++b) {
        double rebuilt = 0, product = 0;
        for (int k = 0; k < size; ++k) {
          rebuilt +=
              eigen.vectors[a * size + k] * eigen.values[k] * eigen.vectors[b * size + k];
          product += eigen.vectors[k * size + a] * eigen.vectors[k * size + b];
        }
        EXPECT_NEAR(rebuilt, matrix[a * size + b], 1e-14);
        EXPECT_NEAR(product, a == b ? 1 : 0, 1e-14);
      }
    }
  }
}

}  // namespace
}  // namespace ratebound::fit
