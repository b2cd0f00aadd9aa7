// Polynomials in 1 to 8 variables, term by term, that know how exact their coefficients
// are.
//
// A coefficient c comes with a bound e on its error: the object stands for the whole
// family of polynomials whose coefficients lie in [c - e, c + e], and whatever is proven
// about it holds for each member. Coefficients as given have e = 0. Sums, products and
// the like compute c in round-to-nearest and raise e by what rounding can have cost, so
// that the exact result of the exact operands is always a member. A proof about a
// covariance form built here is thus a proof about the exact form of the given numbers,
// not about its rounded expansion.
//
// Example (the variance of a fitted line at x, C its covariance):
//   ASSIGN_OR_RETURN(Polynomial one, Polynomial::Create(1, {0}, {1.0}));
//   ASSIGN_OR_RETURN(Polynomial x, Polynomial::Create(1, {1}, {1.0}));
//   ASSIGN_OR_RETURN(Polynomial q, QuadraticForm({one, x}, {c00, c01, c01, c11}));
//
// Thread-safety: immutable after creation.
#ifndef RATEBOUND_ENGINE_BOUND_POLYNOMIAL_H_
#define RATEBOUND_ENGINE_BOUND_POLYNOMIAL_H_

#include <cstdint>
#include <span>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/interval.h"

namespace ratebound::bound {

// The exponents of a monomial, 8 bits each, variable 0 lowest. Keys of factors add.
using MonomialKey = uint64_t;

inline int Exponent(MonomialKey key, int variable) {
  return static_cast<int>((key >> (8 * variable)) & 0xff);
}
int TotalDegree(MonomialKey key);

class Polynomial {
 public:
  // The highest exponent of one variable.
  static constexpr int kHighestDegree = 32;

  // Zero, in one variable.
  Polynomial() = default;

  // `exponents` holds one row of `variables` exponents for each coefficient. Equal rows
  // are added up. INVALID_ARGUMENT: variables not in 1..8, sizes that do not match, an
  // exponent not in 0..kHighestDegree, a coefficient that is not finite.
  static absl::StatusOr<Polynomial> Create(int variables, std::span<const int> exponents,
                                           std::span<const double> coefficients);
  static absl::StatusOr<Polynomial> Create(int variables,
                                           std::initializer_list<int> exponents,
                                           std::initializer_list<double> coefficients);
  static Polynomial Constant(int variables, double value);

  int variables() const { return variables_; }
  int terms() const { return static_cast<int>(keys_.size()); }
  // Ascending.
  std::span<const MonomialKey> keys() const { return keys_; }
  std::span<const double> coefficients() const { return coefficients_; }
  std::span<const double> errors() const { return errors_; }
  int Degree(int variable) const;
  int Degree() const;

  // In plain arithmetic: no bound.
  double Evaluate(std::span<const double> x) const;
  // Holds the value of every member at every point of x.
  Interval Evaluate(std::span<const Interval> x) const;

  Polynomial Scale(double factor) const;
  Polynomial Derivative(int variable) const;

  // Both need operands in as many variables; a product of degree above kHighestDegree in
  // a variable, or a coefficient that overflows, is INVALID_ARGUMENT.
  friend absl::StatusOr<Polynomial> Sum(const Polynomial& a, const Polynomial& b);
  friend absl::StatusOr<Polynomial> Product(const Polynomial& a, const Polynomial& b);

 private:
  struct Term {
    MonomialKey key;
    double coefficient;
    double error;
  };
  // Sorts, adds equal keys up and drops exact zeros.
  static Polynomial FromTerms(int variables, std::vector<Term> terms);
  absl::Status CheckFinite() const;

  int variables_ = 1;
  std::vector<MonomialKey> keys_;
  std::vector<double> coefficients_;
  std::vector<double> errors_;
};

// basis' M basis for a symmetric matrix given by rows (the upper triangle is read). The
// caller answers for M being positive semidefinite where the form is used as a square.
absl::StatusOr<Polynomial> QuadraticForm(std::span<const Polynomial> basis,
                                         std::span<const double> matrix);

// The sum of the squares: not negative by construction.
absl::StatusOr<Polynomial> SumOfSquares(std::span<const Polynomial> parts);

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_POLYNOMIAL_H_
