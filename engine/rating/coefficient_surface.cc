#include "engine/rating/coefficient_surface.h"

#include <algorithm>
#include <array>
#include <utility>

#include "engine/base/status_macros.h"
#include "engine/map/model_surface.h"

namespace ratebound::rating {
namespace {

using Coordinates = std::array<double, CoefficientSurface::kMostConditions>;

// The terms in the order in which nested multiplication comes upon them: the highest
// power of the first variable first.
void AppendNested(std::span<const int> exponents, int variables, int variable, int degree,
                  std::vector<int>& powers, std::vector<int>& order) {
  if (variable == variables) {
    int term = 0;
    while (
        !std::equal(powers.begin(), powers.end(), exponents.begin() + term * variables)) {
      ++term;
    }
    order.push_back(term);
    return;
  }
  for (int power = degree; power >= 0; --power) {
    powers[variable] = power;
    AppendNested(exponents, variables, variable + 1, degree - power, powers, order);
  }
}

// The operations of fit::PolynomialSurface::At in the same order.
template <int kVariables>
inline double Nested(const double* z, int degree, const double*& coefficients) {
  if constexpr (kVariables == 0) {
    return *coefficients++;
  } else {
    double value = Nested<kVariables - 1>(z + 1, 0, coefficients);
    for (int step = 1; step <= degree; ++step) {
      const double inner = Nested<kVariables - 1>(z + 1, step, coefficients);
      value = value * z[0] + inner;
    }
    return value;
  }
}

}  // namespace

absl::StatusOr<CoefficientSurface> CoefficientSurface::Create(
    const document::Surface& surface, std::span<const std::string> conditions) {
  RETURN_IF_ERROR(map::ModelSurface::Create(surface, conditions).status());
  CoefficientSurface made;
  made.variables_ = static_cast<int>(conditions.size());
  made.degree_ = surface.degree;
  made.exponents_ = surface.exponents;
  std::vector<int> powers(conditions.size());
  AppendNested(made.exponents_, made.variables_, 0, made.degree_, powers, made.order_);
  made.centres_ = surface.centre_si;
  for (double half_range : surface.half_range_si) {
    made.reciprocals_.push_back(1 / half_range);
  }
  ASSIGN_OR_RETURN(made.form_, map::ModelForm::Create(surface.form, conditions));
  return made;
}

void CoefficientSurface::Nest(std::span<const double> coefficients_si,
                              std::span<double> nested) const {
  for (size_t i = 0; i < order_.size(); ++i) nested[i] = coefficients_si[order_[i]];
}

void CoefficientSurface::Unnest(std::span<const double> nested,
                                std::span<double> coefficients_si) const {
  for (size_t i = 0; i < order_.size(); ++i) coefficients_si[order_[i]] = nested[i];
}

double CoefficientSurface::Polynomial(const double* coordinates,
                                      const double* nested) const {
  Coordinates z;
  for (int v = 0; v < variables_; ++v) {
    z[v] = (coordinates[v] - centres_[v]) * reciprocals_[v];
  }
  switch (variables_) {
    case 1:
      return Nested<1>(z.data(), degree_, nested);
    case 2:
      return Nested<2>(z.data(), degree_, nested);
    case 3:
      return Nested<3>(z.data(), degree_, nested);
    case 4:
      return Nested<4>(z.data(), degree_, nested);
    case 5:
      return Nested<5>(z.data(), degree_, nested);
    case 6:
      return Nested<6>(z.data(), degree_, nested);
    case 7:
      return Nested<7>(z.data(), degree_, nested);
    default:
      return Nested<8>(z.data(), degree_, nested);
  }
}

double CoefficientSurface::At(std::span<const double> point_si,
                              const double* nested) const {
  if (form_.plain()) return Polynomial(point_si.data(), nested);
  Coordinates coordinates;
  const std::span<double> used = std::span(coordinates).first(point_si.size());
  form_.Coordinates(point_si, used);
  return form_.Value(Polynomial(used.data(), nested), point_si);
}

void CoefficientSurface::SlopesAt(std::span<const double> point_si, const double* nested,
                                  std::span<double> slopes) const {
  Coordinates coordinates;
  const std::span<double> used = std::span(coordinates).first(point_si.size());
  form_.Coordinates(point_si, used);
  const double outer =
      form_.turns_response() ? form_.Slope(Polynomial(used.data(), nested), point_si) : 1;
  Coordinates z;
  for (int v = 0; v < variables_; ++v) {
    z[v] = (used[v] - centres_[v]) * reciprocals_[v];
  }
  for (int term = 0; term < terms(); ++term) {
    double product = outer;
    for (int v = 0; v < variables_; ++v) {
      for (int power = exponents_[term * variables_ + v]; power > 0; --power) {
        product *= z[v];
      }
    }
    slopes[term] = product;
  }
}

}  // namespace ratebound::rating
