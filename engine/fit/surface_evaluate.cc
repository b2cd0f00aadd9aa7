#include "engine/fit/surface_evaluate.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/fit/kernels.h"
#include "engine/fit/least_squares.h"
#include "engine/fit/surface_kernels.h"

namespace ratebound::fit {
namespace {

// Appends the terms of Nested(variable, degree); see surface_kernels.h.
void AppendNested(const PolynomialBasis& basis, int variable, int degree,
                  std::vector<int>& powers, std::vector<int>& order) {
  if (variable == basis.variables()) {
    int term = 0;
    while (!std::equal(powers.begin(), powers.end(), basis.exponents(term).begin()))
      ++term;
    order.push_back(term);
    return;
  }
  for (int power = degree; power >= 0; --power) {
    powers[variable] = power;
    AppendNested(basis, variable + 1, degree - power, powers, order);
  }
}

// The same operations in the same order as the kernels.
double EvaluateNested(const double* z, int variables, int degree,
                      const double*& coefficients) {
  if (variables == 0) return *coefficients++;
  double value = EvaluateNested(z + 1, variables - 1, 0, coefficients);
  for (int step = 1; step <= degree; ++step) {
    const double inner = EvaluateNested(z + 1, variables - 1, step, coefficients);
    value = value * z[0] + inner;
  }
  return value;
}

bool AllFinite(std::span<const double> values) {
  for (double x : values) {
    if (!std::isfinite(x)) return false;
  }
  return true;
}

}  // namespace

absl::StatusOr<PolynomialSurface> PolynomialSurface::Create(
    const PolynomialBasis& basis, std::span<const double> monomials,
    std::span<const double> covariance) {
  const size_t terms = static_cast<size_t>(basis.terms());
  if (monomials.size() != terms ||
      (!covariance.empty() && covariance.size() != terms * terms)) {
    return absl::InvalidArgumentError(absl::StrCat(
        "a basis of ", terms, " terms takes as many coefficients, and a covariance of ",
        terms * terms, " numbers or none; ", monomials.size(), " and ", covariance.size(),
        " given"));
  }
  if (!AllFinite(monomials) || !AllFinite(covariance)) {
    return absl::InvalidArgumentError("coefficients and covariance must be finite");
  }
  PolynomialSurface surface(basis);
  surface.monomials_.assign(monomials.begin(), monomials.end());
  surface.covariance_.assign(covariance.begin(), covariance.end());
  std::vector<int> powers(basis.variables()), order;
  AppendNested(basis, 0, basis.degree(), powers, order);
  for (int term : order) surface.nested_.push_back(monomials[term]);
  for (const ScaledRange& range : basis.ranges()) {
    surface.centres_.push_back(range.centre);
    surface.reciprocals_.push_back(1 / range.half_range);
  }
  return surface;
}

double PolynomialSurface::At(std::span<const double> point) const {
  std::array<double, PolynomialBasis::kMaxVariables> z;
  for (size_t v = 0; v < centres_.size(); ++v) {
    z[v] = (point[v] - centres_[v]) * reciprocals_[v];
  }
  const double* coefficients = nested_.data();
  return EvaluateNested(z.data(), variables(), basis_.degree(), coefficients);
}

absl::Status PolynomialSurface::Evaluate(std::span<const std::span<const double>> columns,
                                         std::span<double> values) const {
  if (columns.size() != centres_.size()) {
    return absl::InvalidArgumentError(absl::StrCat("the surface has ", centres_.size(),
                                                   " conditions; ", columns.size(),
                                                   " columns given"));
  }
  std::array<const double*, PolynomialBasis::kMaxVariables> starts;
  for (size_t v = 0; v < columns.size(); ++v) {
    if (columns[v].size() != values.size()) {
      return absl::InvalidArgumentError(
          absl::StrCat("column ", v, " holds ", columns[v].size(),
                       " points; there is room for ", values.size(), " values"));
    }
    starts[v] = columns[v].data();
  }

  long done = 0;
  if (variables() <= kKernelVariables && basis_.degree() <= kKernelDegree) {
    const SurfaceKernels& kernels =
        CpuHasAvx2() ? kAvx2SurfaceKernels : kBaselineSurfaceKernels;
    done = static_cast<long>(values.size() & ~size_t{3});
    kernels.of[variables() - 1][basis_.degree()](
        {nested_.data(), centres_.data(), reciprocals_.data(), starts.data()}, 0, done,
        values.data());
  }
  std::array<double, PolynomialBasis::kMaxVariables> point;
  for (size_t i = static_cast<size_t>(done); i < values.size(); ++i) {
    for (size_t v = 0; v < columns.size(); ++v) point[v] = starts[v][i];
    values[i] = At(std::span(point).first(columns.size()));
  }
  return absl::OkStatus();
}

double PolynomialSurface::StandardErrorAt(std::span<const double> point) const {
  if (covariance_.empty()) return 0;
  std::array<double, PolynomialBasis::kMaxVariables> z;
  for (size_t v = 0; v < centres_.size(); ++v) {
    z[v] = (point[v] - centres_[v]) * reciprocals_[v];
  }
  std::array<double, PolynomialBasis::kMaxTerms> row;
  basis_.MonomialRow(std::span(z).first(centres_.size()), row);
  return StandardError(covariance_, std::span(row).first(monomials_.size()));
}

}  // namespace ratebound::fit
