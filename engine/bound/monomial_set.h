// The monomials a polynomial can have after a shift of its variables, and the shift
// itself.
//
// The set is closed downwards: with a monomial it holds all its divisors. A polynomial
// over the set is an array of coefficients in the order of keys(). Shift rewrites p(x)
// into the coefficients of p(z + u) in u, by repeated synthetic division (Horner),
// variable by variable.
//
// Example:
//   MonomialSet set(2, polynomial.keys());
//   std::vector<double> t = set.Spread(polynomial.keys(), polynomial.coefficients());
//   set.Shift(centre, t.data());          // t[set.constant()] is now the value at the
//   centre
//
// Rounding: a coefficient of the shift is a sum over monomials k of
// c_k binom(k, a) z^(k - a), formed along paths of at most 2 d_i roundings for a variable
// of degree d_i (at most d_i products and d_i additions). Hence, with g = gamma_{2 sum
// d_i} (Higham, "Accuracy and Stability of Numerical Algorithms", 2nd ed., 2002,
// section 3.1),
//   sum_a |computed t_a - t_a| r^a  <=  g sum_k |c_k| prod_i (|z_i| + r_i)^(k_i)
// for any r >= 0, underflow apart.
//
// Thread-safety: immutable after construction.
#ifndef RATEBOUND_ENGINE_BOUND_MONOMIAL_SET_H_
#define RATEBOUND_ENGINE_BOUND_MONOMIAL_SET_H_

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "engine/bound/box.h"
#include "engine/bound/polynomial.h"

namespace ratebound::bound {

class MonomialSet {
 public:
  // The closure of `keys`, which may be unsorted.
  MonomialSet(int variables, std::span<const MonomialKey> keys);

  int variables() const { return variables_; }
  int size() const { return static_cast<int>(keys_.size()); }
  std::span<const MonomialKey> keys() const { return keys_; }
  int Degree(int variable) const { return degree_[variable]; }
  int Degree() const { return total_degree_; }
  // The sum of the degrees of the variables.
  int SumOfDegrees() const { return sum_of_degrees_; }

  // Whether all of `keys`, ascending, are in the set.
  bool Contains(std::span<const MonomialKey> keys) const;
  // The place of a monomial; -1 where it is not in the set.
  int Index(MonomialKey key) const;
  static constexpr int constant() { return 0; }
  // The place of x_i and of x_i x_j; -1 where they are not in the set.
  int Linear(int i) const { return linear_[i]; }
  int Quadratic(int i, int j) const { return quadratic_[i][j]; }

  // Coefficients of a term list, spread over the set (size() of them).
  std::vector<double> Spread(std::span<const MonomialKey> keys,
                             std::span<const double> values) const;

  void Shift(const double* z, double* coefficients) const;
  // The value of every monomial at x; at most as many products as its total degree.
  void Evaluate(const double* x, double* monomials) const;

 private:
  struct Step {
    int32_t target;
    int32_t source;
  };
  // The Horner steps of one variable by falling exponent of the target. Pass p takes the
  // first pass_size[p] of them, those whose target has an exponent of at least p. Steps
  // of one exponent do not depend on each other.
  struct Plan {
    std::vector<Step> steps;
    std::vector<int> pass_size;
  };
  struct Factor {
    int32_t divisor;
    int32_t variable;
  };

  bool FindDivisors(std::vector<int32_t>& divisors) const;

  int variables_;
  std::vector<MonomialKey> keys_;
  std::vector<Factor> factors_;
  std::array<Plan, kMostVariables> plans_;
  std::array<int, kMostVariables> degree_{};
  int total_degree_ = 0;
  int sum_of_degrees_ = 0;
  std::array<int, kMostVariables> linear_{};
  std::array<std::array<int, kMostVariables>, kMostVariables> quadratic_{};
};

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_MONOMIAL_SET_H_
