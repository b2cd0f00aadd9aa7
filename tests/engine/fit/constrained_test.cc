#include "engine/fit/constrained.h"

#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "engine/fit/constrained_check.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::fit {
namespace {

using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::DoubleNear;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

// A A' + the unit matrix: symmetric to the last bit, positive definite.
std::vector<double> RandomInverseHessian(int n, Random& random) {
  std::vector<double> a(static_cast<size_t>(n) * n);
  for (double& entry : a) entry = random.Normal();
  std::vector<double> result(a.size());
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j <= i; ++j) {
      double sum = i == j ? 1 : 0;
      for (int k = 0; k < n; ++k) sum += a[i * n + k] * a[j * n + k];
      result[i * n + j] = result[j * n + i] = sum;
    }
  }
  return result;
}

QuadraticProgram RandomProgram(int n, int m, int equalities, Random& random) {
  QuadraticProgram program{.inverse_hessian = RandomInverseHessian(n, random),
                           .equalities = equalities};
  // Every constraint holds at a hidden point, so that the programme is feasible.
  std::vector<double> hidden(n);
  for (double& x : hidden) x = random.Normal();
  for (int i = 0; i < n; ++i) program.centre.push_back(3 * random.Normal());
  for (int i = 0; i < m; ++i) {
    double value = 0;
    for (int k = 0; k < n; ++k) {
      program.normals.push_back(random.Normal());
      value += program.normals.back() * hidden[k];
    }
    program.limits.push_back(i < equalities ? value : value - random.Uniform(0, 1));
  }
  return program;
}

// Solves a small dense system by elimination; empty where it is singular.
std::optional<std::vector<double>> SolveLinear(std::vector<double> a,
                                               std::vector<double> b) {
  const int n = static_cast<int>(b.size());
  for (int k = 0; k < n; ++k) {
    int pivot = k;
    for (int i = k + 1; i < n; ++i) {
      if (std::fabs(a[i * n + k]) > std::fabs(a[pivot * n + k])) pivot = i;
    }
    if (std::fabs(a[pivot * n + k]) < 1e-12) return {};
    for (int j = 0; j < n; ++j) std::swap(a[k * n + j], a[pivot * n + j]);
    std::swap(b[k], b[pivot]);
    for (int i = k + 1; i < n; ++i) {
      const double factor = a[i * n + k] / a[k * n + k];
      for (int j = k; j < n; ++j) a[i * n + j] -= factor * a[k * n + j];
      b[i] -= factor * b[k];
    }
  }
  for (int k = n; k-- > 0;) {
    for (int j = k + 1; j < n; ++j) b[k] -= a[k * n + j] * b[j];
    b[k] /= a[k * n + k];
  }
  return b;
}

// The optimum by trying every set of binding constraints.
std::optional<std::vector<double>> BruteForce(const QuadraticProgram& program) {
  const int n = program.variables();
  const int m = program.constraints();
  for (int set = 0; set < 1 << m; ++set) {
    std::vector<int> active;
    for (int i = 0; i < m; ++i) {
      if (set >> i & 1) active.push_back(i);
    }
    bool has_all_equations = true;
    for (int i = 0; i < program.equalities; ++i) {
      has_all_equations = has_all_equations && (set >> i & 1);
    }
    const int q = static_cast<int>(active.size());
    if (!has_all_equations || q > n) continue;
    std::vector<double> gram(static_cast<size_t>(q) * q);
    std::vector<double> gap(q);
    const auto normal = [&](int k) { return &program.normals[active[k] * n]; };
    const auto times_inverse = [&](const double* a, int i) {
      double sum = 0;
      for (int j = 0; j < n; ++j) sum += program.inverse_hessian[i * n + j] * a[j];
      return sum;
    };
    for (int k = 0; k < q; ++k) {
      gap[k] = program.limits[active[k]];
      for (int i = 0; i < n; ++i) gap[k] -= normal(k)[i] * program.centre[i];
      for (int l = 0; l < q; ++l) {
        for (int i = 0; i < n; ++i) {
          gram[k * q + l] += normal(k)[i] * times_inverse(normal(l), i);
        }
      }
    }
    const auto lambda = SolveLinear(gram, gap);
    if (!lambda) continue;
    bool good = true;
    for (int k = 0; k < q; ++k) {
      good = good && (active[k] < program.equalities || (*lambda)[k] >= -1e-9);
    }
    std::vector<double> x = program.centre;
    for (int i = 0; i < n; ++i) {
      for (int k = 0; k < q; ++k) x[i] += (*lambda)[k] * times_inverse(normal(k), i);
    }
    for (int i = 0; i < m && good; ++i) {
      double slack = -program.limits[i];
      for (int k = 0; k < n; ++k) slack += program.normals[i * n + k] * x[k];
      good = slack >= -1e-9;
    }
    if (good) return x;
  }
  return {};
}

TEST(Constrained, ProjectsOntoAHalfPlane) {
  // The nearest point of x + y >= 2 to the origin is (1, 1), with multiplier 1.
  const QuadraticProgram program{.centre = {0, 0},
                                 .inverse_hessian = {1, 0, 0, 1},
                                 .normals = {1, 1},
                                 .limits = {2}};
  ASSERT_OK_AND_ASSIGN(const QuadraticSolution solution, SolveQuadratic(program));
  EXPECT_THAT(solution.x, ElementsAre(DoubleNear(1, 1e-15), DoubleNear(1, 1e-15)));
  EXPECT_THAT(solution.multipliers, ElementsAre(DoubleNear(1, 1e-15)));
  EXPECT_NEAR(solution.added_sum_of_squares, 2, 1e-15);
}

// Goldfarb and Idnani, Mathematical Programming 27 (1983) 1, section 4: minimise
// 6 x1 + 2 (x1^2 - x1 x2 + x2^2) subject to x >= 0 and x1 + x2 >= 2. The optimum is
// (0.5, 1.5) with the third constraint alone binding; from memory, and checked by hand:
// the gradient there is (5, 5).
TEST(Constrained, SolvesThePublishedExample) {
  // H = (4, -2; -2, 4), so the unconstrained minimum is (-2, -1).
  const QuadraticProgram program{.centre = {-2, -1},
                                 .inverse_hessian = {1.0 / 3, 1.0 / 6, 1.0 / 6, 1.0 / 3},
                                 .normals = {1, 0, 0, 1, 1, 1},
                                 .limits = {0, 0, 2}};
  ASSERT_OK_AND_ASSIGN(const QuadraticSolution solution, SolveQuadratic(program));
  EXPECT_THAT(solution.x, ElementsAre(DoubleNear(0.5, 1e-14), DoubleNear(1.5, 1e-14)));
  EXPECT_THAT(solution.active, ElementsAre(2));
  EXPECT_NEAR(solution.multipliers[2], 5, 1e-13);
  EXPECT_TRUE(CheckOptimum(program, solution.x, solution.multipliers).Pass());
}

TEST(Constrained, AFeasibleCentreComesBackToTheLastBit) {
  Random random("A_FEASIBLE_CENTRE_COMES_BACK");
  for (int round = 0; round < 50; ++round) {
    QuadraticProgram program = RandomProgram(6, 12, 0, random);
    for (int i = 0; i < program.constraints(); ++i) {
      double value = 0;
      for (int k = 0; k < 6; ++k) value += program.normals[i * 6 + k] * program.centre[k];
      program.limits[i] = value - random.Uniform(0, 1);
    }
    ASSERT_OK_AND_ASSIGN(const QuadraticSolution solution, SolveQuadratic(program));
    EXPECT_EQ(solution.x, program.centre);
    EXPECT_THAT(solution.active, IsEmpty());
    EXPECT_EQ(solution.iterations, 0);
    EXPECT_EQ(solution.added_sum_of_squares, 0);
  }
}

TEST(Constrained, AgreesWithEverySetTried) {
  Random random("AGREES_WITH_EVERY_SET_TRIED");
  int binding = 0;
  for (int round = 0; round < 300; ++round) {
    const int n = random.Integer(1, 5);
    const int m = random.Integer(1, 9);
    const QuadraticProgram program =
        RandomProgram(n, m, random.Integer(0, std::min({2, n, m})), random);
    ASSERT_OK_AND_ASSIGN(const QuadraticSolution solution, SolveQuadratic(program));
    const auto expected = BruteForce(program);
    ASSERT_TRUE(expected.has_value());
    for (int k = 0; k < n; ++k) EXPECT_NEAR(solution.x[k], (*expected)[k], 1e-8) << round;
    const KktResiduals kkt = CheckOptimum(program, solution.x, solution.multipliers);
    EXPECT_TRUE(kkt.Pass()) << kkt.stationarity << " " << kkt.infeasibility << " "
                            << kkt.dual_infeasibility << " " << kkt.complementarity;
    binding += solution.active.size() > 1;
  }
  EXPECT_GT(binding, 50);
}

TEST(Constrained, LargeProgrammesPassTheChecker) {
  Random random("LARGE_PROGRAMMES_PASS_THE_CHECKER");
  for (int round = 0; round < 5; ++round) {
    const QuadraticProgram program = RandomProgram(60, 400, 5, random);
    ASSERT_OK_AND_ASSIGN(const QuadraticSolution solution, SolveQuadratic(program));
    const KktResiduals kkt = CheckOptimum(program, solution.x, solution.multipliers);
    EXPECT_TRUE(kkt.Pass()) << kkt.stationarity << " " << kkt.infeasibility << " "
                            << kkt.dual_infeasibility << " " << kkt.complementarity;
    EXPECT_GE(solution.active.size(), 5u);
  }
}

// Constraints that say the same thrice, and one that is a sum of others.
TEST(Constrained, RepeatedConstraintsDoNoHarm) {
  Random random("REPEATED_CONSTRAINTS_DO_NO_HARM");
  for (int round = 0; round < 50; ++round) {
    QuadraticProgram once = RandomProgram(4, 5, 0, random);
    QuadraticProgram thrice = once;
    for (int copy = 0; copy < 2; ++copy) {
      thrice.normals.insert(thrice.normals.end(), once.normals.begin(),
                            once.normals.end());
      thrice.limits.insert(thrice.limits.end(), once.limits.begin(), once.limits.end());
    }
    for (int k = 0; k < 4; ++k) {
      thrice.normals.push_back(once.normals[k] + once.normals[4 + k]);
    }
    thrice.limits.push_back(once.limits[0] + once.limits[1]);
    ASSERT_OK_AND_ASSIGN(const QuadraticSolution expected, SolveQuadratic(once));
    ASSERT_OK_AND_ASSIGN(const QuadraticSolution solution, SolveQuadratic(thrice));
    for (int k = 0; k < 4; ++k) EXPECT_NEAR(solution.x[k], expected.x[k], 1e-9);
  }
}

TEST(Constrained, ContradictionsComeWithAProof) {
  Random random("CONTRADICTIONS_COME_WITH_A_PROOF");
  for (int round = 0; round < 50; ++round) {
    QuadraticProgram program = RandomProgram(4, 6, 0, random);
    // The negative of a sum of two constraints asks for more than they leave.
    for (int k = 0; k < 4; ++k) {
      program.normals.push_back(-program.normals[k] - program.normals[4 + k]);
    }
    program.limits.push_back(-program.limits[0] - program.limits[1] + 0.5);
    ASSERT_OK_AND_ASSIGN(QuadraticSolution solution, SolveQuadratic(program));
    ASSERT_FALSE(solution.feasible);
    EXPECT_EQ(solution.x, program.centre);
    EXPECT_TRUE(ProvesInfeasible(program, solution.multipliers, 1e6));
    // Another programme's proof proves nothing here.
    program.limits.back() -= 1;
    EXPECT_FALSE(ProvesInfeasible(program, solution.multipliers, 1e6));
  }
}

TEST(Constrained, EquationsThatContradictAreInfeasible) {
  const QuadraticProgram program{.centre = {0, 0},
                                 .inverse_hessian = {1, 0, 0, 1},
                                 .normals = {1, 1, 1, 1},
                                 .limits = {1, 2},
                                 .equalities = 2};
  ASSERT_OK_AND_ASSIGN(const QuadraticSolution solution, SolveQuadratic(program));
  EXPECT_FALSE(solution.feasible);
  EXPECT_TRUE(ProvesInfeasible(program, solution.multipliers, 1e6));
}

TEST(ConstrainedCheck, RefusesWhatWasTamperedWith) {
  Random random("REFUSES_WHAT_WAS_TAMPERED_WITH");
  int tampered = 0;
  for (int round = 0; round < 60; ++round) {
    const QuadraticProgram program = RandomProgram(5, 8, 1, random);
    ASSERT_OK_AND_ASSIGN(const QuadraticSolution solution, SolveQuadratic(program));
    ASSERT_TRUE(CheckOptimum(program, solution.x, solution.multipliers).Pass());
    for (int k = 0; k < 5; ++k) {
      std::vector<double> x = solution.x;
      x[k] += 1e-6 * (1 + std::fabs(x[k]));
      EXPECT_FALSE(CheckOptimum(program, x, solution.multipliers).Pass());
    }
    for (size_t i = 0; i < solution.multipliers.size(); ++i) {
      std::vector<double> multipliers = solution.multipliers;
      multipliers[i] += 1e-3 * (1 + std::fabs(multipliers[i]));
      EXPECT_FALSE(CheckOptimum(program, solution.x, multipliers).Pass());
      multipliers[i] = -1;
      EXPECT_FALSE(CheckOptimum(program, solution.x, multipliers).Pass());
      ++tampered;
    }
    std::vector<double> no_number = solution.x;
    no_number[0] = std::numeric_limits<double>::quiet_NaN();
    EXPECT_FALSE(CheckOptimum(program, no_number, solution.multipliers).Pass());
  }
  EXPECT_EQ(tampered, 480);
}

// A point on the boundary that another multiplier would carry: feasible, and not best.
TEST(ConstrainedCheck, RefusesAFeasiblePointThatIsNotTheBest) {
  const QuadraticProgram program{.centre = {0, 0},
                                 .inverse_hessian = {1, 0, 0, 1},
                                 .normals = {1, 1},
                                 .limits = {2}};
  EXPECT_FALSE(
      CheckOptimum(program, std::vector<double>{2, 0}, std::vector<double>{1}).Pass());
  EXPECT_FALSE(
      CheckOptimum(program, std::vector<double>{2, 2}, std::vector<double>{2}).Pass());
}

TEST(ConstrainedCheck, RefusesAProgrammeThatIsNotConvex) {
  const QuadraticProgram program{.centre = {1, 1},
                                 .inverse_hessian = {1, 2, 2, 1},
                                 .normals = {1, 0},
                                 .limits = {0}};
  EXPECT_FALSE(
      CheckOptimum(program, program.centre, std::vector<double>{0}).positive_definite);
  EXPECT_THAT(SolveQuadratic(program), StatusIs(absl::StatusCode::kInvalidArgument,
                                                HasSubstr("not positive definite")));
}

TEST(Constrained, RefusesSizesThatDoNotMatch) {
  EXPECT_THAT(SolveQuadratic({.centre = {1}, .inverse_hessian = {1, 0}}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("1 variables")));
  EXPECT_THAT(SolveQuadratic({.centre = {1},
                              .inverse_hessian = {1},
                              .normals = {std::nan("")},
                              .limits = {0}}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("not finite")));
}

}  // namespace
}  // namespace ratebound::fit
