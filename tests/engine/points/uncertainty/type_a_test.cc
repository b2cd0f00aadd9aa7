#include "engine/points/uncertainty/type_a.h"

#include <cmath>
#include <limits>
#include <vector>

#include "absl/strings/str_cat.h"
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

// First-order autoregressive readings of unit variance, mean 20.
std::vector<double> Autoregressive(Random& random, int n, double phi) {
  std::vector<double> readings(n);
  double state = random.Normal();
  for (double& reading : readings) {
    reading = 20 + state;
    state = phi * state + std::sqrt(1 - phi * phi) * random.Normal();
  }
  return readings;
}

TEST(MeanOfIndependent, AgreesWithTheFormula) {
  ASSERT_OK_AND_ASSIGN(const MeanOfReadings mean,
                       MeanOfIndependent(std::vector<double>{1, 2, 3, 4}));
  EXPECT_EQ(mean.mean, 2.5);
  EXPECT_DOUBLE_EQ(mean.standard_deviation, std::sqrt(5.0 / 3));
  EXPECT_DOUBLE_EQ(mean.standard_uncertainty, std::sqrt(5.0 / 12));
  EXPECT_EQ(mean.degrees_of_freedom, 3);
  EXPECT_EQ(mean.effective_readings, 4);
}

TEST(MeanOfLog, AutocorrelationTimeOfAnAutoregressiveProcess) {
  // tau = (1 + phi) / (1 - phi), exactly; the estimate from 200,000 readings scatters by
  // about tau sqrt(2 (2 M + 1) / n) with M the lags summed: under 3 %.
  OutsideCheck check({.name = "uncertainty.autocorrelation_time_of_ar1",
                      .source =
                          "Priestley, Spectral Analysis and Time Series, 1981, 5.3.2: "
                          "tau = (1 + phi)/(1 - phi)",
                      .tolerance = 0.08});
  Random random("AUTOCORRELATION_TIME_OF_AR1");
  for (const double phi : {0.0, 0.3, 0.6, 0.9}) {
    constexpr int kReadings = 200000;
    ASSERT_OK_AND_ASSIGN(const MeanOfReadings mean,
                         MeanOfLog(Autoregressive(random, kReadings, phi)));
    check.Relative(absl::StrCat("phi ", phi), kReadings / mean.effective_readings,
                   (1 + phi) / (1 - phi));
  }
}

TEST(MeanOfLog, StatedUncertaintyIsTheScatterOfMeans) {
  // 400 logs of 600 readings; the mean square of the means' errors against the mean
  // stated variance. An s/sqrt(n) that takes readings as independent is out by 9 and 19.
  Random random("STATED_UNCERTAINTY_IS_SCATTER_OF_MEANS");
  for (const double phi : {0.8, 0.9}) {
    double squared_errors = 0;
    double stated = 0;
    double taken_as_independent = 0;
    constexpr int kLogs = 400;
    for (int log = 0; log < kLogs; ++log) {
      const std::vector<double> readings = Autoregressive(random, 600, phi);
      ASSERT_OK_AND_ASSIGN(const MeanOfReadings mean, MeanOfLog(readings));
      ASSERT_OK_AND_ASSIGN(const MeanOfReadings independent, MeanOfIndependent(readings));
      squared_errors += (mean.mean - 20) * (mean.mean - 20) / kLogs;
      stated += std::pow(mean.standard_uncertainty, 2) / kLogs;
      taken_as_independent += std::pow(independent.standard_uncertainty, 2) / kLogs;
    }
    EXPECT_NEAR(stated / squared_errors, 1, 0.25) << phi;
    EXPECT_LT(taken_as_independent / squared_errors, 0.2) << phi;
  }
}

TEST(MeanOfLog, NeverClaimsMoreThanIndependentReadingsWould) {
  std::vector<double> alternating;
  for (int i = 0; i < 100; ++i) alternating.push_back(i % 2);
  ASSERT_OK_AND_ASSIGN(const MeanOfReadings log, MeanOfLog(alternating));
  ASSERT_OK_AND_ASSIGN(const MeanOfReadings independent, MeanOfIndependent(alternating));
  EXPECT_EQ(log.effective_readings, 100);
  EXPECT_DOUBLE_EQ(log.standard_uncertainty, independent.standard_uncertainty);
}

TEST(MeanOfLog, ConstantReadingsHaveNoScatter) {
  ASSERT_OK_AND_ASSIGN(const MeanOfReadings log, MeanOfLog(std::vector<double>(50, 7.5)));
  EXPECT_EQ(log.standard_uncertainty, 0);
  EXPECT_EQ(log.effective_readings, 50);
}

TEST(MeanOfLog, ADriftCountsAsAFewReadingsHoweverMany) {
  for (const int n : {12, 100, 3000}) {
    std::vector<double> rising;
    std::vector<double> step;
    for (int i = 0; i < n; ++i) {
      rising.push_back(i);
      step.push_back(i < n / 2 ? 0 : 1);
    }
    for (const std::vector<double>& readings : {rising, step}) {
      ASSERT_OK_AND_ASSIGN(const MeanOfReadings mean, MeanOfLog(readings));
      EXPECT_GE(mean.effective_readings, 2);
      EXPECT_LT(mean.effective_readings, 5) << n;
      EXPECT_EQ(mean.degrees_of_freedom, mean.effective_readings - 1);
    }
  }
}

TEST(CorrelationOfMeans, ProportionalAndConstantReadings) {
  const std::vector<double> readings = {1, 3, 2, 5};
  const std::vector<double> opposite = {-2, -6, -4, -10};
  ASSERT_OK_AND_ASSIGN(const double r, CorrelationOfMeans(readings, opposite));
  EXPECT_NEAR(r, -1, 1e-15);
  EXPECT_GE(r, -1);
  ASSERT_OK_AND_ASSIGN(const double none,
                       CorrelationOfMeans(readings, std::vector<double>(4, 1.0)));
  EXPECT_EQ(none, 0);
}

TEST(TypeA, FaultsAreSaid) {
  EXPECT_THAT(MeanOfIndependent(std::vector<double>{1}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("at least 2")));
  EXPECT_THAT(MeanOfLog(std::vector<double>{1, 2, std::nan("")}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("reading 3")));
  EXPECT_THAT(CorrelationOfMeans(std::vector<double>{1, 2}, std::vector<double>{1, 2, 3}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("give pairs")));
}

}  // namespace
}  // namespace ratebound::points
