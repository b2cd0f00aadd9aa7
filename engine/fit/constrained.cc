#include "engine/fit/constrained.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "absl/status/status.h"
#include "absl/strings/str_cat.h"
#include "engine/base/status_macros.h"

namespace ratebound::fit {
namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
// A normal whose part outside the active ones is shorter than this share of it depends on
// them.
constexpr double kDependent = 1e-10;

bool AllFinite(const std::vector<double>& values) {
  return std::all_of(values.begin(), values.end(),
                     [](double value) { return std::isfinite(value); });
}

absl::Status CheckProgram(const QuadraticProgram& program) {
  const size_t n = program.centre.size();
  const size_t m = program.limits.size();
  if (n == 0 || program.inverse_hessian.size() != n * n ||
      program.normals.size() != m * n || program.equalities < 0 ||
      static_cast<size_t>(program.equalities) > m) {
    return absl::InvalidArgumentError(absl::StrCat(
        "a programme of ", n, " variables and ", m, " constraints (", program.equalities,
        " equations) has ", program.inverse_hessian.size(),
        " entries of the inverse Hessian and ", program.normals.size(), " of normals"));
  }
  if (!AllFinite(program.centre) || !AllFinite(program.inverse_hessian) ||
      !AllFinite(program.normals) || !AllFinite(program.limits)) {
    return absl::InvalidArgumentError("a programme holds numbers that are not finite");
  }
  return absl::OkStatus();
}

class DualActiveSet {
 public:
  DualActiveSet(const QuadraticProgram& program, int max_iterations)
      : program_(program),
        n_(program.variables()),
        m_(program.constraints()),
        max_iterations_(max_iterations),
        x_(program.centre),
        j_(static_cast<size_t>(n_) * n_),
        r_(static_cast<size_t>(n_) * n_),
        d_(n_),
        dual_step_(n_) {}

  absl::StatusOr<QuadraticSolution> Run() {
    RETURN_IF_ERROR(Factor());
    MeasureNormals();
    for (int i = 0; i < program_.equalities; ++i) {
      RETURN_IF_ERROR(TakeUp(i));
      if (!solution_.feasible) return Finish();
    }
    for (;;) {
      const int next = FurthestAway();
      if (next < 0) break;
      RETURN_IF_ERROR(TakeUp(next));
      if (!solution_.feasible) return Finish();
    }
    if (!active_.empty()) ComputeAfresh();
    return Finish();
  }

 private:
  double& J(int i, int k) { return j_[static_cast<size_t>(k) * n_ + i]; }  // by columns
  double& R(int i, int k) { return r_[static_cast<size_t>(k) * n_ + i]; }
  const double* Normal(int i) const {
    return program_.normals.data() + static_cast<size_t>(i) * n_;
  }
  bool IsEquation(int constraint) const { return constraint < program_.equalities; }
  int active_count() const { return static_cast<int>(active_.size()); }

  // J = the lower Cholesky factor of the inverse Hessian.
  absl::Status Factor() {
    const std::vector<double>& c = program_.inverse_hessian;
    for (int k = 0; k < n_; ++k) {
      double pivot = c[static_cast<size_t>(k) * n_ + k];
      const double diagonal = pivot;
      for (int l = 0; l < k; ++l) pivot -= J(k, l) * J(k, l);
      if (!(pivot > 1e-14 * diagonal)) {
        return absl::InvalidArgumentError(
            absl::StrCat("the inverse Hessian is not positive definite at variable ", k,
                         ": the fit without constraints does not determine it"));
      }
      J(k, k) = std::sqrt(pivot);
      for (int i = k + 1; i < n_; ++i) {
        double sum = c[static_cast<size_t>(i) * n_ + k];
        for (int l = 0; l < k; ++l) sum -= J(i, l) * J(k, l);
        J(i, k) = sum / J(k, k);
      }
    }
    return absl::OkStatus();
  }

  // |a_i| in the norm of the inverse Hessian, by which distances are measured.
  void MeasureNormals() {
    lengths_.resize(m_);
    for (int i = 0; i < m_; ++i) {
      const double* a = Normal(i);
      double sum = 0;
      for (int k = 0; k < n_; ++k) {
        double entry = 0;
        for (int l = k; l < n_; ++l) entry += J(l, k) * a[l];
        sum += entry * entry;
      }
      lengths_[i] = std::sqrt(sum);
    }
  }

  struct Slack {
    double value;
    double size;  // |l| + sum |a_j x_j|
  };
  Slack SlackOf(int i) const {
    const double* a = Normal(i);
    double sum = 0;
    double size = std::fabs(program_.limits[i]);
    for (int k = 0; k < n_; ++k) {
      const double term = a[k] * x_[k];
      sum += term;
      size += std::fabs(term);
    }
    return {sum - program_.limits[i], size};
  }

  // The violated inequality that is furthest away; -1 where none is violated.
  int FurthestAway() const {
    int furthest = -1;
    double worst = 0;
    for (int i = program_.equalities; i < m_; ++i) {
      const Slack slack = SlackOf(i);
      if (!(slack.value < -kFeasibility * slack.size)) continue;
      const double distance = lengths_[i] > 0 ? -slack.value / lengths_[i] : kInfinity;
      if (distance > worst) {
        worst = distance;
        furthest = i;
      }
    }
    return furthest;
  }

  // Moves x onto constraint p, letting go of inequalities that no longer bind.
  absl::Status TakeUp(int p) {
    const double* a = Normal(p);
    const double sign = IsEquation(p) && SlackOf(p).value > 0 ? -1 : 1;
    double multiplier = 0;
    for (;;) {
      if (++solution_.iterations > max_iterations_) {
        return absl::ResourceExhaustedError(
            absl::StrCat("a quadratic programme took more than ", max_iterations_,
                         " steps; constraints may be nearly parallel"));
      }
      const int q = active_count();
      double outside = 0;
      double whole = 0;
      for (int k = 0; k < n_; ++k) {
        double entry = 0;
        for (int i = 0; i < n_; ++i) entry += J(i, k) * a[i];
        d_[k] = sign * entry;
        (k < q ? whole : outside) += d_[k] * d_[k];
      }
      whole += outside;
      const bool dependent = !(outside > kDependent * kDependent * whole);
      const Slack slack = SlackOf(p);
      if (dependent && IsEquation(p) &&
          std::fabs(slack.value) <= 100 * kFeasibility * slack.size) {
        return absl::OkStatus();  // says nothing new
      }
      for (int k = q; k-- > 0;) {
        double sum = d_[k];
        for (int l = k + 1; l < q; ++l) sum -= R(k, l) * dual_step_[l];
        dual_step_[k] = sum / R(k, k);
      }
      // How far until an active inequality lets go.
      double let_go = kInfinity;
      int leaving = -1;
      for (int k = 0; k < q; ++k) {
        if (IsEquation(active_[k]) || !(dual_step_[k] > 0)) continue;
        const double reach = multipliers_[k] / dual_step_[k];
        if (reach < let_go) {
          let_go = reach;
          leaving = k;
        }
      }
      const double reach = dependent ? kInfinity : -sign * slack.value / outside;
      if (dependent && leaving < 0) {
        Contradict(p, sign);
        return absl::OkStatus();
      }
      const double length = std::min(let_go, std::max(0.0, reach));
      for (int k = 0; k < q; ++k) multipliers_[k] -= length * dual_step_[k];
      multiplier += length;
      if (!dependent) {
        for (int i = 0; i < n_; ++i) {
          double sum = 0;
          for (int k = q; k < n_; ++k) sum += J(i, k) * d_[k];
          x_[i] += length * sum;
        }
      }
      if (!dependent && reach <= let_go) {
        Add(p, sign, multiplier);
        return absl::OkStatus();
      }
      Drop(leaving);
    }
  }

  // Rotates columns k and k + 1 of J, and the rows of R alike.
  static void Rotation(double a, double b, double* cosine, double* sine, double* length) {
    const double largest = std::max(std::fabs(a), std::fabs(b));
    const double scaled_a = a / largest;
    const double scaled_b = b / largest;
    *length = largest * std::sqrt(scaled_a * scaled_a + scaled_b * scaled_b);
    *cosine = a / *length;
    *sine = b / *length;
  }
  void RotateColumnsOfJ(int k, int l, double cosine, double sine) {
    for (int i = 0; i < n_; ++i) {
      const double first = J(i, k);
      const double second = J(i, l);
      J(i, k) = cosine * first + sine * second;
      J(i, l) = cosine * second - sine * first;
    }
  }

  void Add(int p, double sign, double multiplier) {
    const int q = active_count();
    for (int k = n_ - 1; k > q; --k) {
      if (d_[k] == 0) continue;
      double cosine, sine, length;
      Rotation(d_[k - 1], d_[k], &cosine, &sine, &length);
      d_[k - 1] = length;
      d_[k] = 0;
      RotateColumnsOfJ(k - 1, k, cosine, sine);
    }
    for (int i = 0; i <= q; ++i) R(i, q) = d_[i];
    active_.push_back(p);
    signs_.push_back(sign);
    multipliers_.push_back(multiplier);
  }

  void Drop(int leaving) {
    const int q = active_count();
    for (int k = leaving; k + 1 < q; ++k) {
      for (int i = 0; i <= k + 1; ++i) R(i, k) = R(i, k + 1);
    }
    active_.erase(active_.begin() + leaving);
    signs_.erase(signs_.begin() + leaving);
    multipliers_.erase(multipliers_.begin() + leaving);
    for (int k = leaving; k + 1 < q; ++k) {
      if (R(k + 1, k) == 0) continue;
      double cosine, sine, length;
      Rotation(R(k, k), R(k + 1, k), &cosine, &sine, &length);
      R(k, k) = length;
      R(k + 1, k) = 0;
      for (int l = k + 1; l + 1 < q; ++l) {
        const double first = R(k, l);
        const double second = R(k + 1, l);
        R(k, l) = cosine * first + sine * second;
        R(k + 1, l) = cosine * second - sine * first;
      }
      RotateColumnsOfJ(k, k + 1, cosine, sine);
    }
  }

  // a_p is a sum of active normals with no part that could let go: no x meets them all.
  void Contradict(int p, double sign) {
    solution_.feasible = false;
    solution_.multipliers.assign(m_, 0.0);
    solution_.multipliers[p] = sign;
    for (int k = 0; k < active_count(); ++k) {
      solution_.multipliers[active_[k]] = -dual_step_[k] * signs_[k];
    }
  }

  // With N the active normals, N' H^-1 N = R' R and x = c + H^-1 N lambda: rounding of
  // the steps does not add up.
  void ComputeAfresh() {
    const int q = active_count();
    std::vector<double> lambda(q);
    for (int k = 0; k < q; ++k) {
      const double* a = Normal(active_[k]);
      double gap = program_.limits[active_[k]];
      for (int i = 0; i < n_; ++i) gap -= a[i] * program_.centre[i];
      lambda[k] = signs_[k] * gap;
      for (int l = 0; l < k; ++l) lambda[k] -= R(l, k) * lambda[l];
      lambda[k] /= R(k, k);
    }
    for (int k = q; k-- > 0;) {
      for (int l = k + 1; l < q; ++l) lambda[k] -= R(k, l) * lambda[l];
      lambda[k] /= R(k, k);
      if (!IsEquation(active_[k]) && lambda[k] < 0) return;  // as good as it gets
    }
    multipliers_ = lambda;
    std::vector<double> force(n_);  // N lambda
    for (int k = 0; k < q; ++k) {
      const double* a = Normal(active_[k]);
      for (int i = 0; i < n_; ++i) force[i] += signs_[k] * lambda[k] * a[i];
    }
    for (int i = 0; i < n_; ++i) {
      double change = 0;
      for (int k = 0; k < n_; ++k) {
        change += program_.inverse_hessian[static_cast<size_t>(i) * n_ + k] * force[k];
      }
      x_[i] = program_.centre[i] + change;
    }
  }

  QuadraticSolution Finish() {
    if (!solution_.feasible) {
      solution_.x = program_.centre;
      return solution_;
    }
    solution_.x = x_;
    solution_.multipliers.assign(m_, 0.0);
    solution_.active = active_;
    for (int k = 0; k < active_count(); ++k) {
      const double* a = Normal(active_[k]);
      double moved = 0;
      for (int i = 0; i < n_; ++i) moved += a[i] * (x_[i] - program_.centre[i]);
      const double lambda = signs_[k] * multipliers_[k];
      solution_.multipliers[active_[k]] = lambda;
      solution_.added_sum_of_squares += lambda * moved;
    }
    solution_.added_sum_of_squares = std::max(0.0, solution_.added_sum_of_squares);
    return solution_;
  }

  const QuadraticProgram& program_;
  const int n_;
  const int m_;
  const int max_iterations_;
  std::vector<double> x_;
  std::vector<double> j_;
  std::vector<double> r_;
  std::vector<double> d_;
  std::vector<double> dual_step_;
  std::vector<double> lengths_;
  std::vector<int> active_;
  std::vector<double> signs_;        // -1 where an equation is met from above
  std::vector<double> multipliers_;  // of the active, in their sign
  QuadraticSolution solution_;
};

}  // namespace

absl::StatusOr<QuadraticSolution> SolveQuadratic(const QuadraticProgram& program,
                                                 int max_iterations) {
  RETURN_IF_ERROR(CheckProgram(program));
  return DualActiveSet(program, max_iterations).Run();
}

}  // namespace ratebound::fit
