#include "engine/fit/constrained_check.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "engine/bound/interval.h"

namespace ratebound::fit {
namespace {

using bound::Interval;
using bound::Succ;

constexpr double kLeastMove = 1e-6;

Interval Dot(const double* a, std::span<const double> x) {
  Interval sum = 0;
  for (size_t k = 0; k < x.size(); ++k) {
    if (a[k] != 0) sum += Interval(a[k]) * Interval(x[k]);
  }
  return sum;
}

// An upper bound of a quotient of numbers that are not negative; 0 / 0 is 0.
double PartOf(double numerator, double denominator) {
  if (numerator == 0) return 0;
  return denominator > 0 ? Succ(numerator / denominator) : bound::kInfinity;
}

bool IsPositiveDefinite(const std::vector<double>& matrix, int n) {
  // Rows and columns scaled by powers of two, which is exact.
  std::vector<double> scale(n);
  double trace = 0;
  std::vector<double> a = matrix;
  for (int i = 0; i < n; ++i) {
    const double diagonal = matrix[static_cast<size_t>(i) * n + i];
    if (!(diagonal > 0)) return false;
    int exponent;
    std::frexp(std::sqrt(diagonal), &exponent);
    scale[i] = std::ldexp(1.0, -exponent);
  }
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < n; ++k) {
      const size_t at = static_cast<size_t>(i) * n + k;
      if (matrix[at] != matrix[static_cast<size_t>(k) * n + i]) return false;
      a[at] *= scale[i] * scale[k];
    }
    trace += a[static_cast<size_t>(i) * n + i];
  }
  // gamma_{n + 1} / (1 - gamma_{n + 1}) of the trace, with room to spare for its own
  // rounding and for underflow.
  const double shift = 2.0 * (n + 4) * bound::kUnitRoundoff * trace + 0x1p-900;
  for (int k = 0; k < n; ++k) {
    double* row = &a[static_cast<size_t>(k) * n];
    double pivot = bound::Pred(row[k] - shift);
    for (int l = 0; l < k; ++l) pivot -= row[l] * row[l];
    if (!(pivot > 0)) return false;
    row[k] = std::sqrt(pivot);
    for (int i = k + 1; i < n; ++i) {
      double* other = &a[static_cast<size_t>(i) * n];
      double sum = other[k];
      for (int l = 0; l < k; ++l) sum -= other[l] * row[l];
      other[k] = sum / row[k];
    }
  }
  return true;
}

bool SizesMatch(const QuadraticProgram& program, std::span<const double> x,
                std::span<const double> multipliers) {
  const size_t n = program.centre.size();
  const size_t m = program.limits.size();
  return n > 0 && x.size() == n && multipliers.size() == m &&
         program.inverse_hessian.size() == n * n && program.normals.size() == m * n;
}

// A' lambda.
std::vector<Interval> Force(const QuadraticProgram& program,
                            std::span<const double> multipliers) {
  const size_t n = program.centre.size();
  std::vector<Interval> force(n);
  for (size_t i = 0; i < multipliers.size(); ++i) {
    if (multipliers[i] == 0) continue;
    const double* a = program.normals.data() + i * n;
    for (size_t k = 0; k < n; ++k) {
      if (a[k] != 0) force[k] += Interval(multipliers[i]) * Interval(a[k]);
    }
  }
  return force;
}

}  // namespace

bool KktResiduals::Pass(double threshold) const {
  return positive_definite && stationarity <= threshold && infeasibility <= threshold &&
         dual_infeasibility <= threshold && complementarity <= threshold;
}

KktResiduals CheckOptimum(const QuadraticProgram& program, std::span<const double> x,
                          std::span<const double> multipliers) {
  KktResiduals kkt;
  if (!SizesMatch(program, x, multipliers)) {
    kkt.stationarity = kkt.infeasibility = kkt.dual_infeasibility = kkt.complementarity =
        bound::kInfinity;
    return kkt;
  }
  const int n = program.variables();
  kkt.positive_definite = IsPositiveDefinite(program.inverse_hessian, n);

  const std::vector<Interval> force = Force(program, multipliers);
  double largest_x = 0;
  double largest_residual = 0;
  for (int i = 0; i < n; ++i) {
    Interval residual = Interval(x[i]) - Interval(program.centre[i]);
    for (int k = 0; k < n; ++k) {
      if (force[k] == Interval(0)) continue;
      residual -=
          Interval(program.inverse_hessian[static_cast<size_t>(i) * n + k]) * force[k];
    }
    largest_residual = std::max(largest_residual, residual.Magnitude());
    largest_x = std::max(largest_x, std::fabs(x[i]));
  }
  kkt.stationarity = PartOf(largest_residual, largest_x);

  double largest_multiplier = 0;
  double most_negative = 0;
  double gap = 0;
  double work = 0;
  for (int i = 0; i < program.constraints(); ++i) {
    const double* a = program.normals.data() + static_cast<size_t>(i) * n;
    const bool equation = i < program.equalities;
    const Interval slack = Dot(a, x) - Interval(program.limits[i]);
    double size = std::fabs(program.limits[i]);
    double moved = 0;
    for (int k = 0; k < n; ++k) {
      size += std::fabs(a[k] * x[k]);
      moved += a[k] * (x[k] - program.centre[k]);
    }
    const double short_of = equation ? slack.Magnitude() : std::max(0.0, -slack.lo);
    kkt.infeasibility = std::max(kkt.infeasibility, PartOf(short_of, size));
    const double lambda = multipliers[i];
    largest_multiplier = std::max(largest_multiplier, std::fabs(lambda));
    if (!equation) most_negative = std::max(most_negative, -lambda);
    if (lambda == 0) continue;
    gap = Succ(gap + (Interval(lambda) * slack).Magnitude());
    work += std::fabs(lambda) * (std::fabs(moved) + kLeastMove * size);
  }
  kkt.dual_infeasibility = PartOf(most_negative, largest_multiplier);
  kkt.complementarity = PartOf(gap, work);
  // Not-a-number passes no comparison, and so no test.
  return kkt;
}

bool ProvesInfeasible(const QuadraticProgram& program,
                      std::span<const double> multipliers, double scale) {
  if (!SizesMatch(program, program.centre, multipliers)) return false;
  Interval promised = 0;  // l' lambda
  for (int i = 0; i < program.constraints(); ++i) {
    if (i >= program.equalities && !(multipliers[i] >= 0)) return false;
    promised += Interval(program.limits[i]) * Interval(multipliers[i]);
  }
  Interval reachable = 0;  // lambda' A x, over |x_k| <= scale
  for (const Interval& entry : Force(program, multipliers)) {
    reachable += entry * Interval(-scale, scale);
  }
  return promised.lo > reachable.hi;
}

}  // namespace ratebound::fit
