// The worked examples of JCGM 100:2008, annex H. Input data and results as printed
// there; figures with more digits than printed were computed from the printed data and
// formulas, and are marked so.
#include <array>
#include <cmath>
#include <vector>

#include "engine/fit/least_squares.h"
#include "engine/number/dual.h"
#include "engine/number/elementary.h"
#include "engine/points/uncertainty/propagation.h"
#include "engine/points/uncertainty/second_order.h"
#include "engine/points/uncertainty/type_a.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/outside.h"

namespace ratebound::points {
namespace {

using ::ratebound::number::Dual;
using ::ratebound::testing::OutsideCheck;

// H.1: l = ls + d - ls (da theta + as dt), in nm, degC and 1/degC.
enum GaugeInput {
  kStandard,
  kDifference,
  kExpansion,
  kExpansionDifference,
  kTemperature,
  kTemperatureDifference,
  kGaugeInputs
};
constexpr std::array<double, kGaugeInputs> kGaugeEstimates = {50000623, 215,  11.5e-6,
                                                              0,        -0.1, 0};

template <typename T>
T GaugeLength(const std::array<T, kGaugeInputs>& x) {
  return x[kStandard] + x[kDifference] -
         x[kStandard] * (x[kExpansionDifference] * x[kTemperature] +
                         x[kExpansion] * x[kTemperatureDifference]);
}

std::vector<double> GaugeGradient(std::span<const double> inputs) {
  std::array<Dual<kGaugeInputs>, kGaugeInputs> x;
  for (int i = 0; i < kGaugeInputs; ++i) {
    x[i] = Dual<kGaugeInputs>::Variable(inputs[i], i);
  }
  const Dual<kGaugeInputs> length = GaugeLength(x);
  return GradientsOf<kGaugeInputs>({&length, 1});
}

Component WithDegreesOfFreedom(Component component, double degrees_of_freedom) {
  component.degrees_of_freedom = degrees_of_freedom;
  return component;
}

std::vector<Component> GaugeComponents() {
  return {
      FromExpanded("standard", kStandard, 75, 3, 18),
      FromReadings("repeated observations", kDifference, 13, 5),
      FromExpanded("random effects of comparator", kDifference, 3.9, 1, 5),
      FromExpanded("systematic effects of comparator", kDifference, 6.7, 1, 8),
      FromHalfWidth("expansion coefficient", kExpansion, 2e-6),
      WithDegreesOfFreedom(
          FromHalfWidth("difference of expansion", kExpansionDifference, 1e-6), 50),
      FromExpanded("mean temperature", kTemperature, 0.2, 1),
      FromHalfWidth("cycle of temperature", kTemperature, 0.5, Distribution::kArcsine),
      WithDegreesOfFreedom(
          FromHalfWidth("difference of temperature", kTemperatureDifference, 0.05), 2),
  };
}

TEST(GumH1EndGauge, ValueBudgetDegreesOfFreedomAndExpandedUncertainty) {
  std::vector<Component> components = GaugeComponents();
  // H.1.3.2: s = 13 nm from 25 repetitions, for a mean of 5.
  components[1].degrees_of_freedom = 24;
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(kGaugeInputs, components));
  ASSERT_OK_AND_ASSIGN(const Propagation result,
                       Propagate(inputs, GaugeGradient(kGaugeEstimates), 0.99));
  const OutputReport& length = result.outputs[0];

  OutsideCheck check({.name = "uncertainty.gum_h1_end_gauge",
                      .source = "JCGM 100:2008, H.1, table H.1 and H.1.6",
                      .tolerance = 0.5});  // in units of the last printed digit
  const auto printed = [&](const char* what, double computed, double value, double unit) {
    check.Deviation(what, std::fabs(computed - value) / unit);
  };
  printed("length, nm", GaugeLength(kGaugeEstimates), 50000838, 1);
  printed("standard, nm", length.budget[0].contribution, 25, 1);
  const double difference = std::sqrt(std::pow(length.budget[1].contribution, 2) +
                                      std::pow(length.budget[2].contribution, 2) +
                                      std::pow(length.budget[3].contribution, 2));
  printed("comparison, nm", difference, 9.7, 0.1);
  printed("repeated observations, nm", length.budget[1].contribution, 5.8, 0.1);
  printed("expansion coefficient", length.budget[4].contribution, 0, 1);
  printed("difference of expansion, nm", length.budget[5].contribution, 2.9, 0.1);
  printed("mean temperature", length.budget[6].contribution, 0, 1);
  printed("difference of temperature, nm", length.budget[8].contribution, 16.6, 0.1);
  printed("combined, nm", length.total.standard, 32, 1);
  printed("degrees of freedom, truncated", std::floor(length.total.degrees_of_freedom),
          16, 1);
  printed("coverage factor, 99 %", length.total.coverage_factor, 2.92, 0.01);
  // H.1.6 multiplies the combined uncertainty as rounded to 32 nm; unrounded, 92.5 nm.
  printed("expanded, nm",
          length.total.coverage_factor * std::round(length.total.standard), 93, 1);
  EXPECT_NEAR(length.total.expanded, 92.49, 0.005);
}

TEST(GumH1EndGauge, SecondOrderTermsOfProductsWithAFactorEstimatedAsZero) {
  std::vector<Component> components = GaugeComponents();
  components[1].degrees_of_freedom = 24;
  ASSERT_OK_AND_ASSIGN(const InputUncertainty inputs,
                       InputUncertainty::Create(kGaugeInputs, components));
  const GradientFunction gradients = [](std::span<const double> x,
                                        std::span<double> out) {
    std::ranges::copy(GaugeGradient(x), out.begin());
  };
  ASSERT_OK_AND_ASSIGN(const std::vector<SecondOrder> checks,
                       CheckSecondOrder(inputs, kGaugeEstimates, 1, gradients));
  ASSERT_TRUE(checks[0].standard.has_value());
  // The product of expansion difference (cause 5) and temperature (causes 6 and 7), and
  // that of expansion (4) and temperature difference (8).
  double first_product = 0;
  double second_product = 0;
  for (const SecondOrderTerm& term : checks[0].terms) {
    const bool with_temperature = term.second_cause == 6 || term.second_cause == 7;
    if (term.first_cause == 5 && with_temperature) first_product += term.variance;
    if (term.first_cause == 4 && term.second_cause == 8) second_product += term.variance;
  }
  OutsideCheck check({.name = "uncertainty.gum_h1_second_order",
                      .source = "JCGM 100:2008, H.1.7 (terms from memory)",
                      .tolerance = 0.5});  // in units of the last printed digit
  check.Deviation("combined, nm", std::fabs(*checks[0].standard - 34));
  check.Deviation("da theta, nm", std::fabs(std::sqrt(first_product) - 11.7) / 0.1);
  check.Deviation("as dt, nm", std::fabs(std::sqrt(second_product) - 1.7) / 0.1);
}

// H.2: resistance, reactance and impedance of a circuit from V, I and the phase.
const std::vector<double> kVolts = {5.007, 4.994, 5.005, 4.990, 4.999};
const std::vector<double> kAmperes = {19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3,
                                      19.678e-3};
const std::vector<double> kPhase = {1.0456, 1.0438, 1.0468, 1.0428, 1.0433};

std::array<Dual<3>, 3> Circuit(double volts, double amperes, double phase) {
  const Dual<3> v = Dual<3>::Variable(volts, 0);
  const Dual<3> i = Dual<3>::Variable(amperes, 1);
  const Dual<3> phi = Dual<3>::Variable(phase, 2);
  return {v / i * Cos(phi), v / i * (Sin(phi)), v / i};
}

TEST(GumH2Circuit, MeansAndCorrelationsFromSimultaneousReadings) {
  OutsideCheck check({.name = "uncertainty.gum_h2_readings",
                      .source = "JCGM 100:2008, H.2, table H.2",
                      .tolerance = 0.5});  // in units of the last printed digit
  const auto printed = [&](const char* what, double computed, double value, double unit) {
    check.Deviation(what, std::fabs(computed - value) / unit);
  };
  ASSERT_OK_AND_ASSIGN(const MeanOfReadings v, MeanOfIndependent(kVolts));
  ASSERT_OK_AND_ASSIGN(const MeanOfReadings i, MeanOfIndependent(kAmperes));
  ASSERT_OK_AND_ASSIGN(const MeanOfReadings phi, MeanOfIndependent(kPhase));
  printed("V", v.mean, 4.9990, 1e-4);
  printed("u(V)", v.standard_uncertainty, 0.0032, 1e-4);
  printed("I, mA", i.mean * 1e3, 19.6610, 1e-4);
  printed("u(I), mA", i.standard_uncertainty * 1e3, 0.0095, 1e-4);
  printed("phase", phi.mean, 1.04446, 1e-5);
  printed("u(phase)", phi.standard_uncertainty, 0.00075, 1e-5);
  ASSERT_OK_AND_ASSIGN(const double vi, CorrelationOfMeans(kVolts, kAmperes));
  ASSERT_OK_AND_ASSIGN(const double vphi, CorrelationOfMeans(kVolts, kPhase));
  ASSERT_OK_AND_ASSIGN(const double iphi, CorrelationOfMeans(kAmperes, kPhase));
  printed("r(V, I)", vi, -0.36, 0.01);
  printed("r(V, phase)", vphi, 0.86, 0.01);
  printed("r(I, phase)", iphi, -0.65, 0.01);
}

absl::StatusOr<Propagation> PropagateCircuit(std::array<MeanOfReadings, 3> means,
                                             double r_vi, double r_vphi, double r_iphi) {
  absl::StatusOr<InputUncertainty> inputs = InputUncertainty::Create(
      3,
      {FromMean("volts", 0, means[0]), FromMean("amperes", 1, means[1]),
       FromMean("phase", 2, means[2])},
      {{.first = 0, .second = 1, .coefficient = r_vi},
       {.first = 0, .second = 2, .coefficient = r_vphi},
       {.first = 1, .second = 2, .coefficient = r_iphi}});
  if (!inputs.ok()) return inputs.status();
  const std::array<Dual<3>, 3> outputs =
      Circuit(means[0].mean, means[1].mean, means[2].mean);
  return Propagate(*inputs, GradientsOf<3>(outputs));
}

TEST(GumH2Circuit, OutputsFromTheReadings) {
  std::array<MeanOfReadings, 3> means;
  const std::array<const std::vector<double>*, 3> readings = {&kVolts, &kAmperes,
                                                              &kPhase};
  for (int i = 0; i < 3; ++i) {
    ASSERT_OK_AND_ASSIGN(means[i], MeanOfIndependent(*readings[i]));
  }
  ASSERT_OK_AND_ASSIGN(const double vi, CorrelationOfMeans(kVolts, kAmperes));
  ASSERT_OK_AND_ASSIGN(const double vphi, CorrelationOfMeans(kVolts, kPhase));
  ASSERT_OK_AND_ASSIGN(const double iphi, CorrelationOfMeans(kAmperes, kPhase));
  ASSERT_OK_AND_ASSIGN(const Propagation result, PropagateCircuit(means, vi, vphi, iphi));
  const std::array<Dual<3>, 3> values =
      Circuit(means[0].mean, means[1].mean, means[2].mean);
  const OutputMatrix r = CorrelationOf(result.covariance);
  OutsideCheck printed({.name = "uncertainty.gum_h2_outputs",
                        .source = "JCGM 100:2008, H.2, tables H.3 and H.4",
                        // In units of the last printed digit; the readings give 0.2956
                        // where u(X) is printed as 0.295.
                        .tolerance = 0.6});
  const auto check = [&](const char* what, double computed, double value, double unit) {
    printed.Deviation(what, std::fabs(computed - value) / unit);
  };
  check("R", values[0].value, 127.732, 0.001);
  check("X", values[1].value, 219.847, 0.001);
  check("Z", values[2].value, 254.260, 0.001);
  check("u(R)", result.outputs[0].total.standard, 0.071, 0.001);
  check("u(X)", result.outputs[1].total.standard, 0.295, 0.001);
  check("u(Z)", result.outputs[2].total.standard, 0.236, 0.001);
  check("r(R, X)", r.at(0, 1), -0.588, 0.001);
  check("r(R, Z)", r.at(0, 2), -0.485, 0.001);
  check("r(X, Z)", r.at(1, 2), 0.993, 0.001);
  // The three are functions of the same five sets of readings: n - 1 degrees of freedom.
  for (const OutputReport& output : result.outputs) {
    EXPECT_NEAR(output.total.degrees_of_freedom, 4, 1e-12);
  }

  // The same with more digits, computed from the printed readings and formulas by a
  // program apart from this one.
  OutsideCheck digits({.name = "uncertainty.gum_h2_outputs_in_full",
                       .source = "JCGM 100:2008, H.2, recomputed from table H.2",
                       .kind = "regression",
                       .tolerance = 1e-5});
  digits.Each(
      "u",
      std::array{result.outputs[0].total.standard, result.outputs[1].total.standard,
                 result.outputs[2].total.standard},
      std::array{0.071071, 0.295582, 0.236336});
  digits.Each("r", std::array{r.at(0, 1), r.at(0, 2), r.at(1, 2)},
              std::array{-0.58843, -0.48526, 0.99251});
}

TEST(GumH2Circuit, RoundedInputsGiveTheRoundedResults) {
  const std::array<MeanOfReadings, 3> means = {
      MeanOfReadings{
          .mean = 4.9990, .standard_uncertainty = 0.0032, .degrees_of_freedom = 4},
      MeanOfReadings{
          .mean = 19.6610e-3, .standard_uncertainty = 0.0095e-3, .degrees_of_freedom = 4},
      MeanOfReadings{
          .mean = 1.04446, .standard_uncertainty = 0.00075, .degrees_of_freedom = 4}};
  ASSERT_OK_AND_ASSIGN(const Propagation result,
                       PropagateCircuit(means, -0.36, 0.86, -0.65));
  const OutputMatrix r = CorrelationOf(result.covariance);
  // u(R) is 0.070 and not the 0.071 of the unrounded readings.
  OutsideCheck check({.name = "uncertainty.gum_h2_rounded_inputs",
                      .source =
                          "JCGM 100:2008, H.2, from the rounded entries of table H.2 "
                          "(results as two public test suites assert them)",
                      .tolerance = 0.5});
  check.Deviation("u(R)", std::fabs(result.outputs[0].total.standard - 0.070) / 0.001);
  check.Deviation("u(X)", std::fabs(result.outputs[1].total.standard - 0.30) / 0.01);
  check.Deviation("u(Z)", std::fabs(result.outputs[2].total.standard - 0.24) / 0.01);
  check.Deviation("r(R, X)", std::fabs(r.at(0, 1) - -0.59) / 0.01);
  check.Deviation("r(R, Z)", std::fabs(r.at(0, 2) - -0.49) / 0.01);
  check.Deviation("r(X, Z)", std::fabs(r.at(1, 2) - 0.99) / 0.01);
}

// H.3: correction of a thermometer, b(t) = y1 + y2 (t - 20).
TEST(GumH3Thermometer, CalibrationLineCarriedToAPrediction) {
  const std::vector<double> read_c = {21.521, 22.012, 22.512, 23.003, 23.507, 23.999,
                                      24.513, 25.002, 25.503, 26.010, 26.511};
  const std::vector<double> correction = {-0.171, -0.169, -0.166, -0.159, -0.164, -0.165,
                                          -0.156, -0.157, -0.159, -0.161, -0.160};
  fit::DesignMatrix design(11, 2);
  for (int i = 0; i < 11; ++i) {
    design.at(i, 0) = 1;
    design.at(i, 1) = read_c[i] - 20;
  }
  ASSERT_OK_AND_ASSIGN(
      const fit::LeastSquaresFit line,
      fit::SolveLeastSquares({.design = design, .response = correction}));
  const double u1 = line.StandardErrorOf(0);
  const double u2 = line.StandardErrorOf(1);
  const double r = line.covariance[1] / (u1 * u2);
  const double degrees_of_freedom = line.degrees_of_freedom;

  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty coefficients,
      InputUncertainty::Create(2,
                               {FromExpanded("intercept", 0, u1, 1, degrees_of_freedom),
                                FromExpanded("slope", 1, u2, 1, degrees_of_freedom)},
                               {{.first = 0, .second = 1, .coefficient = r}}));
  // b(30) and b(20).
  ASSERT_OK_AND_ASSIGN(const Propagation at,
                       Propagate(coefficients, std::array<double, 4>{1, 10, 1, 0}));

  OutsideCheck check({.name = "uncertainty.gum_h3_thermometer",
                      .source = "JCGM 100:2008, H.3, table H.6 and H.3.4",
                      .tolerance = 0.5});  // in units of the last printed digit
  const auto printed = [&](const char* what, double computed, double value, double unit) {
    check.Deviation(what, std::fabs(computed - value) / unit);
  };
  printed("y1", line.coefficients[0], -0.1712, 1e-4);
  printed("u(y1)", u1, 0.0029, 1e-4);
  printed("y2", line.coefficients[1], 0.00218, 1e-5);
  printed("u(y2)", u2, 0.00067, 1e-5);
  printed("r(y1, y2)", r, -0.930, 1e-3);
  printed("s", line.residual_sd, 0.0035, 1e-4);
  printed("b(30)", line.coefficients[0] + 10 * line.coefficients[1], -0.1494, 1e-4);
  printed("u(b(30))", at.outputs[0].total.standard, 0.0041, 1e-4);
  EXPECT_NEAR(at.outputs[0].total.degrees_of_freedom, 9, 1e-12);

  OutsideCheck digits({.name = "uncertainty.gum_h3_thermometer_in_full",
                       .source = "JCGM 100:2008, H.3, recomputed from table H.6",
                       .kind = "regression",
                       .tolerance = 2e-6});
  digits.Each("figures", std::array{u1, u2, r, at.outputs[0].total.standard},
              std::array{0.00287760, 0.00066794, -0.930430, 0.00413860});

  // A systematic error of the reference is the same at every point: it widens the
  // intercept and leaves the slope, and stays apart from the scatter.
  Component reference = FromExpanded("reference thermometer", 0, 0.005, 1);
  reference.systematic = true;
  ASSERT_OK_AND_ASSIGN(
      const InputUncertainty with_reference,
      InputUncertainty::Create(
          2,
          {FromExpanded("intercept", 0, u1, 1, degrees_of_freedom),
           FromExpanded("slope", 1, u2, 1, degrees_of_freedom), reference},
          {{.first = 0, .second = 1, .coefficient = r}}));
  ASSERT_OK_AND_ASSIGN(const Propagation widened,
                       Propagate(with_reference, std::array<double, 4>{1, 0, 0, 1}));
  OutsideCheck systematic({.name = "uncertainty.gum_h3_with_systematic",
                           .source = "JCGM 100:2008, H.3 with 0.005 degC on every point "
                                     "(result of a public test suite)",
                           .tolerance = 1e-5});
  systematic.Each(
      "u",
      std::array{widened.outputs[0].total.standard, widened.outputs[1].total.standard},
      std::array{0.0057689, 0.00066794});
  EXPECT_NEAR(widened.outputs[0].random.standard, u1, 1e-15);
  EXPECT_EQ(widened.outputs[0].systematic.standard, 0.005);
}

}  // namespace
}  // namespace ratebound::points
