// The text of the kernels, compiled once for each instruction set (see kernels.h).
// Everything is in an unnamed namespace, and nothing is included that could leave code of
// the wider set in a function shared with the rest of the program.
#ifndef RATEBOUND_ENGINE_FIT_KERNELS_TEXT_H_
#define RATEBOUND_ENGINE_FIT_KERNELS_TEXT_H_

#include "engine/fit/kernels.h"
#include "engine/fit/lanes.h"

namespace ratebound::fit {
namespace {

double Dot(const double* a, const double* b, int begin, int end) {
  Lanes even = {0, 0, 0, 0}, odd = {0, 0, 0, 0};
  int i = begin;
  for (; i + 8 <= end; i += 8) {
    even += Load(a + i).lanes * Load(b + i).lanes;
    odd += Load(a + i + 4).lanes * Load(b + i + 4).lanes;
  }
  if (i < end) even += Load(a + i).lanes * Load(b + i).lanes;
  even += odd;
  return (even[0] + even[2]) + (even[1] + even[3]);
}

// Several columns at once hide the latency of each other's sums.
template <int kColumns>
inline void ReflectSome(const double* v, double tau, double* const* columns, int begin,
                        int end) {
  Lanes even[kColumns], odd[kColumns];
  for (int c = 0; c < kColumns; ++c) even[c] = odd[c] = Lanes{0, 0, 0, 0};
  int i = begin;
  for (; i + 8 <= end; i += 8) {
    for (int c = 0; c < kColumns; ++c) {
      even[c] += Load(v + i).lanes * Load(columns[c] + i).lanes;
      odd[c] += Load(v + i + 4).lanes * Load(columns[c] + i + 4).lanes;
    }
  }
  if (i < end) {
    for (int c = 0; c < kColumns; ++c)
      even[c] += Load(v + i).lanes * Load(columns[c] + i).lanes;
  }
  double factor[kColumns];
  for (int c = 0; c < kColumns; ++c) {
    even[c] += odd[c];
    factor[c] = tau * ((even[c][0] + even[c][2]) + (even[c][1] + even[c][3]));
  }
  for (i = begin; i < end; i += 4) {
    for (int c = 0; c < kColumns; ++c)
      Store(columns[c] + i, Load(columns[c] + i).lanes - factor[c] * Load(v + i).lanes);
  }
}

void Reflect(const double* v, double tau, double* const* columns, int count, int begin,
             int end) {
  int c = 0;
  for (; c + 3 <= count; c += 3) ReflectSome<3>(v, tau, columns + c, begin, end);
  for (; c < count; ++c) ReflectSome<1>(v, tau, columns + c, begin, end);
}

constexpr double kSplitter = 0x1.0000002p27;  // 2^27 + 1

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
  // Adds a * b and, to the rest, `more`.
  void AddProducts(const Factors& a, const Factors& b, const Lanes& more) {
    const Lanes product = a.whole * b.whole;
    const Lanes error =
        ((a.high * b.high - product) + a.high * b.low + a.low * b.high) + a.low * b.low;
    const Lanes total = sum + product;
    const Lanes part = total - sum;
    rest += ((sum - (total - part)) + (product - part)) + (error + more);
    sum = total;
  }
  Lanes sum = {0, 0, 0, 0};
  Lanes rest = {0, 0, 0, 0};
};

template <bool kLow>
void RowResidualsOf(const ResidualInput& input, double* result) {
  const Lanes zero = {0, 0, 0, 0};
  for (int i = 0; i < input.rows; i += 4) {
    const Lanes b = Load(input.b_high + i).lanes, r = Load(input.r_high + i).lanes;
    CompensatedSums sums;
    sums.sum = b - r;
    const Lanes part = sums.sum - b;
    sums.rest = (b - (sums.sum - part)) - (r + part);
    if (kLow && input.b_low != nullptr)
      sums.rest = sums.rest + Load(input.b_low + i).lanes;
    if (kLow && input.r_low != nullptr)
      sums.rest = sums.rest - Load(input.r_low + i).lanes;
    const double* column = input.matrix + i;
    const double* column_low = input.matrix_low;
    for (int j = 0; j < input.columns; ++j, column += input.rows) {
      const Factors a(Load(column).lanes), x(zero - input.x_high[j]);
      Lanes more = zero;
      if (kLow && input.x_low != nullptr) more -= a.whole * input.x_low[j];
      if (kLow && column_low != nullptr) {
        more += Load(column_low + i).lanes * x.whole;
        column_low += input.rows;
      }
      sums.AddProducts(a, x, more);
    }
    Store(result + i, sums.sum + sums.rest);
  }
}

// a + b to twice the precision, into (high, low); the operands' low parts are added
// plainly.
inline void JoinSums(double& high, double& low, double other_high, double other_low) {
  const double sum = high + other_high;
  const double part = sum - high;
  low += ((high - (sum - part)) + (other_high - part)) + other_low;
  high = sum;
}

template <bool kLow>
void ColumnResidualsOf(const ResidualInput& input, double* result) {
  const Lanes zero = {0, 0, 0, 0};
  for (int j = 0; j < input.columns; ++j) {
    const double* column = input.matrix + static_cast<long>(j) * input.rows;
    const double* column_low = nullptr;
    if (kLow && input.matrix_low != nullptr) {
      column_low = input.matrix_low + static_cast<long>(j) * input.rows;
    }
    // Two of them, for the latency of the sums.
    CompensatedSums sums[2];
    for (int i = 0; i < input.rows; i += 4) {
      const Factors a(Load(column + i).lanes), r(Load(input.r_high + i).lanes);
      Lanes more = zero;
      if (kLow && input.r_low != nullptr) more += a.whole * Load(input.r_low + i).lanes;
      if (kLow && column_low != nullptr) more += Load(column_low + i).lanes * r.whole;
      sums[(i >> 2) & 1].AddProducts(a, r, more);
    }
    double high = 0, low = 0;
    for (const CompensatedSums& some : sums) {
      for (int lane = 0; lane < 4; ++lane)
        JoinSums(high, low, some.sum[lane], some.rest[lane]);
    }
    result[j] = -(high + low);
  }
}

bool HasLow(const ResidualInput& input) {
  return input.matrix_low != nullptr || input.b_low != nullptr ||
         input.x_low != nullptr || input.r_low != nullptr;
}

void RowResiduals(const ResidualInput& input, double* result) {
  HasLow(input) ? RowResidualsOf<true>(input, result)
                : RowResidualsOf<false>(input, result);
}

void ColumnResiduals(const ResidualInput& input, double* result) {
  HasLow(input) ? ColumnResidualsOf<true>(input, result)
                : ColumnResidualsOf<false>(input, result);
}

constexpr Kernels kTheseKernels = {.dot = Dot,
                                   .reflect = Reflect,
                                   .row_residuals = RowResiduals,
                                   .column_residuals = ColumnResiduals};

}  // namespace
}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_KERNELS_TEXT_H_
