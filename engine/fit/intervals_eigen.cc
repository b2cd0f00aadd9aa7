#include "engine/fit/intervals_eigen.h"

#include <cmath>
#include <cstddef>

namespace ratebound::fit {
namespace {

constexpr int kMostSweeps = 50;
constexpr double kOffDiagonal = 1e-17;  // of the product of the diagonals' sizes

}  // namespace

SymmetricEigen EigenOf(std::vector<double> matrix, int size) {
  SymmetricEigen eigen;
  const auto at = [size](int i, int j) { return static_cast<size_t>(i) * size + j; };
  eigen.vectors.assign(matrix.size(), 0.0);
  double norm = 0;
  for (int i = 0; i < size; ++i) eigen.vectors[at(i, i)] = 1;
  for (const double entry : matrix) norm += entry * entry;
  norm = std::sqrt(norm);
  bool turned = true;
  for (int sweep = 0; turned && sweep < kMostSweeps; ++sweep) {
    turned = false;
    for (int p = 0; p + 1 < size; ++p) {
      for (int q = p + 1; q < size; ++q) {
        const double off = matrix[at(p, q)];
        if (!(std::fabs(off) > kOffDiagonal * norm)) continue;
        turned = true;
        const double theta = (matrix[at(q, q)] - matrix[at(p, p)]) / (2 * off);
        const double tangent =
            (theta >= 0 ? 1 : -1) / (std::fabs(theta) + std::sqrt(theta * theta + 1));
        const double cosine = 1 / std::sqrt(tangent * tangent + 1);
        const double sine = tangent * cosine;
        for (int k = 0; k < size; ++k) {
          const double a = matrix[at(k, p)], b = matrix[at(k, q)];
          matrix[at(k, p)] = cosine * a - sine * b;
          matrix[at(k, q)] = sine * a + cosine * b;
        }
        for (int k = 0; k < size; ++k) {
          const double a = matrix[at(p, k)], b = matrix[at(q, k)];
          matrix[at(p, k)] = cosine * a - sine * b;
          matrix[at(q, k)] = sine * a + cosine * b;
        }
        matrix[at(p, q)] = matrix[at(q, p)] = 0;
        for (int k = 0; k < size; ++k) {
          const double a = eigen.vectors[at(k, p)], b = eigen.vectors[at(k, q)];
          eigen.vectors[at(k, p)] = cosine * a - sine * b;
          eigen.vectors[at(k, q)] = sine * a + cosine * b;
        }
      }
    }
  }
  for (int i = 0; i < size; ++i) eigen.values.push_back(matrix[at(i, i)]);
  return eigen;
}

}  // namespace ratebound::fit
