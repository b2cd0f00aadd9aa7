#include "engine/recheck/polynomial.h"

#include <algorithm>

namespace ratebound::recheck {
namespace {

constexpr double kWidestError = 1e-12;  // of the largest coefficient
constexpr double kNothing = 1e-300;
constexpr int kMostHalvings = 12;

// Over a box; even powers of a range around 0 are not negative.
Span RangeOf(const SpanPolynomial& p, const std::vector<Span>& x) {
  Span sum = 0;
  for (const auto& [row, coefficient] : p) {
    Span term = coefficient;
    for (size_t i = 0; i < row.size(); ++i) {
      if (row[i] == 0) continue;
      Span power = x[i];
      for (int e = 1; e < row[i]; ++e) power = power * x[i];
      if (row[i] % 2 == 0) power.lo = std::max(0.0, power.lo);
      term = term * power;
    }
    sum = sum + term;
  }
  return sum;
}

bool IsPositiveIn(const SpanPolynomial& p, std::vector<Span>& x, int halvings) {
  if (RangeOf(p, x).lo > 0) return true;
  size_t widest = 0;
  for (size_t i = 1; i < x.size(); ++i) {
    if (x[i].hi - x[i].lo > x[widest].hi - x[widest].lo) widest = i;
  }
  const Span whole = x[widest];
  const double middle = 0.5 * (whole.lo + whole.hi);
  if (halvings == 0 || !(whole.lo < middle && middle < whole.hi)) return false;
  bool positive = true;
  for (const Span& half : {Span(whole.lo, middle), Span(middle, whole.hi)}) {
    x[widest] = half;
    positive = positive && IsPositiveIn(p, x, halvings - 1);
  }
  x[widest] = whole;
  return positive;
}

}  // namespace

SpanPolynomial NumberIn(size_t variables, const Span& value) {
  return {{std::vector<int>(variables, 0), value}};
}

SpanPolynomial ConditionIn(const ConditionScale& scale, size_t condition) {
  SpanPolynomial p = NumberIn(scale.size(), scale.centre_si[condition]);
  std::vector<int> row(scale.size(), 0);
  row[condition] = 1;
  AddTo(p, row, scale.half_range_si[condition]);
  return p;
}

SpanPolynomial CutIn(const ConditionScale& scale, const document::HalfSpace& half_space) {
  SpanPolynomial cut = NumberIn(scale.size(), half_space.constant);
  for (size_t i = 0; i < scale.size(); ++i) {
    AddTimes(cut, ConditionIn(scale, i), half_space.factors[i]);
  }
  return cut;
}

void AddTo(SpanPolynomial& p, const std::vector<int>& row, const Span& value) {
  const auto [at, fresh] = p.emplace(row, value);
  if (!fresh) at->second = at->second + value;
}

void AddTimes(SpanPolynomial& sum, const SpanPolynomial& p, const Span& factor) {
  for (const auto& [row, value] : p) AddTo(sum, row, factor * value);
}

SpanPolynomial Times(const SpanPolynomial& p, const Span& factor) {
  SpanPolynomial product;
  AddTimes(product, p, factor);
  return product;
}

SpanPolynomial Product(const SpanPolynomial& a, const SpanPolynomial& b) {
  SpanPolynomial product;
  for (const auto& [a_row, a_value] : a) {
    for (const auto& [b_row, b_value] : b) {
      std::vector<int> row = a_row;
      for (size_t i = 0; i < row.size(); ++i) row[i] += b_row[i];
      AddTo(product, row, a_value * b_value);
    }
  }
  return product;
}

SpanPolynomial SlopeOf(const SpanPolynomial& p, size_t variable) {
  SpanPolynomial slope;
  for (const auto& [row, coefficient] : p) {
    if (row[variable] == 0) continue;
    std::vector<int> less = row;
    --less[variable];
    AddTo(slope, less, Span(row[variable]) * coefficient);
  }
  return slope;
}

bool IsNumber(const SpanPolynomial& p) {
  return std::all_of(p.begin(), p.end(), [](const auto& item) {
    return std::all_of(item.first.begin(), item.first.end(),
                       [](int exponent) { return exponent == 0; });
  });
}

Span NumberOf(const SpanPolynomial& p) { return p.empty() ? Span(0) : p.begin()->second; }

bool IsNothing(const SpanPolynomial& p) {
  return std::all_of(p.begin(), p.end(),
                     [](const auto& item) { return item.second.greatest() < kNothing; });
}

bool IsPositive(const SpanPolynomial& p, const std::vector<double>& low,
                const std::vector<double>& high) {
  std::vector<Span> x;
  for (size_t i = 0; i < low.size(); ++i) x.emplace_back(low[i], high[i]);
  return IsPositiveIn(p, x, kMostHalvings);
}

bool Same(const document::CertifiedPolynomial& certified, const SpanPolynomial& derived) {
  const size_t n = derived.empty() ? 0 : derived.begin()->first.size();
  SpanPolynomial left = derived;
  double largest = 0;
  for (const auto& [row, value] : derived) largest = std::max(largest, value.greatest());
  for (size_t k = 0; k < certified.coefficients.size(); ++k) {
    if (certified.exponents.size() != certified.coefficients.size() * n) return false;
    const auto from = certified.exponents.begin() + static_cast<int64_t>(k * n);
    const auto at = left.find({from, from + static_cast<int64_t>(n)});
    const double error = certified.errors.empty() ? 0 : certified.errors[k];
    if (!(error <= kWidestError * largest)) return false;
    const Span expected = at == left.end() ? Span(0) : at->second;
    if (certified.coefficients[k] + error < expected.lo ||
        certified.coefficients[k] - error > expected.hi) {
      return false;
    }
    if (at != left.end()) left.erase(at);
  }
  // What the certificate leaves out is nothing.
  return std::all_of(left.begin(), left.end(), [](const auto& item) {
    return item.second.lo <= 0 && item.second.hi >= 0;
  });
}

}  // namespace ratebound::recheck
