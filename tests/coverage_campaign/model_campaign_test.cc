#include "tests/coverage_campaign/model_campaign.h"

#include <algorithm>
#include <string>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/coverage_campaign/machine.h"

namespace ratebound::map {
namespace {

ModelCoverage Of(const ModelReport& report, const std::string& model) {
  for (const ModelCoverage& each : report.models) {
    if (each.model == model) return each;
  }
  ADD_FAILURE() << "no " << model;
  return {};
}

double FromF(double f) { return (f - 32) / 1.8; }

// Against make_points.py --truth hall-46 cooling l, which writes the same formulas in
// another language.
TEST(CoolingMachine, GivesTheFiguresOfTheInventedLine) {
  const CoolingFigures warm =
      CoolingMachine({.wet_bulb_c = FromF(67), .water_c = FromF(85)});
  EXPECT_NEAR(warm.capacity_w, 25495.6297, 1e-3);
  EXPECT_NEAR(warm.compressor_power_w, 5424.75413, 1e-4);
  const CoolingFigures cold =
      CoolingMachine({.wet_bulb_c = FromF(72),
                      .water_c = FromF(52),
                      .air_m3_per_s = kNominalAirM3PerS * 4200 / 5400});
  EXPECT_NEAR(cold.capacity_w, 30209.9537, 1e-3);
  EXPECT_NEAR(cold.compressor_power_w, 3298.83688, 1e-4);
}

class TrueModel : public ::testing::TestWithParam<double> {};

// A quadratic truth in place of the machine's.
TEST_P(TrueModel, CoversAndOneDegreeLessDoesNot) {
  ModelPlan plan = MachinePlan(true, 2, GetParam());
  plan.campaigns = 150;
  const std::vector<fit::ScaledRange> ranges = plan.ranges;
  plan.truth = [ranges](std::span<const double> x) {
    const double a = (x[0] - ranges[0].centre) / ranges[0].half_range;
    const double b = (x[1] - ranges[1].centre) / ranges[1].half_range;
    return 5000 + 200 * a + 900 * b + 80 * a * a - 60 * a * b + 150 * b * b;
  };
  const ModelReport report = RunModels(plan);
  const double slack = 4 * report.standard_error;
  for (const char* model : {"degree 2", "degree 3 (ten coefficients)"}) {
    const ModelCoverage of = Of(report, model);
    EXPECT_LT(of.misses, 1e-9) << model;
    EXPECT_NEAR(of.mean, 0.95, slack) << model;
    EXPECT_NEAR(of.prediction, 0.95, slack) << model;
  }
  EXPECT_LT(Of(report, "degree 1").mean, 0.7);
}

INSTANTIATE_TEST_SUITE_P(DaysAndNone, TrueModel, ::testing::Values(-1, 0.6));

TEST(ModelCampaign, ReportsEveryModelOfTheMachine) {
  ModelPlan plan = MachinePlan(true, 2, 0.6);
  plan.campaigns = 20;
  const ModelReport report = RunModels(plan);
  double chosen = 0;
  for (const ModelCoverage& of : report.models) {
    chosen += of.chosen;
    EXPECT_EQ(of.refused, 0) << of.model;
    EXPECT_GT(of.half_width, 0) << of.model;
  }
  EXPECT_NEAR(chosen, 1, 1e-12);
  // The truth is of none of the forms, and each degree comes closer.
  const ModelCoverage cubic = Of(report, "degree 3 (ten coefficients)");
  EXPECT_GT(cubic.misses, 1e-5);
  EXPECT_GT(Of(report, "degree 2").misses, 2 * cubic.misses);
  EXPECT_GT(Of(report, "degree 1").misses, 2 * Of(report, "degree 2").misses);
}

}  // namespace
}  // namespace ratebound::map
