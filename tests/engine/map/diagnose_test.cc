#include "engine/map/diagnose.h"

#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/map/fit_response.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using document::FitRemark;
using document::SurfaceDiagnostics;
using document::SurfacePurpose;
using ratebound::testing::Random;
using ::testing::Contains;
using ::testing::Field;
using ::testing::Not;

struct Plan {
  std::vector<std::string> conditions = {"entering_air_wb", "entering_water_temp"};
  std::vector<std::vector<double>> columns = {{}, {}};
  std::vector<double> values;
  std::vector<std::string> ids;

  ResponseProblem Problem() const {
    return {.quantity = "power_input",
            .values = values,
            .conditions = conditions,
            .columns = columns,
            .point_ids = ids};
  }
};

Plan Noisy(int count) {
  Random random("DIAGNOSE_NOISY");
  Plan plan;
  for (int i = 0; i < count; ++i) {
    const double a = random.Uniform(14, 23), b = random.Uniform(20, 40);
    plan.columns[0].push_back(a);
    plan.columns[1].push_back(b);
    plan.values.push_back(1500 + 10 * a + 35 * b + 20 * random.Normal());
    plan.ids.push_back(absl::StrCat("p", i));
  }
  return plan;
}

auto Of(const std::string& diagnostic) {
  return Contains(Field("diagnostic", &FitRemark::diagnostic, diagnostic));
}

TEST(DiagnoseTest, AGrossErrorIsNamedByEveryFigure) {
  Plan plan = Noisy(40);
  plan.values[17] += 400;
  ASSERT_OK_AND_ASSIGN(
      const FittedSurface fitted,
      FitBestResponse(plan.Problem(), {.diagnose = true, .robust = true}));
  ASSERT_TRUE(fitted.surface.diagnostics.has_value());
  const SurfaceDiagnostics& d = *fitted.surface.diagnostics;
  EXPECT_EQ(d.studentised_point, "p17");
  EXPECT_GT(*d.greatest_studentised, 8);
  EXPECT_EQ(d.cooks_point, "p17");
  EXPECT_EQ(d.dffits_point, "p17");
  EXPECT_THAT(d.remarks, Of("studentised residual"));
  EXPECT_THAT(d.remarks, Of("normality"));
  EXPECT_THAT(d.remarks, Of("robust fit"));
  EXPECT_EQ(d.remarks[0].concern, document::FitConcern::kAct);
  ASSERT_EQ(d.points.size(), 40u);
  EXPECT_LT(*d.points[17].robustness_weight, 0.01);
  ASSERT_TRUE(d.robust_difference_fraction.has_value());
  EXPECT_GT(*d.robust_difference_fraction, 0.001);
  // The figures fit together.
  double press = 0, leverages = 0;
  for (const document::PointDiagnostics& point : d.points) {
    press +=
        point.residual * point.residual / (1 - point.leverage) / (1 - point.leverage);
    leverages += point.leverage;
    EXPECT_NEAR(
        *point.dffits,
        *point.externally_studentised * std::sqrt(point.leverage / (1 - point.leverage)),
        1e-9);
  }
  EXPECT_NEAR(d.press, press, 1e-9 * press);
  EXPECT_NEAR(leverages, 3, 1e-9);
}

TEST(DiagnoseTest, AGoodFitHasNothingToAct) {
  const Plan plan = Noisy(60);
  ASSERT_OK_AND_ASSIGN(
      const FittedSurface fitted,
      FitBestResponse(plan.Problem(), {.diagnose = true, .robust = true}));
  const SurfaceDiagnostics& d = *fitted.surface.diagnostics;
  EXPECT_THAT(
      d.remarks,
      Not(Contains(Field("concern", &FitRemark::concern, document::FitConcern::kAct))));
  EXPECT_LT(*d.robust_difference_fraction, 0.01);
  ASSERT_EQ(d.condition_inflation.size(), 2u);
  EXPECT_NEAR(d.condition_inflation[0], 1, 0.2);
  EXPECT_FALSE(d.block_error_ratio.has_value());
  EXPECT_TRUE(d.ten_coefficients_si.empty());
  // Not in releases.
  ASSERT_OK_AND_ASSIGN(const FittedSurface plain, FitBestResponse(plan.Problem()));
  EXPECT_FALSE(plain.surface.diagnostics.has_value());
  EXPECT_EQ(plain.surface.coefficients_si, fitted.surface.coefficients_si);
}

TEST(DiagnoseTest, ConditionsThatMoveTogetherAreNamed) {
  Plan plan = Noisy(30);
  for (size_t i = 0; i < 30; ++i) {
    plan.columns[1][i] = 2 * plan.columns[0][i] + 0.05 * plan.columns[1][i];
  }
  ASSERT_OK_AND_ASSIGN(
      const FittedSurface fitted,
      FitResponse(plan.Problem(), 1, SurfacePurpose::kTable, {.diagnose = true}));
  EXPECT_THAT(fitted.surface.diagnostics->remarks, Of("variance inflation"));
  EXPECT_GT(fitted.surface.diagnostics->condition_inflation[0], 10);
}

TEST(DiagnoseTest, APerfectFitGivesFiniteFigures) {
  Plan plan = Noisy(12);
  for (size_t i = 0; i < 12; ++i) {
    plan.values[i] = 100 + 3 * plan.columns[0][i] - plan.columns[1][i];
  }
  ASSERT_OK_AND_ASSIGN(const FittedSurface fitted,
                       FitResponse(plan.Problem(), 1, SurfacePurpose::kTable,
                                   {.diagnose = true, .robust = true}));
  const SurfaceDiagnostics& d = *fitted.surface.diagnostics;
  EXPECT_FALSE(d.normality_probability.has_value());
  EXPECT_NE(d.no_robust_fit, "");
  for (const document::PointDiagnostics& point : d.points) {
    EXPECT_TRUE(std::isfinite(point.internally_studentised));
    EXPECT_TRUE(std::isfinite(point.cooks_distance));
    EXPECT_TRUE(!point.dffits || std::isfinite(*point.dffits));
  }
}

// The ten coefficients in powers of the two temperatures give the surface.
TEST(DiagnoseTest, TenCoefficientsAreThoseOfTheConditionsThemselves) {
  Plan plan = Noisy(40);
  const std::vector<double> truth = {5e3,  120,  -40,  1.5,   0.7,
                                     -0.3, 0.01, 0.02, -0.03, 4e-3};
  const auto at = [&](const std::vector<double>& c, double s, double d) {
    return c[0] + c[1] * s + c[2] * d + c[3] * s * s + c[4] * s * d + c[5] * d * d +
           c[6] * s * s * s + c[7] * d * s * s + c[8] * s * d * d + c[9] * d * d * d;
  };
  for (size_t i = 0; i < 40; ++i) {
    plan.values[i] = at(truth, plan.columns[0][i], plan.columns[1][i]);
  }
  ASSERT_OK_AND_ASSIGN(
      const FittedSurface fitted,
      FitResponse(plan.Problem(), 3, SurfacePurpose::kTable, {.diagnose = true}));
  const std::vector<double>& found = fitted.surface.diagnostics->ten_coefficients_si;
  ASSERT_EQ(found.size(), 10u);
  for (size_t t = 0; t < 10; ++t) {
    EXPECT_NEAR(found[t], truth[t], 1e-9 * std::fabs(truth[0])) << t;
  }
}

}  // namespace
}  // namespace ratebound::map
