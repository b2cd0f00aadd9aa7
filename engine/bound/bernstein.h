// Bounds of a polynomial over a box from its Bernstein coefficients.
//
// Theorem. Written in the tensor Bernstein basis of the box, a polynomial lies between
// its smallest and its largest coefficient everywhere in the box, and a coefficient at a
// vertex is the value there (Cargo and Shisha, "The Bernstein form of a polynomial", J.
// Research NBS 70B, 1966; Garloff, "Convergent bounds for the range of multivariate
// polynomials", 1986, who shows the quadratic convergence).
//
// The coefficients are formed from the box alone, by one small matrix for each variable:
// the j-th Bernstein coefficient of x^k over [a, b] at degree d is
//   M_jk = sum_l binom(j, l) binom(d - j, k - l) / binom(d, k)  b^l a^(k - l)
// (the polar form of x^k at j arguments b and d - j arguments a; Ramshaw 1989), a mean of
// products, so |M_jk| <= max(|a|, |b|)^k.
//
// Arithmetic. The box is mapped to [-1, 1]^n first, where |M_jk| <= 1. All is computed in
// plain round-to-nearest. An entry of M costs at most 2d + 3 roundings along a path, a
// contraction 1 + d more, so a tensor coefficient is off by at most gamma_K sum|t| with
// K = sum_i (3 d_i + 4), where t are the coefficients that go in (Higham 2002,
// section 3.1: each path of a sum of products collects at most K factors (1 + delta)).
// The bound is computed as 1.01 K u sum|t| (kGuard), which for K < 10^6 leaves room for
// its own rounding, plus kUnderflow: each of fewer than 2^24 products loses at most
// 2^-1075 to underflow, grown by at most 3^64.
//
// Example:
//   ASSIGN_OR_RETURN(RangeEnclosure range, EncloseRange(polynomial, box));
//   if (range.range.lo > 0) ...   // positive over the whole box
#ifndef RATEBOUND_ENGINE_BOUND_BERNSTEIN_H_
#define RATEBOUND_ENGINE_BOUND_BERNSTEIN_H_

#include <array>
#include <cstdint>
#include <vector>

#include "absl/status/statusor.h"
#include "engine/bound/box.h"
#include "engine/bound/interval.h"
#include "engine/bound/monomial_set.h"
#include "engine/bound/polynomial.h"

namespace ratebound::bound {

// The highest degree of one variable in the forms of this room.
inline constexpr int kHighestRangeDegree = 8;

inline constexpr double kGuard = 1.01;
inline constexpr double kUnderflow = 0x1p-900;

// At least gamma_k x for the sum of absolute products x, itself computed by fewer than
// 10^9 additions (Higham 2002, section 3.1).
inline double RoundingBound(int roundings, double absolute_sum) {
  return kWidening * (kGuard * roundings * kUnitRoundoff * absolute_sum + kUnderflow);
}

// Computes the Bernstein coefficients of polynomials over one set of monomials.
// Thread-safety: not thread-safe; holds buffers. No allocation after construction.
class BernsteinForm {
 public:
  // A tensor of more coefficients than this is not built.
  static constexpr int64_t kMostCoefficients = 10'000;

  static bool Fits(const MonomialSet& set);
  // The set must fit, and be of degree at most kHighestRangeDegree in each variable.
  explicit BernsteinForm(const MonomialSet& set);

  struct Extremes {
    double least = 0;
    double greatest = 0;
    // Bit i set: the upper end of variable i.
    int least_vertex = 0;
    int greatest_vertex = 0;
  };
  // Over the box [lo, hi] inside [-1, 1]^n, all coefficients as computed; see
  // roundings().
  Extremes Compute(const double* coefficients, const double* lo, const double* hi);
  // The least coefficient alone.
  double Least(const double* coefficients, const double* lo, const double* hi);

  // K of the header comment.
  static int Roundings(const MonomialSet& set) {
    return 3 * set.SumOfDegrees() + 4 * set.variables();
  }

 private:
  static constexpr int kMostRows = kHighestRangeDegree + 1;

  // Leaves the tensor in front_.
  void Tensor(const double* coefficients, const double* lo, const double* hi);
  void Matrix(int degree, double lo, double hi, double* matrix) const;

  int variables_;
  std::array<int, kMostVariables> rows_{};
  std::array<int, kMostVariables> stride_{};
  int64_t count_ = 1;
  std::vector<int> place_;  // of each monomial in the tensor
  // Contracting variable i needs, for each choice of powers of the variables before it,
  // only the powers of x_i that occur with them: the set is closed downwards, so all up
  // to some highest, and nothing else is ever read.
  struct Run {
    int offset;
    int rows;
  };
  std::array<std::vector<Run>, kMostVariables> runs_;
  // For each degree in use, binom(j, l) binom(d - j, k - l) / binom(d, k) by j, k, l.
  std::array<std::vector<double>, kMostRows> weights_;
  // The matrix of [-1, 1] for each degree in use.
  std::array<std::vector<double>, kMostRows> centred_;
  std::vector<double> front_;
  std::vector<double> back_;
  std::vector<double> matrix_;
};

// OK when a polynomial can be written in a range form: at most kHighestRangeDegree in a
// variable and few enough monomials below its own; INVALID_ARGUMENT otherwise.
absl::Status CheckRangeable(const Polynomial& polynomial);

struct RangeEnclosure {
  // Holds every value over the box, of every member of the family.
  Interval range;
  // The value at the vertices where the form is least and greatest: least_vertex.hi
  // bounds the minimum from above, greatest_vertex.lo the maximum from below.
  Interval least_vertex;
  Interval greatest_vertex;
};

// The range of a polynomial over a box, by the Bernstein form, or by the centred form
// t_0 +- sum |t_a| where the tensor would be larger than
// BernsteinForm::kMostCoefficients. INVALID_ARGUMENT: a faulty box, a number of variables
// that does not match, a polynomial that is not rangeable.
absl::StatusOr<RangeEnclosure> EncloseRange(const Polynomial& polynomial, const Box& box);

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_BERNSTEIN_H_
