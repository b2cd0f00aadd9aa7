#include "engine/bound/range_bounder.h"

#include <algorithm>
#include <vector>

#include "engine/bound/bernstein.h"
#include "gtest/gtest.h"
#include "tests/engine/bound/random_polynomial.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::bound {
namespace {

Box RandomBox(testing::Random& random, const Box& whole) {
  Box box;
  for (int i = 0; i < whole.variables(); ++i) {
    const double a = random.Uniform(whole.lo[i], whole.hi[i]);
    const double b = random.Uniform(whole.lo[i], whole.hi[i]);
    box.lo.push_back(std::min(a, b));
    box.hi.push_back(std::max(a, b));
  }
  return box;
}

TEST(RangeBounder, HoldsEveryValueOverAPart) {
  testing::Random random("RANGE_BOUNDER_HOLDS_EVERY_VALUE");
  for (int round = 0; round < 200; ++round) {
    const int variables = random.Integer(1, 4);
    const Polynomial p = RandomPolynomial(random, variables, random.Integer(1, 4));
    Box whole;
    for (int i = 0; i < variables; ++i) {
      whole.lo.push_back(random.Uniform(-5, 0));
      whole.hi.push_back(whole.lo[i] + random.Uniform(0.1, 5));
    }
    ASSERT_OK_AND_ASSIGN(RangeBounder bounder, RangeBounder::Create(p, whole));
    const Box part = RandomBox(random, whole);
    const Interval range = bounder.Range(part);
    for (int sample = 0; sample < 200; ++sample) {
      std::vector<double> x;
      for (int i = 0; i < variables; ++i) {
        // Ends as often as inner points: extremes stand there.
        const int kind = random.Integer(0, 3);
        x.push_back(kind == 0   ? part.lo[i]
                    : kind == 1 ? part.hi[i]
                                : random.Uniform(part.lo[i], part.hi[i]));
      }
      std::vector<Interval> point(x.begin(), x.end());
      const Interval value = p.Evaluate(point);
      ASSERT_LE(range.lo, value.hi);
      ASSERT_GE(range.hi, value.lo);
    }
  }
}

TEST(RangeBounder, IsAsTightAsEncloseRangeButForRounding) {
  testing::Random random("RANGE_BOUNDER_IS_TIGHT");
  const Polynomial p = RandomPolynomial(random, 3, 4);
  const Box whole{.lo = {-1, -1, -1}, .hi = {1, 1, 1}};
  ASSERT_OK_AND_ASSIGN(RangeBounder bounder, RangeBounder::Create(p, whole));
  for (int round = 0; round < 50; ++round) {
    const Box part = RandomBox(random, whole);
    ASSERT_OK_AND_ASSIGN(const RangeEnclosure direct, EncloseRange(p, part));
    const Interval range = bounder.Range(part);
    EXPECT_NEAR(range.lo, direct.range.lo, 1e-11);
    EXPECT_NEAR(range.hi, direct.range.hi, 1e-11);
  }
}

TEST(RangeBounder, SidesWithoutWidthAreFine) {
  ASSERT_OK_AND_ASSIGN(const Polynomial p,
                       Polynomial::Create(2, {1, 0, 0, 1}, {1.0, 1.0}));
  const Box whole{.lo = {0, 3}, .hi = {1, 3}};
  ASSERT_OK_AND_ASSIGN(RangeBounder bounder, RangeBounder::Create(p, whole));
  const Interval range = bounder.Range({.lo = {0.5, 3}, .hi = {1, 3}});
  EXPECT_NEAR(range.lo, 3.5, 1e-12);
  EXPECT_NEAR(range.hi, 4, 1e-12);
}

TEST(RangeBounder, OfAPartOutsideItSaysNothing) {
  ASSERT_OK_AND_ASSIGN(const Polynomial p, Polynomial::Create(1, {1}, {1.0}));
  ASSERT_OK_AND_ASSIGN(RangeBounder bounder,
                       RangeBounder::Create(p, {.lo = {0}, .hi = {1}}));
  EXPECT_EQ(bounder.Range({.lo = {0}, .hi = {1.1}}), Interval::Entire());
  EXPECT_EQ(bounder.Range({.lo = {0, 0}, .hi = {1, 1}}), Interval::Entire());
}

}  // namespace
}  // namespace ratebound::bound
