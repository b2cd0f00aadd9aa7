// Full polynomials of a total degree in one to eight conditions, in a form that least
// squares can solve without losing digits: each condition is scaled to z = (x - centre) /
// half_range, which runs over [-1, 1], and the terms are products of Chebyshev
// polynomials T_k(z).
//
// Example (two conditions, quadratic):
//   ASSIGN_OR_RETURN(PolynomialBasis basis, PolynomialBasis::ForPoints(columns, 2));
//   ASSIGN_OR_RETURN(DesignMatrix design, basis.Design(columns));         // points x 6
//   ASSIGN_OR_RETURN(LeastSquaresFit fit, SolveLeastSquares({.design = design, ...}));
//   std::vector<double> monomials = basis.ToMonomials(fit.coefficients);  // of 1, z0,
//   z1, ...
//
// Order of terms: by total degree, and within a degree by falling power of the first
// condition, then of the second, ...: 1, z0, z1, z0^2, z0*z1, z1^2. The order is the same
// for the products of Chebyshev polynomials and for the monomials; exponents(t) serves
// both.
//
// The change from T_k to powers of z is integer (Mason and Handscomb, Chebyshev
// Polynomials, 2003, section 2.3.1) and exact in double; sums are taken in twice the
// working precision.
//
// Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_FIT_POLYNOMIAL_BASIS_H_
#define RATEBOUND_ENGINE_FIT_POLYNOMIAL_BASIS_H_

#include <span>
#include <string>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/fit/design_matrix.h"

namespace ratebound::fit {

// z = (x - centre) / half_range; half_range > 0. In the unit of the condition.
struct ScaledRange {
  double centre = 0;
  double half_range = 1;

  friend bool operator==(const ScaledRange&, const ScaledRange&) = default;
};

class PolynomialBasis {
 public:
  static constexpr int kMaxVariables = 8;
  static constexpr int kMaxDegree = 10;
  static constexpr int kMaxTerms = 512;  // 8 conditions at degree 4 have 495

  // INVALID_ARGUMENT for a count, degree, number of terms or range outside what is
  // allowed above.
  static absl::StatusOr<PolynomialBasis> Create(std::vector<ScaledRange> ranges,
                                                int degree);

  // Scaled to the smallest and largest value of each column, which must be finite and
  // below 1e150 in magnitude. FAILED_PRECONDITION naming the columns that take too few
  // distinct levels for the degree (a constant column has one; degree d needs d + 1).
  static absl::StatusOr<PolynomialBasis> ForPoints(Columns columns, int degree);

  int variables() const { return static_cast<int>(ranges_.size()); }
  int degree() const { return degree_; }
  int terms() const { return static_cast<int>(steps_.size()); }
  const std::vector<ScaledRange>& ranges() const { return ranges_; }
  // Powers of each condition in a term; `variables()` long.
  std::span<const int> exponents(int term) const;
  // "1", "x0", "x0*x2", "x1^2"; `names` replaces x0, x1, ... where given.
  std::string TermName(int term, std::span<const std::string> names = {}) const;
  std::vector<std::string> TermNames(std::span<const std::string> names = {}) const;

  // points x terms(). INVALID_ARGUMENT for another number of columns, unequal lengths or
  // values that are not finite.
  absl::StatusOr<DesignMatrix> Design(Columns columns) const;
  // The same to twice the precision (with `low`), for a fit whose last digits matter.
  absl::StatusOr<DesignMatrix> PreciseDesign(Columns columns) const;
  // One row of Design, with the same bits. `point` holds variables(), `row` terms()
  // numbers.
  void Row(std::span<const double> point, std::span<double> row) const;

  // The monomials z^exponents at scaled coordinates z.
  void MonomialRow(std::span<const double> z, std::span<double> row) const;

  // Coefficients of the products of Chebyshev polynomials turned into those of the
  // monomials z^exponents, in the same order.
  std::vector<double> ToMonomials(std::span<const double> coefficients) const;
  // The same for a covariance, terms() x terms(), symmetric, by rows.
  std::vector<double> CovarianceToMonomials(std::span<const double> covariance) const;
  // terms() x terms() by rows, integers: entry (i, j) is the coefficient of monomial i in
  // term j.
  std::span<const double> monomial_matrix() const { return monomial_matrix_; }

  // For one condition: coefficients and covariance of 1, x, x^2, ... in the condition
  // itself. Such powers are badly conditioned away from x = 0; meant for comparison with
  // published fits. `coefficients_low` continues the coefficients beyond double and may
  // be empty.
  struct RawPolynomial {
    std::vector<double> coefficients;
    std::vector<double> covariance;  // by rows; empty where none was given
  };
  absl::StatusOr<RawPolynomial> ToRawPolynomial(std::span<const double> coefficients,
                                                std::span<const double> coefficients_low,
                                                std::span<const double> covariance) const;

 private:
  // A term is an earlier term times T_power of one variable.
  struct Step {
    int parent;
    int variable;
    int power;
  };

  PolynomialBasis() = default;
  absl::Status CheckColumns(Columns columns) const;

  std::vector<ScaledRange> ranges_;
  int degree_ = 0;
  std::vector<int> exponents_;  // terms() x variables()
  std::vector<Step> steps_;     // steps_[0] is the constant
  std::vector<double> monomial_matrix_;
};

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_POLYNOMIAL_BASIS_H_
