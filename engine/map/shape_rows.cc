#include "engine/map/shape_rows.h"

#include <algorithm>

namespace ratebound::map {
namespace {

double Binomial(int n, int k) {
  if (k < 0 || k > n) return 0;
  double value = 1;
  for (int i = 1; i <= k; ++i) value = value * (n - k + i) / i;
  return value;
}

// The j-th Bernstein coefficient of x^k over [a, b] at degree d (bernstein.h).
double MonomialCoefficient(int d, int j, int k, double a, double b) {
  double sum = 0;
  for (int l = std::max(0, k - (d - j)); l <= std::min(j, k); ++l) {
    double product = Binomial(j, l) * Binomial(d - j, k - l);
    for (int i = 0; i < l; ++i) product *= b;
    for (int i = 0; i < k - l; ++i) product *= a;
    sum += product;
  }
  return sum / Binomial(d, k);
}

// Exponents and factors of the terms of the margin; factor 0 where a term has none.
struct Terms {
  explicit Terms(const LinearMargin& margin)
      : variables(margin.variables),
        exponents(margin.exponents.begin(), margin.exponents.end()),
        factors(exponents.size() / static_cast<size_t>(variables), 1.0),
        degrees(variables, 0) {
    for (size_t t = 0; t < factors.size(); ++t) {
      int* row = &exponents[t * static_cast<size_t>(variables)];
      if (margin.derivative >= 0) {
        factors[t] = row[margin.derivative];
        if (row[margin.derivative] > 0) --row[margin.derivative];
      }
      if (factors[t] == 0) continue;
      for (int v = 0; v < variables; ++v) degrees[v] = std::max(degrees[v], row[v]);
    }
  }

  int variables;
  std::vector<int> exponents;
  std::vector<double> factors;
  std::vector<int> degrees;
};

// Along one condition: the Bernstein coefficient of every power, for each coefficient of
// each part.
std::vector<std::vector<double>> Along(int degree, double low, double high, int parts) {
  if (degree < 2) parts = 1;
  std::vector<std::vector<double>> coefficients;
  for (int part = 0; part < parts; ++part) {
    // Whole ends, so that parts leave nothing out between them.
    const double a = part == 0 ? low : low + (high - low) * part / parts;
    const double b = part + 1 == parts ? high : low + (high - low) * (part + 1) / parts;
    for (int j = part == 0 ? 0 : 1; j <= degree; ++j) {
      std::vector<double> powers;
      for (int k = 0; k <= degree; ++k) {
        powers.push_back(MonomialCoefficient(degree, j, k, a, b));
      }
      coefficients.push_back(std::move(powers));
    }
  }
  return coefficients;
}

}  // namespace

int64_t CountBernsteinRows(const LinearMargin& margin, int parts) {
  const Terms terms(margin);
  int64_t rows = 1;
  for (int degree : terms.degrees) rows *= degree < 2 ? degree + 1 : degree * parts + 1;
  return rows;
}

std::vector<double> BernsteinRows(const LinearMargin& margin, const bound::Box& box,
                                  int parts) {
  const Terms terms(margin);
  const auto n = static_cast<size_t>(terms.variables);
  std::vector<std::vector<std::vector<double>>> along;
  for (size_t v = 0; v < n; ++v) {
    along.push_back(Along(terms.degrees[v], box.lo[v], box.hi[v], parts));
  }
  std::vector<double> rows;
  std::vector<size_t> index(n, 0);
  for (size_t next = 0; next < n;) {
    for (size_t t = 0; t < terms.factors.size(); ++t) {
      double entry = terms.factors[t];
      for (size_t v = 0; v < n && entry != 0; ++v) {
        entry *= along[v][index[v]][static_cast<size_t>(terms.exponents[t * n + v])];
      }
      rows.push_back(entry);
    }
    next = 0;
    while (next < n && ++index[next] == along[next].size()) index[next++] = 0;
  }
  return rows;
}

}  // namespace ratebound::map
