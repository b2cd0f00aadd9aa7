#include "engine/number/random_stream.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "engine/number/distribution.h"
#include "gtest/gtest.h"
#include "tests/testing/outside.h"

namespace ratebound::number {
namespace {

using ::ratebound::testing::OutsideCheck;
using Words = std::array<uint32_t, 4>;

TEST(Philox4x32, KnownAnswerVectors) {
  struct Case {
    const char* name;
    Words counter;
    std::array<uint32_t, 2> key;
    Words answer;
  };
  const Case kCases[] = {
      {"zeros", {0, 0, 0, 0}, {0, 0}, {0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}},
      {"ones",
       {0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff},
       {0xffffffff, 0xffffffff},
       {0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}},
      {"digits of pi",
       {0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344},
       {0xa4093822, 0x299f31d0},
       {0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}},
  };
  OutsideCheck check({.name = "number.philox_known_answers",
                      .source =
                          "Salmon et al., SC11 2011, known-answer vectors published "
                          "with the paper, philox4x32 10"});
  for (const Case& c : kCases) {
    check.Holds(c.name, Philox4x32(c.counter, c.key) == c.answer);
  }
}

TEST(OpenUniform, EndsAreNeverMetAndMirrorEachOther) {
  EXPECT_EQ(OpenUniform(0, 0), 0x1p-53);
  EXPECT_EQ(OpenUniform(0xffffffff, 0xffffffff), 1 - 0x1p-53);
  for (uint32_t high = 1; high < 0xf0000000; high = high * 3 + 7) {
    EXPECT_EQ(OpenUniform(high, 12345) + OpenUniform(~high, ~12345u), 1);
  }
}

TEST(RandomStream, PlacesAreApart) {
  // Draw, lane and both halves of the seed all count.
  const std::vector<double> firsts = {
      RandomStream(1).At(0, 0).first,          RandomStream(1).At(1, 0).first,
      RandomStream(1).At(0, 1).first,          RandomStream(1).At(1ull << 32, 0).first,
      RandomStream(1ull << 32).At(0, 0).first, RandomStream(2).At(0, 0).first,
      RandomStream(1).At(0, 0).second};
  for (size_t i = 0; i < firsts.size(); ++i) {
    EXPECT_EQ(std::ranges::count(firsts, firsts[i]), 1) << i;
  }
  static_assert(RandomStream(1).At(5, 3).first == RandomStream(1).At(5, 3).first);
}

// The largest distance between the draws' distribution and `cdf`, times sqrt(n): below
// 1.95 with probability 0.999 (Kolmogorov 1933). The seed is fixed, so this cannot flake.
template <typename Draw, typename Cdf>
double KolmogorovDistance(Draw draw, Cdf cdf) {
  constexpr int kDraws = 100'000;
  const RandomStream stream(20240229);
  std::vector<double> draws(kDraws);
  for (int i = 0; i < kDraws; ++i) draws[i] = draw(stream.At(i, 4));
  std::ranges::sort(draws);
  double distance = 0;
  for (int i = 0; i < kDraws; ++i) {
    const double p = cdf(draws[i]);
    distance =
        std::max({distance, p - double{1. * i / kDraws}, double{(i + 1.) / kDraws} - p});
  }
  return distance * std::sqrt(double{kDraws});
}

TEST(RandomStream, DrawsFollowTheirDistributions) {
  constexpr double kLimit = 1.95;
  constexpr double kPi = 3.14159265358979323846;
  EXPECT_LT(KolmogorovDistance([](const UniformPair& u) { return u.first; },
                               [](double x) { return x; }),
            kLimit);
  EXPECT_LT(KolmogorovDistance([](const UniformPair& u) { return u.second; },
                               [](double x) { return x; }),
            kLimit);
  EXPECT_LT(KolmogorovDistance(NormalDraw, NormalCdf), kLimit);
  EXPECT_LT(KolmogorovDistance(RectangularDraw,
                               [](double x) { return (x / std::sqrt(3.0) + 1) / 2; }),
            kLimit);
  EXPECT_LT(KolmogorovDistance(TriangularDraw,
                               [](double x) {
                                 const double tail = 1 - std::fabs(x) / std::sqrt(6.0);
                                 return x < 0 ? tail * tail / 2 : 1 - tail * tail / 2;
                               }),
            kLimit);
  EXPECT_LT(KolmogorovDistance(
                ArcsineDraw,
                [](double x) {
                  return 0.5 + std::asin(std::clamp(x / std::sqrt(2.0), -1., 1.)) / kPi;
                }),
            kLimit);
  for (const double df : {0.7, 1.0, 2.0, 9.5, 300.0, 1e7}) {
    EXPECT_LT(
        KolmogorovDistance([&](const UniformPair& u) { return StudentTDraw(u, df); },
                           [&](double t) { return StudentTCdf(t, df); }),
        kLimit)
        << df;
  }
  // Density of the curvilinear trapezoid: JCGM 101:2008, 6.4.3.2, by its definition as a
  // mixture of rectangles of half width w - d to w + d.
  const double w = std::sqrt(3.0);
  const double d = 0.6;
  EXPECT_LT(KolmogorovDistance(
                [&](const UniformPair& u) { return CurvilinearTrapezoidDraw(u, d); },
                [&](double x) {
                  double p = 0;
                  constexpr int kSteps = 400;
                  for (int i = 0; i < kSteps; ++i) {
                    const double half = w - d + 2 * d * (i + 0.5) / kSteps;
                    p += std::clamp((x / half + 1) / 2, 0.0, 1.0) / kSteps;
                  }
                  return p;
                }),
            kLimit);
}

TEST(RandomStream, NeighbouringLanesAndDrawsAreUncorrelated) {
  constexpr int kDraws = 100'000;
  const RandomStream stream(11);
  double lanes = 0;
  double draws = 0;
  double pair = 0;
  for (int i = 0; i < kDraws; ++i) {
    const UniformPair here = stream.At(i, 0);
    lanes += (here.first - 0.5) * (stream.At(i, 1).first - 0.5);
    draws += (here.first - 0.5) * (stream.At(i + 1, 0).first - 0.5);
    pair += (here.first - 0.5) * (here.second - 0.5);
  }
  // The standard error of a correlation coefficient is 1/sqrt(n).
  const double scale = 12.0 / kDraws;
  for (const double sum : {lanes, draws, pair}) {
    EXPECT_LT(std::fabs(sum * scale), 4 / std::sqrt(double{kDraws}));
  }
}

TEST(StudentTDraw, FarTailsDoNotOverflowAndLargeDegreesAreNormal) {
  const UniformPair extreme{0x1p-53, 0x1p-53};
  EXPECT_TRUE(std::isfinite(StudentTDraw(extreme, 1)));
  EXPECT_EQ(StudentTDraw({0.3, 0.3}, INFINITY), NormalQuantile(0.3));
}

}  // namespace
}  // namespace ratebound::number
