#include "engine/bound/bernstein.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/bound/unit_box.h"

namespace ratebound::bound {
namespace {

// Pascal's triangle.
using BinomialTable =
    std::array<std::array<double, kHighestRangeDegree + 1>, kHighestRangeDegree + 1>;
constexpr BinomialTable kBinomial = [] {
  BinomialTable table{};
  for (int n = 0; n <= kHighestRangeDegree; ++n) {
    table[n][0] = 1;
    for (int k = 1; k <= n; ++k) table[n][k] = table[n - 1][k - 1] + table[n - 1][k];
  }
  return table;
}();

}  // namespace

bool BernsteinForm::Fits(const MonomialSet& set) {
  int64_t count = 1;
  for (int i = 0; i < set.variables(); ++i) {
    count *= set.Degree(i) + 1;
    if (count > kMostCoefficients) return false;
  }
  return true;
}

BernsteinForm::BernsteinForm(const MonomialSet& set) : variables_(set.variables()) {
  int most_rows = 1;
  for (int i = variables_ - 1; i >= 0; --i) {
    const int degree = set.Degree(i);
    rows_[i] = degree + 1;
    stride_[i] = static_cast<int>(count_);
    count_ *= rows_[i];
    most_rows = std::max(most_rows, rows_[i]);
    std::vector<double>& weights = weights_[degree];
    if (!weights.empty()) continue;
    weights.resize(rows_[i] * rows_[i] * rows_[i]);
    for (int j = 0; j <= degree; ++j) {
      for (int k = 0; k <= degree; ++k) {
        for (int l = std::max(0, k - (degree - j)); l <= std::min(j, k); ++l) {
          weights[(j * rows_[i] + k) * rows_[i] + l] =
              kBinomial[j][l] * kBinomial[degree - j][k - l] / kBinomial[degree][k];
        }
      }
    }
    centred_[degree].resize(rows_[i] * rows_[i]);
    Matrix(degree, -1, 1, centred_[degree].data());
  }
  place_.reserve(set.size());
  for (MonomialKey key : set.keys()) {
    int place = 0;
    for (int i = 0; i < variables_; ++i) place += Exponent(key, i) * stride_[i];
    place_.push_back(place);
  }
  // Keys of the variables before i alone, with the highest power of x_i beside them.
  std::vector<int> rows(count_);
  for (int i = 0; i < variables_; ++i) {
    std::fill(rows.begin(), rows.end(), 0);
    for (size_t k = 0; k < place_.size(); ++k) {
      const int prefix = place_[k] - place_[k] % (stride_[i] * rows_[i]);
      rows[prefix] = std::max(rows[prefix], Exponent(set.keys()[k], i) + 1);
    }
    for (int offset = 0; offset < count_; offset += stride_[i] * rows_[i]) {
      if (rows[offset] > 0) runs_[i].push_back({offset, rows[offset]});
    }
  }
  front_.resize(count_);
  back_.resize(count_);
  matrix_.resize(most_rows * most_rows);
}

void BernsteinForm::Matrix(int degree, double lo, double hi, double* matrix) const {
  const int rows = degree + 1;
  std::array<double, kMostRows> low_power;
  std::array<double, kMostRows> high_power;
  low_power[0] = high_power[0] = 1;
  for (int k = 1; k <= degree; ++k) {
    low_power[k] = low_power[k - 1] * lo;
    high_power[k] = high_power[k - 1] * hi;
  }
  const double* weights = weights_[degree].data();
  for (int j = 0; j < rows; ++j) {
    for (int k = 0; k < rows; ++k) {
      double entry = 0;
      for (int l = std::max(0, k - (degree - j)); l <= std::min(j, k); ++l) {
        entry += weights[(j * rows + k) * rows + l] * (high_power[l] * low_power[k - l]);
      }
      matrix[j * rows + k] = entry;
    }
  }
}

void BernsteinForm::Tensor(const double* coefficients, const double* lo,
                           const double* hi) {
  for (size_t k = 0; k < place_.size(); ++k) front_[place_[k]] = coefficients[k];
  for (int i = variables_ - 1; i >= 0; --i) {
    const int rows = rows_[i];
    if (rows == 1) continue;
    const double* matrix = centred_[rows - 1].data();
    if (lo[i] != -1 || hi[i] != 1) {
      Matrix(rows - 1, lo[i], hi[i], matrix_.data());
      matrix = matrix_.data();
    }
    const int inner = stride_[i];
    for (const Run& run : runs_[i]) {
      const double* in = front_.data() + run.offset;
      double* out = back_.data() + run.offset;
      for (int j = 0; j < rows; ++j, out += inner) {
        const double* row = matrix + j * rows;
        // The power 0 has the weight 1 in every row.
        if (inner == 1) {
          double sum = in[0];
          for (int k = 1; k < run.rows; ++k) sum += row[k] * in[k];
          out[0] = sum;
          continue;
        }
        if (run.rows == 1) {
          for (int s = 0; s < inner; ++s) out[s] = in[s];
          continue;
        }
        for (int s = 0; s < inner; ++s) out[s] = in[s] + row[1] * in[inner + s];
        for (int k = 2; k < run.rows; ++k) {
          const double factor = row[k];
          const double* from = in + k * inner;
          for (int s = 0; s < inner; ++s) out[s] += factor * from[s];
        }
      }
    }
    std::swap(front_, back_);
  }
}

double BernsteinForm::Least(const double* coefficients, const double* lo,
                            const double* hi) {
  Tensor(coefficients, lo, hi);
  std::array<double, 4> least;
  least.fill(front_[0]);
  int64_t at = 0;
  for (; at + 4 <= count_; at += 4) {
    for (int lane = 0; lane < 4; ++lane) {
      const double value = front_[at + lane];
      least[lane] = value < least[lane] ? value : least[lane];
    }
  }
  for (; at < count_; ++at) least[0] = std::min(least[0], front_[at]);
  return std::min(std::min(least[0], least[1]), std::min(least[2], least[3]));
}

BernsteinForm::Extremes BernsteinForm::Compute(const double* coefficients,
                                               const double* lo, const double* hi) {
  Tensor(coefficients, lo, hi);
  Extremes e{front_[0], front_[0], 0, 0};
  for (double value : front_) {
    e.least = std::min(e.least, value);
    e.greatest = std::max(e.greatest, value);
  }
  double least = front_[0];
  double greatest = front_[0];
  for (int vertex = 1; vertex < 1 << variables_; ++vertex) {
    int place = 0;
    for (int i = 0; i < variables_; ++i) {
      if (vertex >> i & 1) place += (rows_[i] - 1) * stride_[i];
    }
    if (front_[place] < least) {
      least = front_[place];
      e.least_vertex = vertex;
    }
    if (front_[place] > greatest) {
      greatest = front_[place];
      e.greatest_vertex = vertex;
    }
  }
  return e;
}

absl::Status CheckRangeable(const Polynomial& polynomial) {
  for (int i = 0; i < polynomial.variables(); ++i) {
    if (polynomial.Degree(i) > kHighestRangeDegree) {
      return absl::InvalidArgumentError(absl::StrCat(
          "degree ", polynomial.Degree(i), " in variable ", i,
          " of a polynomial to bound; the highest is ", kHighestRangeDegree));
    }
  }
  constexpr double kMostMonomials = 1e6;
  double tensor = 1;
  double divisors = 0;
  for (int i = 0; i < polynomial.variables(); ++i) tensor *= polynomial.Degree(i) + 1;
  for (MonomialKey key : polynomial.keys()) {
    double product = 1;
    for (int i = 0; i < polynomial.variables(); ++i) product *= Exponent(key, i) + 1;
    divisors += product;
  }
  if (std::min(tensor, divisors) > kMostMonomials) {
    return absl::InvalidArgumentError(absl::StrCat(
        "a polynomial of ", polynomial.terms(), " terms in ", polynomial.variables(),
        " variables is too large to bound; lower its "
        "degrees"));
  }
  return absl::OkStatus();
}

absl::StatusOr<RangeEnclosure> EncloseRange(const Polynomial& polynomial,
                                            const Box& box) {
  RETURN_IF_ERROR(CheckBox(box, polynomial.variables()));
  RETURN_IF_ERROR(CheckRangeable(polynomial));
  const int n = polynomial.variables();
  const UnitPolynomial unit(polynomial, UnitMap(box));
  const double* t = unit.coefficients.data();
  BernsteinForm::Extremes extremes;
  int roundings = 0;
  if (BernsteinForm::Fits(unit.set)) {
    std::array<double, kMostVariables> low;
    std::array<double, kMostVariables> high;
    low.fill(-1);
    high.fill(1);
    BernsteinForm form(unit.set);
    roundings = BernsteinForm::Roundings(unit.set);
    extremes = form.Compute(t, low.data(), high.data());
  } else {
    const double rest = unit.absolute_sum - std::fabs(t[0]);
    // The difference of two sums costs twice the roundings of one.
    roundings = 2 * unit.set.size() + 2;
    extremes = {t[0] - rest, t[0] + rest, 0, 0};
    for (int i = 0; i < n; ++i) {
      const int linear = unit.set.Linear(i);
      const bool rising = linear >= 0 && t[linear] > 0;
      (rising ? extremes.greatest_vertex : extremes.least_vertex) |= 1 << i;
    }
  }
  const auto value_at = [&](int vertex) {
    std::array<Interval, kMostVariables> x;
    for (int i = 0; i < n; ++i) x[i] = vertex >> i & 1 ? box.hi[i] : box.lo[i];
    return polynomial.Evaluate(std::span<const Interval>(x.data(), n));
  };
  RangeEnclosure enclosure{.range = Interval::Entire(),
                           .least_vertex = value_at(extremes.least_vertex),
                           .greatest_vertex = value_at(extremes.greatest_vertex)};
  const double error = Succ(unit.error + RoundingBound(roundings, unit.absolute_sum));
  if (error < kInfinity) {
    enclosure.range = {Pred(extremes.least - error), Succ(extremes.greatest + error)};
  }
  return enclosure;
}

}  // namespace ratebound::bound
