// Tables: tests/data/quantiles (R 4.2.2). Values marked "50 digits" were computed with
// mpmath 1.2 at 50 decimal digits.
#include "engine/number/distribution.h"

#include <cmath>
#include <fstream>
#include <limits>
#include <sstream>
#include <string>
#include <vector>

#include "gtest/gtest.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::number {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::Random;

constexpr double kInfinity = std::numeric_limits<double>::infinity();

double RelativeError(double value, double exact) { return std::fabs(value / exact - 1); }

std::vector<std::vector<double>> ReadTable(const std::string& name) {
  std::ifstream file(std::string(RATEBOUND_SOURCE_DIR) + "/tests/data/quantiles/" + name);
  std::string line;
  std::getline(file, line);  // header
  std::vector<std::vector<double>> rows;
  while (std::getline(file, line)) {
    std::vector<double> row;
    std::istringstream cells(line);
    for (std::string cell; std::getline(cells, cell, ',');)
      row.push_back(std::stod(cell));
    rows.push_back(row);
  }
  return rows;
}

// What a row of a table asks: all but its last cell.
std::string Arguments(const std::vector<double>& row) {
  std::string text;
  for (size_t i = 0; i + 1 < row.size(); ++i) {
    text += (i == 0 ? "" : ", ") + base::ShortestText(row[i]);
  }
  return text;
}

TEST(StudentTQuantile, TableOfR) {
  const auto rows = ReadTable("t-quantiles.csv");
  ASSERT_EQ(rows.size(), 280);
  OutsideCheck check(
      {.name = "number.t_quantiles", .source = "R 4.2.2, qt", .tolerance = 2e-13});
  for (const auto& row : rows) {
    if (row[2] == 0) {
      check.Absolute(Arguments(row), StudentTQuantile(row[0], row[1]), 0);
    } else {
      check.Relative(Arguments(row), StudentTQuantile(row[0], row[1]), row[2]);
    }
  }
}

TEST(FQuantile, TableOfR) {
  const auto rows = ReadTable("f-quantiles.csv");
  ASSERT_EQ(rows.size(), 352);
  OutsideCheck check(
      {.name = "number.f_quantiles", .source = "R 4.2.2, qf", .tolerance = 2e-13});
  for (const auto& row : rows) {
    check.Relative(Arguments(row), FQuantile(row[0], row[1], row[2]), row[3]);
  }
}

TEST(ChiSquareQuantile, TableOfR) {
  const auto rows = ReadTable("chi2-quantiles.csv");
  ASSERT_EQ(rows.size(), 138);
  OutsideCheck check({.name = "number.chi_square_quantiles",
                      .source = "R 4.2.2, qchisq",
                      .tolerance = 2e-13});
  for (const auto& row : rows) {
    check.Relative(Arguments(row), ChiSquareQuantile(row[0], row[1]), row[2]);
  }
}

// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1 to 1.3.6.7.4, as printed
// (from memory).
TEST(Quantiles, PrintedHandbookTables) {
  OutsideCheck check({.name = "number.printed_quantiles",
                      .source =
                          "NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1 "
                          "to 1.3.6.7.4 (from memory, three decimals)",
                      .tolerance = 5e-4});
  check.Absolute("normal 0.975", NormalQuantile(0.975), 1.960);
  check.Absolute("t 0.95, 10", StudentTQuantile(0.95, 10), 1.812);
  check.Absolute("t 0.975, 10", StudentTQuantile(0.975, 10), 2.228);
  check.Absolute("t 0.975, 1", StudentTQuantile(0.975, 1), 12.706);
  check.Absolute("t 0.99, 30", StudentTQuantile(0.99, 30), 2.457);
  check.Absolute("F 0.95, 5, 10", FQuantile(0.95, 5, 10), 3.326);
  check.Absolute("F 0.95, 1, 1", FQuantile(0.95, 1, 1), 161.448);
  check.Absolute("chi-square 0.95, 10", ChiSquareQuantile(0.95, 10), 18.307);
  check.Absolute("chi-square 0.05, 10", ChiSquareQuantile(0.05, 10), 3.940);
}

TEST(NormalCdf, FiftyDigitValuesFarIntoTheTail) {
  const struct {
    double z, p;
  } kCases[] = {{-1, 0.15865525393145705141},     {-1.5, 0.066807201268858066004},
                {-5, 2.8665157187919391167e-7},   {-10, 7.619853024160526066e-24},
                {-20, 2.7536241186062336951e-89}, {-37.5, 4.6053530095819548438e-308},
                {2, 0.9772498680518207928}};
  OutsideCheck check({.name = "number.normal_tail",
                      .source = "mpmath 1.2, 50 decimal digits",
                      .tolerance = 6e-16});
  for (const auto& [z, p] : kCases) {
    check.Relative("at " + base::ShortestText(z), NormalCdf(z), p);
  }
}

TEST(NormalQuantile, FiftyDigitValuesFarIntoTheTail) {
  const struct {
    double p, z;
  } kCases[] = {{0.975, 1.9599639845400538556},  {0.3, -0.52440051270804081597},
                {0.999, 3.0902323061678132778},  {1e-10, -6.3613409024040561991},
                {1e-20, -9.2623400897984075796}, {1e-300, -37.047096299361199237}};
  OutsideCheck check({.name = "number.normal_quantile",
                      .source = "mpmath 1.2, 50 decimal digits",
                      .tolerance = 6e-16});
  for (const auto& [p, z] : kCases) {
    check.Relative("at " + base::ShortestText(p), NormalQuantile(p), z);
  }
}

TEST(StudentTCdf, FiftyDigitTails) {
  const struct {
    double t, degrees_of_freedom, upper;
  } kCases[] = {
      {40, 7, 7.9510899924251852343e-10},  {10, 30, 2.2876257041148065963e-11},
      {6, 1000, 1.3776845866887345563e-9}, {0.001, 3, 0.49963244748473046901},
      {2, 2.5, 0.078695747878982993312},   {8, 1e5, 6.2869599381281867931e-16},
      {1000, 0.5, 0.01014145454085709466}, {1e10, 1, 3.1830988618379067154e-11},
      {5, 1e7, 2.866564037504269496e-7},   {30, 1e7, 5.0073068454089001109e-198}};
  OutsideCheck check({.name = "number.t_tail",
                      .source = "mpmath 1.2, 50 decimal digits",
                      .tolerance = 2e-13});
  for (const auto& c : kCases) {
    check.Relative(
        base::ShortestText(c.t) + ", " + base::ShortestText(c.degrees_of_freedom),
        StudentTCdf(-c.t, c.degrees_of_freedom), c.upper);
    EXPECT_NEAR(StudentTCdf(c.t, c.degrees_of_freedom), 1 - c.upper, 2e-16);
  }
}

TEST(FUpperTail, FiftyDigitValues) {
  const struct {
    double f, d1, d2, upper;
  } kCases[] = {{4, 3, 20, 0.022076999662362429188},
                {100, 5, 7.5, 1.1269702073676951051e-6},
                {0.01, 4, 9, 0.99976020511441207326},
                {1.2, 400, 600, 0.022049330552790846827},
                {3, 1, 0.7, 0.40379156425216141317}};
  OutsideCheck check({.name = "number.f_tail",
                      .source = "mpmath 1.2, 50 decimal digits",
                      .tolerance = 5e-14});
  for (const auto& c : kCases) {
    check.Relative("at " + base::ShortestText(c.f), FUpperTail(c.f, c.d1, c.d2), c.upper);
    EXPECT_LE(RelativeError(FCdf(1 / c.f, c.d2, c.d1), c.upper), 5e-14);  // reciprocal
  }
}

TEST(ChiSquareTails, FiftyDigitValues) {
  EXPECT_LE(RelativeError(ChiSquareUpperTail(100, 10), 5.4497019829205293351e-17), 5e-14);
  EXPECT_LE(RelativeError(ChiSquareUpperTail(3, 0.5), 0.033416444158979030304), 5e-14);
  EXPECT_LE(RelativeError(ChiSquareCdf(0.001, 5), 1.6814877189706274556e-9), 5e-14);
  EXPECT_LE(RelativeError(ChiSquareUpperTail(1200, 1000), 1.2255942330622904168e-5),
            5e-14);
  EXPECT_LE(RelativeError(ChiSquareUpperTail(300, 2), 7.1750959731644104198e-66), 5e-14);
}

double RandomDegreesOfFreedom(Random& random) {
  return std::exp(random.Uniform(-0.7, 14));
}
double RandomProbability(Random& random) {
  return random.Integer(0, 1) == 0 ? random.Uniform(0, 1)
                                   : std::exp(random.Uniform(-400, -0.7));
}

TEST(RoundTrips, CdfOfQuantileIsTheProbability) {
  Random random("CDF_OF_QUANTILE");
  for (int i = 0; i < 3000; ++i) {
    const double p = RandomProbability(random);
    const double d1 = RandomDegreesOfFreedom(random);
    const double d2 = RandomDegreesOfFreedom(random);
    ASSERT_LE(RelativeError(NormalCdf(NormalQuantile(p)), p), 1e-12) << p;
    const double t = StudentTQuantile(p, d1);
    if (std::isfinite(t)) {
      ASSERT_LE(RelativeError(StudentTCdf(t, d1), p), 1e-11) << p << " " << d1;
    }
    const double x = ChiSquareQuantile(p, d1);
    if (x > 1e-300) {
      ASSERT_LE(RelativeError(ChiSquareCdf(x, d1), p), 1e-10) << p << " " << d1;
    }
    const double f = FQuantile(p, d1, d2);
    if (f > 1e-300) {
      ASSERT_LE(RelativeError(FCdf(f, d1, d2), p), 1e-10) << p << " " << d1 << " " << d2;
    }
    const double f_upper = FUpperQuantile(p, d1, d2);
    if (f_upper < 1e300) {
      ASSERT_LE(RelativeError(FUpperTail(f_upper, d1, d2), p), 1e-10)
          << p << " " << d1 << " " << d2;
    }
    const double x_upper = ChiSquareUpperQuantile(p, d1);
    ASSERT_LE(RelativeError(ChiSquareUpperTail(x_upper, d1), p), 1e-10) << p << " " << d1;
  }
}

TEST(Identities, ClosedFormsOfStudentsT) {
  Random random("CLOSED_FORMS_OF_T");
  for (int i = 0; i < 1000; ++i) {
    const double p = random.Uniform(0.001, 0.999);
    // One degree of freedom is Cauchy: t = tan(pi (p - 1/2)).
    const double cauchy = static_cast<double>(tanl(M_PIl * (p - 0.5L)));
    ASSERT_NEAR(StudentTQuantile(p, 1), cauchy, 2e-14 * (1 + std::fabs(cauchy)));
    // Two: t = (2p - 1) sqrt(2 / (1 - (2p - 1)^2)).
    const double c = 2 * p - 1;
    const double two = c * std::sqrt(2 / ((1 - c) * (1 + c)));
    ASSERT_NEAR(StudentTQuantile(p, 2), two, 2e-14 * (1 + std::fabs(two)));
  }
}

TEST(Identities, BetweenTheDistributions) {
  Random random("IDENTITIES");
  for (int i = 0; i < 500; ++i) {
    const double p = random.Uniform(0.01, 0.99);
    const double d1 = RandomDegreesOfFreedom(random);
    const double d2 = RandomDegreesOfFreedom(random);
    const double t = StudentTQuantile(0.5 + p / 2, d2);
    ASSERT_LE(RelativeError(t * t, FQuantile(p, 1, d2)), 1e-11);
    ASSERT_LE(RelativeError(1 / FQuantile(p, d1, d2), FUpperQuantile(p, d2, d1)), 1e-11);
    ASSERT_LE(
        RelativeError(ChiSquareQuantile(p, 2), static_cast<double>(-2 * log1pl(-p))),
        1e-13);
    ASSERT_EQ(StudentTQuantile(p, kInfinity), NormalQuantile(p));
    ASSERT_LE(RelativeError(FQuantile(p, d1, kInfinity), ChiSquareQuantile(p, d1) / d1),
              1e-13);
  }
}

// Either side of the switch to the equivalent normal deviate, by both ways.
TEST(StudentT, BothWaysMeetAtManyDegreesOfFreedom) {
  const double below = std::nextafter(1e4, 0);
  for (double t : {0.1, 1.0, 3.0, 10.0, 30.0}) {
    EXPECT_LE(RelativeError(StudentTCdf(-t, below), StudentTCdf(-t, 1e4)), 2e-12) << t;
  }
  for (double p : {1e-200, 1e-20, 0.01, 0.4, 0.6, 0.999}) {
    EXPECT_LE(RelativeError(StudentTQuantile(p, below), StudentTQuantile(p, 1e4)), 1e-12)
        << p;
  }
}

// The expansion of Cornish and Fisher (1938; Goldberg and Levine 1946) in 1/sqrt(df),
// from memory; at these degrees of freedom its next term is below 1e-15 of the quantile.
TEST(ChiSquareQuantile, CornishFisherExpansionAtManyDegreesOfFreedom) {
  for (double df : {1e6, 1e8, 1e10}) {
    for (double p : {1e-6, 0.025, 0.4, 0.9, 0.999}) {
      const double z = NormalQuantile(p);
      const double s = z * z;
      const double root = std::sqrt(2 * df);
      const double expansion = df + z * root + 2.0 / 3 * (s - 1) +
                               z * (s - 7) / (9 * root) -
                               (6 * s * s + 14 * s - 32) / (405 * df);
      EXPECT_LE(RelativeError(ChiSquareQuantile(p, df), expansion), 1e-14)
          << p << " " << df;
    }
  }
}

TEST(Quantiles, EndsOfTheSupport) {
  EXPECT_EQ(NormalQuantile(0), -kInfinity);
  EXPECT_EQ(NormalQuantile(1), kInfinity);
  EXPECT_EQ(StudentTQuantile(0, 5), -kInfinity);
  EXPECT_EQ(StudentTQuantile(1, 5), kInfinity);
  EXPECT_EQ(StudentTQuantile(0.5, 5), 0);
  EXPECT_EQ(FQuantile(0, 2, 3), 0);
  EXPECT_EQ(FQuantile(1, 2, 3), kInfinity);
  EXPECT_EQ(ChiSquareQuantile(0, 4), 0);
  EXPECT_EQ(ChiSquareUpperQuantile(0, 4), kInfinity);
  EXPECT_EQ(StudentTCdf(kInfinity, 3), 1);
  EXPECT_EQ(StudentTCdf(-kInfinity, 3), 0);
  EXPECT_EQ(FCdf(kInfinity, 3, 4), 1);
  EXPECT_EQ(NormalCdf(-kInfinity), 0);
  EXPECT_EQ(NormalCdf(kInfinity), 1);
}

TEST(Distributions, OutsideTheDomainIsNotANumber) {
  const double nan = std::nan("");
  for (double p : {-0.1, 1.1, nan}) {
    EXPECT_TRUE(std::isnan(NormalQuantile(p)));
    EXPECT_TRUE(std::isnan(StudentTQuantile(p, 5)));
    EXPECT_TRUE(std::isnan(FQuantile(p, 2, 3)));
    EXPECT_TRUE(std::isnan(FUpperQuantile(p, 2, 3)));
    EXPECT_TRUE(std::isnan(ChiSquareQuantile(p, 3)));
  }
  for (double d : {0.0, -1.0, nan}) {
    EXPECT_TRUE(std::isnan(StudentTQuantile(0.9, d)));
    EXPECT_TRUE(std::isnan(StudentTCdf(1, d)));
    EXPECT_TRUE(std::isnan(FQuantile(0.9, d, 3)));
    EXPECT_TRUE(std::isnan(FCdf(1, 3, d)));
    EXPECT_TRUE(std::isnan(ChiSquareQuantile(0.9, d)));
    EXPECT_TRUE(std::isnan(ChiSquareCdf(1, d)));
  }
  EXPECT_TRUE(std::isnan(NormalCdf(nan)));
  EXPECT_TRUE(std::isnan(StudentTCdf(nan, 3)));
  EXPECT_TRUE(std::isnan(FCdf(-1, 3, 4)));
}

}  // namespace
}  // namespace ratebound::number
