// Whether a point is the optimum of a quadratic programme: the conditions of Karush, Kuhn
// and Tucker, each residual bounded in interval arithmetic. Shares no code with the
// solver, so that a verdict that rests on a constrained fit can be verified.
//
// Example:
//   const KktResiduals kkt = CheckOptimum(program, solution.x, solution.multipliers);
//   if (!kkt.Pass()) ...   // x is not shown to be the optimum
//
// The programme is strictly convex where its inverse Hessian is positive definite, which
// is proven by a Cholesky factorisation of the matrix less a multiple of the unit matrix
// that is more than rounding can hide (Rump, "Verification of positive definiteness", BIT
// Numerical Mathematics 46 (2006) 433, theorem 2.3). The conditions are then sufficient:
// the only x with H (x - c) = A' lambda, A x >= l, lambda >= 0 and lambda' (A x - l) = 0
// is the optimum.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_FIT_CONSTRAINED_CHECK_H_
#define RATEBOUND_ENGINE_FIT_CONSTRAINED_CHECK_H_

#include <span>

#include "engine/fit/constrained.h"

namespace ratebound::fit {

// Residuals above this refuse a certificate.
inline constexpr double kKktThreshold = 1e-9;

// Upper bounds; infinite for sizes that do not match.
struct KktResiduals {
  // Greatest |x - c - H^-1 A' lambda|, as a part of the greatest |x|.
  double stationarity = 0;
  // Greatest l_i - a_i' x, as a part of |l_i| + sum |a_ij x_j|; |l_i - a_i' x| for
  // equations.
  double infeasibility = 0;
  // Greatest -lambda_i of an inequality, as a part of the greatest |lambda|.
  double dual_infeasibility = 0;
  // Sum of |lambda_i (a_i' x - l_i)|, the gap between the programme and its dual, as a
  // part of sum |lambda_i| (|a_i' (x - c)| + 1e-6 (|l_i| + sum |a_ij x_j|)): where x
  // moves by less than a millionth, rounding hides what is left.
  double complementarity = 0;
  bool positive_definite = false;

  bool Pass(double threshold = kKktThreshold) const;
};

KktResiduals CheckOptimum(const QuadraticProgram& program, std::span<const double> x,
                          std::span<const double> multipliers);

// Whether the multipliers prove that no x of a size like `scale` or less meets all
// constraints: for every such x, lambda' (A x - l) < 0, while a feasible x has it >= 0.
bool ProvesInfeasible(const QuadraticProgram& program,
                      std::span<const double> multipliers, double scale);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_CONSTRAINED_CHECK_H_
