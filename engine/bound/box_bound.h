// A lower bound of a banded function over one box, from that box and one point of it
// alone.
//
// Theorem. Let g = f - sum_j w_j sqrt(Q_j), Q_j >= 0 and w_j >= 0. For any s_j > 0,
//   w_j sqrt(Q_j) <= s_j Q_j + w_j^2 / (4 s_j)          (arithmetic and geometric mean)
// so the polynomial p = f - sum_j s_j Q_j - sum_j w_j^2 / (4 s_j) lies below g
// everywhere; with s_j = w_j / (2 sqrt(Q_j(z))) it touches g at z. p is written in u = (x
// - z) / r, |u_i| <= 1, p = t_0 + b'u + u'Au + sum_{|a| >= 3} t_a u^a, and bounded from
// below by the best of
//  1. centred form: t_0 + sum_i min(b_i u_i + A_ii u_i^2) - the absolute values of the
//  rest
//     (nothing for a term that is a square with t_a >= 0);
//  2. convex form: |u^a| <= sum_i (a_i/|a|) u_i^2 for |a| >= 2, |u_i| <= 1 (weighted
//  means), so
//     the terms of third and higher order cost at most u'Hu with a diagonal H. Where z
//     lies on the face u_i >= 0 and b_i > 0, b_i u_i >= b_i u_i^2 moves the slope into
//     the diagonal too (likewise u_i <= 0). If M = A - H is positive definite, p >= t_0 +
//     b'u + u'Mu
//     >= t_0 - b'M^-1 b / 4, which near a smooth minimum z of g is sharp to third order,
//     so that no cluster of small boxes arises around it;
//  3. Bernstein form (bernstein.h), where the tensor is small enough.
//
// Arithmetic. s_j is any double, and w_j (w_j / (4 s_j)) is rounded up. The t_a are
// computed plainly along paths of at most K_1 = 3 D + 2 m + 2 roundings (shift 2 D,
// monomials of r and product D + 1, m terms 2 m + 1; D the sum of the degrees, m the
// number of terms), so by Higham (2002), section 3.1,
//   sum_a |computed t_a - t_a| <= gamma_{K_1} S,  S = (S_f + sum_j (s_j S_j + kappa_j))
//   R^deg,
// where S_f, S_j are the sums of absolute coefficients, kappa_j the constants and
// R = max(1, |z_i| + r_i). As |u^a| <= 1, that moves p by no more over the box. Forms 1
// and 3 work plainly on the t_a, with K_2 further roundings and the same sum; form 2
// takes the computed t_a as exact, and factors M = L D L' in interval arithmetic, so that
// positive pivots prove definiteness. The errors of the polynomials themselves
// (unit_box.h) come on top.
#ifndef RATEBOUND_ENGINE_BOUND_BOX_BOUND_H_
#define RATEBOUND_ENGINE_BOUND_BOX_BOUND_H_

#include <array>
#include <optional>
#include <vector>

#include "engine/bound/banded_function.h"
#include "engine/bound/bernstein.h"
#include "engine/bound/monomial_set.h"
#include "engine/bound/unit_box.h"

namespace ratebound::bound {

// A part of the unit box [-1, 1]^n.
struct UnitPart {
  std::array<double, kMostVariables> lo{};
  std::array<double, kMostVariables> hi{};
};

// Thread-safety: not thread-safe; holds buffers. Bounds do not allocate, but for the
// first that needs the Bernstein form.
class BoxBounder {
 public:
  using Vector = std::array<double, kMostVariables>;
  using Matrix = std::array<Vector, kMostVariables>;

  // Both must have passed CheckBandedFunction. Without the tensor only forms 1 and 2 are
  // used, which a small checker can follow.
  enum class Forms { kAll, kWithoutTensor };
  BoxBounder(const BandedFunction& g, const Box& box, Forms forms = Forms::kAll);

  int variables() const { return map_.variables; }
  const UnitMap& map() const { return map_; }
  // Whether a side has any width.
  bool Varies(int variable) const { return map_.radius[variable] > 0; }

  // In plain arithmetic, in unit coordinates: no bounds.
  double Value(const Vector& v);
  double Expand(const Vector& v, Vector& gradient, Matrix& hessian);

  struct Result {
    double lower = 0;     // g >= lower over the part
    double value = 0;     // g at the anchor, in plain arithmetic
    double resolved = 0;  // rounding hides differences of g below this
    int split = -1;       // the variable to halve; -1 where no side has any width
  };
  // `anchor` is any point of the part, best its centre or a minimum. Forms are tried in
  // the order of their cost until `wanted` is reached.
  Result Bound(const UnitPart& part, const Vector& anchor, double wanted,
               Forms forms = Forms::kAll);

  // The variable along which the function of the last bound, slopes included, varies most
  // over `part`, which was that of the bound; -1 where no side has any width. The split
  // of a bound looks at curvature alone, which is what keeps a bound from being sharp.
  int SteepestSplit(const UnitPart& part) const;

  // The terms with a weight and a square that are not nothing, in the order of g; and the
  // s_j of the last bound.
  int terms() const { return static_cast<int>(terms_.size()); }
  double Tangent(int term) const { return terms_[term].tangent; }

 private:
  struct Term {
    double weight;
    UnitPolynomial square;
    std::vector<int> place;     // of its monomials in set_
    std::vector<double> local;  // buffer: coefficients at the anchor
    double tangent = 0;         // s of the last bound
  };

  static std::vector<Term> MakeTerms(const BandedFunction& g, const UnitMap& map);
  static MonomialSet MakeSet(const UnitPolynomial& f, const std::vector<Term>& terms);

  double CentredForm(const Vector& lo, const Vector& hi) const;
  double ConvexForm(const Vector& lo, const Vector& hi, const Vector& reach);
  template <typename Number>
  double ConvexMinimum(int size, const double* diagonal, const double* slope,
                       const double* absorbed, const int* variable) const;
  int Split(const UnitPart& part) const;
  Vector CurvatureScore() const;
  int LargestScore(const UnitPart& part, const Vector& score) const;

  UnitMap map_;
  UnitPolynomial f_;
  std::vector<Term> terms_;
  MonomialSet set_;
  std::vector<int> f_place_;
  std::vector<double> f_local_;
  bool tensor_fits_ = false;
  std::optional<BernsteinForm> bernstein_;  // made when first needed
  // Of each monomial of degree two and more: its place, whether it is a square, whether
  // it is x_i^2, and a_i / |a| for each variable.
  struct Curved {
    int place;
    int degree;
    bool square;
    bool pure_quadratic;
    Vector share;
  };
  std::vector<Curved> curved_;
  std::vector<double> t_;
  std::vector<double> monomials_;
  Vector band_curvature_{};  // what the tangent of the root loses, by variable
};

}  // namespace ratebound::bound

#endif  // RATEBOUND_ENGINE_BOUND_BOX_BOUND_H_
