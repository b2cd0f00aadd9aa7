// Sums and products whose rounding error is kept, and numbers of twice the working
// precision built on them. Used where a result must be good to the last digit: totals
// over bins, residuals in iterative refinement.
//
// Example:
//   auto [sum, error] = TwoSum(a, b);   // sum + error == a + b exactly
//   DoubleDouble total(0.1);
//   total = total * DoubleDouble(3.0);  // 0.1 (the double) times 3, to about 31 digits
//
// No fused multiply-add is used, so the bits do not depend on the processor.
// Exact for finite values unless a step overflows or, for products, underflows (see
// each).
//
// Sources: Knuth, The Art of Computer Programming 2, 4.2.2 (TwoSum); Dekker, Numerische
// Mathematik 18 (1971) (FastTwoSum, Veltkamp's splitting, TwoProduct and the
// double-length operations); Joldes, Muller and Popescu, ACM TOMS 44(2) 2017 (error
// bounds of the latter).
#ifndef RATEBOUND_ENGINE_NUMBER_ERROR_FREE_H_
#define RATEBOUND_ENGINE_NUMBER_ERROR_FREE_H_

#include <cmath>

namespace ratebound::number {

struct ValueAndError {
  double value;  // the operation, rounded to nearest
  double error;  // what the rounding lost: value + error is the exact result
};

// a + b, for any a and b whose sum does not overflow.
constexpr ValueAndError TwoSum(double a, double b) {
  const double sum = a + b;
  const double b_part = sum - a;
  const double a_part = sum - b_part;
  return {sum, (a - a_part) + (b - b_part)};
}

// a + b where |a| >= |b| or a == 0.
constexpr ValueAndError FastTwoSum(double a, double b) {
  const double sum = a + b;
  return {sum, b - (sum - a)};
}

// a as a high part of 26 bits and a low part of 26 bits; |a| below 2^996.
constexpr ValueAndError Split(double a) {
  const double scaled = 0x1.0000002p27 * a;  // 2^27 + 1
  const double high = scaled - (scaled - a);
  return {high, a - high};
}

// a * b; |a|, |b| below 2^996, the product below 2^1021 and, for the error to be exact,
// above 2^-969 in size (or zero).
constexpr ValueAndError TwoProduct(double a, double b) {
  const double product = a * b;
  const auto [a_high, a_low] = Split(a);
  const auto [b_high, b_low] = Split(b);
  const double error =
      ((a_high * b_high - product) + a_high * b_low + a_low * b_high) + a_low * b_low;
  return {product, error};
}

// An unevaluated sum high + low with |low| at most half an ulp of high: about 106 bits.
// Relative error: + and - below 2^-104 (also under cancellation, where the operands are
// taken as exact), * below 2^-103, / below 2^-101. Not for infinities or NaN, and within
// TwoProduct's range.
class DoubleDouble {
 public:
  constexpr DoubleDouble() = default;
  constexpr explicit DoubleDouble(double value) : high_(value) {}

  static constexpr DoubleDouble Sum(double a, double b) {
    return DoubleDouble(TwoSum(a, b));
  }
  static constexpr DoubleDouble Product(double a, double b) {
    return DoubleDouble(TwoProduct(a, b));
  }

  constexpr double high() const { return high_; }
  constexpr double low() const { return low_; }
  // Rounded to nearest: the high part already is.
  constexpr double ToDouble() const { return high_; }

  constexpr DoubleDouble operator-() const { return DoubleDouble({-high_, -low_}); }

  friend constexpr DoubleDouble operator+(const DoubleDouble& a, const DoubleDouble& b) {
    const auto [high, high_error] = TwoSum(a.high_, b.high_);
    const auto [low, low_error] = TwoSum(a.low_, b.low_);
    const auto [sum, error] = FastTwoSum(high, high_error + low);
    return DoubleDouble(FastTwoSum(sum, error + low_error));
  }
  friend constexpr DoubleDouble operator-(const DoubleDouble& a, const DoubleDouble& b) {
    return a + -b;
  }
  friend constexpr DoubleDouble operator*(const DoubleDouble& a, const DoubleDouble& b) {
    const auto [product, error] = TwoProduct(a.high_, b.high_);
    return DoubleDouble(
        FastTwoSum(product, error + (a.high_ * b.low_ + a.low_ * b.high_)));
  }
  friend constexpr DoubleDouble operator/(const DoubleDouble& a, const DoubleDouble& b) {
    // Long division: three quotient digits of 53 bits, each on the remainder of the last.
    const double first = a.high_ / b.high_;
    const DoubleDouble after_first = a - b * DoubleDouble(first);
    const double second = after_first.high_ / b.high_;
    const DoubleDouble after_second = after_first - b * DoubleDouble(second);
    const double third = after_second.high_ / b.high_;
    return DoubleDouble(FastTwoSum(first, second)) + DoubleDouble(third);
  }

  friend constexpr bool operator==(const DoubleDouble&, const DoubleDouble&) = default;
  friend constexpr bool operator<(const DoubleDouble& a, const DoubleDouble& b) {
    return a.high_ < b.high_ || (a.high_ == b.high_ && a.low_ < b.low_);
  }

 private:
  constexpr explicit DoubleDouble(const ValueAndError& parts)
      : high_(parts.value), low_(parts.error) {}

  double high_ = 0;
  double low_ = 0;
};

}  // namespace ratebound::number

#endif  // RATEBOUND_ENGINE_NUMBER_ERROR_FREE_H_
