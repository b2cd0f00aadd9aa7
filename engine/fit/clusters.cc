#include "engine/fit/clusters.h"

#include <algorithm>
#include <cmath>

#include "absl/strings/str_cat.h"

namespace ratebound::fit {
namespace {

// Share of a direction's information that must be left when a block goes.
constexpr double kLeastLeft = 1e-10;

// In-place Cholesky of a symmetric matrix by rows; false when a pivot is below
// kLeastLeft.
bool Cholesky(std::vector<double>& m, int size) {
  for (int j = 0; j < size; ++j) {
    for (int i = j; i < size; ++i) {
      double sum = m[i * size + j];
      for (int k = 0; k < j; ++k) sum -= m[i * size + k] * m[j * size + k];
      if (i == j) {
        if (!(sum > kLeastLeft)) return false;
        m[j * size + j] = std::sqrt(sum);
      } else {
        m[i * size + j] = sum / m[j * size + j];
      }
    }
  }
  return true;
}

void CholeskySolve(const std::vector<double>& m, int size, double* x) {
  for (int i = 0; i < size; ++i) {
    for (int k = 0; k < i; ++k) x[i] -= m[i * size + k] * x[k];
    x[i] /= m[i * size + i];
  }
  for (int i = size - 1; i >= 0; --i) {
    for (int k = i + 1; k < size; ++k) x[i] -= m[k * size + i] * x[k];
    x[i] /= m[i * size + i];
  }
}

}  // namespace

ClusterFit LeaveBlocksOut(const PivotedQr& qr,
                          const std::vector<double>& scaled_residuals,
                          std::span<const int> block_ids) {
  const int rows = qr.rows(), terms = qr.columns();
  std::vector<int> ids(block_ids.begin(), block_ids.end());
  std::sort(ids.begin(), ids.end());
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());

  ClusterFit fit;
  fit.blocks = static_cast<int>(ids.size());
  fit.degrees_of_freedom = fit.blocks - 1;
  fit.leave_block_out_residuals.resize(rows);

  // With Q in place of the matrix, deleting block g moves the solution by -u, where
  // (I - Q_g' Q_g) u = Q_g' e_g.
  std::vector<double> left(static_cast<size_t>(terms) * terms), u(terms), moved(terms);
  std::vector<double> sum(static_cast<size_t>(terms) * terms);
  for (int id : ids) {
    std::fill(left.begin(), left.end(), 0.0);
    std::fill(u.begin(), u.end(), 0.0);
    for (int a = 0; a < terms; ++a) left[a * terms + a] = 1;
    for (int i = 0; i < rows; ++i) {
      if (block_ids[i] != id) continue;
      for (int a = 0; a < terms; ++a) {
        const double qa = qr.q(a)[i];
        u[a] += qa * scaled_residuals[i];
        for (int b = 0; b <= a; ++b) left[a * terms + b] -= qa * qr.q(b)[i];
      }
    }
    if (!Cholesky(left, terms)) {
      fit.decisive_blocks.push_back(id);
      continue;
    }
    CholeskySolve(left, terms, u.data());
    for (int i = 0; i < rows; ++i) {
      if (block_ids[i] != id) continue;
      double change = 0;
      for (int a = 0; a < terms; ++a) change += qr.q(a)[i] * u[a];
      fit.leave_block_out_residuals[i] = scaled_residuals[i] + change;
    }
    for (int a = 0; a < terms; ++a) {
      moved[a] = 0;
      for (int b = a; b < terms; ++b) moved[a] += qr.r_inverse(a, b) * u[b];
    }
    for (int a = 0; a < terms; ++a) {
      for (int b = 0; b <= a; ++b) sum[a * terms + b] += moved[a] * moved[b];
    }
  }

  if (fit.blocks <= terms) {
    fit.refused = absl::StrCat("a covariance from ", fit.blocks, " blocks cannot carry ",
                               terms, " terms; it takes at least ", terms + 1,
                               " blocks, or a lower degree");
  } else if (!fit.decisive_blocks.empty()) {
    fit.refused =
        absl::StrCat("without block ", fit.decisive_blocks.front(),
                     " some term cannot be estimated; spread the levels of every "
                     "condition over at least two blocks");
  } else {
    const double factor = static_cast<double>(fit.blocks - 1) / fit.blocks;
    fit.covariance.resize(sum.size());
    for (int a = 0; a < terms; ++a) {
      for (int b = 0; b < terms; ++b) {
        const int row = qr.permutation(a), column = qr.permutation(b);
        fit.covariance[static_cast<size_t>(row) * terms + column] =
            factor * sum[std::max(a, b) * terms + std::min(a, b)];
      }
    }
  }
  return fit;
}

}  // namespace ratebound::fit
