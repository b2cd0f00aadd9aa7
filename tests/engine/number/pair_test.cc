#include "engine/number/pair.h"

#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "engine/number/elementary.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::number {
namespace {

// NaNs are alike whatever their bits.
bool Same(double a, double b) {
  return (std::isnan(a) && std::isnan(b)) ||
         std::bit_cast<uint64_t>(a) == std::bit_cast<uint64_t>(b);
}

void ExpectLanesAreScalars(double a, double b) {
  const Pair exp = Exp(Pair(a, b));
  EXPECT_TRUE(Same(exp.first(), Exp(a))) << a;
  EXPECT_TRUE(Same(exp.second(), Exp(b))) << b;
  const Pair log = Log(Pair(a, b));
  EXPECT_TRUE(Same(log.first(), Log(a))) << a;
  EXPECT_TRUE(Same(log.second(), Log(b))) << b;
}

TEST(Pair, ExpAndLogHaveTheBitsOfTheScalarsForUsualArguments) {
  testing::Random random("PAIR_EXP_AND_LOG_HAVE_THE_BITS_OF_THE_SCALARS");
  for (int i = 0; i < 500'000 && !::testing::Test::HasFailure(); ++i) {
    ExpectLanesAreScalars(random.Uniform(-30, 30), random.Uniform(0, 1000));
    ExpectLanesAreScalars(random.Uniform(0, 1e7), random.Uniform(-745, 710));
  }
}

TEST(Pair, ExpAndLogHaveTheBitsOfTheScalarsForAnyBits) {
  testing::Random random("PAIR_EXP_AND_LOG_FOR_ANY_BITS");
  for (int i = 0; i < 500'000 && !::testing::Test::HasFailure(); ++i) {
    ExpectLanesAreScalars(std::bit_cast<double>(random.Bits()),
                          std::bit_cast<double>(random.Bits()));
  }
}

TEST(Pair, ExpAndLogHaveTheBitsOfTheScalarsAtEdges) {
  const double infinity = std::numeric_limits<double>::infinity();
  const std::vector<double> edges = {
      0.0,      -0.0,      infinity, -infinity, std::nan(""), 5e-324,
      1e-310,   0x1p-1022, 709.78,   709.79,    -708.4,       -708.5,
      -744.9,   -745.2,    1.0,      -1.0,      1e308,        -1e308,
      0x1p1023, 0.5,       2.0,      1e-17,     0x1p-54,      0.6931471805599453};
  for (const double a : edges) {
    for (const double b : edges) ExpectLanesAreScalars(a, b);
  }
}

TEST(Pair, ArithmeticIsThatOfTheLanes) {
  const Pair a(3, -0.1);
  const Pair b(7, 1e-300);
  const auto expect = [](const Pair& pair, double first, double second) {
    EXPECT_TRUE(Same(pair.first(), first)) << pair.first();
    EXPECT_TRUE(Same(pair.second(), second)) << pair.second();
  };
  expect(a + b, 10, -0.1 + 1e-300);
  expect(a - b, -4, -0.1 - 1e-300);
  expect(a * b, 21, -0.1 * 1e-300);
  expect(a / b, 3.0 / 7, -0.1 / 1e-300);
  expect(-a, -3, 0.1);
  expect(-Pair(0.0), -0.0, -0.0);
  expect(1 - a, -2, 1.1);
  expect(Sqrt(Pair(2, 0.25)), std::sqrt(2.0), 0.5);
  Pair sum = a;
  sum += 1;
  expect(sum, 4, 1 - 0.1);
  sum -= a;
  sum *= Pair(5, 3);
  sum /= 2;
  expect(sum, 2.5, (1 - 0.1 - -0.1) * 3 / 2);
}

TEST(Pair, LoadsAndStoresTwoAdjacentDoubles) {
  const double from[] = {1, 2, 3};
  double to[] = {0, 0, 0};
  Pair::Load(from + 1).Store(to);
  EXPECT_EQ(to[0], 2);
  EXPECT_EQ(to[1], 3);
  EXPECT_EQ(to[2], 0);
}

}  // namespace
}  // namespace ratebound::number
