#include "engine/fit/block_row_space.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/fit/intervals_eigen.h"

namespace ratebound::fit {
namespace {

constexpr double kLeastLeverage = 1e-14;

}  // namespace

RowSpace RowSpaceOf(const PivotedQr& qr, std::span<const int> rows, int terms) {
  const int count = static_cast<int>(rows.size());
  // The smaller of Q_g' Q_g and Q_g Q_g', which share what is not zero.
  const int size = std::min(count, terms);
  std::vector<double> gram(static_cast<size_t>(size) * size);
  for (int a = 0; a < size; ++a) {
    for (int b = 0; b <= a; ++b) {
      double sum = 0;
      if (count < terms) {
        for (int k = 0; k < terms; ++k) sum += qr.q(k)[rows[a]] * qr.q(k)[rows[b]];
      } else {
        for (const int i : rows) sum += qr.q(a)[i] * qr.q(b)[i];
      }
      gram[static_cast<size_t>(a) * size + b] = sum;
      gram[static_cast<size_t>(b) * size + a] = sum;
    }
  }
  const SymmetricEigen eigen = EigenOf(std::move(gram), size);
  RowSpace space;
  for (int k = 0; k < size; ++k) {
    const double value = eigen.values[k];
    // Leverages: 1 at most, and what rounding leaves of 0 has no direction.
    if (!(value > kLeastLeverage)) continue;
    std::vector<double> vector(terms);
    for (int a = 0; a < terms; ++a) {
      if (count >= terms) {
        vector[a] = eigen.vectors[static_cast<size_t>(a) * size + k];
        continue;
      }
      double sum = 0;
      for (int i = 0; i < count; ++i) {
        sum += eigen.vectors[static_cast<size_t>(i) * size + k] * qr.q(a)[rows[i]];
      }
      vector[a] = sum / std::sqrt(value);
    }
    space.values.push_back(value);
    space.vectors.push_back(std::move(vector));
  }
  return space;
}

}  // namespace ratebound::fit
