// A polynomial of a total degree in which single conditions go only up to a degree of
// their own: the terms of the full polynomial with exponents within the caps. Such a set
// is hierarchical (with a term it holds every term that divides it), so a shift of scale
// does not change what it can say.
//
// Example (quadratic in both, but the second condition has two levels):
//   const int caps[] = {2, 1};
//   ASSIGN_OR_RETURN(CandidateBasis basis, CandidateBasis::ForPoints(columns, 2, caps));
//   basis.terms();                                   // 5: all but x1^2
//   ASSIGN_OR_RETURN(DesignMatrix design, basis.Design(columns));       // points x 5
//   basis.ToMonomials(fit.coefficients);             // 6, with 0 for x1^2
//
// What is turned to monomials is that of the full polynomial with zeros for the terms
// that are left out, so whoever evaluates full polynomials evaluates these. Without caps
// everything is PolynomialBasis with the same bits.
//
// Thread-safety: immutable.
#ifndef RATEBOUND_ENGINE_FIT_CANDIDATE_BASIS_H_
#define RATEBOUND_ENGINE_FIT_CANDIDATE_BASIS_H_

#include <span>
#include <string>
#include <utility>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/fit/design_matrix.h"
#include "engine/fit/polynomial_basis.h"

namespace ratebound::fit {

class CandidateBasis {
 public:
  // `caps` is empty or has one entry for each column, each at least 0; caps above the
  // degree are as the degree. Errors as PolynomialBasis::ForPoints, where a column needs
  // one level more than it has powers.
  static absl::StatusOr<CandidateBasis> ForPoints(Columns columns, int degree,
                                                  std::span<const int> caps = {});

  const PolynomialBasis& full() const { return full_; }
  int terms() const { return static_cast<int>(kept_.size()); }
  // The kept terms, as numbers in the full basis, rising.
  const std::vector<int>& kept() const { return kept_; }

  absl::StatusOr<DesignMatrix> Design(Columns columns) const;
  // Names of conditions replace x0, x1, ... as in PolynomialBasis.
  std::vector<std::string> TermNames(std::span<const std::string> names = {}) const;

  // Of the full polynomial, from coefficients of the kept terms and their covariance
  // (terms() x terms() by rows).
  std::vector<double> ToMonomials(std::span<const double> coefficients) const;
  std::vector<double> CovarianceToMonomials(std::span<const double> covariance) const;

 private:
  explicit CandidateBasis(PolynomialBasis full) : full_(std::move(full)) {}
  bool IsFull() const { return terms() == full_.terms(); }

  PolynomialBasis full_;
  std::vector<int> kept_;
};

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_CANDIDATE_BASIS_H_
