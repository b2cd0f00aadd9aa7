// Which way every elementary step of a bound is rounded, against exact arithmetic, and
// claims that are false by less than rounding shows. The same file is linked with a copy
// of the room that widens nothing, and has to fail there.
#include <mpfr.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/bound/bernstein.h"
#include "engine/bound/box_bound.h"
#include "engine/bound/prove_minimum.h"
#include "engine/bound/prove_region.h"
#include "engine/bound/range_bounder.h"
#include "engine/bound/unit_box.h"
#include "gtest/gtest.h"
#include "tests/engine/bound/random_polynomial.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::bound {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::OutsideFacts;
using ::ratebound::testing::Random;

// Real numbers by GNU MPFR: 2000 bits hold every polynomial value here exactly, and roots
// far beyond the last bit of a double.
class Real {
 public:
  Real() { mpfr_init2(value_, 2000); }
  explicit Real(double x) : Real() { mpfr_set_d(value_, x, MPFR_RNDN); }
  Real(const Real& other) : Real() { mpfr_set(value_, other.value_, MPFR_RNDN); }
  Real& operator=(const Real& other) {
    mpfr_set(value_, other.value_, MPFR_RNDN);
    return *this;
  }
  ~Real() { mpfr_clear(value_); }

  friend Real operator+(const Real& a, const Real& b) {
    Real r;
    mpfr_add(r.value_, a.value_, b.value_, MPFR_RNDN);
    return r;
  }
  friend Real operator-(const Real& a, const Real& b) {
    Real r;
    mpfr_sub(r.value_, a.value_, b.value_, MPFR_RNDN);
    return r;
  }
  friend Real operator*(const Real& a, const Real& b) {
    Real r;
    mpfr_mul(r.value_, a.value_, b.value_, MPFR_RNDN);
    return r;
  }
  Real Root() const {
    Real r;
    mpfr_sqrt(r.value_, value_, MPFR_RNDN);
    return r;
  }
  // Its sign against a double.
  int Against(double x) const { return mpfr_cmp_d(value_, x); }

 private:
  mpfr_t value_;
};

Real At(std::span<const MonomialKey> keys, std::span<const double> coefficients,
        const std::vector<Real>& x) {
  Real sum;
  sum = Real(0.0);
  for (size_t k = 0; k < keys.size(); ++k) {
    Real term(coefficients[k]);
    for (size_t i = 0; i < x.size(); ++i) {
      for (int e = Exponent(keys[k], static_cast<int>(i)); e > 0; --e) term = term * x[i];
    }
    sum = sum + term;
  }
  return sum;
}

Real At(const Polynomial& p, const std::vector<Real>& x) {
  return At(p.keys(), p.coefficients(), x);
}

OutsideFacts Exact(const std::string& name) {
  return {.name = "bound.rounding_" + name,
          .source = "GNU MPFR, arithmetic of 2000 bits",
          .tolerance = 0};
}

Box RandomBox(Random& random, int n) {
  Box box;
  for (int i = 0; i < n; ++i) {
    box.lo.push_back(random.Uniform(-2, 1));
    box.hi.push_back(box.lo[i] + random.Uniform(0.1, 2));
  }
  return box;
}

// Every way to make a polynomial: the exact result lies in the family, evaluated where
// coefficients of families weigh most.
TEST(Rounding, ResultsOfPolynomialsHoldTheExactOnes) {
  OutsideCheck check(Exact("of_polynomials"));
  Random random("ROUNDING_OF_POLYNOMIALS");
  for (int trial = 0; trial < 400; ++trial) {
    const int n = random.Integer(1, 3);
    const Polynomial a = RandomPolynomial(random, n, 2);
    const Polynomial b = RandomPolynomial(random, n, 2);
    const double factor = random.Normal();
    std::vector<Real> x;
    std::vector<Interval> point;
    for (int i = 0; i < n; ++i) {
      // Powers of two: monomials are exact, so the coefficients alone are at stake.
      const double value = random.Integer(0, 1) ? 1 : -0.5;
      x.emplace_back(value);
      point.emplace_back(value);
    }
    const auto holds = [&](const std::string& what, const Polynomial& p, const Real& r) {
      const Interval range = p.Evaluate(point);
      check.Holds(what, r.Against(range.lo) >= 0 && r.Against(range.hi) <= 0);
    };
    holds("sum", *Sum(a, b), At(a, x) + At(b, x));
    holds("product", *Product(a, b), At(a, x) * At(b, x));
    holds("multiple", a.Scale(factor), Real(factor) * At(a, x));
    const Polynomial parts[] = {a, b};
    holds("squares", *SumOfSquares(parts), At(a, x) * At(a, x) + At(b, x) * At(b, x));
    ASSERT_FALSE(HasFailure());
  }
}

TEST(Rounding, UnitCoordinatesAreOffByTheirErrorAtMost) {
  OutsideCheck check(Exact("of_unit_coordinates"));
  Random random("ROUNDING_OF_UNIT_COORDINATES");
  int off = 0;
  for (int trial = 0; trial < 200; ++trial) {
    const int n = random.Integer(1, 4);
    const Polynomial p = RandomPolynomial(random, n, random.Integer(1, 4));
    const UnitMap map(RandomBox(random, n));
    const UnitPolynomial unit(p, map);
    for (int s = 0; s < 5; ++s) {
      std::vector<Real> x;
      std::vector<Real> v;
      for (int i = 0; i < n; ++i) {
        v.emplace_back(random.Integer(0, 1) ? random.Integer(0, 1) * 2.0 - 1
                                            : random.Uniform(-1, 1));
        x.push_back(Real(map.centre[i]) + Real(map.radius[i]) * v[i]);
      }
      const Real apart = At(unit.set.keys(), unit.coefficients, v) - At(p, x);
      check.Holds("unit polynomial",
                  apart.Against(unit.error) <= 0 && apart.Against(-unit.error) >= 0);
      off += apart.Against(0) != 0;
    }
    ASSERT_FALSE(HasFailure());
  }
  EXPECT_GT(off, 900);  // rounding does happen
}

// On a part that is one point nothing but rounding stands between bound and value.
TEST(Rounding, BoundsOfPointsLieOnTheirSideOfTheExactValue) {
  OutsideCheck check(Exact("of_bounds_at_points"));
  Random random("ROUNDING_OF_BOUNDS_AT_POINTS");
  int plain_above = 0;
  for (int trial = 0; trial < 1'000; ++trial) {
    const int n = random.Integer(1, 3);
    const int degree = random.Integer(1, 3);
    BandedFunction g{.f = RandomPolynomial(random, n, degree)};
    const Polynomial square = RandomPolynomial(random, n, degree);
    const Polynomial parts[] = {square};
    if (random.Integer(0, 1) == 1) {
      g.terms.push_back({random.Uniform(0.1, 2), *SumOfSquares(parts)});
    }
    const Box box = RandomBox(random, n);
    BoxBounder bounder(g, box,
                       random.Integer(0, 1) ? BoxBounder::Forms::kAll
                                            : BoxBounder::Forms::kWithoutTensor);
    UnitPart part;
    BoxBounder::Vector anchor{};
    std::vector<Real> x;
    for (int i = 0; i < n; ++i) {
      anchor[i] = part.lo[i] = part.hi[i] = random.Uniform(-1, 1);
      x.push_back(Real(bounder.map().centre[i]) +
                  Real(bounder.map().radius[i]) * Real(anchor[i]));
    }
    Real exact = At(g.f, x);
    if (!g.terms.empty()) {
      const Real root = At(square, x);
      exact = exact - Real(g.terms[0].weight) * (root * root).Root();
    }
    const BoxBounder::Result bound = bounder.Bound(part, anchor, kInfinity);
    check.Holds("bound of a point", exact.Against(bound.lower) >= 0);
    plain_above += exact.Against(bound.value) < 0;
    ASSERT_FALSE(HasFailure());
  }
  EXPECT_GT(plain_above, 200);
}

TEST(Rounding, RangesHoldTheExactValues) {
  OutsideCheck check(Exact("of_ranges"));
  Random random("ROUNDING_OF_RANGES");
  for (int trial = 0; trial < 500; ++trial) {
    const int n = random.Integer(1, 3);
    const Polynomial p = RandomPolynomial(random, n, random.Integer(1, 3));
    const Box box = RandomBox(random, n);
    Box point = box;
    std::vector<Real> x;
    for (int i = 0; i < n; ++i) {
      point.lo[i] = point.hi[i] =
          std::clamp(random.Uniform(box.lo[i], box.hi[i]), box.lo[i], box.hi[i]);
      x.emplace_back(point.lo[i]);
    }
    ASSERT_OK_AND_ASSIGN(RangeBounder bounder, RangeBounder::Create(p, box));
    ASSERT_OK_AND_ASSIGN(const RangeEnclosure enclosure, EncloseRange(p, point));
    const Real exact = At(p, x);
    for (const Interval& range : {bounder.Range(point), enclosure.range}) {
      check.Holds("range", exact.Against(range.lo) >= 0 && exact.Against(range.hi) <= 0);
    }
    ASSERT_FALSE(HasFailure());
  }
}

// Claims that fail at one known point by 2^-60: none is ever proven.
TEST(Soundness, NoClaimIsProvenThatIsFalseByLessThanRoundingShows) {
  Random random("NO_FALSE_CLAIM_IS_PROVEN");
  const double deficit = 0x1p-60;
  int proven = 0;
  int asked = 0;
  double shown = kInfinity;
  for (int trial = 0; trial < 300 && proven == 0; ++trial) {
    const int n = random.Integer(1, 3);
    Polynomial sum = Polynomial::Constant(n, 0);
    Box box;
    for (int i = 0; i < n; ++i) {
      const double middle = random.Uniform(0.1, 0.9);
      std::vector<int> exponents(2 * n, 0);
      exponents[i] = 1;
      const Polynomial line =
          *Polynomial::Create(n, exponents, std::vector<double>{1, -middle});
      const Polynomial parts[] = {line};
      sum = *Sum(sum, *SumOfSquares(parts));
      box.lo.push_back(0);
      box.hi.push_back(1);
    }
    const Polynomial f = *Sum(sum, Polynomial::Constant(n, -deficit));
    // With a band of nothing but a constant: f + w - w sqrt(1).
    const double weight = random.Uniform(0.5, 2);
    const BandedFunction plain{.f = f};
    const BandedFunction banded{.f = *Sum(f, Polynomial::Constant(n, weight)),
                                .terms = {{weight, Polynomial::Constant(n, 1)}}};
    for (const BandedFunction& g : {plain, banded}) {
      ASSERT_OK_AND_ASSIGN(const Proof proof,
                           ProveNonNegative(g, box, {.max_boxes = 2'000}));
      proven += proof.outcome == Proof::kHolds;
      const std::vector<BandedFunction> two = {g, {.f = Polynomial::Constant(n, -1)}};
      for (const bool tree : {false, true}) {
        ASSERT_OK_AND_ASSIGN(
            const RegionProof over,
            ProveOver(two, {.box = box}, {.max_boxes = 2'000, .tree = tree}));
        proven += over.outcome == RegionProof::kHolds;
        shown = std::min(shown, over.lower_bound);
      }
      asked += 3;
    }
  }
  EXPECT_EQ(proven, 0) << "of " << asked;
  EXPECT_GT(shown, -1e-10);  // undecided next to the limit, not given up early
}

}  // namespace
}  // namespace ratebound::bound
