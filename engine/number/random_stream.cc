#include "engine/number/random_stream.h"

#include <cmath>

#include "engine/number/distribution.h"
#include "engine/number/elementary.h"

namespace ratebound::number {
namespace {

constexpr double kPi = 3.14159265358979323846;
constexpr double kSqrt2 = 1.41421356237309504880;
constexpr double kSqrt3 = 1.73205080756887729353;
constexpr double kSqrt6 = 2.44948974278317809820;

}  // namespace

double NormalDraw(const UniformPair& u) { return NormalQuantile(u.first); }

double RectangularDraw(const UniformPair& u) { return kSqrt3 * (2 * u.first - 1); }

double TriangularDraw(const UniformPair& u) {
  return kSqrt6 * ((u.first - 0.5) + (u.second - 0.5));
}

double ArcsineDraw(const UniformPair& u) { return kSqrt2 * Sin(2 * kPi * u.first); }

double CurvilinearTrapezoidDraw(const UniformPair& u, double limit_error) {
  const double half_width = kSqrt3 + limit_error * (2 * u.first - 1);
  return half_width * (2 * u.second - 1);
}

double StudentTDraw(const UniformPair& u, double degrees_of_freedom) {
  if (std::isinf(degrees_of_freedom)) return NormalDraw(u);
  // u^(-2/df) - 1, without cancellation for large df.
  const double square =
      degrees_of_freedom * Expm1(-2 / degrees_of_freedom * Log(u.first));
  return std::sqrt(square) * Cos(2 * kPi * u.second);
}

}  // namespace ratebound::number
