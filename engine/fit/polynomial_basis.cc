#include "engine/fit/polynomial_basis.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "engine/base/status_macros.h"
#include "engine/base/text.h"
#include "engine/number/error_free.h"

namespace ratebound::fit {
namespace {

using number::DoubleDouble;

constexpr double kLargest = 1e150;
constexpr int kPowers = PolynomialBasis::kMaxDegree + 1;

// powers[k][i] is the coefficient of z^i in T_k.
constexpr std::array<std::array<double, kPowers>, kPowers> ChebyshevPowers() {
  std::array<std::array<double, kPowers>, kPowers> powers = {};
  powers[0][0] = 1;
  powers[1][1] = 1;
  for (int k = 2; k < kPowers; ++k) {
    for (int i = 0; i < kPowers; ++i) {
      powers[k][i] = (i > 0 ? 2 * powers[k - 1][i - 1] : 0.0) - powers[k - 2][i];
    }
  }
  return powers;
}
constexpr auto kChebyshevPowers = ChebyshevPowers();

// Appends the exponents of all terms of one total degree, first variable's power falling.
void AppendDegree(int variable, int left, std::vector<int>& powers,
                  std::vector<int>& out) {
  if (variable + 1 == static_cast<int>(powers.size())) {
    powers[variable] = left;
    out.insert(out.end(), powers.begin(), powers.end());
    return;
  }
  for (int power = left; power >= 0; --power) {
    powers[variable] = power;
    AppendDegree(variable + 1, left - power, powers, out);
  }
}

int CountTerms(int variables, int degree) {
  int count = 1;  // binomial(variables + degree, degree), exact at every step
  for (int i = 1; i <= degree; ++i) count = count * (variables + i) / i;
  return count;
}

// T_0 .. T_degree at z.
template <typename Number>
void FillChebyshev(Number z, Number one, int degree, Number* values) {
  values[0] = one;
  if (degree >= 1) values[1] = z;
  const Number twice = z + z;
  for (int k = 2; k <= degree; ++k) values[k] = twice * values[k - 1] - values[k - 2];
}

double DotWide(std::span<const double> a, std::span<const double> b) {
  DoubleDouble sum;
  for (size_t i = 0; i < a.size(); ++i) {
    if (a[i] != 0) sum = sum + DoubleDouble::Product(a[i], b[i]);
  }
  return sum.ToDouble();
}

}  // namespace

absl::StatusOr<PolynomialBasis> PolynomialBasis::Create(std::vector<ScaledRange> ranges,
                                                        int degree) {
  const int variables = static_cast<int>(ranges.size());
  if (variables < 1 || variables > kMaxVariables) {
    return absl::InvalidArgumentError(absl::StrCat(
        "a polynomial takes 1 to ", kMaxVariables, " conditions; ", variables, " given"));
  }
  if (degree < 0 || degree > kMaxDegree) {
    return absl::InvalidArgumentError(
        absl::StrCat("the total degree is ", degree, "; expected 0 to ", kMaxDegree));
  }
  if (CountTerms(variables, degree) > kMaxTerms) {
    return absl::InvalidArgumentError(absl::StrCat(
        "degree ", degree, " in ", variables, " conditions has ",
        CountTerms(variables, degree), " terms; at most ", kMaxTerms,
        " are allowed; lower the degree or hold a condition out of the fit"));
  }
  for (int v = 0; v < variables; ++v) {
    if (!(std::fabs(ranges[v].centre) < kLargest && ranges[v].half_range > 0 &&
          ranges[v].half_range < kLargest)) {
      return absl::InvalidArgumentError(
          absl::StrCat("column ", v, ": centre ", base::ShortestText(ranges[v].centre),
                       " and half range ", base::ShortestText(ranges[v].half_range),
                       "; the half range must be above 0 and both finite"));
    }
  }

  PolynomialBasis basis;
  basis.ranges_ = std::move(ranges);
  basis.degree_ = degree;
  std::vector<int> powers(variables);
  for (int d = 0; d <= degree; ++d) AppendDegree(0, d, powers, basis.exponents_);

  const int terms = static_cast<int>(basis.exponents_.size()) / variables;
  basis.steps_.push_back({0, 0, 0});
  for (int t = 1; t < terms; ++t) {
    const int* row = &basis.exponents_[static_cast<size_t>(t) * variables];
    int last = variables - 1;
    while (row[last] == 0) --last;
    std::copy(row, row + variables, powers.begin());
    powers[last] = 0;
    int parent = 0;
    while (!std::equal(powers.begin(), powers.end(),
                       &basis.exponents_[static_cast<size_t>(parent) * variables])) {
      ++parent;
    }
    basis.steps_.push_back({parent, last, row[last]});
  }

  basis.monomial_matrix_.resize(static_cast<size_t>(terms) * terms);
  for (int i = 0; i < terms; ++i) {
    for (int j = i; j < terms; ++j) {
      double product = 1;
      for (int v = 0; v < variables; ++v) {
        product *= kChebyshevPowers[basis.exponents_[j * variables + v]]
                                   [basis.exponents_[i * variables + v]];
      }
      basis.monomial_matrix_[static_cast<size_t>(i) * terms + j] = product;
    }
  }
  return basis;
}

absl::StatusOr<PolynomialBasis> PolynomialBasis::ForPoints(Columns columns, int degree) {
  std::vector<ScaledRange> ranges;
  std::vector<std::string> faults;
  for (size_t v = 0; v < columns.size(); ++v) {
    std::vector<double> levels(columns[v]);
    if (levels.empty() || levels.size() != columns[0].size()) {
      return absl::InvalidArgumentError(
          absl::StrCat("column ", v, " holds ", levels.size(),
                       " values; expected as many as column 0, "
                       "and at least one"));
    }
    for (double x : levels) {
      if (!(std::fabs(x) < kLargest)) {
        return absl::InvalidArgumentError(
            absl::StrCat("column ", v, " holds ", base::ShortestText(x),
                         "; every value must be finite and below 1e150"));
      }
    }
    std::sort(levels.begin(), levels.end());
    const double least = levels.front(), most = levels.back();
    levels.erase(std::unique(levels.begin(), levels.end()), levels.end());
    const int distinct = static_cast<int>(levels.size());
    if (distinct < degree + 1 || distinct == 1) {
      faults.push_back(absl::StrCat(
          "column ", v, " takes ", distinct,
          distinct == 1 ? " distinct level (" : " distinct levels (",
          base::ShortestText(least),
          distinct == 1 ? "" : absl::StrCat(" to ", base::ShortestText(most)), ") in ",
          columns[v].size(), " points; degree ", degree, " needs ",
          std::max(2, degree + 1)));
    }
    ranges.push_back(
        {.centre = 0.5 * least + 0.5 * most, .half_range = 0.5 * most - 0.5 * least});
  }
  if (!faults.empty()) {
    return absl::FailedPreconditionError(absl::StrCat(
        absl::StrJoin(faults, "\n"),
        "; test more levels, lower the degree or hold the condition out of the fit"));
  }
  return Create(std::move(ranges), degree);
}

std::span<const int> PolynomialBasis::exponents(int term) const {
  return std::span(exponents_)
      .subspan(static_cast<size_t>(term) * ranges_.size(), ranges_.size());
}

std::string PolynomialBasis::TermName(int term,
                                      std::span<const std::string> names) const {
  std::string text;
  const std::span<const int> powers = exponents(term);
  for (size_t v = 0; v < powers.size(); ++v) {
    if (powers[v] == 0) continue;
    absl::StrAppend(&text, text.empty() ? "" : "*",
                    v < names.size() ? names[v] : absl::StrCat("x", v));
    if (powers[v] > 1) absl::StrAppend(&text, "^", powers[v]);
  }
  return text.empty() ? "1" : text;
}

std::vector<std::string> PolynomialBasis::TermNames(
    std::span<const std::string> names) const {
  std::vector<std::string> all;
  all.reserve(steps_.size());
  for (int t = 0; t < terms(); ++t) all.push_back(TermName(t, names));
  return all;
}

absl::Status PolynomialBasis::CheckColumns(Columns columns) const {
  if (columns.size() != ranges_.size()) {
    return absl::InvalidArgumentError(absl::StrCat("the basis has ", ranges_.size(),
                                                   " conditions; ", columns.size(),
                                                   " columns given"));
  }
  for (size_t v = 0; v < columns.size(); ++v) {
    if (columns[v].size() != columns[0].size()) {
      return absl::InvalidArgumentError(
          absl::StrCat("column ", v, " holds ", columns[v].size(),
                       " values and column 0 ", columns[0].size()));
    }
    for (double x : columns[v]) {
      if (!(std::fabs(x) < kLargest)) {
        return absl::InvalidArgumentError(
            absl::StrCat("column ", v, " holds ", base::ShortestText(x),
                         "; every value must be finite and below 1e150"));
      }
    }
  }
  return absl::OkStatus();
}

void PolynomialBasis::Row(std::span<const double> point, std::span<double> row) const {
  std::array<std::array<double, kPowers>, kMaxVariables> chebyshev;
  for (size_t v = 0; v < ranges_.size(); ++v) {
    const double z = (point[v] - ranges_[v].centre) / ranges_[v].half_range;
    FillChebyshev(z, 1.0, degree_, chebyshev[v].data());
  }
  row[0] = 1;
  for (size_t t = 1; t < steps_.size(); ++t) {
    const Step& step = steps_[t];
    row[t] = row[step.parent] * chebyshev[step.variable][step.power];
  }
}

void PolynomialBasis::MonomialRow(std::span<const double> z,
                                  std::span<double> row) const {
  row[0] = 1;
  for (size_t t = 1; t < steps_.size(); ++t) {
    double value = row[steps_[t].parent];
    for (int k = 0; k < steps_[t].power; ++k) value *= z[steps_[t].variable];
    row[t] = value;
  }
}

absl::StatusOr<DesignMatrix> PolynomialBasis::Design(Columns columns) const {
  RETURN_IF_ERROR(CheckColumns(columns));
  const int points = static_cast<int>(columns[0].size());
  DesignMatrix design(points, terms());
  std::vector<double> point(ranges_.size()), row(steps_.size());
  for (int i = 0; i < points; ++i) {
    for (size_t v = 0; v < columns.size(); ++v) point[v] = columns[v][i];
    Row(point, row);
    for (int t = 0; t < terms(); ++t) design.at(i, t) = row[t];
  }
  return design;
}

absl::StatusOr<DesignMatrix> PolynomialBasis::PreciseDesign(Columns columns) const {
  RETURN_IF_ERROR(CheckColumns(columns));
  const int points = static_cast<int>(columns[0].size());
  DesignMatrix design(points, terms());
  design.low.resize(design.values.size());
  std::array<std::array<DoubleDouble, kPowers>, kMaxVariables> chebyshev;
  std::vector<DoubleDouble> row(steps_.size());
  for (int i = 0; i < points; ++i) {
    for (size_t v = 0; v < columns.size(); ++v) {
      const DoubleDouble z = DoubleDouble::Sum(columns[v][i], -ranges_[v].centre) /
                             DoubleDouble(ranges_[v].half_range);
      FillChebyshev(z, DoubleDouble(1), degree_, chebyshev[v].data());
    }
    row[0] = DoubleDouble(1);
    for (size_t t = 1; t < steps_.size(); ++t) {
      row[t] = row[steps_[t].parent] * chebyshev[steps_[t].variable][steps_[t].power];
    }
    for (size_t t = 0; t < steps_.size(); ++t) {
      const size_t index = t * static_cast<size_t>(points) + static_cast<size_t>(i);
      design.values[index] = row[t].high();
      design.low[index] = row[t].low();
    }
  }
  return design;
}

std::vector<double> PolynomialBasis::ToMonomials(
    std::span<const double> coefficients) const {
  const size_t p = steps_.size();
  std::vector<double> monomials(p);
  for (size_t i = 0; i < p; ++i) {
    monomials[i] = DotWide(std::span(monomial_matrix_).subspan(i * p, p), coefficients);
  }
  return monomials;
}

std::vector<double> PolynomialBasis::CovarianceToMonomials(
    std::span<const double> covariance) const {
  const size_t p = steps_.size();
  const std::span<const double> matrix = monomial_matrix_;
  std::vector<double> half(p * p),
      result(p * p);  // half = covariance * matrix', by columns
  for (size_t j = 0; j < p; ++j) {
    for (size_t i = 0; i < p; ++i) {
      half[j * p + i] = DotWide(matrix.subspan(j * p, p), covariance.subspan(i * p, p));
    }
  }
  for (size_t i = 0; i < p; ++i) {
    for (size_t j = 0; j <= i; ++j) {
      result[i * p + j] = result[j * p + i] = DotWide(
          matrix.subspan(i * p, p), std::span<const double>(half).subspan(j * p, p));
    }
  }
  return result;
}

absl::StatusOr<PolynomialBasis::RawPolynomial> PolynomialBasis::ToRawPolynomial(
    std::span<const double> coefficients, std::span<const double> coefficients_low,
    std::span<const double> covariance) const {
  if (variables() != 1) {
    return absl::InvalidArgumentError(absl::StrCat(
        "powers of the condition itself are given for one condition; the basis has ",
        variables()));
  }
  const size_t p = steps_.size();
  // raw[i * p + j]: coefficient of x^i in T_j((x - centre) / half_range), by T_j's
  // recurrence.
  const DoubleDouble half_range(ranges_[0].half_range);
  const DoubleDouble slope = DoubleDouble(1) / half_range;
  const DoubleDouble offset = DoubleDouble(-ranges_[0].centre) / half_range;
  std::vector<DoubleDouble> raw(p * p);
  raw[0] = DoubleDouble(1);
  if (p > 1) {
    raw[1] = offset;
    raw[p + 1] = slope;
  }
  for (size_t j = 2; j < p; ++j) {
    for (size_t i = 0; i <= j; ++i) {
      DoubleDouble sum = offset * raw[i * p + j - 1];
      if (i > 0) sum = sum + slope * raw[(i - 1) * p + j - 1];
      raw[i * p + j] = (sum + sum) - raw[i * p + j - 2];
    }
  }

  RawPolynomial result;
  for (size_t i = 0; i < p; ++i) {
    DoubleDouble sum;
    for (size_t j = i; j < p; ++j) {
      const double low = coefficients_low.empty() ? 0 : coefficients_low[j];
      sum = sum + raw[i * p + j] * DoubleDouble::Sum(coefficients[j], low);
    }
    result.coefficients.push_back(sum.ToDouble());
  }
  if (covariance.empty()) return result;
  std::vector<DoubleDouble> half(p * p);  // raw * covariance
  for (size_t i = 0; i < p; ++i) {
    for (size_t k = 0; k < p; ++k) {
      for (size_t j = i; j < p; ++j) {
        half[i * p + k] =
            half[i * p + k] + raw[i * p + j] * DoubleDouble(covariance[j * p + k]);
      }
    }
  }
  result.covariance.resize(p * p);
  for (size_t i = 0; i < p; ++i) {
    for (size_t k = 0; k < p; ++k) {
      DoubleDouble sum;
      for (size_t j = k; j < p; ++j) sum = sum + half[i * p + j] * raw[k * p + j];
      result.covariance[i * p + k] = sum.ToDouble();
    }
  }
  return result;
}

}  // namespace ratebound::fit
