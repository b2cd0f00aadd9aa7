#include "engine/recheck/least_squares.h"

#include <algorithm>
#include <cmath>

#include "engine/base/status_macros.h"

namespace ratebound::recheck {
namespace {

using Vector = std::vector<long double>;
using Matrix = std::vector<Vector>;

constexpr long double kDependent = 1e-16L;  // a pivot, of what it was
constexpr long double kConverged = 1e-16L;
constexpr int kMostSteps = 40;  // eigenvalues from 1e-12 on
// Exponents of all terms up to a total degree.
void AddRows(std::vector<int>& row, size_t variable, int left,
             std::vector<std::vector<int>>& rows) {
  if (variable == row.size()) {
    rows.push_back(row);
    return;
  }
  for (int e = 0; e <= left; ++e) {
    row[variable] = e;
    AddRows(row, variable + 1, left - e, rows);
  }
  row[variable] = 0;
}

long double Dot(const Vector& a, const Vector& b) {
  long double sum = 0;
  for (size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

Vector Times(const Matrix& a, const Vector& x) {
  Vector product;
  for (const Vector& row : a) product.push_back(Dot(row, x));
  return product;
}

Matrix Zero(size_t size) { return Matrix(size, Vector(size, 0)); }

// Of symmetric matrices that are polynomials of one and the same, so that rows do for
// columns.
Matrix Times(const Matrix& a, const Matrix& b) {
  Matrix product = Zero(a.size());
  for (size_t i = 0; i < a.size(); ++i) {
    for (size_t j = 0; j <= i; ++j) product[i][j] = product[j][i] = Dot(a[i], b[j]);
  }
  return product;
}

// By Cholesky; empty where a row depends on those before it.
Matrix InverseOf(const Matrix& a) {
  const size_t size = a.size();
  Matrix lower = Zero(size);
  Matrix inverse = Zero(size);  // of the lower triangle
  for (size_t i = 0; i < size; ++i) {
    for (size_t j = 0; j <= i; ++j) {
      long double sum = a[i][j];
      for (size_t k = 0; k < j; ++k) sum -= lower[i][k] * lower[j][k];
      if (i == j) {
        if (!(sum > kDependent * a[i][i])) return {};
        lower[i][i] = std::sqrt(sum);
      } else {
        lower[i][j] = sum / lower[j][j];
      }
    }
    inverse[i][i] = 1 / lower[i][i];
    for (size_t j = 0; j < i; ++j) {
      long double sum = 0;
      for (size_t k = j; k < i; ++k) sum -= lower[i][k] * inverse[k][j];
      inverse[i][j] = sum / lower[i][i];
    }
  }
  Matrix whole = Zero(size);
  for (size_t i = 0; i < size; ++i) {
    for (size_t j = 0; j < size; ++j) {
      for (size_t k = std::max(i, j); k < size; ++k) {
        whole[i][j] += inverse[k][i] * inverse[k][j];
      }
    }
  }
  return whole;
}

// b^(-1/2) of a symmetric matrix with eigenvalues above 0 and up to 1, by the coupled
// iteration of Newton and Schulz; empty where it does not converge.
Matrix InverseRootOf(Matrix b) {
  const size_t size = b.size();
  Matrix root = Zero(size);
  for (size_t i = 0; i < size; ++i) root[i][i] = 1;
  for (int step = 0; step < kMostSteps; ++step) {
    Matrix next = Times(root, b);
    long double off = 0;
    for (size_t i = 0; i < size; ++i) {
      for (size_t j = 0; j < size; ++j) {
        const long double one = i == j ? 1 : 0;
        off = std::max(off, std::fabs(one - next[i][j]));
        next[i][j] = (3 * one - next[i][j]) / 2;
      }
    }
    if (off < kConverged) return root;
    b = Times(b, next);
    root = Times(next, root);
  }
  return {};
}

}  // namespace

absl::StatusOr<LeastSquares> LeastSquares::Solve(
    const std::vector<std::vector<double>>& points, const Vector& values,
    const Vector& weights, int degree) {
  LeastSquares fit;
  if (points.empty() || degree < 1) {
    return absl::InvalidArgumentError("there are no points to fit");
  }
  // Counted before they are made: the degree may be any number.
  double count = 1;
  for (size_t i = 1; i <= points.front().size(); ++i) {
    count *= 1 + static_cast<double>(degree) / static_cast<double>(i);
  }
  if (!(count < static_cast<double>(points.size()) + 0.5)) {
    return absl::InvalidArgumentError("there are fewer points than terms to fit");
  }
  std::vector<int> row(points.front().size(), 0);
  AddRows(row, 0, degree, fit.rows_);
  const size_t terms = fit.rows_.size();
  if (points.size() <= terms) {
    return absl::InvalidArgumentError("there are fewer points than terms to fit");
  }
  Matrix normal = Zero(terms);
  Vector right(terms, 0);
  for (size_t k = 0; k < points.size(); ++k) {
    const long double root = weights.empty() ? 1 : std::sqrt(weights[k]);
    fit.roots_.push_back(root);
    Vector& terms_here = fit.design_.emplace_back(fit.TermsAt(points[k]));
    for (long double& term : terms_here) term *= root;
    for (size_t a = 0; a < terms; ++a) {
      right[a] += terms_here[a] * root * values[k];
      for (size_t b = 0; b < terms; ++b) normal[a][b] += terms_here[a] * terms_here[b];
    }
  }
  fit.inverse_ = InverseOf(normal);
  if (fit.inverse_.empty()) {
    return absl::InvalidArgumentError("some term depends on others at the points");
  }
  fit.coefficients_ = Times(fit.inverse_, right);
  for (size_t k = 0; k < points.size(); ++k) {
    fit.residuals_.push_back(values[k] -
                             Dot(fit.design_[k], fit.coefficients_) / fit.roots_[k]);
    fit.leverages_.push_back(fit.LeverageAt(points[k]));
  }
  return fit;
}

Vector LeastSquares::TermsAt(const std::vector<double>& place) const {
  Vector terms;
  for (const std::vector<int>& exponents : rows_) {
    long double term = 1;
    for (size_t i = 0; i < exponents.size(); ++i) {
      for (int e = 0; e < exponents[i]; ++e) term *= place[i];
    }
    terms.push_back(term);
  }
  return terms;
}

long double LeastSquares::LeverageAt(const std::vector<double>& place) const {
  const Vector terms = TermsAt(place);
  return Dot(terms, Times(inverse_, terms));
}

absl::StatusOr<BlockSpread> BlockSpread::Of(const LeastSquares& fit,
                                            const std::vector<int>& blocks) {
  const size_t terms = fit.rows_.size();
  BlockSpread spread(fit);
  Matrix meat = Zero(terms);
  spread.members_.resize(
      static_cast<size_t>(*std::max_element(blocks.begin(), blocks.end()) + 1));
  for (size_t k = 0; k < blocks.size(); ++k) {
    spread.members_[static_cast<size_t>(blocks[k])].push_back(k);
  }
  for (const std::vector<size_t>& block : spread.members_) {
    Matrix left = Zero(block.size());
    for (size_t a = 0; a < block.size(); ++a) {
      const Vector spanned = recheck::Times(fit.inverse_, fit.design_[block[a]]);
      for (size_t b = 0; b < block.size(); ++b) {
        left[a][b] = (a == b ? 1 : 0) - Dot(spanned, fit.design_[block[b]]);
      }
    }
    const Matrix root = InverseRootOf(std::move(left));
    if (root.empty()) {
      return absl::InvalidArgumentError("some term rests on one block alone");
    }
    Matrix& rows = spread.adjusted_.emplace_back(block.size(), Vector(terms, 0));
    Vector score(terms, 0);
    for (size_t a = 0; a < block.size(); ++a) {
      long double adjusted = 0;
      for (size_t b = 0; b < block.size(); ++b) {
        adjusted += root[a][b] * fit.residuals_[block[b]] * fit.roots_[block[b]];
        for (size_t t = 0; t < terms; ++t) {
          rows[a][t] += root[a][b] * fit.design_[block[b]][t];
        }
      }
      for (size_t t = 0; t < terms; ++t) score[t] += adjusted * fit.design_[block[a]][t];
    }
    for (size_t s = 0; s < terms; ++s) {
      for (size_t t = 0; t < terms; ++t) meat[s][t] += score[s] * score[t];
    }
  }
  spread.covariance_ = Zero(terms);
  Matrix half(terms);
  for (size_t s = 0; s < terms; ++s) half[s] = recheck::Times(meat, fit.inverse_[s]);
  for (size_t s = 0; s < terms; ++s) {
    spread.covariance_[s] = recheck::Times(fit.inverse_, half[s]);
  }
  return spread;
}

// The variance is a sum of squares of w_g'(y - fit), and these vary together by
// Omega_gh = w_g'w_h less what the fit takes out; the degrees are (tr Omega)^2 over
// tr Omega^2.
double BlockSpread::DegreesAt(const std::vector<double>& place) const {
  const Vector moved = recheck::Times(fit_.inverse_, fit_.TermsAt(place));
  std::vector<Vector> sums;   // X_g' w_g
  std::vector<Vector> spans;  // (X'WX)^-1 of it
  Vector own;
  for (size_t g = 0; g < members_.size(); ++g) {
    const Vector w = recheck::Times(adjusted_[g], moved);
    own.push_back(Dot(w, w));
    Vector& sum = sums.emplace_back(moved.size(), 0);
    for (size_t a = 0; a < w.size(); ++a) {
      for (size_t t = 0; t < sum.size(); ++t) {
        sum[t] += w[a] * fit_.design_[members_[g][a]][t];
      }
    }
    spans.push_back(recheck::Times(fit_.inverse_, sum));
  }
  long double trace = 0;
  long double squares = 0;
  for (size_t g = 0; g < own.size(); ++g) {
    for (size_t h = 0; h < own.size(); ++h) {
      const long double omega = (g == h ? own[g] : 0) - Dot(sums[g], spans[h]);
      if (g == h) trace += omega;
      squares += omega * omega;
    }
  }
  return std::max(1.0, static_cast<double>(trace * trace / squares));
}

}  // namespace ratebound::recheck
