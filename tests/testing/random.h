// Seeded random numbers for property tests: the seed comes from the property's name, so a
// run repeats, and the numbers are the same on every standard library.
//
// Example:
//   Random random("PROOF_IS_NEVER_BELOW_A_SAMPLE");
//   double x = random.Uniform(-1, 1);
#ifndef RATEBOUND_TESTS_TESTING_RANDOM_H_
#define RATEBOUND_TESTS_TESTING_RANDOM_H_

#include <cmath>
#include <cstdint>
#include <random>
#include <string_view>

namespace ratebound::testing {

class Random {
 public:
  explicit Random(std::string_view property) {
    uint64_t hash = 1469598103934665603ULL;  // FNV-1a
    for (char c : property) hash = (hash ^ static_cast<uint8_t>(c)) * 1099511628211ULL;
    generator_.seed(hash);
  }

  uint64_t Bits() { return generator_(); }
  // In [low, high).
  double Uniform(double low, double high) {
    const double unit = static_cast<double>(Bits() >> 11) * 0x1p-53;
    return low + (high - low) * unit;
  }
  // In [low, high], both included.
  int Integer(int low, int high) {
    return low + static_cast<int>(Bits() % static_cast<uint64_t>(high - low + 1));
  }
  // Standard normal by the polar method (Marsaglia and Bray 1964).
  double Normal() {
    for (;;) {
      const double u = Uniform(-1, 1);
      const double v = Uniform(-1, 1);
      const double s = u * u + v * v;
      if (s > 0 && s < 1) return u * std::sqrt(-2 * std::log(s) / s);
    }
  }

 private:
  std::mt19937_64 generator_;
};

}  // namespace ratebound::testing

#endif  // RATEBOUND_TESTS_TESTING_RANDOM_H_
