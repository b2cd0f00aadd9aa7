#include "engine/number/error_free.h"

#include <cmath>

#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::number {
namespace {

using ::ratebound::testing::Random;

// GCC's binary128 arithmetic, 113 bits: holds the products of doubles exactly.
using Quad = __float128;

double RandomOfAnySize(Random& random) {
  return std::ldexp(random.Uniform(-1, 1), random.Integer(-200, 200));
}

TEST(TwoSum, ValueIsTheRoundedSumAndErrorTheRest) {
  Random random("TWO_SUM");
  for (int i = 0; i < 100000; ++i) {
    const double a = random.Uniform(-1, 1);
    const double b = std::ldexp(random.Uniform(-1, 1), random.Integer(-50, 50));
    const auto [value, error] = TwoSum(a, b);
    ASSERT_EQ(value, a + b);
    ASSERT_TRUE(Quad(value) + Quad(error) == Quad(a) + Quad(b)) << a << " " << b;
  }
}

TEST(TwoProduct, ErrorIsThatOfAFusedMultiplyAdd) {
  Random random("TWO_PRODUCT");
  for (int i = 0; i < 100000; ++i) {
    const double a = RandomOfAnySize(random);
    const double b = RandomOfAnySize(random);
    const auto [value, error] = TwoProduct(a, b);
    ASSERT_EQ(value, a * b);
    ASSERT_EQ(error, std::fma(a, b, -value)) << a << " " << b;
  }
}

TEST(Split, HalvesFitInTwentySixBitsAndAddUp) {
  Random random("SPLIT");
  for (int i = 0; i < 10000; ++i) {
    const double a = RandomOfAnySize(random);
    const auto [high, low] = Split(a);
    ASSERT_EQ(high + low, a);
    ASSERT_EQ(std::fma(high, high, -high * high), 0);  // 52 bits hold the square
    ASSERT_EQ(std::fma(low, low, -low * low), 0);
  }
}

Quad ToQuad(const DoubleDouble& x) { return Quad(x.high()) + Quad(x.low()); }

double RelativeError(const DoubleDouble& x, Quad exact) {
  const Quad error = (ToQuad(x) - exact) / exact;
  return std::fabs(static_cast<double>(error));
}

DoubleDouble RandomDoubleDouble(Random& random) {
  return DoubleDouble::Sum(random.Uniform(-1, 1), random.Uniform(-0x1p-54, 0x1p-54));
}

TEST(DoubleDouble, ArithmeticKeepsItsErrorBounds) {
  Random random("DOUBLE_DOUBLE_ARITHMETIC");
  for (int i = 0; i < 100000; ++i) {
    const DoubleDouble a = RandomDoubleDouble(random);
    const DoubleDouble b = RandomDoubleDouble(random);
    ASSERT_LE(RelativeError(a + b, ToQuad(a) + ToQuad(b)), 0x1p-104);
    ASSERT_LE(RelativeError(a - b, ToQuad(a) - ToQuad(b)), 0x1p-104);
    ASSERT_LE(RelativeError(a * b, ToQuad(a) * ToQuad(b)), 0x1p-103);
    ASSERT_LE(RelativeError(a / b, ToQuad(a) / ToQuad(b)), 0x1p-101);
  }
}

TEST(DoubleDouble, AdditionKeepsTheLowBitsThatCancellationBringsUp) {
  const DoubleDouble a = DoubleDouble::Sum(1, 0x1p-54 + 0x1p-106);
  const DoubleDouble b = DoubleDouble::Sum(-1, 0x1p-108);
  EXPECT_EQ((a + b).high(), 0x1p-54 + 0x1p-106);
  EXPECT_EQ((a + b).low(), 0x1p-108);
}

TEST(DoubleDouble, ExactWhereTheResultFits) {
  const DoubleDouble third = DoubleDouble(1.0) / DoubleDouble(3.0);
  EXPECT_EQ((third * DoubleDouble(3.0)).ToDouble(), 1.0);
  const DoubleDouble tiny_kept = DoubleDouble::Sum(1e16, 1.0) - DoubleDouble(1e16);
  EXPECT_EQ(tiny_kept.ToDouble(), 1.0);
  EXPECT_EQ(DoubleDouble::Product(0x1p27 + 1, 0x1p27 - 1).high(), 0x1p54);
  EXPECT_EQ(DoubleDouble::Product(0x1p27 + 1, 0x1p27 - 1).low(), -1.0);
  EXPECT_TRUE(DoubleDouble(1.0) < DoubleDouble::Sum(1.0, 1e-20));
}

static_assert(DoubleDouble(2.0) * DoubleDouble(3.0) == DoubleDouble(6.0));

}  // namespace
}  // namespace ratebound::number
