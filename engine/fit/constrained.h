// A least-squares fit under linear constraints, as a strictly convex quadratic programme.
//
//   minimise (x - c)' H (x - c) / 2   subject to   a_i' x >= l_i  (or = l_i)
//
// For a fit, c are the coefficients without constraints, H = X'WX, and the objective is
// half of what the constraints add to the weighted sum of squared residuals. H comes as
// its inverse, which a fit has (LeastSquaresFit::unscaled_covariance): nothing is squared
// again, and x - c = H^-1 A' lambda is short where the constraints ask for little.
//
// Example (a line that may not fall):
//   QuadraticProgram program{.centre = fit.coefficients,
//                            .inverse_hessian = fit.unscaled_covariance,
//                            .normals = {0, 1}, .limits = {0}};
//   ASSIGN_OR_RETURN(QuadraticSolution solution, SolveQuadratic(program));
//   CheckOptimum(program, solution.x, solution.multipliers)   // constrained_check.h
//
// Method: the dual active-set method of Goldfarb and Idnani, Mathematical Programming 27
// (1983) 1. It starts at c, so that a c that obeys the constraints comes back to the last
// bit, and takes up the constraint that is furthest away in the norm of H, one at a time;
// it ends after finitely many. J with J J' = H^-1 and the triangle R of the active
// normals are kept up to date by plane rotations. At the end x and the multipliers are
// computed afresh from the active set.
//
// Deterministic: the same bits on any x86-64 machine. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_FIT_CONSTRAINED_H_
#define RATEBOUND_ENGINE_FIT_CONSTRAINED_H_

#include <vector>

#include "absl/status/statusor.h"

namespace ratebound::fit {

struct QuadraticProgram {
  std::vector<double> centre;           // n
  std::vector<double> inverse_hessian;  // n x n by rows, symmetric, positive definite
  std::vector<double> normals;          // m x n by rows
  std::vector<double> limits;           // m
  int equalities = 0;                   // the first so many constraints are equations

  int variables() const { return static_cast<int>(centre.size()); }
  int constraints() const { return static_cast<int>(limits.size()); }
};

struct QuadraticSolution {
  // False where no x meets all constraints. The multipliers then prove it (Farkas):
  // those of inequalities are not negative, A' lambda = 0 and l' lambda > 0.
  bool feasible = true;
  std::vector<double> x;            // n; the centre where not feasible
  std::vector<double> multipliers;  // m; 0 where a constraint does not bind
  std::vector<int> active;          // constraints that bind, in the order taken up
  int iterations = 0;
  // (x - c)' H (x - c): what the constraints add to the sum of squares.
  double added_sum_of_squares = 0;
};

// A constraint counts as met within this part of |l| + sum |a_j x_j|.
inline constexpr double kFeasibility = 1e-12;

// INVALID_ARGUMENT: sizes that do not match, numbers that are not finite, an inverse that
// is not positive definite. RESOURCE_EXHAUSTED: more than `max_iterations` steps, which
// only rounding at nearly parallel constraints can take.
absl::StatusOr<QuadraticSolution> SolveQuadratic(const QuadraticProgram& program,
                                                 int max_iterations = 100'000);

}  // namespace ratebound::fit

#endif  // RATEBOUND_ENGINE_FIT_CONSTRAINED_H_
