#include "engine/number/columns.h"

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

void ExpectScalarBits(const std::vector<double>& x) {
  const int count = static_cast<int>(x.size());
  std::vector<double> out(x.size());
  const auto expect = [&](double (*scalar)(double), const char* what) {
    for (size_t i = 0; i < x.size(); ++i) {
      ASSERT_TRUE(Same(out[i], scalar(x[i]))) << what << " of " << x[i];
    }
  };
  ExpColumn(x, out);
  expect(Exp, "ExpColumn");
  LogColumn(x, out);
  expect(Log, "LogColumn");
  internal::ExpByTwo(x.data(), out.data(), count);
  expect(Exp, "ExpByTwo");
  internal::LogByTwo(x.data(), out.data(), count);
  expect(Log, "LogByTwo");
  if (!internal::HasAvx()) return;
  internal::ExpByFour(x.data(), out.data(), count);
  expect(Exp, "ExpByFour");
  internal::LogByFour(x.data(), out.data(), count);
  expect(Log, "LogByFour");
}

TEST(Columns, HaveTheBitsOfTheScalarsForUsualArguments) {
  testing::Random random("COLUMNS_HAVE_THE_BITS_OF_THE_SCALARS");
  std::vector<double> x;
  for (int i = 0; i < 100'000; ++i) {
    x.push_back(random.Uniform(-30, 30));
    x.push_back(random.Uniform(0, 1000));
    x.push_back(random.Uniform(-745, 710));
  }
  ExpectScalarBits(x);
}

TEST(Columns, HaveTheBitsOfTheScalarsForAnyBits) {
  testing::Random random("COLUMNS_FOR_ANY_BITS");
  std::vector<double> x;
  for (int i = 0; i < 300'000; ++i) x.push_back(std::bit_cast<double>(random.Bits()));
  ExpectScalarBits(x);
}

TEST(Columns, HaveTheBitsOfTheScalarsAtEdgesInEveryLane) {
  const double infinity = std::numeric_limits<double>::infinity();
  const std::vector<double> edges = {0.0,    -0.0,      infinity, -infinity, std::nan(""),
                                     5e-324, 0x1p-1022, 709.78,   709.79,    -708.5,
                                     -745.2, -1.0,      1e308};
  for (const double edge : edges) {
    for (int lane = 0; lane < 4; ++lane) {
      std::vector<double> x = {1, 2, 3, 4};
      x[lane] = edge;
      ExpectScalarBits(x);
    }
  }
}

TEST(Columns, OfAnyLengthAndInPlace) {
  for (int count = 0; count < 12; ++count) {
    std::vector<double> x(count + 1, -1);
    for (int i = 0; i < count; ++i) x[i] = 1 + i;
    const std::span<double> column(x.data(), count);
    LogColumn(column, column);
    for (int i = 0; i < count; ++i) EXPECT_EQ(x[i], Log(1 + i));
    ExpColumn(column, column);
    for (int i = 0; i < count; ++i) EXPECT_EQ(x[i], Exp(Log(1 + i)));
    EXPECT_EQ(x[count], -1) << "wrote past the end of " << count;
  }
}

}  // namespace
}  // namespace ratebound::number
