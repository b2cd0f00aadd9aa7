#include "engine/map/model_surface.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"
#include "engine/fit/polynomial_basis.h"

namespace ratebound::map {
namespace {

using Coordinates = std::array<double, fit::PolynomialBasis::kMaxVariables>;

std::vector<double> FullMatrix(std::span<const double> triangle, size_t size) {
  std::vector<double> matrix(size * size);
  size_t next = 0;
  for (size_t i = 0; i < size; ++i) {
    for (size_t j = 0; j <= i; ++j)
      matrix[i * size + j] = matrix[j * size + i] = triangle[next++];
  }
  return matrix;
}

}  // namespace

absl::StatusOr<ModelSurface> ModelSurface::Create(
    const document::Surface& surface, std::span<const std::string> condition_names,
    SurfaceMatrix matrix) {
  const size_t conditions = condition_names.size();
  if (surface.centre_si.size() != conditions ||
      surface.half_range_si.size() != conditions) {
    return absl::InvalidArgumentError("scaling is not one for each condition");
  }
  std::vector<fit::ScaledRange> ranges;
  for (size_t j = 0; j < conditions; ++j) {
    ranges.push_back({surface.centre_si[j], surface.half_range_si[j]});
  }
  ASSIGN_OR_RETURN(const fit::PolynomialBasis basis,
                   fit::PolynomialBasis::Create(std::move(ranges), surface.degree));
  const auto terms = static_cast<size_t>(basis.terms());
  const size_t triangle = terms * (terms + 1) / 2;
  if (surface.coefficients_si.size() != terms ||
      surface.exponents.size() != terms * conditions ||
      surface.leverage_matrix.size() != triangle ||
      (!surface.covariance_si.empty() && surface.covariance_si.size() != triangle)) {
    return absl::InvalidArgumentError(
        absl::StrCat("degree ", surface.degree, " over ", conditions, " conditions has ",
                     terms, " terms; the lists have other lengths"));
  }
  for (int term = 0; term < basis.terms(); ++term) {
    const std::span<const int> powers = basis.exponents(term);
    if (!std::equal(powers.begin(), powers.end(),
                    surface.exponents.begin() + term * static_cast<int>(conditions))) {
      return absl::InvalidArgumentError(absl::StrCat(
          "exponents of term ", term, " are not those of the full polynomial"));
    }
  }
  if (!std::isfinite(surface.greatest_leverage) ||
      !std::isfinite(surface.degrees_of_freedom)) {
    return absl::InvalidArgumentError("leverage or degrees of freedom not finite");
  }
  ASSIGN_OR_RETURN(ModelForm form, ModelForm::Create(surface.form, condition_names));
  const std::vector<double>& triangle_of = matrix == SurfaceMatrix::kLeverage
                                               ? surface.leverage_matrix
                                               : surface.covariance_si;
  ASSIGN_OR_RETURN(
      fit::PolynomialSurface polynomial,
      fit::PolynomialSurface::Create(
          basis, surface.coefficients_si,
          triangle_of.empty() ? std::vector<double>() : FullMatrix(triangle_of, terms)));
  return ModelSurface(std::move(polynomial), std::move(form));
}

double ModelSurface::At(std::span<const double> point_si) const {
  if (form_.plain()) return polynomial_.At(point_si);
  Coordinates coordinates;
  const std::span<double> used = std::span(coordinates).first(point_si.size());
  form_.Coordinates(point_si, used);
  return form_.Value(polynomial_.At(used), point_si);
}

double ModelSurface::StandardErrorAt(std::span<const double> point_si) const {
  if (form_.plain()) return polynomial_.StandardErrorAt(point_si);
  Coordinates coordinates;
  const std::span<double> used = std::span(coordinates).first(point_si.size());
  form_.Coordinates(point_si, used);
  const double slope =
      form_.turns_response() ? form_.Slope(polynomial_.At(used), point_si) : 1;
  return std::fabs(slope) * polynomial_.StandardErrorAt(used);
}

double ModelSurface::QuadraticAt(std::span<const double> point_si) const {
  Coordinates coordinates;
  const std::span<double> used = std::span(coordinates).first(point_si.size());
  form_.Coordinates(point_si, used);
  const double root = polynomial_.StandardErrorAt(used);
  return root * root;
}

absl::Status ModelSurface::Evaluate(std::span<const std::span<const double>> columns_si,
                                    std::span<double> values_si) const {
  if (!form_.turns_conditions()) {
    RETURN_IF_ERROR(polynomial_.Evaluate(columns_si, values_si));
  } else {
    std::vector<std::vector<double>> turned(columns_si.size());
    std::vector<std::span<const double>> columns(columns_si.begin(), columns_si.end());
    for (size_t j = 0; j < columns.size(); ++j) {
      if (!form_.turns_condition(j)) continue;
      turned[j].reserve(columns[j].size());
      for (double x : columns[j]) turned[j].push_back(form_.Coordinate(j, x));
      columns[j] = turned[j];
    }
    RETURN_IF_ERROR(polynomial_.Evaluate(columns, values_si));
  }
  if (form_.turns_response()) form_.Values(columns_si, values_si);
  return absl::OkStatus();
}

}  // namespace ratebound::map
