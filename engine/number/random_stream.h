// Random draws that are a function of (seed, lane, draw) alone: the same bits on every
// machine, in any order, on any number of threads.
//
// Example:
//   const RandomStream stream(seed);                  // say, 8 bytes of a SHA-256 digest
//   const UniformPair u = stream.At(1234567, 3);      // draw 1234567 of lane 3
//   double z = NormalQuantile(u.first);
//   double t = StudentTDraw(u, 9.5);
//
// Every deviate below takes the uniforms of one place, so that a lane never looks at
// another's numbers. Deviates are about 0 and, but for Student's t, of unit variance.
//
// Source of the generator: Philox4x32-10, Salmon, Moraes, Dror and Shaw, Parallel Random
// Numbers: As Easy as 1, 2, 3, Proc. SC11, 2011, doi:10.1145/2063384.2063405; checked
// against that paper's known-answer vectors. Not for cryptography.
// Thread-safety: pure functions.
#ifndef RATEBOUND_ENGINE_NUMBER_RANDOM_STREAM_H_
#define RATEBOUND_ENGINE_NUMBER_RANDOM_STREAM_H_

#include <array>
#include <cstdint>

namespace ratebound::number {

// The block cipher itself: 128 bits for each counter under a key.
constexpr std::array<uint32_t, 4> Philox4x32(std::array<uint32_t, 4> counter,
                                             std::array<uint32_t, 2> key) {
  constexpr uint64_t kMultiplier0 = 0xD2511F53;
  constexpr uint64_t kMultiplier1 = 0xCD9E8D57;
  constexpr uint32_t kWeyl0 = 0x9E3779B9;  // golden ratio
  constexpr uint32_t kWeyl1 = 0xBB67AE85;  // sqrt(3) - 1
  constexpr int kRounds = 10;
  for (int round = 0; round < kRounds; ++round) {
    const uint64_t product0 = kMultiplier0 * counter[0];
    const uint64_t product1 = kMultiplier1 * counter[2];
    counter = {static_cast<uint32_t>(product1 >> 32) ^ counter[1] ^ key[0],
               static_cast<uint32_t>(product1),
               static_cast<uint32_t>(product0 >> 32) ^ counter[3] ^ key[1],
               static_cast<uint32_t>(product0)};
    key[0] += kWeyl0;
    key[1] += kWeyl1;
  }
  return counter;
}

// Two independent numbers, uniform on the open interval (0, 1): odd multiples of 2^-53,
// symmetric about 1/2, so that neither end is ever met.
struct UniformPair {
  double first = 0.5;
  double second = 0.5;
};

constexpr double OpenUniform(uint32_t high, uint32_t low) {
  const uint64_t bits = (static_cast<uint64_t>(high) << 32 | low) >> 12;
  return (static_cast<double>(bits) + 0.5) * 0x1p-52;
}

class RandomStream {
 public:
  explicit constexpr RandomStream(uint64_t seed)
      : key_{static_cast<uint32_t>(seed), static_cast<uint32_t>(seed >> 32)} {}

  constexpr UniformPair At(uint64_t draw, uint32_t lane) const {
    const std::array<uint32_t, 4> bits = Philox4x32(
        {static_cast<uint32_t>(draw), static_cast<uint32_t>(draw >> 32), lane, 0}, key_);
    return {OpenUniform(bits[0], bits[1]), OpenUniform(bits[2], bits[3])};
  }

 private:
  std::array<uint32_t, 2> key_;
};

// Inverse distribution function: NormalQuantile of the first uniform.
double NormalDraw(const UniformPair& u);
// On (-sqrt(3), sqrt(3)).
double RectangularDraw(const UniformPair& u);
// The sum of two rectangular numbers, on (-sqrt(6), sqrt(6)) (JCGM 101:2008, 6.4.5).
double TriangularDraw(const UniformPair& u);
// A sine of random phase, on (-sqrt(2), sqrt(2)) (JCGM 101:2008, 6.4.6.4).
double ArcsineDraw(const UniformPair& u);
// A rectangle whose half width sqrt(3) is itself known within +-limit_error only (0 to
// sqrt(3)): curvilinear trapezoid (JCGM 101:2008, 6.4.3.4). Variance 1 + limit_error^2/9.
double CurvilinearTrapezoidDraw(const UniformPair& u, double limit_error);
// Student's t, degrees_of_freedom > 0, of variance df/(df - 2) above 2; infinite: normal.
// Polar method, Bailey, Mathematics of Computation 62 (1994) 779.
double StudentTDraw(const UniformPair& u, double degrees_of_freedom);

}  // namespace ratebound::number

#endif  // RATEBOUND_ENGINE_NUMBER_RANDOM_STREAM_H_
