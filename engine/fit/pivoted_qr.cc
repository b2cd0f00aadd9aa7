#include "engine/fit/pivoted_qr.h"

#include <algorithm>
#include <cmath>

namespace ratebound::fit {
namespace {

// A downdated squared norm has lost this much to cancellation when it is computed afresh.
constexpr double kRecompute = 1e-4;

constexpr int WholeLanes(int row) { return row & ~3; }

}  // namespace

void PivotedQr::Reset(int rows, int columns) {
  rows_ = rows;
  columns_ = columns;
  stride_ = WholeLanes(rows + 3);
  rank_ = 0;
  const size_t size = static_cast<size_t>(stride_) * static_cast<size_t>(columns);
  const size_t square = static_cast<size_t>(columns) * static_cast<size_t>(columns);
  matrix_.assign(size, 0.0);
  r_.assign(square, 0.0);
  tau_.resize(columns);
  squared_norms_.resize(columns);
  reference_norms_.resize(columns);
  permutation_.resize(columns);
}

void PivotedQr::Factor(double tolerance) {
  reflectors_ = matrix_;
  for (int j = 0; j < columns_; ++j) {
    permutation_[j] = j;
    squared_norms_[j] = kernels_->dot(column(j), column(j), 0, stride_);
    reference_norms_[j] = squared_norms_[j];
  }
  double first = 0;
  for (rank_ = 0; rank_ < std::min(rows_, columns_); ++rank_) {
    const int k = rank_;
    int pivot = k;
    for (int j = k + 1; j < columns_; ++j) {
      if (squared_norms_[j] > squared_norms_[pivot]) pivot = j;
    }
    std::swap(permutation_[k], permutation_[pivot]);
    std::swap(squared_norms_[k], squared_norms_[pivot]);
    std::swap(reference_norms_[k], reference_norms_[pivot]);
    if (pivot != k) {
      for (int i = 0; i < k; ++i)
        std::swap(r_[i * columns_ + k], r_[i * columns_ + pivot]);
    }

    double* v = reflector(k);
    const int begin = WholeLanes(k);
    const double norm = std::sqrt(kernels_->dot(v, v, begin, stride_));
    if (k == 0) first = norm;
    if (!(norm > tolerance * first)) return;
    const double head = std::fabs(v[k]);
    r_[k * columns_ + k] = v[k] > 0 ? -norm : norm;
    v[k] += v[k] > 0 ? norm : -norm;
    tau_[k] = 1 / (norm * (norm + head));

    targets_.clear();
    for (int j = k + 1; j < columns_; ++j) targets_.push_back(reflector(j));
    kernels_->reflect(v, tau_[k], targets_.data(), static_cast<int>(targets_.size()),
                      begin, stride_);
    for (int j = k + 1; j < columns_; ++j) {
      double* x = reflector(j);
      const double entry = x[k];
      r_[k * columns_ + j] = entry;
      x[k] = 0;  // so that the rows above the next step take no part in its sums
      squared_norms_[j] -= entry * entry;
      if (!(squared_norms_[j] > kRecompute * reference_norms_[j])) {
        squared_norms_[j] = kernels_->dot(x, x, begin, stride_);
        reference_norms_[j] = squared_norms_[j];
      }
    }
  }
}

void PivotedQr::ReflectOne(int k, double* x) const {
  kernels_->reflect(reflector(k), tau_[k], &x, 1, WholeLanes(k), stride_);
}

void PivotedQr::ApplyQTransposed(double* x) const {
  for (int k = 0; k < rank_; ++k) ReflectOne(k, x);
}

void PivotedQr::ApplyQ(double* x) const {
  for (int k = rank_ - 1; k >= 0; --k) {
    ReflectOne(k, x);
  }
}

void PivotedQr::FormQ() {
  q_.assign(matrix_.size(), 0.0);
  for (int k = columns_ - 1; k >= 0; --k) {
    const double* v = reflector(k);
    const int begin = WholeLanes(k);
    double* own = &q_[Offset(k)];
    const double factor = tau_[k] * v[k];
    for (int i = begin; i < stride_; ++i) own[i] = -factor * v[i];
    own[k] += 1;
    targets_.clear();
    for (int j = k + 1; j < columns_; ++j) targets_.push_back(&q_[Offset(j)]);
    kernels_->reflect(v, tau_[k], targets_.data(), static_cast<int>(targets_.size()),
                      begin, stride_);
  }
}

void PivotedQr::InvertR() {
  r_inverse_.assign(r_.size(), 0.0);
  for (int i = columns_ - 1; i >= 0; --i) {
    double* row = &r_inverse_[static_cast<size_t>(i) * columns_];
    const double reciprocal = 1 / r(i, i);
    for (int k = i + 1; k < columns_; ++k) {
      const double entry = r(i, k);
      const double* below = &r_inverse_[static_cast<size_t>(k) * columns_];
      for (int j = k; j < columns_; ++j) row[j] -= entry * below[j];
    }
    for (int j = i + 1; j < columns_; ++j) row[j] *= reciprocal;
    row[i] = reciprocal;
  }
}

}  // namespace ratebound::fit
