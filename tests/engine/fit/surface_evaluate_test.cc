#include "engine/fit/surface_evaluate.h"

#include <cmath>
#include <vector>

#include "engine/fit/kernels.h"
#include "engine/fit/surface_kernels.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

using ::ratebound::testing::IsOk;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

PolynomialSurface MakeSurface(Random& random, int variables, int degree) {
  std::vector<ScaledRange> ranges;
  for (int v = 0; v < variables; ++v) {
    ranges.push_back(
        {.centre = random.Uniform(-5, 40), .half_range = random.Uniform(1, 30)});
  }
  const PolynomialBasis basis = *PolynomialBasis::Create(ranges, degree);
  std::vector<double> monomials;
  for (int t = 0; t < basis.terms(); ++t) monomials.push_back(random.Uniform(-100, 100));
  return *PolynomialSurface::Create(basis, monomials);
}

std::vector<std::vector<double>> MakePoints(Random& random, int variables, int count) {
  std::vector<std::vector<double>> columns(variables, std::vector<double>(count));
  for (std::vector<double>& column : columns) {
    for (double& x : column) x = random.Uniform(-30, 60);
  }
  return columns;
}

TEST(SurfaceEvaluateTest, BatchGivesTheBitsOfSinglePoints) {
  Random random("BATCH_GIVES_THE_BITS_OF_SINGLE_POINTS");
  for (int variables = 1; variables <= 8; ++variables) {
    for (int degree = 0; degree <= 4; ++degree) {
      const PolynomialSurface surface = MakeSurface(random, variables, degree);
      for (const int count : {0, 1, 3, 4, 7, 64, 101}) {
        const std::vector<std::vector<double>> columns =
            MakePoints(random, variables, count);
        std::vector<double> values(count);
        ASSERT_THAT(surface.Evaluate(std::vector<std::span<const double>>(columns.begin(),
                                                                          columns.end()),
                                     values),
                    IsOk());
        for (int i = 0; i < count; ++i) {
          std::vector<double> point;
          for (const std::vector<double>& column : columns) point.push_back(column[i]);
          ASSERT_EQ(values[i], surface.At(point))
              << variables << " " << degree << " " << i;
        }
      }
    }
  }
}

TEST(SurfaceEvaluateTest, BothBuildsOfTheKernelsGiveTheSameBits) {
  if (!CpuHasAvx2()) GTEST_SKIP() << "this processor runs the baseline alone";
  Random random("BOTH_BUILDS_OF_THE_KERNELS");
  for (int variables = 1; variables <= kKernelVariables; ++variables) {
    for (int degree = 0; degree <= kKernelDegree; ++degree) {
      const std::vector<std::vector<double>> columns = MakePoints(random, variables, 400);
      std::vector<double> nested, centres, reciprocals, baseline(400), wide(400);
      for (int t = 0; t < 84; ++t) nested.push_back(random.Uniform(-1, 1));
      std::vector<const double*> starts;
      for (int v = 0; v < variables; ++v) {
        centres.push_back(random.Uniform(-9, 9));
        reciprocals.push_back(random.Uniform(0.01, 1));
        starts.push_back(columns[v].data());
      }
      const SurfaceInput input = {nested.data(), centres.data(), reciprocals.data(),
                                  starts.data()};
      kBaselineSurfaceKernels.of[variables - 1][degree](input, 0, 400, baseline.data());
      kAvx2SurfaceKernels.of[variables - 1][degree](input, 0, 400, wide.data());
      EXPECT_EQ(baseline, wide) << variables << " " << degree;
    }
  }
}

TEST(SurfaceEvaluateTest, ValueIsTheSumOfMonomials) {
  Random random("VALUE_IS_THE_SUM_OF_MONOMIALS");
  for (int variables = 1; variables <= 8; ++variables) {
    for (int degree = 0; degree <= 4; ++degree) {
      const PolynomialSurface surface = MakeSurface(random, variables, degree);
      std::vector<double> powers(surface.basis().terms());
      for (int round = 0; round < 10; ++round) {
        std::vector<double> point, z;
        for (const ScaledRange& range : surface.basis().ranges()) {
          z.push_back(random.Uniform(-1, 1));
          point.push_back(range.centre + range.half_range * z.back());
          z.back() = (point.back() - range.centre) / range.half_range;
        }
        surface.basis().MonomialRow(z, powers);
        double sum = 0, size = 0;
        for (size_t t = 0; t < powers.size(); ++t) {
          sum += surface.monomials()[t] * powers[t];
          size += std::fabs(surface.monomials()[t] * powers[t]);
        }
        EXPECT_NEAR(surface.At(point), sum, (powers.size() + 8) * 0x1p-52 * size);
      }
    }
  }
}

TEST(SurfaceEvaluateTest, StandardErrorIsThatOfTheCovariance) {
  // Variance of c0 + c1 z with variances 4 and 9 and covariance 2: 4 + 4 z + 9 z^2.
  const PolynomialBasis basis =
      *PolynomialBasis::Create({{.centre = 10, .half_range = 5}}, 1);
  ASSERT_OK_AND_ASSIGN(const PolynomialSurface surface,
                       PolynomialSurface::Create(basis, std::vector<double>{1, 2},
                                                 std::vector<double>{4, 2, 2, 9}));
  EXPECT_DOUBLE_EQ(surface.StandardErrorAt(std::vector{10.0}), 2);
  EXPECT_DOUBLE_EQ(surface.StandardErrorAt(std::vector{15.0}), std::sqrt(17.0));
  EXPECT_DOUBLE_EQ(surface.StandardErrorAt(std::vector{5.0}), 3);
}

TEST(SurfaceEvaluateTest, SizesAreChecked) {
  Random random("SIZES_ARE_CHECKED");
  const PolynomialSurface surface = MakeSurface(random, 2, 1);
  std::vector<double> values(5), short_column(4);
  constexpr auto kInvalid = absl::StatusCode::kInvalidArgument;
  EXPECT_THAT(surface.Evaluate(std::vector<std::span<const double>>{values}, values),
              StatusIs(kInvalid, HasSubstr("2 conditions; 1 columns")));
  EXPECT_THAT(surface.Evaluate(std::vector<std::span<const double>>{values, short_column},
                               values),
              StatusIs(kInvalid, HasSubstr("column 1 holds 4 points")));
  EXPECT_THAT(PolynomialSurface::Create(surface.basis(), std::vector<double>{1, 2}),
              StatusIs(kInvalid, HasSubstr("3 terms")));
}

TEST(KernelsTest, BothBuildsGiveTheSameBits) {
  if (!CpuHasAvx2()) GTEST_SKIP() << "this processor runs the baseline alone";
  Random random("BOTH_BUILDS_GIVE_THE_SAME_BITS");
  const int kRows = 44, kColumns = 7;
  const auto numbers = [&](int count) {
    std::vector<double> all;
    for (int i = 0; i < count; ++i) all.push_back(random.Uniform(-1, 1));
    return all;
  };
  const std::vector<double> matrix = numbers(kRows * kColumns),
                            low = numbers(kRows * kColumns);
  const std::vector<double> b = numbers(kRows), b_low = numbers(kRows),
                            x = numbers(kColumns);
  const std::vector<double> x_low = numbers(kColumns), r = numbers(kRows),
                            r_low = numbers(kRows);
  for (int begin = 0; begin <= kRows; begin += 4) {
    EXPECT_EQ(kBaselineKernels.dot(b.data(), r.data(), begin, kRows),
              kAvx2Kernels.dot(b.data(), r.data(), begin, kRows));
    std::vector<double> one = matrix, other = matrix;
    std::vector<double*> ones, others;
    for (int j = 0; j < kColumns; ++j) {
      ones.push_back(&one[j * kRows]);
      others.push_back(&other[j * kRows]);
    }
    kBaselineKernels.reflect(b.data(), 0.3, ones.data(), kColumns, begin, kRows);
    kAvx2Kernels.reflect(b.data(), 0.3, others.data(), kColumns, begin, kRows);
    EXPECT_EQ(one, other);
  }
  for (const bool with_low : {false, true}) {
    const ResidualInput input = {.rows = kRows,
                                 .columns = kColumns,
                                 .matrix = matrix.data(),
                                 .matrix_low = with_low ? low.data() : nullptr,
                                 .b_high = b.data(),
                                 .b_low = with_low ? b_low.data() : nullptr,
                                 .x_high = x.data(),
                                 .x_low = with_low ? x_low.data() : nullptr,
                                 .r_high = r.data(),
                                 .r_low = with_low ? r_low.data() : nullptr};
    std::vector<double> one(kRows), other(kRows);
    kBaselineKernels.row_residuals(input, one.data());
    kAvx2Kernels.row_residuals(input, other.data());
    EXPECT_EQ(one, other);
    kBaselineKernels.column_residuals(input, one.data());
    kAvx2Kernels.column_residuals(input, other.data());
    EXPECT_EQ(one, other);
  }
}

}  // namespace
}  // namespace ratebound::fit
