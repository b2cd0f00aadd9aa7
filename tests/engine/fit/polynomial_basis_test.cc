#include "engine/fit/polynomial_basis.h"

#include <array>
#include <cmath>
#include <limits>
#include <numeric>
#include <string>
#include <vector>

#include "engine/fit/least_squares.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

constexpr auto kInvalid = absl::StatusCode::kInvalidArgument;
constexpr auto kFailed = absl::StatusCode::kFailedPrecondition;

TEST(PolynomialBasisTest, TermsStandInTheDocumentedOrder) {
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::Create(std::vector<ScaledRange>(3), 2));
  EXPECT_THAT(basis.TermNames(), ElementsAre("1", "x0", "x1", "x2", "x0^2", "x0*x1",
                                             "x0*x2", "x1^2", "x1*x2", "x2^2"));
  EXPECT_THAT(basis.exponents(6), ElementsAre(1, 0, 1));
  EXPECT_EQ(basis.TermName(5, std::vector<std::string>{"air", "water"}), "air*water");
}

TEST(PolynomialBasisTest, CountsOfTermsAreBinomial) {
  for (const auto& [variables, degree, terms] :
       std::vector<std::array<int, 3>>{{1, 0, 1},
                                       {1, 10, 11},
                                       {2, 2, 6},
                                       {3, 2, 10},
                                       {3, 3, 20},
                                       {6, 3, 84},
                                       {8, 4, 495}}) {
    ASSERT_OK_AND_ASSIGN(
        const PolynomialBasis basis,
        PolynomialBasis::Create(std::vector<ScaledRange>(variables), degree));
    EXPECT_EQ(basis.terms(), terms);
  }
}

TEST(PolynomialBasisTest, SizesAndRangesAreChecked) {
  EXPECT_THAT(PolynomialBasis::Create({}, 2), StatusIs(kInvalid, HasSubstr("1 to 8")));
  EXPECT_THAT(PolynomialBasis::Create(std::vector<ScaledRange>(9), 1),
              StatusIs(kInvalid, HasSubstr("9 given")));
  EXPECT_THAT(PolynomialBasis::Create(std::vector<ScaledRange>(1), 11),
              StatusIs(kInvalid, "the total degree is 11; expected 0 to 10"));
  EXPECT_THAT(PolynomialBasis::Create(std::vector<ScaledRange>(8), 5),
              StatusIs(kInvalid, HasSubstr("1287 terms")));
  EXPECT_THAT(PolynomialBasis::Create({{.centre = 1, .half_range = 0}}, 1),
              StatusIs(kInvalid, HasSubstr("column 0")));
}

TEST(PolynomialBasisTest, TooFewLevelsAreNamedByColumn) {
  const std::vector<std::vector<double>> columns = {
      {1, 2, 3, 4, 5, 6}, {54.2, 54.2, 54.2, 54.2, 54.2, 54.2}, {7, 8, 7, 8, 7, 8}};
  EXPECT_THAT(
      PolynomialBasis::ForPoints(columns, 2),
      StatusIs(kFailed, AllOf(HasSubstr("column 1 takes 1 distinct level (54.2) in 6"),
                              HasSubstr("column 2 takes 2 distinct levels (7 to 8)"),
                              Not(HasSubstr("column 0")))));
  EXPECT_THAT(PolynomialBasis::ForPoints(columns, 1),
              StatusIs(kFailed, Not(HasSubstr("column 2"))));
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THAT(
      PolynomialBasis::ForPoints(std::vector<std::vector<double>>{{1, nan, 2}}, 1),
      StatusIs(kInvalid, HasSubstr("column 0 holds nan")));
  EXPECT_THAT(
      PolynomialBasis::ForPoints(std::vector<std::vector<double>>{{1, 2}, {1}}, 1),
      StatusIs(kInvalid, HasSubstr("column 1 holds 1 values")));
}

TEST(PolynomialBasisTest, RowAndDesignAgreeBitByBit) {
  Random random("ROW_AND_DESIGN_AGREE");
  std::vector<std::vector<double>> columns(4, std::vector<double>(25));
  for (std::vector<double>& column : columns) {
    for (double& x : column) x = random.Uniform(-20, 60);
  }
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(columns, 3));
  ASSERT_OK_AND_ASSIGN(const DesignMatrix design, basis.Design(columns));
  ASSERT_OK_AND_ASSIGN(const DesignMatrix precise, basis.PreciseDesign(columns));
  std::vector<double> row(basis.terms());
  for (int i = 0; i < design.rows; ++i) {
    basis.Row(std::vector{columns[0][i], columns[1][i], columns[2][i], columns[3][i]},
              row);
    for (int t = 0; t < design.columns; ++t) {
      EXPECT_EQ(row[t], design.at(i, t));
      EXPECT_NEAR(row[t], precise.at(i, t), 4e-15);
      EXPECT_LE(std::fabs(design.at(i, t)), 1 + 1e-14);
    }
  }
}

// T_k(cos t) = cos(k t), the definition of Chebyshev's polynomials.
TEST(PolynomialBasisTest, RowsAreChebyshevPolynomials) {
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::Create({{.centre = 5, .half_range = 2}}, 10));
  std::vector<double> row(11);
  for (int step = 0; step < 32; ++step) {
    const double angle = 0.1 * step;
    basis.Row(std::vector{5 + 2 * std::cos(angle)}, row);
    for (int k = 0; k <= 10; ++k) EXPECT_NEAR(row[k], std::cos(k * angle), 3e-14);
  }
}

TEST(PolynomialBasisTest, MonomialsAreTheSamePolynomial) {
  Random random("MONOMIALS_ARE_THE_SAME_POLYNOMIAL");
  for (const auto& [variables, degree] :
       std::vector<std::array<int, 2>>{{1, 10}, {2, 4}, {3, 3}, {6, 3}, {8, 2}}) {
    ASSERT_OK_AND_ASSIGN(
        const PolynomialBasis basis,
        PolynomialBasis::Create(std::vector<ScaledRange>(variables), degree));
    std::vector<double> coefficients, row(basis.terms()), powers(basis.terms());
    for (int t = 0; t < basis.terms(); ++t) coefficients.push_back(random.Uniform(-1, 1));
    const std::vector<double> monomials = basis.ToMonomials(coefficients);
    for (int round = 0; round < 20; ++round) {
      std::vector<double> z;
      for (int v = 0; v < variables; ++v) z.push_back(random.Uniform(-1, 1));
      basis.Row(z, row);
      basis.MonomialRow(z, powers);
      double by_terms = 0, by_monomials = 0, size = 0;
      for (int t = 0; t < basis.terms(); ++t) {
        by_terms += coefficients[t] * row[t];
        by_monomials += monomials[t] * powers[t];
        size += std::fabs(monomials[t] * powers[t]);
      }
      EXPECT_NEAR(by_terms, by_monomials, 1e-15 * basis.terms() * (1 + size));
    }
  }
}

TEST(PolynomialBasisTest, CovarianceOfMonomialsGivesTheSameBand) {
  Random random("COVARIANCE_OF_MONOMIALS");
  std::vector<std::vector<double>> columns(3, std::vector<double>(40));
  std::vector<double> response(40);
  for (int i = 0; i < 40; ++i) {
    for (std::vector<double>& column : columns) column[i] = random.Uniform(-10, 45);
    response[i] = 100 + columns[0][i] * columns[1][i] + random.Normal();
  }
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::ForPoints(columns, 2));
  ASSERT_OK_AND_ASSIGN(const DesignMatrix design, basis.Design(columns));
  ASSERT_OK_AND_ASSIGN(const LeastSquaresFit fit,
                       SolveLeastSquares({.design = design, .response = response}));
  const std::vector<double> covariance = basis.CovarianceToMonomials(fit.covariance);
  std::vector<double> row(basis.terms()), powers(basis.terms());
  for (int round = 0; round < 50; ++round) {
    std::vector<double> point, z;
    for (const ScaledRange& range : basis.ranges()) {
      point.push_back(random.Uniform(-10, 45));
      z.push_back((point.back() - range.centre) / range.half_range);
    }
    basis.Row(point, row);
    basis.MonomialRow(z, powers);
    const double error = StandardError(fit.covariance, row);
    EXPECT_NEAR(StandardError(covariance, powers), error, 1e-12 * error);
  }
}

TEST(PolynomialBasisTest, RawPowersOfOneConditionAreExactForSmallIntegers) {
  // 3 T_0 - 2 T_1 + T_2 at z = (x - 6) / 2: T_2 = 2 z^2 - 1, so 26 - 7 x + x^2 / 2.
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis basis,
                       PolynomialBasis::Create({{.centre = 6, .half_range = 2}}, 2));
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis::RawPolynomial raw,
                       basis.ToRawPolynomial(std::vector<double>{3, -2, 1}, {}, {}));
  EXPECT_THAT(raw.coefficients, ElementsAre(26, -7, 0.5));
  ASSERT_OK_AND_ASSIGN(const PolynomialBasis two,
                       PolynomialBasis::Create(std::vector<ScaledRange>(2), 1));
  EXPECT_THAT(two.ToRawPolynomial(std::vector<double>{1, 2, 3}, {}, {}),
              StatusIs(kInvalid, HasSubstr("the basis has 2")));
}

}  // namespace
}  // namespace ratebound::fit
