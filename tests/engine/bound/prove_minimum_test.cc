#include "engine/bound/prove_minimum.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "engine/bound/box_bound.h"
#include "gtest/gtest.h"
#include "tests/engine/bound/random_polynomial.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::bound {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

Polynomial Make(int variables, std::initializer_list<int> exponents,
                std::initializer_list<double> coefficients) {
  return *Polynomial::Create(variables, exponents, coefficients);
}
Polynomial operator*(const Polynomial& a, const Polynomial& b) { return *Product(a, b); }
Polynomial operator+(const Polynomial& a, const Polynomial& b) { return *Sum(a, b); }
Polynomial Plus(const Polynomial& a, double c) {
  return a + Polynomial::Constant(a.variables(), c);
}

// Surface of degree 1 to 3 in 2 to 5 variables with one or two bands.
struct Problem {
  BandedFunction g;
  Box box;
};

Problem RandomProblem(Random& random, int most_variables, int most_degree) {
  const int n = random.Integer(2, most_variables);
  const int degree = random.Integer(1, most_degree);
  Problem problem;
  problem.g.f = RandomPolynomial(random, n, degree);
  const int bands = random.Integer(0, 2);
  for (int band = 0; band < bands; ++band) {
    std::vector<Polynomial> parts;
    const int squares = random.Integer(1, 3);
    for (int s = 0; s < squares; ++s) {
      parts.push_back(RandomPolynomial(random, n, random.Integer(1, degree)).Scale(0.2));
    }
    // Most variances do not vanish anywhere; some do, and the band then has a kink.
    if (random.Integer(0, 3) > 0) parts.push_back(Polynomial::Constant(n, 0.5));
    problem.g.terms.push_back({random.Uniform(0, 2), *SumOfSquares(parts)});
  }
  for (int i = 0; i < n; ++i) {
    problem.box.lo.push_back(random.Uniform(-1.5, 0.5));
    problem.box.hi.push_back(problem.box.lo[i] + random.Uniform(0.1, 1.5));
  }
  return problem;
}

std::vector<double> RandomPoint(Random& random, const Box& box) {
  std::vector<double> x(box.variables());
  for (int i = 0; i < box.variables(); ++i) {
    // Faces and vertices are where minima are.
    const double u =
        random.Integer(0, 2) == 0 ? random.Integer(0, 1) : random.Uniform(0, 1);
    x[i] = std::min(box.hi[i], box.lo[i] + u * (box.hi[i] - box.lo[i]));
  }
  return x;
}

TEST(ProveNonNegative, NoSampleLiesBelowAProvenBound) {
  Random random("NO_SAMPLE_LIES_BELOW_A_PROVEN_BOUND");
  for (int trial = 0; trial < 150; ++trial) {
    Problem problem = RandomProblem(random, 5, 3);
    // Near the limit on either side.
    ASSERT_OK_AND_ASSIGN(const MinimumEnclosure rough,
                         EncloseMinimum(problem.g, problem.box, 0.5, 200));
    problem.g.f = Plus(problem.g.f, -rough.value.hi + random.Uniform(-0.2, 0.2));
    ASSERT_OK_AND_ASSIGN(
        const Proof proof,
        ProveNonNegative(problem.g, problem.box, {.max_boxes = random.Integer(1, 300)}));
    EXPECT_LE(proof.lower_bound, proof.value_at_worst.hi);
    EXPECT_EQ(proof.outcome == Proof::kHolds,
              proof.undecided_boxes == 0 && proof.outcome != Proof::kViolated);
    if (proof.outcome == Proof::kHolds) {
      EXPECT_GE(proof.lower_bound, 0);
    }
    if (proof.outcome == Proof::kViolated) {
      EXPECT_LT(proof.value_at_worst.hi, 0);
    }
    for (int s = 0; s < 400; ++s) {
      const std::vector<double> x = RandomPoint(random, problem.box);
      ASSERT_GE(Evaluate(problem.g, x).hi, proof.lower_bound) << "trial " << trial;
    }
  }
}

// The bound of a single part from an arbitrary point of it, which the search would not
// choose.
TEST(BoxBounder, NoSampleLiesBelowTheBoundOfAPart) {
  Random random("NO_SAMPLE_LIES_BELOW_THE_BOUND_OF_A_PART");
  for (int trial = 0; trial < 300; ++trial) {
    const Problem problem = RandomProblem(random, 4, 3);
    const int n = problem.box.variables();
    BoxBounder bounder(problem.g, problem.box);
    UnitPart part;
    BoxBounder::Vector anchor{};
    const double width = std::ldexp(1.0, -random.Integer(0, 12));
    for (int i = 0; i < n; ++i) {
      part.lo[i] = random.Integer(0, 3) == 0 ? -1 : random.Uniform(-1, 1 - width);
      part.hi[i] = part.lo[i] + width;
      anchor[i] =
          random.Integer(0, 3) == 0 ? part.lo[i] : random.Uniform(part.lo[i], part.hi[i]);
    }
    const double lower = bounder.Bound(part, anchor, kInfinity).lower;
    for (int s = 0; s < 200; ++s) {
      BoxBounder::Vector v{};
      std::vector<double> x(n);
      for (int i = 0; i < n; ++i) {
        v[i] = random.Integer(0, 2) == 0
                   ? (random.Integer(0, 1) ? part.lo[i] : part.hi[i])
                   : random.Uniform(part.lo[i], part.hi[i]);
      }
      bounder.map().ToBox(v.data(), x.data());
      // The map rounds x by some units in the last place.
      ASSERT_GE(Evaluate(problem.g, x).hi, lower - 1e-13) << "trial " << trial;
    }
  }
}

// Each form can fail in its own way; here the anchor sees a minimum that is not the
// lowest point.
TEST(BoxBounder, CurvatureAtTheAnchorDoesNotHideALowerVertex) {
  struct Case {
    std::string description;
    Polynomial f;
    double minimum;  // by hand, over [-1, 1]^2
  };
  const Case cases[] = {
      {"a cubic outweighs the parabola", Make(2, {2, 0, 3, 0, 0, 2}, {1, -1.5, 1}), -0.5},
      {"a mixed cubic does", Make(2, {2, 0, 0, 2, 2, 1}, {1, 1, -3}), -1},
      {"so does a quartic", Make(2, {2, 0, 0, 2, 2, 2}, {1, 1, -4}), -2},
      {"a product makes a saddle", Make(2, {2, 0, 0, 2, 1, 1}, {1, 1, -3}), -1},
      {"a slope", Make(2, {2, 0, 0, 2, 1, 0}, {0.1, 0.1, -1}), -0.9},
  };
  for (const Case& c : cases) {
    BoxBounder bounder({.f = c.f}, {{-1, -1}, {1, 1}});
    UnitPart whole;
    whole.lo.fill(-1);
    whole.hi.fill(1);
    EXPECT_LE(bounder.Bound(whole, {}, kInfinity).lower, c.minimum) << c.description;
    ASSERT_OK_AND_ASSIGN(const MinimumEnclosure minimum,
                         EncloseMinimum({.f = c.f}, {{-1, -1}, {1, 1}}, 1e-9));
    EXPECT_TRUE(minimum.value.Contains(c.minimum)) << c.description;
  }
}

// (x - m)^2 expanded, far from the origin: the true minimum is exactly 0, the rounding of
// the coefficients, and of moving the origin, is of the size of the terms m^2.
TEST(EncloseMinimum, CancellationFarFromTheOriginIsPartOfTheBound) {
  Random random("CANCELLATION_FAR_FROM_THE_ORIGIN");
  for (int trial = 0; trial < 200; ++trial) {
    const double m = random.Uniform(1e5, 1e6);
    const Polynomial line = Make(1, {1, 0}, {1, -m});
    const Box box{{m - random.Uniform(0, 2)}, {m + random.Uniform(0, 2)}};
    ASSERT_OK_AND_ASSIGN(const MinimumEnclosure minimum,
                         EncloseMinimum({.f = line * line}, box, 1e-9, 1'000));
    ASSERT_TRUE(minimum.value.Contains(0)) << m;
    EXPECT_GT(minimum.value.lo, -0.1);
  }
}

// Without the error bound the same claim would be called proven although it is false by
// less than rounding shows: f = (x - 1/3)^2 - e, expanded in doubles, at its exact
// minimum.
TEST(BoxBounder, RoundingIsPartOfTheBound) {
  const double third = 1.0 / 3;
  int plain_above = 0;
  Random random("ROUNDING_IS_PART_OF_THE_BOUND");
  for (int trial = 0; trial < 200; ++trial) {
    const double m = random.Uniform(0.1, 0.9) * third;
    // Exactly the square of (x - m) as a family, shifted by a power of two below one
    // rounding.
    const Polynomial line = Make(1, {1, 0}, {1, -m});
    BandedFunction g{.f = Plus(line * line, -0x1p-60)};
    const Interval at_m = Evaluate(g, std::vector<double>{m});
    EXPECT_LT(at_m.lo, 0);
    plain_above += g.f.Evaluate(std::vector<double>{m}) >= 0;
    ASSERT_OK_AND_ASSIGN(const Proof proof, ProveNonNegative(g, {{0}, {1}}, {}));
    EXPECT_NE(proof.outcome, Proof::kHolds);
    EXPECT_LE(proof.lower_bound, -0x1p-60);
    EXPECT_GT(proof.lower_bound, -1e-13);
  }
  EXPECT_GT(plain_above, 20);  // plain doubles do call it non-negative
}

TEST(ProveNonNegative, APlantedViolationIsAlwaysFound) {
  Random random("A_PLANTED_VIOLATION_IS_ALWAYS_FOUND");
  for (int trial = 0; trial < 60; ++trial) {
    Problem problem = RandomProblem(random, 3, 3);
    ASSERT_OK_AND_ASSIGN(const MinimumEnclosure minimum,
                         EncloseMinimum(problem.g, problem.box, 1e-8, 20'000));
    if (!minimum.reached) continue;  // a kink at the minimum
    problem.g.f = Plus(problem.g.f, -minimum.value.hi - 1e-6);
    ASSERT_OK_AND_ASSIGN(const Proof proof, ProveNonNegative(problem.g, problem.box, {}));
    EXPECT_EQ(proof.outcome, Proof::kViolated) << "trial " << trial;
    EXPECT_LT(Evaluate(problem.g, proof.worst_point).hi, 0);
    EXPECT_LT(proof.lower_bound, 0);
  }
}

TEST(ProveNonNegative, ATrueClaimWithASmallMarginIsProven) {
  Random random("A_TRUE_CLAIM_WITH_A_SMALL_MARGIN");
  int proven = 0;
  int asked = 0;
  for (int trial = 0; trial < 60; ++trial) {
    Problem problem = RandomProblem(random, 4, 3);
    ASSERT_OK_AND_ASSIGN(const MinimumEnclosure minimum,
                         EncloseMinimum(problem.g, problem.box, 1e-5, 20'000));
    if (!minimum.reached) continue;
    problem.g.f = Plus(problem.g.f, -minimum.value.lo + 1e-4);
    ASSERT_OK_AND_ASSIGN(const Proof proof,
                         ProveNonNegative(problem.g, problem.box, {.max_boxes = 20'000}));
    ++asked;
    proven += proof.outcome == Proof::kHolds;
  }
  EXPECT_GT(asked, 50);
  EXPECT_EQ(proven, asked);
}

TEST(ProveNonNegative, AMarginOfNothingIsUndecidedAndCheap) {
  const Polynomial x = Make(2, {1, 0}, {1});
  const Polynomial y = Make(2, {0, 1}, {1});
  struct Case {
    std::string description;
    BandedFunction g;
  };
  const Polynomial circle = x * x + y * y;
  const std::vector<Case> cases = {
      {"minimum inside",
       {.f = Plus(x, -0.3) * Plus(x, -0.3) + Plus(y, -0.2) * Plus(y, -0.2)}},
      {"minimum at a vertex", {.f = Plus(x, 1) + Plus(y, 1)}},
      {"minimum along an edge", {.f = Plus(x, 1) * Plus(y, 2)}},
      {"minimum along an edge of no slope", {.f = Plus(x, 1) * Plus(x, 1)}},
      {"with a band", {.f = Plus(circle, 1), .terms = {{1, Plus(circle, 1)}}}},
  };
  for (const Case& c : cases) {
    ASSERT_OK_AND_ASSIGN(const Proof proof,
                         ProveNonNegative(c.g, {{-1, -1}, {1, 1}}, {}));
    EXPECT_EQ(proof.outcome, Proof::kUndecided) << c.description;
    EXPECT_LE(proof.lower_bound, 0) << c.description;
    EXPECT_GT(proof.lower_bound, -1e-12) << c.description;
    EXPECT_LT(proof.boxes, 2'000) << c.description;
    EXPECT_GT(proof.undecided_boxes, 0) << c.description;
    EXPECT_FALSE(proof.undecided.empty()) << c.description;
  }
}

TEST(ProveNonNegative, ToleranceEndsTheHalvingEarly) {
  // A saddle of order four whose convex form fails at the minimum.
  const Polynomial x = Make(2, {1, 0}, {1});
  const Polynomial y = Make(2, {0, 1}, {1});
  const Polynomial p = x * x * x * x + (x * x * y * y).Scale(-2) + y * y * y * y;
  const Box box{{-1, -1}, {1, 1}};
  ASSERT_OK_AND_ASSIGN(const Proof loose,
                       ProveNonNegative({.f = p}, box, {.tolerance = 1e-2}));
  EXPECT_EQ(loose.outcome, Proof::kUndecided);
  EXPECT_GE(loose.lower_bound, -1e-2);
  ASSERT_OK_AND_ASSIGN(const Proof tight,
                       ProveNonNegative({.f = p}, box, {.tolerance = 1e-4}));
  EXPECT_GE(tight.lower_bound, -1e-4);
  EXPECT_LT(loose.boxes, tight.boxes);
}

TEST(ProveNonNegative, ABudgetIsKeptAndTheRestIsListed) {
  Random random("A_BUDGET_IS_KEPT");
  const Polynomial x = Make(2, {1, 0}, {1});
  const Polynomial y = Make(2, {0, 1}, {1});
  const Polynomial p =
      Plus(x * x * x * x + (x * x * y * y).Scale(-2) + y * y * y * y, 1e-9);
  const Box box{{-1, -1}, {1, 1}};
  ASSERT_OK_AND_ASSIGN(
      const Proof proof,
      ProveNonNegative({.f = p}, box, {.max_boxes = 50, .max_undecided = 3}));
  EXPECT_EQ(proof.outcome, Proof::kUndecided);
  EXPECT_EQ(proof.boxes, 50);
  EXPECT_EQ(proof.undecided.size(), 3u);
  EXPECT_GT(proof.undecided_boxes, 3);
  EXPECT_LT(proof.lower_bound, 0);
}

TEST(ProveNonNegative, ClaimsInPhysicalUnits) {
  // Capacity in W over air from 250 K to 320 K and flow from 1 to 4 kg/s, with a standard
  // error of 30 W: large numbers with cancellation. True minimum by hand: f is rising in
  // both, so f(250, 1) = 8000 and g = 8000 - 2 * 30.
  const Polynomial t = Make(2, {1, 0}, {1});
  const Polynomial m = Make(2, {0, 1}, {1});
  const Polynomial f =
      Plus(Plus(t, -250).Scale(40) + Plus(m, -1).Scale(500) + Plus(t, -250) * Plus(m, -1),
           8000);
  BandedFunction g{.f = Plus(f, -7939.999), .terms = {{2, Polynomial::Constant(2, 900)}}};
  const Box box{{250, 1}, {320, 4}};
  ASSERT_OK_AND_ASSIGN(const Proof holds, ProveNonNegative(g, box, {}));
  EXPECT_EQ(holds.outcome, Proof::kHolds);
  EXPECT_EQ(holds.worst_point, (std::vector<double>{250, 1}));
  EXPECT_NEAR(holds.value_at_worst.hi, 0.001, 1e-9);
  g.f = Plus(f, -7940.001);
  ASSERT_OK_AND_ASSIGN(const Proof violated, ProveNonNegative(g, box, {}));
  EXPECT_EQ(violated.outcome, Proof::kViolated);
  EXPECT_LE(violated.boxes, 1);
}

TEST(ProveNonNegative, SidesOfNoWidthAreFine) {
  const Polynomial p = Make(3, {2, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0}, {1, 1, 1, -1});
  ASSERT_OK_AND_ASSIGN(const Proof holds,
                       ProveNonNegative({.f = p}, {{-1, 0.5, 0.6}, {1, 0.5, 0.6}}, {}));
  EXPECT_EQ(holds.outcome, Proof::kHolds);
  EXPECT_NEAR(holds.lower_bound, 0.1, 1e-9);
  ASSERT_OK_AND_ASSIGN(
      const Proof point,
      ProveNonNegative({.f = p}, {{0.1, 0.5, 0.2}, {0.1, 0.5, 0.2}}, {}));
  EXPECT_EQ(point.outcome, Proof::kViolated);
  EXPECT_EQ(point.worst_point, (std::vector<double>{0.1, 0.5, 0.2}));
}

TEST(ProveNonNegative, ABandThatVanishesOverTheWholeBoxCostsNothing) {
  const Polynomial x = Make(1, {1}, {1});
  BandedFunction g{.f = Plus(x, 2), .terms = {{5, Make(1, {0}, {0})}, {0, x * x}}};
  ASSERT_OK_AND_ASSIGN(const Proof proof, ProveNonNegative(g, {{-1}, {1}}, {}));
  EXPECT_EQ(proof.outcome, Proof::kHolds);
  EXPECT_NEAR(proof.lower_bound, 1, 1e-12);
}

TEST(ProveNonNegative, AKinkOfTheBandIsBounded) {
  // 1 - |x| over [-1/2, 1/2], as a square root.
  const Polynomial x = Make(1, {1}, {1});
  BandedFunction g{.f = Polynomial::Constant(1, 1), .terms = {{1, x * x}}};
  ASSERT_OK_AND_ASSIGN(const MinimumEnclosure minimum,
                       EncloseMinimum(g, {{-0.5}, {0.5}}, 1e-6));
  EXPECT_TRUE(minimum.reached);
  EXPECT_TRUE(minimum.value.Contains(0.5));
  // x + |x| would need the other sign; x^2 - |x|/2 has its minima beside the kink.
  g.f = x * x;
  g.terms[0].weight = 0.5;
  ASSERT_OK_AND_ASSIGN(const MinimumEnclosure two, EncloseMinimum(g, {{-1}, {1}}, 1e-6));
  EXPECT_TRUE(two.reached);
  EXPECT_TRUE(two.value.Contains(-0.0625));
}

TEST(ProveNonNegative, TheSameInputGivesTheSameProof) {
  Random random("THE_SAME_INPUT_GIVES_THE_SAME_PROOF");
  const Problem problem = RandomProblem(random, 4, 3);
  ASSERT_OK_AND_ASSIGN(const Proof a, ProveNonNegative(problem.g, problem.box, {}));
  ASSERT_OK_AND_ASSIGN(const Proof b, ProveNonNegative(problem.g, problem.box, {}));
  EXPECT_EQ(a.lower_bound, b.lower_bound);
  EXPECT_EQ(a.worst_point, b.worst_point);
  EXPECT_EQ(a.boxes, b.boxes);
}

TEST(ProveNonNegative, RefusesFaultyInputAndNamesEveryFault) {
  const Polynomial x = Make(1, {1}, {1});
  const Box box{{0}, {1}};
  struct Case {
    BandedFunction g;
    Box box;
    ProofOptions options;
    std::string message;
  };
  const Case cases[] = {
      {{.f = x}, {{1}, {0}}, {}, "reversed"},
      {{.f = x}, {{0, 0}, {1, 1}}, {}, "2 lower"},
      {{.f = x}, {{0}, {kInfinity}}, {}, "not finite"},
      {{.f = x, .terms = {{-1, x * x}}}, box, {}, "weight -1"},
      {{.f = x, .terms = {{std::nan(""), x * x}}}, box, {}, "weight nan"},
      {{.f = x, .terms = {{1, Make(2, {2, 0}, {1})}}}, box, {}, "2 variables"},
      {{.f = Make(1, {12}, {1})}, box, {}, "degree 12"},
      {{.f = x}, box, {.max_boxes = 0}, "at least one box"},
      {{.f = x}, box, {.tolerance = std::nan("")}, "tolerance nan"},
  };
  for (const Case& c : cases) {
    EXPECT_THAT(ProveNonNegative(c.g, c.box, c.options),
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr(c.message)));
  }
  EXPECT_THAT(ProveNonNegative({.f = x, .terms = {{-1, x * x}}}, {{1}, {0}}, {}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("reversed")));
  EXPECT_THAT(EncloseMinimum({.f = x}, box, 0),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("positive")));
}

TEST(ProveNonNegative, OverflowProvesNothing) {
  const Polynomial p = Make(1, {8, 0}, {1e300, 1});
  ASSERT_OK_AND_ASSIGN(const Proof proof, ProveNonNegative({.f = p}, {{-1e200}, {1e200}},
                                                           {.max_boxes = 100}));
  EXPECT_EQ(proof.outcome, Proof::kUndecided);
  EXPECT_EQ(proof.lower_bound, -kInfinity);
}

// Minima as collected in Jamil and Yang, "A literature survey of benchmark functions for
// global optimisation problems", Int. J. Mathematical Modelling and Numerical
// Optimisation 4 (2013) 150-194 (arXiv:1308.4008); formulas and values from memory, to
// the digits given.
struct ClassicalFunction {
  std::string name;
  Polynomial f;
  Box box;
  double minimum;
  double precision;
  std::vector<std::vector<double>> minimisers;
};

Box Cube(int n, double lo, double hi) {
  return {std::vector<double>(n, lo), std::vector<double>(n, hi)};
}

Polynomial StyblinskiTang(int n) {
  Polynomial sum = Polynomial::Constant(n, 0);
  for (int i = 0; i < n; ++i) {
    for (auto [exponent, coefficient] : {std::pair{4, 0.5}, {2, -8.0}, {1, 2.5}}) {
      std::vector<int> row(n);
      row[i] = exponent;
      sum = sum + *Polynomial::Create(n, row, std::vector<double>{coefficient});
    }
  }
  return sum;
}

Polynomial Rosenbrock(int n) {
  Polynomial sum = Polynomial::Constant(n, 0);
  for (int i = 0; i + 1 < n; ++i) {
    std::vector<int> here(n);
    std::vector<int> next(n);
    here[i] = 1;
    next[i + 1] = 1;
    const std::vector<double> one = {1};
    const Polynomial x = *Polynomial::Create(n, here, one);
    const Polynomial y = *Polynomial::Create(n, next, one);
    const Polynomial bend = y + (x * x).Scale(-1);
    sum = sum + (bend * bend).Scale(100) + Plus(x, -1) * Plus(x, -1);
  }
  return sum;
}

Polynomial GoldsteinPrice() {
  const Polynomial x = Make(2, {1, 0}, {1});
  const Polynomial y = Make(2, {0, 1}, {1});
  const Polynomial a =
      Make(2, {0, 0, 1, 0, 2, 0, 0, 1, 1, 1, 0, 2}, {19, -14, 3, -14, 6, 3});
  const Polynomial b =
      Make(2, {0, 0, 1, 0, 2, 0, 0, 1, 1, 1, 0, 2}, {18, -32, 12, 48, -36, 27});
  const Polynomial s = Plus(x + y, 1);
  const Polynomial d = x.Scale(2) + y.Scale(-3);
  return Plus(s * s * a, 1) * Plus(d * d * b, 30);
}

std::vector<ClassicalFunction> ClassicalFunctions() {
  std::vector<ClassicalFunction> all = {
      {"Goldstein-Price", GoldsteinPrice(), Cube(2, -2, 2), 3, 1e-9, {{0, -1}}},
      {"three-hump camel",
       Make(2, {2, 0, 4, 0, 6, 0, 1, 1, 0, 2}, {2, -1.05, 1.0 / 6, 1, 1}),
       Cube(2, -5, 5),
       0,
       1e-9,
       {{0, 0}}},
      {"six-hump camel",
       Make(2, {2, 0, 4, 0, 6, 0, 1, 1, 0, 2, 0, 4}, {4, -2.1, 1.0 / 3, 1, -4, 4}),
       {{-3, -2}, {3, 2}},
       -1.0316284535,
       1e-9,
       {{0.0898420, -0.7126564}, {-0.0898420, 0.7126564}}},
      {"Rosenbrock 2", Rosenbrock(2), Cube(2, -5, 10), 0, 1e-9, {{1, 1}}},
      {"Rosenbrock 3", Rosenbrock(3), Cube(3, -2, 2), 0, 1e-9, {{1, 1, 1}}},
      {"Rosenbrock 4", Rosenbrock(4), Cube(4, -2, 2), 0, 1e-9, {{1, 1, 1, 1}}},
      {"Rosenbrock 5", Rosenbrock(5), Cube(5, -2, 2), 0, 1e-9, {{1, 1, 1, 1, 1}}},
      {"Rosenbrock 6", Rosenbrock(6), Cube(6, -2, 2), 0, 1e-9, {{1, 1, 1, 1, 1, 1}}},
  };
  for (int n = 2; n <= 6; ++n) {
    all.push_back({"Styblinski-Tang " + std::to_string(n),
                   StyblinskiTang(n),
                   Cube(n, -5, 5),
                   -39.16616570377142 * n,
                   1e-9,
                   {std::vector<double>(n, -2.903534)}});
  }
  return all;
}

TEST(EncloseMinimum, PublishedMinimaOfClassicalFunctions) {
  const std::string source =
      "Jamil and Yang, A literature survey of benchmark functions for global "
      "optimization "
      "problems, 2013 (values from memory)";
  OutsideCheck minima(
      {.name = "bound.classical_minima", .source = source, .tolerance = 1e-6});
  OutsideCheck places(
      {.name = "bound.classical_minimisers", .source = source, .tolerance = 1e-3});
  for (const ClassicalFunction& c : ClassicalFunctions()) {
    ASSERT_OK_AND_ASSIGN(const MinimumEnclosure found,
                         EncloseMinimum({.f = c.f}, c.box, 1e-6, 200'000));
    EXPECT_TRUE(found.reached) << c.name << " after " << found.boxes;
    EXPECT_LE(found.value.lo, c.minimum + c.precision) << c.name;
    EXPECT_GE(found.value.hi, c.minimum - c.precision) << c.name;
    EXPECT_LE(found.value.hi - found.value.lo, 1e-6) << c.name;
    minima.Absolute(c.name, found.value.hi, c.minimum);
    double nearest = kInfinity;
    for (const std::vector<double>& minimiser : c.minimisers) {
      double apart = 0;
      for (size_t i = 0; i < minimiser.size(); ++i) {
        apart = std::max(apart, std::fabs(found.location[i] - minimiser[i]));
      }
      nearest = std::min(nearest, apart);
    }
    places.Deviation(c.name, nearest);
    RecordProperty(c.name, std::to_string(found.boxes));
  }
}

}  // namespace
}  // namespace ratebound::bound
