#include "engine/rating/ten_coefficients.h"

#include <cmath>

namespace ratebound::rating {
namespace {

constexpr int kDegree = 3;
using Powers = std::array<double, kDegree + 1>;

// The binomial coefficient of u = (x - low) / step over `order`, as powers of x.
Powers BinomialAsPowers(int order, double low, double step) {
  Powers powers{1, 0, 0, 0};
  for (int k = 0; k < order; ++k) {
    // Times (u - k) / (k + 1), u being x / step - low / step.
    const double slope = 1 / (step * (k + 1));
    const double constant = (-low / step - k) / (k + 1);
    Powers next{};
    for (int i = 0; i <= kDegree; ++i) {
      next[i] += constant * powers[i];
      if (i < kDegree) next[i + 1] += slope * powers[i];
    }
    powers = next;
  }
  return powers;
}

// Where S^i D^j stands.
int PlaceOf(int i, int j) {
  constexpr int kPlaces[kDegree + 1][kDegree + 1] = {
      {0, 2, 5, 9}, {1, 4, 8, -1}, {3, 7, -1, -1}, {6, -1, -1, -1}};
  return kPlaces[i][j];
}

}  // namespace

double TenCoefficientValue(const TenCoefficients& c, double evaporating,
                           double condensing) {
  const double s = evaporating;
  const double d = condensing;
  return c[0] + c[1] * s + c[2] * d + c[3] * s * s + c[4] * s * d + c[5] * d * d +
         c[6] * s * s * s + c[7] * d * s * s + c[8] * s * d * d + c[9] * d * d * d;
}

std::optional<TenCoefficients> TenCoefficientsOf(
    const std::function<double(double evaporating, double condensing)>& function,
    double evaporating_low, double evaporating_high, double condensing_low,
    double condensing_high) {
  const double s_step = (evaporating_high - evaporating_low) / kDegree;
  const double d_step = (condensing_high - condensing_low) / kDegree;
  if (!(s_step > 0 && d_step > 0)) return {};
  // Values at the lattice places i + j <= 3, then forward differences along i and along
  // j: a polynomial is the sum of differences times binomial coefficients (Newton).
  double difference[kDegree + 1][kDegree + 1] = {};
  for (int i = 0; i <= kDegree; ++i) {
    for (int j = 0; i + j <= kDegree; ++j) {
      difference[i][j] =
          function(evaporating_low + i * s_step, condensing_low + j * d_step);
      if (!std::isfinite(difference[i][j])) return {};
    }
  }
  for (int order = 1; order <= kDegree; ++order) {
    for (int i = kDegree; i >= order; --i) {
      for (int j = 0; i + j <= kDegree; ++j) {
        difference[i][j] -= difference[i - 1][j];
      }
    }
  }
  for (int order = 1; order <= kDegree; ++order) {
    for (int j = kDegree; j >= order; --j) {
      for (int i = 0; i + j <= kDegree; ++i) {
        difference[i][j] -= difference[i][j - 1];
      }
    }
  }
  TenCoefficients coefficients{};
  for (int i = 0; i <= kDegree; ++i) {
    const Powers of_s = BinomialAsPowers(i, evaporating_low, s_step);
    for (int j = 0; i + j <= kDegree; ++j) {
      const Powers of_d = BinomialAsPowers(j, condensing_low, d_step);
      for (int p = 0; p <= i; ++p) {
        for (int q = 0; q <= j; ++q) {
          coefficients[PlaceOf(p, q)] += difference[i][j] * of_s[p] * of_d[q];
        }
      }
    }
  }
  return coefficients;
}

}  // namespace ratebound::rating
