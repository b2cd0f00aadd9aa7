// A fitted polynomial surface, made ready to be evaluated at many points: monomials in
// the scaled conditions z = (x - centre) / half_range, in nested (Horner) form.
//
// Example:
//   ASSIGN_OR_RETURN(PolynomialSurface surface,
//                    PolynomialSurface::Create(basis,
//                    basis.ToMonomials(fit.coefficients),
//                                              basis.CovarianceToMonomials(fit.covariance)));
//   double power_w = surface.At(point);
//   RETURN_IF_ERROR(surface.Evaluate(columns, power_w));          // a column for each
//   condition
//
// Batch and single evaluation give the same bits, on any x86-64 machine: z is computed as
// (x - centre) * (1 / half_range), and each addition and product is rounded once. Up to
// six conditions at degree three run in unrolled vector loops, at memory speed for long
// columns; larger surfaces in plain ones. The value is within (terms + 8) * 2^-52 * sum
// |c_t z^t| of the polynomial's.
//
// Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_FIT_SURFACE_EVALUATE_H_
#define RATEBOUND_ENGINE_FIT_SURFACE_EVALUATE_H_

#include <span>
#include <utility>
#include <vector>

#include "absl/status/status.h"
#include "absl/status/statusor.h"
#include "engine/fit/polynomial_basis.h"

namespace ratebound::fit {

class PolynomialSurface {
 public:
  // `monomials` in the order of the basis; `covariance` of these, terms x terms by rows,
  // or empty for a surface without a band. INVALID_ARGUMENT for other sizes or values
  // that are not finite.
  static absl::StatusOr<PolynomialSurface> Create(
      const PolynomialBasis& basis, std::span<const double> monomials,
      std::span<const double> covariance = {});

  int variables() const { return basis_.variables(); }
  const PolynomialBasis& basis() const { return basis_; }
  std::span<const double> monomials() const { return monomials_; }
  std::span<const double> covariance() const { return covariance_; }

  // `point` holds variables() numbers, in the units of the conditions.
  double At(std::span<const double> point) const;

  // values[i] = At(columns[0][i], columns[1][i], ...). INVALID_ARGUMENT unless there are
  // variables() columns, each as long as `values`, which must not overlap them.
  absl::Status Evaluate(std::span<const std::span<const double>> columns,
                        std::span<double> values) const;

  // Standard error of the surface, sqrt(phi' covariance phi); 0 for a surface without a
  // band.
  double StandardErrorAt(std::span<const double> point) const;

 private:
  explicit PolynomialSurface(PolynomialBasis basis) : basis_(std::move(basis)) {}

  PolynomialBasis basis_;
  std::vector<double> monomials_;
  std::vector<double> covariance_;
  std::vector<double> nested_;  // monomials in the order of Horner's scheme
  std::vector<double> centres_;
  std::vector<double> reciprocals_;  // of the half ranges
};

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_SURFACE_EVALUATE_H_
