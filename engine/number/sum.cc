#include "engine/number/sum.h"

#include <algorithm>
#include <cstddef>

namespace ratebound::number {

double Sum(std::span<const double> terms) {
  OrderedSum sum;
  for (double term : terms) sum.Add(term);
  return sum.Total();
}

double Mean(std::span<const double> terms) {
  return Sum(terms) / static_cast<double>(terms.size());
}

double SumOfSquares(std::span<const double> terms) {
  OrderedSum sum;
  for (double term : terms) sum.AddProduct(term, term);
  return sum.Total();
}

double Dot(std::span<const double> a, std::span<const double> b) {
  OrderedSum sum;
  const size_t size = std::min(a.size(), b.size());
  for (size_t i = 0; i < size; ++i) sum.AddProduct(a[i], b[i]);
  return sum.Total();
}

}  // namespace ratebound::number
