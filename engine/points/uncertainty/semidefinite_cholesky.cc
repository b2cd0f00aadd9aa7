#include "engine/points/uncertainty/semidefinite_cholesky.h"

#include <cmath>
#include <cstddef>

namespace ratebound::points {
namespace {

// A pivot is a sum of `size` rounded products no larger than 1, so what is below this is
// rounding; and an element below a zero pivot is at most the root of what was cut.
constexpr double kPivotRounding = 1e-14;
constexpr double kColumnRounding = 1e-7;

}  // namespace

bool FactorSemidefinite(std::span<double> matrix, int size) {
  const auto at = [&](int row, int column) -> double& {
    return matrix[static_cast<size_t>(row) * static_cast<size_t>(size) +
                  static_cast<size_t>(column)];
  };
  const double pivot_rounding = kPivotRounding * size;
  for (int j = 0; j < size; ++j) {
    double pivot = at(j, j);
    for (int k = 0; k < j; ++k) pivot -= at(j, k) * at(j, k);
    if (!(pivot >= -pivot_rounding)) return false;
    const bool has_pivot = pivot > pivot_rounding;
    at(j, j) = has_pivot ? std::sqrt(pivot) : 0;
    for (int i = j + 1; i < size; ++i) {
      double rest = at(i, j);
      for (int k = 0; k < j; ++k) rest -= at(i, k) * at(j, k);
      if (!has_pivot && !(std::fabs(rest) <= kColumnRounding)) return false;
      at(i, j) = has_pivot ? rest / at(j, j) : 0;
      at(j, i) = 0;
    }
  }
  return true;
}

}  // namespace ratebound::points
