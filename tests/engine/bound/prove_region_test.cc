#include "engine/bound/prove_region.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "engine/bound/prove_minimum.h"
#include "gtest/gtest.h"
#include "tests/engine/bound/random_polynomial.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::bound {
namespace {

using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

Polynomial Make(int variables, std::initializer_list<int> exponents,
                std::initializer_list<double> coefficients) {
  return *Polynomial::Create(variables, exponents, coefficients);
}
Polynomial Plus(const Polynomial& a, double c) {
  return *Sum(a, Polynomial::Constant(a.variables(), c));
}

struct Problem {
  std::vector<BandedFunction> alternatives;
  Region region;
};

Problem RandomProblem(Random& random, int most_variables) {
  Problem problem;
  const int n = random.Integer(2, most_variables);
  const int count = random.Integer(1, 3);
  for (int k = 0; k < count; ++k) {
    const int degree = random.Integer(1, 3);
    BandedFunction g{.f = RandomPolynomial(random, n, degree)};
    if (random.Integer(0, 1) == 1) {
      const Polynomial parts[] = {RandomPolynomial(random, n, degree).Scale(0.2),
                                  Polynomial::Constant(n, 0.3)};
      g.terms.push_back({random.Uniform(0.1, 1.5), *SumOfSquares(parts)});
    }
    problem.alternatives.push_back(std::move(g));
  }
  const int cuts = random.Integer(0, 2);
  for (int c = 0; c < cuts; ++c) {
    problem.region.cuts.push_back(RandomPolynomial(random, n, random.Integer(1, 2)));
  }
  for (int i = 0; i < n; ++i) {
    problem.region.box.lo.push_back(random.Uniform(-1.5, 0));
    problem.region.box.hi.push_back(problem.region.box.lo[i] + random.Uniform(0.3, 1.5));
  }
  return problem;
}

std::vector<double> RandomPoint(Random& random, const Box& box) {
  std::vector<double> x;
  for (int i = 0; i < box.variables(); ++i) {
    const double u =
        random.Integer(0, 3) == 0 ? random.Integer(0, 1) : random.Uniform(0, 1);
    x.push_back(std::min(box.hi[i], box.lo[i] + u * (box.hi[i] - box.lo[i])));
  }
  return x;
}

bool Inside(const Region& region, const std::vector<double>& x) {
  const std::vector<Interval> point(x.begin(), x.end());
  return std::all_of(
      region.cuts.begin(), region.cuts.end(),
      [&point](const Polynomial& cut) { return cut.Evaluate(point).lo >= 0; });
}

Interval Largest(const std::vector<BandedFunction>& alternatives,
                 const std::vector<double>& x) {
  Interval largest{-kInfinity, -kInfinity};
  for (const BandedFunction& g : alternatives) {
    const Interval value = Evaluate(g, x);
    largest = {std::max(largest.lo, value.lo), std::max(largest.hi, value.hi)};
  }
  return largest;
}

void ExpectSound(const Problem& problem, const RegionProof& proof,
                 const std::vector<std::vector<double>>& samples, int trial) {
  for (const std::vector<double>& x : samples) {
    if (!Inside(problem.region, x)) continue;
    ASSERT_NE(proof.outcome, RegionProof::kEmpty) << "trial " << trial;
    ASSERT_GE(Largest(problem.alternatives, x).hi, proof.lower_bound)
        << "trial " << trial;
  }
  if (!proof.worst_point.empty()) {
    EXPECT_TRUE(Inside(problem.region, proof.worst_point)) << trial;
    const Interval value = Largest(problem.alternatives, proof.worst_point);
    EXPECT_EQ(proof.value_at_worst, value) << trial;
    EXPECT_GE(value.hi, proof.lower_bound) << trial;
  }
  if (proof.outcome == RegionProof::kViolated) {
    ASSERT_FALSE(proof.worst_point.empty());
    EXPECT_LT(proof.value_at_worst.hi, 0);
  }
  if (proof.outcome == RegionProof::kHolds) {
    EXPECT_GE(proof.lower_bound, 0);
  }
}

TEST(ProveOver, NoSampleContradictsAProof) {
  Random random("PROVE_OVER_NO_SAMPLE_CONTRADICTS_A_PROOF");
  int outcomes[4] = {};
  for (int trial = 0; trial < 120; ++trial) {
    Problem problem = RandomProblem(random, 4);
    std::vector<std::vector<double>> samples;
    double least = kInfinity;
    for (int s = 0; s < 500; ++s) {
      samples.push_back(RandomPoint(random, problem.region.box));
      if (Inside(problem.region, samples.back())) {
        least = std::min(least, Largest(problem.alternatives, samples.back()).hi);
      }
    }
    // Near the limit on either side.
    if (least < kInfinity) {
      const double shift = -least + random.Uniform(-0.3, 0.5);
      for (BandedFunction& g : problem.alternatives) g.f = Plus(g.f, shift);
    }
    for (const bool shares : {false, true}) {
      for (const bool tree : {false, true}) {
        ASSERT_OK_AND_ASSIGN(const RegionProof proof,
                             ProveOver(problem.alternatives, problem.region,
                                       {.max_boxes = 2'000,
                                        .shares = shares,
                                        .least_part = 0x1p-9,
                                        .tree = tree}));
        ExpectSound(problem, proof, samples, trial);
        ++outcomes[proof.outcome];
      }
    }
  }
  EXPECT_GT(outcomes[RegionProof::kHolds], 60);
  EXPECT_GT(outcomes[RegionProof::kViolated], 100);
  EXPECT_GT(outcomes[RegionProof::kEmpty], 4);
}

// Wherever a point of the region misses the limit by a part in 10^6 of the spread, it is
// found; where the least value clears it by as much, that is shown.
TEST(ProveOver, DecidesCloseToTheLimit) {
  Random random("PROVE_OVER_DECIDES_CLOSE_TO_THE_LIMIT");
  int decided = 0;
  int asked = 0;
  int64_t boxes = 0;
  for (int trial = 0; trial < 60; ++trial) {
    Problem problem = RandomProblem(random, 3);
    // The least value of the largest alternative, by bisection on the limit.
    double low = -200;
    double high = 200;
    for (int step = 0; step < 40 && high - low > 1e-4; ++step) {
      const double middle = 0.5 * (low + high);
      Problem moved = problem;
      for (BandedFunction& g : moved.alternatives) g.f = Plus(g.f, -middle);
      ASSERT_OK_AND_ASSIGN(
          const RegionProof proof,
          ProveOver(moved.alternatives, moved.region, {.max_boxes = 5'000}));
      if (proof.outcome == RegionProof::kEmpty) break;
      if (proof.outcome == RegionProof::kUndecided) break;
      (proof.outcome == RegionProof::kHolds ? low : high) = middle;
    }
    if (!(low > -200 && high < 200)) continue;
    ++asked;
    decided += high - low <= 1e-4;
    for (BandedFunction& g : problem.alternatives) g.f = Plus(g.f, -low);
    ASSERT_OK_AND_ASSIGN(const RegionProof proof,
                         ProveOver(problem.alternatives, problem.region, {}));
    boxes += proof.boxes;
  }
  EXPECT_GT(asked, 40);
  EXPECT_EQ(decided, asked);
  EXPECT_LT(boxes, 200 * asked);  // in the mean
}

TEST(ProveOver, SomeStageServesThoughNoneDoesAlone) {
  // Two lines that cross at nothing but a bit above it.
  const Polynomial x = Make(2, {1, 0}, {1});
  const std::vector<BandedFunction> stages = {{.f = Plus(x, 1e-6)},
                                              {.f = Plus(x.Scale(-1), 1e-6)}};
  const Region region{.box = {{-1, -1}, {1, 1}}};
  for (const BandedFunction& stage : stages) {
    ASSERT_OK_AND_ASSIGN(const RegionProof alone,
                         ProveOver(std::span(&stage, 1), region, {}));
    EXPECT_EQ(alone.outcome, RegionProof::kViolated);
  }
  ASSERT_OK_AND_ASSIGN(const RegionProof both, ProveOver(stages, region, {}));
  EXPECT_EQ(both.outcome, RegionProof::kHolds);
  EXPECT_NEAR(both.lower_bound, 1e-6, 1e-9);
  EXPECT_LT(both.boxes, 100);
  ASSERT_OK_AND_ASSIGN(const RegionProof shares,
                       ProveOver(stages, region, {.shares = true}));
  EXPECT_EQ(shares.proven_fraction, 1);
  EXPECT_EQ(shares.region_fraction, 1);
  // A gap between the two.
  const std::vector<BandedFunction> apart = {{.f = Plus(x, -1e-6)},
                                             {.f = Plus(x.Scale(-1), -1e-6)}};
  ASSERT_OK_AND_ASSIGN(const RegionProof gap, ProveOver(apart, region, {}));
  EXPECT_EQ(gap.outcome, RegionProof::kViolated);
  EXPECT_NEAR(gap.worst_point[0], 0, 1e-6);
}

// The least value at the very edge that a cut makes: without the multipliers of the cut
// boxes would gather along it.
TEST(ProveOver, ASmallMarginOnACutTakesFewBoxes) {
  const Polynomial x = Make(3, {1, 0, 0}, {1});
  const Polynomial y = Make(3, {0, 1, 0}, {1});
  const Polynomial z = Make(3, {0, 0, 1}, {1});
  // x + y >= 0 in the region x >= z^2 - y: the least is 0 on the parabola's bottom.
  const BandedFunction g{.f = *Sum(*Sum(x, y), Plus(z.Scale(0.5), 1e-6))};
  const Polynomial cut = *Sum(*Sum(x, y), (*Product(z, z)).Scale(-1));
  // Least of z^2 + z / 2: -1/16 at z = -1/4.
  const Region region{.box = {{-1, -1, -1}, {1, 1, 1}}, .cuts = {cut}};
  BandedFunction shifted{.f = Plus(g.f, 0.0625)};
  ASSERT_OK_AND_ASSIGN(const RegionProof holds,
                       ProveOver(std::span(&shifted, 1), region, {}));
  EXPECT_EQ(holds.outcome, RegionProof::kHolds);
  EXPECT_NEAR(holds.lower_bound, 1e-6, 1e-6);
  EXPECT_LT(holds.boxes, 1'000);
  shifted.f = Plus(shifted.f, -2e-6);
  ASSERT_OK_AND_ASSIGN(const RegionProof fails,
                       ProveOver(std::span(&shifted, 1), region, {}));
  EXPECT_EQ(fails.outcome, RegionProof::kViolated);
  EXPECT_LT(fails.boxes, 100);
  EXPECT_NEAR(fails.worst_point[2], -0.25, 0.01);
}

TEST(ProveOver, AnEmptyRegionIsSaidToBeEmpty) {
  const Polynomial x = Make(2, {1, 0}, {1});
  const Polynomial y = Make(2, {0, 1}, {1});
  const BandedFunction g{.f = Plus(x, -5)};  // false everywhere
  struct Case {
    std::string description;
    std::vector<Polynomial> cuts;
    RegionProof::Outcome outcome;
  };
  const Case cases[] = {
      {"one cut is negative everywhere", {Plus(x, -2)}, RegionProof::kEmpty},
      {"two cuts exclude each other",
       {Plus(*Sum(x, y), -1e-6), Plus(*Sum(x, y), 0).Scale(-1)},
       RegionProof::kEmpty},
      {"a circle outside the box",
       {Plus((*Sum(*Product(Plus(x, -3), Plus(x, -3)), *Product(y, y))).Scale(-1), 3.99)},
       RegionProof::kEmpty},
      {"a small corner is left", {Plus(*Sum(x, y), -1.999)}, RegionProof::kViolated},
  };
  for (const Case& c : cases) {
    const Region region{.box = {{-1, -1}, {1, 1}}, .cuts = c.cuts};
    ASSERT_OK_AND_ASSIGN(const RegionProof proof,
                         ProveOver(std::span(&g, 1), region, {}));
    EXPECT_EQ(proof.outcome, c.outcome) << c.description;
    EXPECT_LT(proof.boxes, 500) << c.description;
  }
}

TEST(ProveOver, SharesAddUpAndTellWhere) {
  // x - 1/4 over the triangle y <= x of [-1, 1]^2: by hand, of its area 2 the part with x
  // >= 1/4 is the trapezoid (1 + 1/4 + 2) / 2 * 3/4 = 39/32 of area, so 39/64.
  const Polynomial x = Make(2, {1, 0}, {1});
  const Polynomial y = Make(2, {0, 1}, {1});
  const BandedFunction g{.f = Plus(x, -0.25), .terms = {{1, Polynomial::Constant(2, 0)}}};
  const Region region{.box = {{-1, -1}, {1, 1}}, .cuts = {*Sum(x, y.Scale(-1))}};
  ASSERT_OK_AND_ASSIGN(const RegionProof proof,
                       ProveOver(std::span(&g, 1), region, {.shares = true}));
  EXPECT_EQ(proof.outcome, RegionProof::kViolated);
  EXPECT_NEAR(proof.proven_fraction, 39.0 / 64, 0.02);
  EXPECT_NEAR(proof.violated_fraction, 25.0 / 64, 0.02);
  EXPECT_NEAR(proof.proven_fraction + proof.violated_fraction + proof.undecided_fraction,
              1, 1e-12);
  EXPECT_NEAR(proof.region_fraction, 0.5, 0.02);
  EXPECT_NEAR(proof.alternative_fraction[0], proof.proven_fraction, 1e-12);
  ASSERT_FALSE(proof.violated.empty());
  for (const Box& box : proof.violated) EXPECT_LE(box.hi[0], 0.25);
  // The corner (-1, -1) of the triangle is the lowest point.
  EXPECT_NEAR(proof.value_at_worst.hi, -1.25, 1e-3);
}

TEST(ProveOver, OneAlternativeAloneIsProveNonNegative) {
  Random random("ONE_ALTERNATIVE_ALONE");
  for (int trial = 0; trial < 20; ++trial) {
    Problem problem = RandomProblem(random, 4);
    problem.alternatives.resize(1);
    problem.region.cuts.clear();
    ASSERT_OK_AND_ASSIGN(const Proof plain, ProveNonNegative(problem.alternatives[0],
                                                             problem.region.box, {}));
    ASSERT_OK_AND_ASSIGN(const RegionProof proof,
                         ProveOver(problem.alternatives, problem.region, {}));
    EXPECT_EQ(proof.lower_bound, plain.lower_bound);
    EXPECT_EQ(proof.worst_point, plain.worst_point);
    EXPECT_EQ(proof.boxes, plain.boxes);
    EXPECT_EQ(static_cast<int>(proof.outcome == RegionProof::kViolated),
              static_cast<int>(plain.outcome == Proof::kViolated));
  }
}

TEST(ProveOver, TheSameInputGivesTheSameProof) {
  Random random("PROVE_OVER_SAME_INPUT");
  const Problem problem = RandomProblem(random, 4);
  for (const bool shares : {false, true}) {
    const RegionOptions options{.max_boxes = 3'000, .shares = shares};
    ASSERT_OK_AND_ASSIGN(const RegionProof a,
                         ProveOver(problem.alternatives, problem.region, options));
    ASSERT_OK_AND_ASSIGN(const RegionProof b,
                         ProveOver(problem.alternatives, problem.region, options));
    EXPECT_EQ(a.lower_bound, b.lower_bound);
    EXPECT_EQ(a.worst_point, b.worst_point);
    EXPECT_EQ(a.boxes, b.boxes);
    EXPECT_EQ(a.undecided, b.undecided);
    EXPECT_EQ(a.proven_fraction, b.proven_fraction);
  }
}

TEST(ProveOver, ABudgetIsKept) {
  // x^4 - 2 x^2 y^2 + y^4 is (x^2 - y^2)^2: 0 along both diagonals.
  const Polynomial p = Make(2, {4, 0, 2, 2, 0, 4, 0, 0}, {1, -2, 1, 1e-12});
  const std::vector<BandedFunction> stages = {{.f = p}, {.f = Plus(p, -1)}};
  for (const bool shares : {false, true}) {
    ASSERT_OK_AND_ASSIGN(const RegionProof proof,
                         ProveOver(stages, {.box = {{-1, -1}, {1, 1}}},
                                   {.max_boxes = 60, .max_listed = 5, .shares = shares}));
    EXPECT_EQ(proof.outcome, RegionProof::kUndecided);
    EXPECT_LE(proof.boxes, 60);
    EXPECT_LE(proof.undecided.size(), 5u);
    EXPECT_GT(proof.undecided_boxes, 3);
  }
}

TEST(ProveOver, TheTreeCoversTheBox) {
  Random random("THE_TREE_COVERS_THE_BOX");
  int trees = 0;
  for (int trial = 0; trial < 40; ++trial) {
    Problem problem = RandomProblem(random, 3);
    for (BandedFunction& g : problem.alternatives) g.f = Plus(g.f, 4);
    ASSERT_OK_AND_ASSIGN(const RegionProof proof,
                         ProveOver(problem.alternatives, problem.region, {.tree = true}));
    if (proof.outcome != RegionProof::kHolds) {
      EXPECT_TRUE(proof.tree.leaves.empty());
      continue;
    }
    ++trees;
    size_t at = 0;
    size_t leaf = 0;
    double volume = 0;
    const std::function<void(double)> walk = [&](double share) {
      ASSERT_LT(at, proof.tree.splits.size());
      if (proof.tree.splits[at++] < 0) {
        ASSERT_LT(leaf, proof.tree.leaves.size());
        const ProofTree::Leaf& one = proof.tree.leaves[leaf++];
        EXPECT_NE(one.combination < 0, one.cut < 0);
        EXPECT_GE(one.bound, 0);
        volume += share;
        return;
      }
      walk(share / 2);
      walk(share / 2);
    };
    walk(1);
    EXPECT_EQ(at, proof.tree.splits.size());
    EXPECT_EQ(leaf, proof.tree.leaves.size());
    EXPECT_EQ(volume, 1);
  }
  EXPECT_GT(trees, 15);
}

TEST(ProveOver, RefusesFaultyInputAndNamesEveryFault) {
  const Polynomial x = Make(1, {1}, {1});
  const BandedFunction g{.f = x};
  const auto message = [&](std::span<const BandedFunction> alternatives,
                           const Region& region, const RegionOptions& options) {
    return std::string(ProveOver(alternatives, region, options).status().message());
  };
  const Region good{.box = {{0}, {1}}};
  EXPECT_THAT(message({}, good, {}), HasSubstr("at least one function"));
  EXPECT_THAT(message({&g, 1}, {.box = {{1}, {0}}}, {}), HasSubstr("reversed"));
  const std::string both = message(
      {&g, 1}, {.box = {{0}, {1}}, .cuts = {Make(2, {1, 0}, {1})}}, {.max_boxes = 0});
  EXPECT_THAT(both, HasSubstr("cut 0"));
  EXPECT_THAT(both, HasSubstr("at least one box"));
  EXPECT_THAT(ProveOver({&g, 1}, good, {.tolerance = std::nan("")}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("tolerance nan")));
}

}  // namespace
}  // namespace ratebound::bound
