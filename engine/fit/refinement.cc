#include "engine/fit/refinement.h"

#include "engine/fit/lanes.h"
#include "engine/number/error_free.h"

namespace ratebound::fit {
namespace {

constexpr double kSplitter = 0x1.0000002p27;  // 2^27 + 1

const Lanes& At(const double* x) { return *reinterpret_cast<const Lanes*>(x); }
Lanes& At(double* x) { return *reinterpret_cast<Lanes*>(x); }

// Four factors with their Veltkamp halves, as Dekker's product needs them.
struct Factors {
  explicit Factors(const Lanes& values) : whole(values) {
    const Lanes scaled = kSplitter * whole;
    high = scaled - (scaled - whole);
    low = whole - high;
  }
  Lanes whole, high, low;
};

// Four sums of products; `rest` gathers everything that rounding takes from them.
struct CompensatedSums {
  void AddProducts(const Factors& a, const Factors& b) {
    const Lanes product = a.whole * b.whole;
    const Lanes error =
        ((a.high * b.high - product) + a.high * b.low + a.low * b.high) + a.low * b.low;
    Add(product);
    rest += error;
  }
  void Add(const Lanes& value) {
    const Lanes total = sum + value;
    const Lanes part = total - sum;
    rest += (sum - (total - part)) + (value - part);
    sum = total;
  }
  Lanes sum = {0, 0, 0, 0};
  Lanes rest = {0, 0, 0, 0};
};

// result := b - r - A x.
void RowResiduals(const PivotedQr& qr, const AugmentedSystem& s, double* result) {
  const Lanes zero = {0, 0, 0, 0};
  for (int i = 0; i < qr.stride(); i += 4) {
    CompensatedSums sums;
    sums.sum = At(&s.b_high[i]);
    sums.Add(-At(&s.r_high[i]));
    sums.rest += At(&s.b_low[i]) - At(&s.r_low[i]);
    for (int j = 0; j < qr.columns(); ++j) {
      const Factors a(At(qr.column(j) + i)), x(zero - s.x_high[j]);
      sums.AddProducts(a, x);
      sums.rest -= a.whole * s.x_low[j];
      if (s.matrix_low != nullptr) sums.rest += At(s.low_column(qr, j) + i) * x.whole;
    }
    At(result + i) = sums.sum + sums.rest;
  }
}

// result := -A' r.
void ColumnResiduals(const PivotedQr& qr, const AugmentedSystem& s, double* result) {
  for (int j = 0; j < qr.columns(); ++j) {
    CompensatedSums sums;
    for (int i = 0; i < qr.stride(); i += 4) {
      const Factors a(At(qr.column(j) + i)), r(At(&s.r_high[i]));
      sums.AddProducts(a, r);
      sums.rest += a.whole * At(&s.r_low[i]);
      if (s.matrix_low != nullptr) sums.rest += At(s.low_column(qr, j) + i) * r.whole;
    }
    number::DoubleDouble total;
    for (int lane = 0; lane < 4; ++lane) {
      total = total + number::DoubleDouble::Sum(sums.sum[lane], sums.rest[lane]);
    }
    result[j] = -total.ToDouble();
  }
}

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
  b_low.resize(b_high.size());
}

void AugmentedSystem::Refine(const PivotedQr& qr) {
  const int columns = qr.columns();
  f_.resize(r_high.size());
  g_.resize(columns);
  h_.resize(columns);
  RowResiduals(qr, *this, f_.data());
  ColumnResiduals(qr, *this, g_.data());

  // R' h = g, by forward substitution.
  for (int k = 0; k < columns; ++k) {
    double sum = g_[qr.permutation(k)];
    for (int j = 0; j < k; ++j) sum -= qr.r(j, k) * h_[j];
    h_[k] = sum / qr.r(k, k);
  }
  // d = Q' f; then r changes by f - Q (d - h), and R dx = d - h.
  for (int k = 0; k < columns; ++k) {
    h_[k] = LaneDot(qr.q(k), f_.data(), 0, qr.stride()) - h_[k];
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
