// Sums in the order given, as if carried out in twice the working precision.
//
// A plain sum of n terms can lose a digit for each factor of ten in n, and its last bits
// move when terms are grouped otherwise; these do neither. With u = 2^-53, the result is
// within u·|sum| + 2·n²·u²·sum of |terms| of the exact sum.
//
// Example:
//   OrderedSum energy_j;
//   for (const Bin& bin : bins) energy_j.Add(bin.hours * 3600 * bin.power_w);
//   double total_j = energy_j.Total();
//
// Where a term or a partial sum is infinite or NaN, the result is that of the plain sum.
// Source: Ogita, Rump and Oishi, Accurate Sum and Dot Product, SIAM J. Sci. Comput.
// 26(6), 2005, algorithms 4.4 (Sum2) and 5.3 (Dot2).
#ifndef RATEBOUND_ENGINE_NUMBER_SUM_H_
#define RATEBOUND_ENGINE_NUMBER_SUM_H_

#include <span>

#include "engine/number/error_free.h"

namespace ratebound::number {

class OrderedSum {
 public:
  void Add(double term) {
    const auto [sum, error] = TwoSum(sum_, term);
    sum_ = sum;
    lost_ += error;
  }
  // Adds a * b with the product's own rounding error; see TwoProduct for the range.
  void AddProduct(double a, double b) {
    const auto [product, error] = TwoProduct(a, b);
    Add(product);
    lost_ += error;
  }

  double Total() const {
    const double total = sum_ + lost_;
    return total - total == 0 ? total : sum_;
  }

 private:
  double sum_ = 0;
  double lost_ = 0;
};

double Sum(std::span<const double> terms);
double Mean(std::span<const double> terms);  // NaN for no terms
double SumOfSquares(std::span<const double> terms);
// The sum of a[i] * b[i] over the items that both have.
double Dot(std::span<const double> a, std::span<const double> b);

}  // namespace ratebound::number

#endif  // RATEBOUND_ENGINE_NUMBER_SUM_H_
