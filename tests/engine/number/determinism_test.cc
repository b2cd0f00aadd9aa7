// One digest of many results, as a constant: any machine, compiler and optimisation level
// must give these very bits. A change of the digest is a change of the engine's results
// and needs a new engine version.
#include <bit>
#include <cstdint>

#include "engine/number/distribution.h"
#include "engine/number/elementary.h"
#include "engine/number/special.h"
#include "gtest/gtest.h"
#include "tests/testing/random.h"

namespace ratebound::number {
namespace {

using ::ratebound::testing::Random;

class Digest {
 public:
  // FNV-1a over the eight bytes, most significant first.
  void Add(double value) {
    const auto bits = std::bit_cast<uint64_t>(value);
    for (int shift = 56; shift >= 0; shift -= 8) {
      hash_ = (hash_ ^ ((bits >> shift) & 0xFF)) * 1099511628211ULL;
    }
  }
  uint64_t value() const { return hash_; }

 private:
  uint64_t hash_ = 1469598103934665603ULL;
};

TEST(Determinism, ElementaryFunctions) {
  Random random("DETERMINISM_ELEMENTARY");
  Digest digest;
  for (int i = 0; i < 100000; ++i) {
    const double x = random.Uniform(-20, 20);
    const double positive = random.Uniform(1e-6, 1e6);
    digest.Add(Exp(x));
    digest.Add(Expm1(x));
    digest.Add(Log(positive));
    digest.Add(Log1p(positive));
    digest.Add(Pow(positive, x));
    digest.Add(Sin(x));
    digest.Add(Cos(x));
    digest.Add(Tan(x));
    digest.Add(Tanh(x));
    digest.Add(CubeRoot(x));
    digest.Add(IntegerPower(x, 5));
  }
  EXPECT_EQ(digest.value(), 2894157972600944636u);
}

TEST(Determinism, DistributionsAndSpecialFunctions) {
  Random random("DETERMINISM_DISTRIBUTIONS");
  Digest digest;
  for (int i = 0; i < 10000; ++i) {
    const double p = random.Uniform(1e-6, 1 - 1e-6);
    const double d1 = random.Uniform(1, 60);
    const double d2 = random.Uniform(1, 200);
    digest.Add(Erf(p));
    digest.Add(Erfc(d1 / 10));
    digest.Add(LogGamma(d1));
    digest.Add(NormalQuantile(p));
    digest.Add(NormalCdf(-d1 / 5));
    digest.Add(StudentTQuantile(p, d2));
    digest.Add(StudentTCdf(d1 / 10, d2));
    digest.Add(FQuantile(p, d1, d2));
    digest.Add(FUpperTail(d1 / 10, d1, d2));
    digest.Add(ChiSquareQuantile(p, d1));
  }
  EXPECT_EQ(digest.value(), 14865422686344524530u);
}

}  // namespace
}  // namespace ratebound::number
