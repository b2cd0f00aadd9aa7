#include "engine/bound/box_bound.h"

#include <algorithm>
#include <cmath>

#include "engine/bound/interval.h"

namespace ratebound::bound {
namespace {

// Measured: proofs take as many boxes as with a tensor for each, and less time.
constexpr double kTensorReach = 2;

std::vector<int> Places(const MonomialSet& part, const MonomialSet& whole) {
  std::vector<int> places;
  places.reserve(part.size());
  for (MonomialKey key : part.keys()) places.push_back(whole.Index(key));
  return places;
}

double LowerEnd(const Interval& x) { return x.lo; }
double LowerEnd(double x) { return x; }

}  // namespace

std::vector<BoxBounder::Term> BoxBounder::MakeTerms(const BandedFunction& g,
                                                    const UnitMap& map) {
  std::vector<Term> terms;
  terms.reserve(g.terms.size());
  for (const BandedFunction::Term& term : g.terms) {
    if (term.weight == 0 || term.square.terms() == 0) continue;
    UnitPolynomial square(term.square, map);
    std::vector<double> local(square.set.size());
    terms.push_back(
        {.weight = term.weight, .square = std::move(square), .local = std::move(local)});
  }
  return terms;
}

MonomialSet BoxBounder::MakeSet(const UnitPolynomial& f, const std::vector<Term>& terms) {
  // A variance has all monomials of its surface, as a rule.
  const MonomialSet* largest = &f.set;
  for (const Term& term : terms) {
    if (term.square.set.size() > largest->size()) largest = &term.square.set;
  }
  bool all = largest->Contains(f.set.keys());
  for (const Term& term : terms) all = all && largest->Contains(term.square.set.keys());
  if (all) return *largest;
  std::vector<MonomialKey> keys(f.set.keys().begin(), f.set.keys().end());
  for (const Term& term : terms) {
    keys.insert(keys.end(), term.square.set.keys().begin(), term.square.set.keys().end());
  }
  return MonomialSet(f.set.variables(), keys);
}

BoxBounder::BoxBounder(const BandedFunction& g, const Box& box, Forms forms)
    : map_(box), f_(g.f, map_), terms_(MakeTerms(g, map_)), set_(MakeSet(f_, terms_)) {
  f_place_ = Places(f_.set, set_);
  f_local_.resize(f_.set.size());
  for (Term& term : terms_) term.place = Places(term.square.set, set_);
  curved_.reserve(set_.size());
  for (int k = 0; k < set_.size(); ++k) {
    const MonomialKey key = set_.keys()[k];
    Curved curved{.place = k, .degree = TotalDegree(key), .square = true};
    if (curved.degree < 2) continue;
    for (int i = 0; i < map_.variables; ++i) {
      const int exponent = Exponent(key, i);
      curved.square = curved.square && exponent % 2 == 0;
      curved.share[i] = static_cast<double>(exponent) / curved.degree;
    }
    curved.pure_quadratic = curved.square && curved.degree == 2;
    curved_.push_back(curved);
  }
  tensor_fits_ = forms == Forms::kAll && BernsteinForm::Fits(set_);
  t_.resize(set_.size());
  monomials_.resize(set_.size());
}

double BoxBounder::Value(const Vector& v) {
  set_.Evaluate(v.data(), monomials_.data());
  // Two running sums halve the wait of one addition for the other.
  const auto sum = [this](const std::vector<double>& coefficients,
                          const std::vector<int>& place) {
    double even = 0;
    double odd = 0;
    const size_t size = place.size();
    size_t k = 0;
    for (; k + 2 <= size; k += 2) {
      even += coefficients[k] * monomials_[place[k]];
      odd += coefficients[k + 1] * monomials_[place[k + 1]];
    }
    if (k < size) even += coefficients[k] * monomials_[place[k]];
    return even + odd;
  };
  double value = sum(f_.coefficients, f_place_);
  for (const Term& term : terms_) {
    const double square = sum(term.square.coefficients, term.place);
    value -= term.weight * std::sqrt(std::max(0.0, square));
  }
  return value;
}

double BoxBounder::Expand(const Vector& v, Vector& gradient, Matrix& hessian) {
  const int n = map_.variables;
  const auto add = [&](const MonomialSet& set, const std::vector<double>& local,
                       double factor) {
    for (int i = 0; i < n; ++i) {
      if (set.Linear(i) >= 0) gradient[i] += factor * local[set.Linear(i)];
      for (int j = 0; j < n; ++j) {
        const int at = set.Quadratic(i, j);
        if (at >= 0) hessian[i][j] += (i == j ? 2 : 1) * factor * local[at];
      }
    }
  };
  gradient.fill(0);
  for (Vector& row : hessian) row.fill(0);
  f_local_ = f_.coefficients;
  f_.set.Shift(v.data(), f_local_.data());
  add(f_.set, f_local_, 1);
  double value = f_local_[0];
  for (Term& term : terms_) {
    term.local = term.square.coefficients;
    term.square.set.Shift(v.data(), term.local.data());
    const double square = term.local[0];
    // At a kink of the band the descent has left it already: -|x| has its maximum there.
    if (!(square > 1e-14 * term.square.absolute_sum)) continue;
    const double root = std::sqrt(square);
    value -= term.weight * root;
    add(term.square.set, term.local, -term.weight / (2 * root));
    const double bend = term.weight / (4 * square * root);
    for (int i = 0; i < n; ++i) {
      const int li = term.square.set.Linear(i);
      if (li < 0) continue;
      for (int j = 0; j < n; ++j) {
        const int lj = term.square.set.Linear(j);
        if (lj >= 0) hessian[i][j] += bend * term.local[li] * term.local[lj];
      }
    }
  }
  return value;
}

BoxBounder::Result BoxBounder::Bound(const UnitPart& part, const Vector& anchor,
                                     double wanted, Forms forms) {
  const int n = map_.variables;
  Vector reach{};
  Vector lo{};
  Vector hi{};
  double radius = 1;
  bool centred = true;
  for (int i = 0; i < n; ++i) {
    lo[i] = -1;
    hi[i] = 1;
    const double below = anchor[i] - part.lo[i];
    const double above = part.hi[i] - anchor[i];
    const double larger = std::max(below, above);
    reach[i] = Varies(i) && larger > 0 ? Succ(larger) : 0;
    if (reach[i] > 0 && below != above) {
      centred = false;
      lo[i] = below == 0 ? 0 : std::max(-1.0, Pred(-Succ(below) / reach[i]));
      hi[i] = above == 0 ? 0 : std::min(1.0, Succ(Succ(above) / reach[i]));
    }
    radius = std::max(radius, std::fabs(anchor[i]) + reach[i]);
  }
  double growth = 1;
  for (int d = set_.Degree(); d > 0; --d) growth *= radius;

  std::copy(f_.coefficients.begin(), f_.coefficients.end(), f_local_.begin());
  f_.set.Shift(anchor.data(), f_local_.data());
  set_.Evaluate(reach.data(), monomials_.data());
  std::fill(t_.begin(), t_.end(), 0.0);
  for (size_t k = 0; k < f_place_.size(); ++k) t_[f_place_[k]] = f_local_[k];
  Result result{.value = f_local_[0]};
  double absolute = f_.absolute_sum;
  double inherited = f_.error;
  double constant = 0;
  band_curvature_.fill(0);
  for (Term& term : terms_) {
    const UnitPolynomial& square = term.square;
    std::copy(square.coefficients.begin(), square.coefficients.end(), term.local.begin());
    square.set.Shift(anchor.data(), term.local.data());
    const int size = square.set.size();
    double variation = 0;
    for (int k = 1; k < size; ++k) {
      variation += std::fabs(term.local[k]) * monomials_[term.place[k]];
    }
    const double at_anchor = std::max(0.0, term.local[0]);
    result.value -= term.weight * std::sqrt(at_anchor);
    // Tangent at the anchor, except where the root is so small there that the tangent
    // would be worthless over the rest of the part.
    const double least = std::max(square.error, (centred ? 0.25 : 1e-3) * variation);
    const double root = std::sqrt(std::max({at_anchor, least, 1e-200}));
    const double s = term.weight / (2 * root);
    term.tangent = s;
    const double kappa = term.weight * (term.weight / (4 * s)) * (1 + 0x1p-50);
    for (int k = 0; k < size; ++k) t_[term.place[k]] -= s * term.local[k];
    constant += kappa;
    absolute += s * square.absolute_sum + kappa;
    inherited += s * square.error;
    // What the tangent loses: w (Q - c^2)^2 / (8 c^3) to second order.
    const double loss = term.weight * variation / (8 * root * root * root);
    for (int i = 0; i < n; ++i) {
      const int li = square.set.Linear(i);
      if (li >= 0) band_curvature_[i] += loss * std::fabs(term.local[li]) * reach[i];
    }
  }
  t_[0] -= constant;
  for (int k = 0; k < set_.size(); ++k) t_[k] *= monomials_[k];

  const int paths = 3 * set_.SumOfDegrees() + 2 * static_cast<int>(terms_.size()) + 2;
  const int plain = set_.size() + 4 * n + 4;
  const int tensor = tensor_fits_ ? BernsteinForm::Roundings(set_) : 0;
  // One bound for all three forms; the factor covers the sums of the bounds themselves.
  const double error =
      1.0001 * (inherited + RoundingBound(paths + plain + tensor, absolute * growth));
  result.resolved = inherited + RoundingBound(paths + plain + tensor, absolute);

  const auto less_error = [error](double bound) {
    const double lower = Pred(bound - error);
    return lower > -kInfinity ? lower : -kInfinity;  // NaN proves nothing
  };
  result.lower = less_error(CentredForm(lo, hi));
  if (!(result.lower >= wanted)) {
    result.lower = std::max(result.lower, less_error(ConvexForm(lo, hi, reach)));
  }
  // The tensor costs as much as all else together, and where the other forms fall short
  // by much more than there is to show at the anchor, it does not get there either.
  const bool within_reach =
      wanted == kInfinity ||
      wanted - result.lower < kTensorReach * (result.value - wanted);
  if (!(result.lower >= wanted) && tensor_fits_ && forms == Forms::kAll && within_reach) {
    if (!bernstein_.has_value()) bernstein_.emplace(set_);
    result.lower = std::max(
        result.lower, less_error(bernstein_->Least(t_.data(), lo.data(), hi.data())));
  }
  if (!(result.lower >= wanted)) result.split = Split(part);
  return result;
}

double BoxBounder::CentredForm(const Vector& lo, const Vector& hi) const {
  double bound = t_[0];
  for (const Curved& curved : curved_) {
    const double t = t_[curved.place];
    if (curved.pure_quadratic) continue;
    bound -= curved.square && t >= 0 ? 0 : std::fabs(t);
  }
  for (int i = 0; i < map_.variables; ++i) {
    const double b = set_.Linear(i) >= 0 ? t_[set_.Linear(i)] : 0;
    const double a = set_.Quadratic(i, i) >= 0 ? t_[set_.Quadratic(i, i)] : 0;
    double least = std::min(lo[i] * (b + a * lo[i]), hi[i] * (b + a * hi[i]));
    // The vertex of the parabola, if inside; next to an end the two agree to second
    // order.
    if (a > 0 && -b > 2 * a * lo[i] && -b < 2 * a * hi[i]) least = -b * (b / (4 * a));
    bound += least;
  }
  return bound;
}

// t_0 - b'M^-1 b/4 with M_ii = diagonal_i - absorbed_i; minus infinity where M is not
// shown to be positive definite. In doubles a forecast, in intervals a proof.
template <typename Number>
double BoxBounder::ConvexMinimum(int size, const double* diagonal, const double* slope,
                                 const double* absorbed, const int* variable) const {
  std::array<std::array<Number, kMostVariables>, kMostVariables> factor;
  std::array<Number, kMostVariables> pivot;
  std::array<Number, kMostVariables> solved;
  Number drop = 0.0;
  for (int i = 0; i < size; ++i) {
    // Row i of L D, then of L.
    for (int j = 0; j < i; ++j) {
      const int at = set_.Quadratic(variable[i], variable[j]);
      Number entry = at >= 0 ? 0.5 * t_[at] : 0.0;
      for (int k = 0; k < j; ++k) entry = entry - factor[i][k] * factor[j][k];
      factor[i][j] = entry;  // scaled below: (L D)_ij
      // factor[j][k] holds L_jk for finished rows.
    }
    Number d = Number(diagonal[i]) - Number(absorbed[i]);
    Number y = slope[i];
    for (int k = 0; k < i; ++k) {
      const Number scaled = factor[i][k] / pivot[k];
      d = d - factor[i][k] * scaled;
      y = y - scaled * solved[k];
      factor[i][k] = scaled;
    }
    if (!(LowerEnd(d) > 0)) return -kInfinity;
    pivot[i] = d;
    solved[i] = y;
    drop = drop + y * y / (4.0 * d);
  }
  return LowerEnd(Number(0.0) - drop);
}

double BoxBounder::ConvexForm(const Vector& lo, const Vector& hi, const Vector& reach) {
  const int n = map_.variables;
  Vector absorbed{};
  for (const Curved& curved : curved_) {
    if (curved.degree == 2) continue;
    const double t = t_[curved.place];
    if (curved.square && t >= 0) continue;
    for (int i = 0; i < n; ++i) absorbed[i] += std::fabs(t) * curved.share[i];
  }
  Interval linear = 0;
  int size = 0;
  Vector diagonal{};
  Vector slope{};
  Vector taken{};
  std::array<int, kMostVariables> variable{};
  for (int i = 0; i < n; ++i) {
    if (reach[i] == 0) continue;
    const double b = set_.Linear(i) >= 0 ? t_[set_.Linear(i)] : 0;
    const int at = set_.Quadratic(i, i);
    const double a = at >= 0 ? t_[at] : 0;
    bool coupled = a != 0 || absorbed[i] > 0;
    for (int j = 0; j < n; ++j) {
      const int cross = set_.Quadratic(i, j);
      coupled = coupled || (j != i && cross >= 0 && t_[cross] != 0);
    }
    if (!coupled) {
      if (b != 0) linear += Hull(Interval(b) * lo[i], Interval(b) * hi[i]);
      continue;
    }
    const bool active = (lo[i] == 0 && b > 0) || (hi[i] == 0 && b < 0);
    // The guard covers the rounding of the sum of shares.
    taken[size] = absorbed[i] * (1 + 1e-9);
    if (active && a == 0) {
      diagonal[size] = std::fabs(b);
    } else if (active) {
      diagonal[size] = Pred(a + std::fabs(b));
    } else {
      diagonal[size] = a;
      slope[size] = b;
    }
    variable[size++] = i;
  }
  if (!(ConvexMinimum<double>(size, diagonal.data(), slope.data(), taken.data(),
                              variable.data()) > -kInfinity)) {
    return -kInfinity;
  }
  const double least = ConvexMinimum<Interval>(size, diagonal.data(), slope.data(),
                                               taken.data(), variable.data());
  return (Interval(t_[0]) + linear + Interval(least)).lo;
}

BoxBounder::Vector BoxBounder::CurvatureScore() const {
  Vector score = band_curvature_;
  for (const Curved& curved : curved_) {
    const double t = std::fabs(t_[curved.place]);
    for (int i = 0; i < map_.variables; ++i) score[i] += t * curved.share[i];
  }
  return score;
}

int BoxBounder::Split(const UnitPart& part) const {
  return LargestScore(part, CurvatureScore());
}

int BoxBounder::SteepestSplit(const UnitPart& part) const {
  Vector score = CurvatureScore();
  for (int i = 0; i < map_.variables; ++i) {
    if (set_.Linear(i) >= 0) score[i] += std::fabs(t_[set_.Linear(i)]);
  }
  return LargestScore(part, score);
}

int BoxBounder::LargestScore(const UnitPart& part, const Vector& score) const {
  int split = -1;
  for (int i = 0; i < map_.variables; ++i) {
    // Below this width halves are no longer exact.
    if (!Varies(i) || part.hi[i] - part.lo[i] < 0x1p-45) continue;
    if (split < 0 || score[i] > score[split]) split = i;
  }
  return split;
}

}  // namespace ratebound::bound
