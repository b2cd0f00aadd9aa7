#include "engine/recheck/taylor.h"

#include <limits>
#include <numeric>

namespace ratebound::recheck {
namespace {

constexpr size_t kNone = std::numeric_limits<size_t>::max();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

}  // namespace

bool TaylorSet::IncludeRow(const Row& row) {
  if (place_.size() >= kMost) return false;
  if (!place_.emplace(row, 0).second) return true;
  for (int i = 0; i < variables_; ++i) {
    if (row[i] == 0) continue;
    Row less = row;
    --less[i];
    if (!IncludeRow(less)) return false;
  }
  return true;
}

bool TaylorSet::Include(const document::CertifiedPolynomial& p) {
  Row row(variables_, 0);
  if (!IncludeRow(row)) return false;
  for (size_t k = 0; k < p.coefficients.size(); ++k) {
    const auto from = p.exponents.begin() + static_cast<int64_t>(k) * variables_;
    row.assign(from, from + variables_);
    if (!IncludeRow(row)) return false;
  }
  return true;
}

void TaylorSet::Finish() {
  for (auto& [row, place] : place_) {
    place = rows_.size();
    rows_.push_back(row);
    int degree = 0;
    bool even = true;
    for (const int exponent : row) {
      degree += exponent;
      even = even && exponent % 2 == 0;
    }
    degree_.push_back(degree);
    even_.push_back(even);
  }
  const auto find = [this](const Row& row) {
    const auto at = place_.find(row);
    return at == place_.end() ? kNone : at->second;
  };
  constant_ = find(Row(variables_, 0));
  without_.assign(variables_, std::vector<size_t>(rows_.size(), kNone));
  falling_.assign(variables_, {});
  quadratic_.assign(variables_, std::vector<size_t>(variables_, kNone));
  for (int i = 0; i < variables_; ++i) {
    for (size_t k = 0; k < rows_.size(); ++k) {
      if (rows_[k][i] == 0) continue;
      Row less = rows_[k];
      --less[i];
      without_[i][k] = find(less);
      falling_[i].push_back(k);
    }
    std::stable_sort(falling_[i].begin(), falling_[i].end(),
                     [&](size_t a, size_t b) { return rows_[a][i] > rows_[b][i]; });
    Row row(variables_, 0);
    ++row[i];
    linear_.push_back(find(row));
    for (int j = 0; j < variables_; ++j) {
      ++row[j];
      quadratic_[i][j] = find(row);
      --row[j];
    }
  }
}

int64_t TaylorSet::products() const {
  return std::accumulate(degree_.begin(), degree_.end(), int64_t{0});
}

TaylorSet::Spans TaylorSet::Spread(const document::CertifiedPolynomial& p) const {
  Spans spans(rows_.size());
  for (size_t k = 0; k < p.coefficients.size(); ++k) {
    const auto from = p.exponents.begin() + static_cast<int64_t>(k) * variables_;
    Span& at = spans[place_.at(Row(from, from + variables_))];
    Span coefficient = p.coefficients[k];
    if (!p.errors.empty()) coefficient = coefficient + Span(-p.errors[k], p.errors[k]);
    at = at + coefficient;
  }
  return spans;
}

void TaylorSet::Move(std::span<const double> z, Spans& p) const {
  for (int i = 0; i < variables_; ++i) {
    if (z[i] == 0 || falling_[i].empty()) continue;
    // Repeated synthetic division (Horner).
    const int degree = rows_[falling_[i][0]][i];
    for (int pass = 1; pass <= degree; ++pass) {
      for (const size_t k : falling_[i]) {
        if (rows_[k][i] < pass) break;
        p[without_[i][k]] = p[without_[i][k]] + Span(z[i]) * p[k];
      }
    }
  }
}

void TaylorSet::Stretch(std::span<const Span> r, Spans& p) const {
  for (size_t k = 0; k < rows_.size(); ++k) {
    for (int i = 0; i < variables_; ++i) {
      for (int e = 0; e < rows_[k][i]; ++e) p[k] = p[k] * r[i];
    }
  }
}

Span TaylorSet::At(std::span<const Span> x, const Spans& p) const {
  Spans terms = p;
  Stretch(x, terms);
  Span sum = 0;
  for (const Span& term : terms) sum = sum + term;
  return sum;
}

Span TaylorSet::Of(const Spans& p, int i, int j) const {
  const size_t at = j < 0 ? linear_[i] : quadratic_[i][j];
  return at == kNone ? Span(0) : p[at];
}

double TaylorSet::LeastOver(std::span<const double> lo, std::span<const double> hi,
                            const Spans& p) const {
  return std::max(Singly(lo, hi, p), Completed(lo, hi, p));
}

// Every variable alone: b u + a u^2; every other term by its greatest size.
double TaylorSet::Singly(std::span<const double> lo, std::span<const double> hi,
                         const Spans& p) const {
  Span least = p[constant_].lo;
  for (size_t k = 0; k < rows_.size(); ++k) {
    if (degree_[k] < 2 || (degree_[k] == 2 && even_[k])) continue;
    if (!even_[k] || p[k].lo < 0) least = least - Span(p[k].greatest());
  }
  for (int i = 0; i < variables_; ++i) {
    const Span b = Of(p, i, -1);
    const double a = Of(p, i, i).lo;  // u^2 is not negative
    double end = kInfinity;
    for (const double u : {lo[i], hi[i]}) {
      end = std::min(end, (Span(u) * (b + Span(a) * Span(u))).lo);
    }
    if (a > 0) {
      const Span vertex = -b / Span(a) * Span(0.5);
      const double size = b.greatest();
      if (vertex.hi > lo[i] && vertex.lo < hi[i]) {
        end = std::min(end, (-(Span(size) * Span(size)) / (Span(4) * Span(a))).lo);
      }
    }
    least = least + Span(end);
  }
  return least.lo;
}

// All together: terms of third and higher order are at most sum_i (a_i / |a|) u_i^2 each;
// a slope away from a face that the origin lies on is at least as much as its square.
double TaylorSet::Completed(std::span<const double> lo, std::span<const double> hi,
                            const Spans& p) const {
  Spans absorbed(variables_, Span(0));
  for (size_t k = 0; k < rows_.size(); ++k) {
    if (degree_[k] < 3 || p[k].zero() || (even_[k] && p[k].lo >= 0)) continue;
    for (int i = 0; i < variables_; ++i) {
      if (rows_[k][i] == 0) continue;
      absorbed[i] =
          absorbed[i] + Span(p[k].greatest()) * Span(rows_[k][i]) / Span(degree_[k]);
    }
  }
  Span least = p[constant_].lo;
  std::vector<int> used;
  Spans slope;
  Spans diagonal;
  for (int i = 0; i < variables_; ++i) {
    const Span b = Of(p, i, -1);
    const Span a = Of(p, i, i);
    bool alone = a.zero() && absorbed[i].zero();
    for (int j = 0; j < variables_; ++j) {
      alone = alone && (j == i || Of(p, i, j).zero());
    }
    if (alone) {
      least = least + Span(std::min((b * Span(lo[i])).lo, (b * Span(hi[i])).lo));
      continue;
    }
    double steepness = 0;
    if (lo[i] >= 0 && b.lo > 0) steepness = b.lo;
    if (hi[i] <= 0 && b.hi < 0) steepness = -b.hi;
    used.push_back(i);
    slope.push_back(steepness > 0 ? Span(0) : b);
    diagonal.push_back(a + Span(steepness) - Span(absorbed[i].hi));
  }
  // L D L' of the matrix, row by row; y solves L y = b.
  const size_t size = used.size();
  std::vector<Spans> lower(size, Spans(size));
  Spans pivot(size);
  Spans y(size);
  for (size_t i = 0; i < size; ++i) {
    Span d = diagonal[i];
    y[i] = slope[i];
    Spans scaled(i);  // (L D)_ij
    for (size_t j = 0; j < i; ++j) {
      scaled[j] = Span(0.5) * Of(p, used[i], used[j]);
      for (size_t k = 0; k < j; ++k) scaled[j] = scaled[j] - scaled[k] * lower[j][k];
      lower[i][j] = scaled[j] / pivot[j];
      d = d - scaled[j] * lower[i][j];
      y[i] = y[i] - lower[i][j] * y[j];
    }
    if (!(d.lo > 0)) return -kInfinity;
    pivot[i] = d;
    const Span square = Span(y[i].greatest()) * Span(y[i].greatest());
    least = least - square / (Span(4) * d);
  }
  return least.lo;
}

}  // namespace ratebound::recheck
