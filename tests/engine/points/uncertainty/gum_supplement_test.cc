// The worked examples of JCGM 101:2008 (GUM Supplement 1), clause 9, by Monte Carlo and
// beside the linear answer. Published figures from memory; all but those of 9.5 were
// confirmed by a program apart from this one with a million draws or more.
//
// Tolerances: half a unit of the last published digit, and four standard errors of what
// is estimated from a million draws: u/1000 for a mean, at most u/800 for a standard
// uncertainty, and sqrt(q (1 - q) / M) over the density for the end at tail probability
// q: 0.2 % of u for 95 % ends of near-normal outputs, 0.5 % for 99 % ends.
#include <array>
#include <cmath>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/points/uncertainty/monte_carlo.h"
#include "engine/points/uncertainty/propagation.h"
#include "engine/points/uncertainty/second_order.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::points {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::testing::HasSubstr;

constexpr int64_t kDraws = 1'000'000;

// Deviations are in units of what the printed digits and the draws allow.
class Published {
 public:
  Published(std::string name, std::string source)
      : check_({.name = std::move(name), .source = std::move(source), .tolerance = 1}) {}
  void Is(const std::string& what, double computed, double published, double allowed) {
    check_.Deviation(what, std::fabs(computed - published) / allowed);
  }
  void Holds(const std::string& what, bool holds) {
    check_.Deviation(what, holds ? 0 : 2);
  }

 private:
  OutsideCheck check_;
};

Component Exactly(int input, double standard_uncertainty, Distribution distribution) {
  return {.name = absl::StrCat("x", input),
          .input = input,
          .standard_uncertainty = standard_uncertainty,
          .distribution = distribution};
}

void SumModel(std::span<const double> x, std::span<double> y) {
  y[0] = x[0] + x[1] + x[2] + x[3];
}

TEST(GumSupplement92Additive, FourInputs) {
  struct Case {
    const char* name;
    Distribution distribution;
    double last_standard_uncertainty;
    double u, linear_end, end;
    double unit;
    bool linear_serves;  // to 2 significant digits
  };
  const Case kCases[] = {
      {"9.2.2 normal", Distribution::kNormal, 1, 2.00, 3.92, 3.92, 0.01, true},
      {"9.2.3 rectangular", Distribution::kRectangular, 1, 2.00, 3.92, 3.88, 0.01, true},
      {"9.2.4 one rectangle dominates", Distribution::kRectangular, 10, 10.1, 19.9, 17.0,
       0.1, false},
  };
  Published published("uncertainty.supplement1_9_2_additive",
                      "JCGM 101:2008, 9.2.2 to 9.2.4, tables 2 to 4 (from memory)");
  for (const Case& c : kCases) {
    SCOPED_TRACE(c.name);
    std::vector<Component> components;
    for (int i = 0; i < 3; ++i) components.push_back(Exactly(i, 1, c.distribution));
    components.push_back(Exactly(3, c.last_standard_uncertainty, c.distribution));
    ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                         InputUncertainty::Create(4, components));
    ASSERT_OK_AND_ASSIGN(const Propagation linear,
                         Propagate(inputs, std::array<double, 4>{1, 1, 1, 1}));
    const std::array<double, 4> estimates = {};
    ASSERT_OK_AND_ASSIGN(
        const MonteCarlo run,
        RunMonteCarlo(inputs, estimates, 1, SumModel, {.seed = 92, .draws = kDraws}));
    const MonteCarloOutput& y = run.outputs[0];
    const double allowed = c.unit / 2 + 0.008 * c.u;
    const std::string name = c.name;
    published.Is(name + ", linear end", linear.outputs[0].total.expanded, c.linear_end,
                 c.unit / 2);
    published.Is(name + ", mean", y.mean, 0, 0.004 * c.u);
    published.Is(name + ", u", y.standard_uncertainty, c.u, c.unit / 2 + 0.004 * c.u);
    published.Is(name + ", low end", y.symmetric.low, -c.end, allowed);
    published.Is(name + ", high end", y.symmetric.high, c.end, allowed);
    // Judged by the published ends, as 0.040 against 0.050 in 9.2.3 is too close for
    // draws.
    const Adequacy adequacy =
        CheckAdequacy(0, linear.outputs[0].total.expanded, {-c.end, c.end},
                      linear.outputs[0].total.standard, 2);
    published.Holds(name + ", verdict on the linear answer",
                    adequacy.is_adequate == c.linear_serves);
  }
}

// y = (mRc + dmRc) (1 + (ra - 1.2)(1/rw - 1/rr)) - 100000, in mg and kg/m3.
template <typename T>
T MassDeviation(const T& mass, const T& added, const T& air, const T& weight,
                const T& reference) {
  return (mass + added) * (1 + (air - 1.2) * (1 / weight - 1 / reference)) - 100000;
}

std::vector<double> MassGradient(std::span<const double> x) {
  using D = number::Dual<5>;
  const D y =
      MassDeviation(D::Variable(x[0], 0), D::Variable(x[1], 1), D::Variable(x[2], 2),
                    D::Variable(x[3], 3), D::Variable(x[4], 4));
  return GradientsOf<5>({&y, 1});
}

TEST(GumSupplement93Mass, LinearAnswerFailsAndMonteCarloShowsIt) {
  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty inputs,
      InputUncertainty::Create(5, {Exactly(0, 0.050, Distribution::kNormal),
                                   Exactly(1, 0.020, Distribution::kNormal),
                                   FromHalfWidth("density of air", 2, 0.10),
                                   FromHalfWidth("density of the weight", 3, 1000),
                                   FromHalfWidth("density of the reference", 4, 50)}));
  const std::array<double, 5> estimates = {100000, 1.234, 1.20, 8000, 8000};
  ASSERT_OK_AND_ASSIGN(const Propagation linear,
                       Propagate(inputs, MassGradient(estimates)));
  const GradientFunction gradients = [](std::span<const double> x,
                                        std::span<double> out) {
    std::ranges::copy(MassGradient(x), out.begin());
  };
  ASSERT_OK_AND_ASSIGN(const std::vector<SecondOrder> second,
                       CheckSecondOrder(inputs, estimates, 1, gradients));
  const ModelFunction model = [](std::span<const double> x, std::span<double> y) {
    y[0] = MassDeviation(x[0], x[1], x[2], x[3], x[4]);
  };
  ASSERT_OK_AND_ASSIGN(
      const MonteCarlo run,
      RunMonteCarlo(inputs, estimates, 1, model, {.seed = 93, .draws = kDraws}));
  const MonteCarloOutput& y = run.outputs[0];
  const double u_linear = linear.outputs[0].total.standard;
  const double expanded = linear.outputs[0].total.expanded;

  Published published("uncertainty.supplement1_9_3_mass",
                      "JCGM 101:2008, 9.3, table 6 (from memory)");
  published.Is("linear u", u_linear, 0.0539, 5e-5);
  published.Is("linear low end", 1.234 - expanded, 1.1285, 1e-4);
  published.Is("linear high end", 1.234 + expanded, 1.3395, 1e-4);
  ASSERT_TRUE(second[0].standard.has_value());
  published.Is("second-order u", *second[0].standard, 0.0750, 5e-5);
  published.Is("mean", y.mean, 1.2340, 5e-5 + 0.004 * 0.0754);
  published.Is("u", y.standard_uncertainty, 0.0754, 5e-5 + 0.005 * 0.0754);
  // The shortest interval is flat at its optimum: its ends wander together by more.
  published.Is("low end", y.shortest.low, 1.0834, 5e-5 + 0.03 * 0.0754);
  published.Is("high end", y.shortest.high, 1.3825, 5e-5 + 0.03 * 0.0754);
  published.Is("width", y.shortest.width(), 1.3825 - 1.0834, 1e-4 + 0.016 * 0.0754);
  const Adequacy adequacy = CheckAdequacy(1.234, expanded, y.shortest, u_linear, 1);
  published.Is("difference at the low end", adequacy.low_difference, 0.0451,
               5e-5 + 0.03 * 0.0754);
  published.Is("difference at the high end", adequacy.high_difference, 0.0430,
               5e-5 + 0.03 * 0.0754);
  published.Holds("linear answer refused", !adequacy.is_adequate);
  EXPECT_EQ(adequacy.tolerance, 0.005);
  EXPECT_THAT(adequacy.sentence, HasSubstr("not adequate"));
}

TEST(GumSupplement94ComparisonLoss, NearZeroTheLinearAnswerIsWorthless) {
  struct Case {
    const char* name;
    double x1;
    double mean, u, low, high;  // shortest 95 % interval, in 1e-6
    double linear_low, linear_high;
    double linear_u;
  };
  const Case kCases[] = {
      {"x1 = 0", 0, 50, 50, 0, 150, 0, 0, 0},
      {"x1 = 0.010", 0.010, 150, 112, 0, 367, -96, 296, 100},
      {"x1 = 0.050", 0.050, 2551, 502, 1590, 3543, 1520, 3480, 500},
  };
  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty inputs,
      InputUncertainty::Create(2, {Exactly(0, 0.005, Distribution::kNormal),
                                   Exactly(1, 0.005, Distribution::kNormal)}));
  const ModelFunction model = [](std::span<const double> x, std::span<double> y) {
    y[0] = x[0] * x[0] + x[1] * x[1];
  };
  const GradientFunction gradients = [](std::span<const double> x,
                                        std::span<double> out) {
    out[0] = 2 * x[0];
    out[1] = 2 * x[1];
  };
  Published published("uncertainty.supplement1_9_4_comparison_loss",
                      "JCGM 101:2008, 9.4.2, table 8 (from memory)");
  for (const Case& c : kCases) {
    SCOPED_TRACE(c.name);
    const std::string name = c.name;
    const std::array<double, 2> estimates = {c.x1, 0};
    ASSERT_OK_AND_ASSIGN(const Propagation linear,
                         Propagate(inputs, std::array{2 * c.x1, 0.0}));
    ASSERT_OK_AND_ASSIGN(
        const MonteCarlo run,
        RunMonteCarlo(inputs, estimates, 1, model, {.seed = 94, .draws = kDraws}));
    const MonteCarloOutput& y = run.outputs[0];
    const double value = c.x1 * c.x1 * 1e6;
    const double expanded = linear.outputs[0].total.expanded * 1e6;
    published.Is(name + ", linear u", linear.outputs[0].total.standard * 1e6, c.linear_u,
                 0.5);
    published.Is(name + ", linear low end", value - expanded, c.linear_low, 0.5);
    published.Is(name + ", linear high end", value + expanded, c.linear_high, 0.5);
    published.Is(name + ", mean", y.mean * 1e6, c.mean, 1.0 + 0.004 * c.u);
    published.Is(name + ", u", y.standard_uncertainty * 1e6, c.u, 0.5 + 0.006 * c.u);
    published.Is(name + ", low end", y.shortest.low * 1e6, c.low, 0.5 + 0.03 * c.u);
    published.Is(name + ", high end", y.shortest.high * 1e6, c.high, 0.5 + 0.03 * c.u);
    const Adequacy adequacy =
        CheckAdequacy(value, expanded, {y.shortest.low * 1e6, y.shortest.high * 1e6},
                      linear.outputs[0].total.standard * 1e6, 1);
    // 8.1 judged by the published ends: 96 and 71 against 50; 70 and 63 against 50.
    published.Holds(name + ", linear answer refused", !adequacy.is_adequate);

    // The mean and variance of a sum of squares of normals are exact to second order.
    ASSERT_OK_AND_ASSIGN(const std::vector<SecondOrder> second,
                         CheckSecondOrder(inputs, estimates, 1, gradients));
    // The tables give draws: 2551 where the exact mean is 2550.
    published.Is(name + ", second-order mean", value + second[0].value_shift * 1e6,
                 c.mean, 1.5);
    published.Is(name + ", second-order u", *second[0].standard * 1e6, c.u, 0.6);
  }
}

TEST(GumSupplement95EndGauge, MonteCarloIsWiderThanFirstOrder) {
  // l = (ls (1 + as (theta - dt)) + d) / (1 + (as + da) theta), less 50 mm, in nm.
  std::vector<Component> components = {
      FromExpanded("standard", 0, 25, 1, 18),
      FromExpanded("repeated observations", 1, 6, 1, 24),
      FromExpanded("random effects of comparator", 1, 4, 1, 5),
      FromExpanded("systematic effects of comparator", 1, 7, 1, 8),
      FromHalfWidth("expansion coefficient", 2, 2e-6),
      FromHalfWidth("difference of expansion", 3, 1e-6),
      FromExpanded("mean temperature", 4, 0.2, 1),
      FromHalfWidth("cycle of temperature", 4, 0.5, Distribution::kArcsine),
      FromHalfWidth("difference of temperature", 5, 0.050),
  };
  components[5].degrees_of_freedom = 50;  // limits known within 0.1e-6
  components[8].degrees_of_freedom = 2;   // limits known within 0.025
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(6, components));
  const std::array<double, 6> estimates = {50000623, 215, 11.5e-6, 0, -0.1, 0};
  const ModelFunction model = [](std::span<const double> x, std::span<double> y) {
    y[0] = (x[0] * (1 + x[2] * (x[4] - x[5])) + x[1]) / (1 + (x[2] + x[3]) * x[4]) - 5e7;
  };
  ASSERT_OK_AND_ASSIGN(const MonteCarlo run,
                       RunMonteCarlo(inputs, estimates, 1, model,
                                     {.seed = 95, .draws = kDraws, .probability = 0.99}));
  const MonteCarloOutput& y = run.outputs[0];
  Published published("uncertainty.supplement1_9_5_end_gauge",
                      "JCGM 101:2008, 9.5, table 11 (from memory)");
  published.Is("mean, nm", y.mean, 838, 0.5 + 0.004 * 36);
  published.Is("u, nm", y.standard_uncertainty, 36, 0.5 + 0.005 * 36);
  // The table prints [740, 935] for the interval, as remembered. From these inputs it is
  // narrower: a program apart from this one, on another generator, gives the same ends.
  OutsideCheck ends({.name = "uncertainty.supplement1_9_5_end_gauge_interval",
                     .source = "inputs of JCGM 101:2008, 9.5, table 10 (from memory), "
                               "4 million draws by numpy",
                     .kind = "regression",
                     .tolerance = 0.02 * 36});  // four standard errors, nm
  ends.Absolute("low end, nm", y.symmetric.low, 744.54);
  ends.Absolute("high end, nm", y.symmetric.high, 931.69);
}

}  // namespace
}  // namespace ratebound::points
