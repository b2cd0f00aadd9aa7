#include "engine/fit/refinement.h"

#include "engine/number/error_free.h"

namespace ratebound::fit {
namespace {

void AddTo(double& high, double& low, double change) {
  const auto [sum, error] = number::TwoSum(high, change);
  const auto [joined, left] = number::FastTwoSum(sum, error + low);
  high = joined;
  low = left;
}

}  // namespace

void AugmentedSystem::Solve(const PivotedQr& qr) {
  const int columns = qr.columns();
  r_high = b_high;
  qr.ApplyQTransposed(r_high.data());
  x_high.resize(columns);
  for (int k = columns - 1; k >= 0; --k) {
    double sum = r_high[k];
    for (int j = k + 1; j < columns; ++j) sum -= qr.r(k, j) * x_high[qr.permutation(j)];
    x_high[qr.permutation(k)] = sum / qr.r(k, k);
  }
  for (int k = 0; k < columns; ++k) r_high[k] = 0;
  qr.ApplyQ(r_high.data());
  x_low.assign(columns, 0.0);
  r_low.assign(r_high.size(), 0.0);
  refined_ = false;
}

void AugmentedSystem::Refine(const PivotedQr& qr) {
  const int columns = qr.columns();
  f_.resize(r_high.size());
  g_.resize(columns);
  h_.resize(columns);
  // Low parts that are still zero are left out of the sums.
  const ResidualInput input = {
      .rows = qr.stride(),
      .columns = columns,
      .matrix = qr.column(0),
      .matrix_low = matrix_low == nullptr ? nullptr : matrix_low->data(),
      .b_high = b_high.data(),
      .b_low = b_low.empty() ? nullptr : b_low.data(),
      .x_high = x_high.data(),
      .x_low = refined_ ? x_low.data() : nullptr,
      .r_high = r_high.data(),
      .r_low = refined_ ? r_low.data() : nullptr};
  qr.kernels().row_residuals(input, f_.data());
  qr.kernels().column_residuals(input, g_.data());
  refined_ = true;

  // R' h = g, by forward substitution.
  for (int k = 0; k < columns; ++k) {
    double sum = g_[qr.permutation(k)];
    for (int j = 0; j < k; ++j) sum -= qr.r(j, k) * h_[j];
    h_[k] = sum / qr.r(k, k);
  }
  // d = Q' f; then r changes by f - Q (d - h), and R dx = d - h.
  for (int k = 0; k < columns; ++k) {
    h_[k] = qr.kernels().dot(qr.q(k), f_.data(), 0, qr.stride()) - h_[k];
  }
  for (int k = columns - 1; k >= 0; --k) {
    double sum = h_[k];
    for (int j = k + 1; j < columns; ++j) sum -= qr.r(k, j) * g_[qr.permutation(j)];
    g_[qr.permutation(k)] = sum / qr.r(k, k);
  }
  for (int k = 0; k < columns; ++k) {
    const double* q = qr.q(k);
    for (int i = 0; i < qr.stride(); ++i) f_[i] -= h_[k] * q[i];
  }
  for (int i = 0; i < qr.stride(); ++i) AddTo(r_high[i], r_low[i], f_[i]);
  for (int j = 0; j < columns; ++j) AddTo(x_high[j], x_low[j], g_[j]);
}

}  // namespace ratebound::fit
