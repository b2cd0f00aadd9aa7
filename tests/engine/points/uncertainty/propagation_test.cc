#include "engine/points/uncertainty/propagation.h"

#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "engine/number/distribution.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"
#include "tests/testing/random.h"

namespace ratebound::points {
namespace {

using ::ratebound::testing::OutsideCheck;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

Component Part(int input, double standard_uncertainty, double degrees_of_freedom,
               bool systematic = false, const char* shared = "") {
  return {.name = "part",
          .input = input,
          .standard_uncertainty = standard_uncertainty,
          .degrees_of_freedom = degrees_of_freedom,
          .systematic = systematic,
          .shared = shared};
}

// Every component on its own, shared pairs and correlated inputs, in both parts.
std::vector<Component> MixedComponents(Random& random) {
  std::vector<Component> components;
  for (int input = 0; input < 6; ++input) {
    components.push_back(Part(input, random.Uniform(0, 2), random.Integer(2, 40)));
    components.push_back(Part(input, random.Uniform(0, 2), kExactlyKnown, true));
  }
  components.push_back(Part(0, random.Uniform(0, 1), 9, true, "bath"));
  components.push_back(Part(3, random.Uniform(0, 1), 9, true, "bath"));
  components.push_back(Part(1, random.Uniform(0, 1), 5, false, "supply"));
  components.push_back(Part(2, random.Uniform(0, 1), 5, false, "supply"));
  return components;
}
const std::vector<Correlation> kMixedCorrelations = {
    {0, 1, 0.4}, {1, 4, -0.7}, {2, 5, 0.9}, {4, 5, -0.3, true}};

double SumOfAll(const OutputMatrix& matrix, std::span<const double> factors) {
  double sum = 0;
  for (int i = 0; i < matrix.size; ++i) {
    for (int j = 0; j < matrix.size; ++j)
      sum += factors[i] * factors[j] * matrix.at(i, j);
  }
  return sum;
}

TEST(Propagate, VarianceIsTheQuadraticFormOfTheInputsCovariance) {
  Random random("VARIANCE_IS_QUADRATIC_FORM");
  for (int trial = 0; trial < 50; ++trial) {
    ASSERT_OK_AND_ASSIGN(
        const InputUncertainty inputs,
        InputUncertainty::Create(6, MixedComponents(random), kMixedCorrelations));
    // The inputs as outputs: their covariance as the model understands it.
    std::vector<double> identity(36);
    for (int i = 0; i < 6; ++i) identity[i * 7] = 1;
    ASSERT_OK_AND_ASSIGN(const Propagation of_inputs, Propagate(inputs, identity));
    std::array<double, 6> gradient;
    for (double& g : gradient) g = random.Uniform(-3, 3);
    ASSERT_OK_AND_ASSIGN(const Propagation result, Propagate(inputs, gradient));
    const OutputReport& output = result.outputs[0];
    const double scale = SumOfAll(of_inputs.covariance, gradient);
    EXPECT_NEAR(std::pow(output.total.standard, 2), scale, 1e-12 * scale);
    EXPECT_NEAR(std::pow(output.random.standard, 2),
                SumOfAll(of_inputs.random_covariance, gradient), 1e-12 * scale);
    EXPECT_NEAR(std::pow(output.systematic.standard, 2),
                SumOfAll(of_inputs.systematic_covariance, gradient), 1e-12 * scale);
    double percent = 0;
    for (const BudgetLine& line : output.budget) percent += line.percent;
    EXPECT_NEAR(percent, 100, 1e-10);
  }
}

TEST(Propagate, SharedCauseAddsLinearlyAndCancelsInADifference) {
  const auto standard = [](double first, double second, const char* shared) {
    const absl::StatusOr<InputUncertainty> inputs =
        InputUncertainty::Create(2, {Part(0, 0.1, kExactlyKnown, true, shared),
                                     Part(1, 0.1, kExactlyKnown, true, shared)});
    EXPECT_TRUE(inputs.ok()) << inputs.status();
    const absl::StatusOr<Propagation> result =
        Propagate(*inputs, std::array{first, second});
    return result->outputs[0].systematic.standard;
  };
  EXPECT_DOUBLE_EQ(standard(1, 1, "bath"), 0.2);
  EXPECT_EQ(standard(1, -1, "bath"), 0);
  EXPECT_DOUBLE_EQ(standard(1, -1, ""), 0.1 * std::sqrt(2.0));
}

TEST(Propagate, BudgetOfACancellingSharedCauseHasNegativeShares) {
  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty inputs,
      InputUncertainty::Create(2, {Part(0, 3, kExactlyKnown, false, "bath"),
                                   Part(1, 1, kExactlyKnown, false, "bath")}));
  ASSERT_OK_AND_ASSIGN(const Propagation result,
                       Propagate(inputs, std::array{1.0, -1.0}));
  EXPECT_EQ(result.outputs[0].total.standard, 2);
  EXPECT_EQ(result.outputs[0].budget[0].contribution, 3);
  EXPECT_EQ(result.outputs[0].budget[0].percent, 150);
  EXPECT_EQ(result.outputs[0].budget[1].percent, -50);
}

TEST(Propagate, WelchSatterthwaiteOfThreeRelativeComponents) {
  // In percent of Y = b X1 X2 X3.
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(
                           3, {Part(0, 0.25, 9), Part(1, 0.57, 4), Part(2, 0.82, 14)}));
  ASSERT_OK_AND_ASSIGN(const Propagation result,
                       Propagate(inputs, std::array{1.0, 1.0, 1.0}));
  const ExpandedUncertainty& total = result.outputs[0].total;
  OutsideCheck check({.name = "uncertainty.gum_g4_welch_satterthwaite",
                      .source = "JCGM 100:2008, G.4.1 example (from memory)",
                      .tolerance = 0.5});  // in units of the last printed digit
  check.Deviation("u", std::fabs(total.standard - 1.03) / 0.01);
  check.Deviation("degrees of freedom", std::fabs(total.degrees_of_freedom - 19.0) / 0.1);
  // From u = 1.03 as rounded there, 19.0; unrounded 18.999, which is truncated to 18 and
  // errs to the safe side with k = 2.10.
  check.Deviation("k, 95 %", std::fabs(CoverageFactors(0.95).For(19.04) - 2.09) / 0.01);
  check.Deviation("U, 95 %", std::fabs(total.expanded - 2.2) / 0.1);
}

TEST(Propagate, ASharedCauseCountsAsOneContribution) {
  // Two inputs of one cause, or one input twice as uncertain: the same knowledge.
  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty shared,
      InputUncertainty::Create(2, {Part(0, 1, 4, false, "bath"),
                                   Part(1, 1, 4, false, "bath"), Part(0, 1, 10)}));
  ASSERT_OK_AND_ASSIGN(const InputUncertainty single,
                       InputUncertainty::Create(2, {Part(0, 2, 4), Part(0, 1, 10)}));
  ASSERT_OK_AND_ASSIGN(const Propagation a, Propagate(shared, std::array{1.0, 1.0}));
  ASSERT_OK_AND_ASSIGN(const Propagation b, Propagate(single, std::array{1.0, 1.0}));
  EXPECT_EQ(a.outputs[0].total.degrees_of_freedom, b.outputs[0].total.degrees_of_freedom);
}

TEST(Propagate, EachPartHasItsOwnDegreesOfFreedomAndFactor) {
  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty inputs,
      InputUncertainty::Create(1, {Part(0, 3, 5), Part(0, 4, kExactlyKnown, true)}));
  ASSERT_OK_AND_ASSIGN(const Propagation result, Propagate(inputs, std::array{2.0}));
  const OutputReport& output = result.outputs[0];
  EXPECT_EQ(output.total.standard, 10);
  EXPECT_EQ(output.random.standard, 6);
  EXPECT_EQ(output.systematic.standard, 8);
  EXPECT_NEAR(output.random.degrees_of_freedom, 5, 1e-12);
  EXPECT_NEAR(output.random.coverage_factor, number::StudentTQuantile(0.975, 5), 1e-12);
  EXPECT_TRUE(std::isinf(output.systematic.degrees_of_freedom));
  EXPECT_NEAR(output.systematic.expanded, 8 * 1.959963984540054, 1e-12);
  EXPECT_NEAR(output.total.degrees_of_freedom, 5 * 1e4 / std::pow(6, 4), 1e-9);
}

TEST(Propagate, CorrelationOfOutputsIsOneWhereTheyAreMultiples) {
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(2, {Part(0, 1, 4), Part(1, 2, 4)}));
  ASSERT_OK_AND_ASSIGN(const Propagation result,
                       Propagate(inputs, std::array{1.0, 1.0, -3.0, -3.0, 0.0, 0.0}));
  const OutputMatrix r = CorrelationOf(result.covariance);
  EXPECT_NEAR(r.at(0, 1), -1, 1e-15);
  EXPECT_GE(r.at(0, 1), -1);
  EXPECT_EQ(r.at(0, 2), 0);  // a constant output
  EXPECT_EQ(r.at(2, 2), 1);
  EXPECT_EQ(result.outputs[2].total.expanded, 0);
  EXPECT_EQ(result.outputs[2].budget[0].percent, 0);
}

TEST(Propagate, UnitsDoNotChangeDegreesOfFreedom) {
  // Fourth powers of these standard uncertainties underflow or overflow.
  for (const double scale : {1e-90, 1e-3, 1.0, 1e90}) {
    ASSERT_OK_AND_ASSIGN(
        const InputUncertainty inputs,
        InputUncertainty::Create(1, {Part(0, 3 * scale, 5), Part(0, 4 * scale, 7)}));
    ASSERT_OK_AND_ASSIGN(const Propagation result, Propagate(inputs, std::array{1.0}));
    EXPECT_NEAR(result.outputs[0].total.degrees_of_freedom, 625 / (81.0 / 5 + 256.0 / 7),
                1e-12)
        << scale;
  }
}

TEST(Propagate, CoreGivesTheBitsOfTheReport) {
  Random random("CORE_GIVES_THE_BITS_OF_THE_REPORT");
  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty inputs,
      InputUncertainty::Create(6, MixedComponents(random), kMixedCorrelations));
  std::vector<double> gradients(24);
  for (double& g : gradients) g = random.Uniform(-3, 3);
  ASSERT_OK_AND_ASSIGN(const Propagation report, Propagate(inputs, gradients));
  std::vector<double> weights(inputs.weight_count());
  std::vector<double> loadings(4 * inputs.factor_count());
  std::vector<OutputUncertainty> outputs(4);
  inputs.Weigh(inputs.standard_uncertainties(), weights);
  Propagate(inputs, weights, gradients, loadings, outputs);
  const std::span<const double> row(loadings);
  const size_t factors = inputs.factor_count();
  for (int i = 0; i < 4; ++i) {
    EXPECT_EQ(outputs[i].total.standard, report.outputs[i].total.standard);
    EXPECT_EQ(outputs[i].random.degrees_of_freedom,
              report.outputs[i].random.degrees_of_freedom);
    EXPECT_EQ(CovarianceOf(row.first(factors), row.subspan(i * factors, factors)),
              report.covariance.at(0, i));
  }
}

TEST(Propagate, FaultsAreSaid) {
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(2, {Part(0, 1, 4)}));
  EXPECT_THAT(
      Propagate(inputs, std::array{1.0, 2.0, 3.0}),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("no multiple of 2")));
  EXPECT_THAT(
      Propagate(inputs,
                std::array{1.0, 2.0, 3.0, std::numeric_limits<double>::infinity()}),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("output 1 over input 1")));
  for (const double probability : {0.0, 1.0, -0.5, std::nan("")}) {
    EXPECT_THAT(Propagate(inputs, std::array{1.0, 2.0}, probability),
                StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("probability")));
  }
}

TEST(CoverageFactors, TableOfStudentsT) {
  OutsideCheck check({.name = "uncertainty.gum_g2_coverage_factors",
                      .source = "JCGM 100:2008, table G.2 (from memory)",
                      .tolerance = 0.0051});  // absolute; printed to 0.01
  const CoverageFactors at_95(0.95);
  const CoverageFactors at_99(0.99);
  check.Absolute("95 %, 1", at_95.For(1), 12.71);
  check.Absolute("95 %, 4", at_95.For(4), 2.78);
  check.Absolute("95 %, 16", at_95.For(16), 2.12);
  check.Absolute("95 %, 100", at_95.For(100), 1.984);
  check.Absolute("95 %, infinite", at_95.For(kExactlyKnown), 1.960);
  check.Absolute("99 %, 1", at_99.For(1), 63.66);
  check.Absolute("99 %, 16", at_99.For(16), 2.92);
}

TEST(CoverageFactors, FractionsAreTruncatedTowardsSafety) {
  const CoverageFactors factors(0.95);
  EXPECT_EQ(factors.For(4.99), factors.For(4));
  EXPECT_EQ(factors.For(3.9999999999999996), factors.For(4));  // 4, but for rounding
  EXPECT_EQ(factors.For(1000.7), factors.For(1000));           // beyond the table
  EXPECT_GT(factors.For(0.5), factors.For(1));                 // below 1 as it is
  double last = std::numeric_limits<double>::infinity();
  for (double degrees = 1; degrees < 400; ++degrees) {
    EXPECT_LT(factors.For(degrees), last) << degrees;
    last = factors.For(degrees);
  }
  EXPECT_LT(factors.For(kExactlyKnown), last);
}

TEST(CoverageFactors, ExpansionForManyDegreesOfFreedomIsTheQuantile) {
  for (const double probability : {0.3, 0.6827, 0.95, 0.99, 0.9999, 1 - 1e-7}) {
    const CoverageFactors factors(probability);
    for (const double degrees : {128, 129, 150, 1000, 1000000}) {
      const double exact = -number::StudentTQuantile((1 - probability) / 2, degrees);
      EXPECT_NEAR(factors.For(degrees) / exact, 1, 1e-8) << probability << " " << degrees;
    }
  }
}

}  // namespace
}  // namespace ratebound::points
