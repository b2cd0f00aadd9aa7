#include "engine/map/consistency.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/fluid/liquid.h"
#include "engine/map/consistency_covariance.h"
#include "engine/map/fit_line.h"
#include "engine/map/shape.h"
#include "engine/map/shape_change.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/map/fitted_stage.h"
#include "tests/testing/matchers.h"

namespace ratebound::map {
namespace {

using document::ConsistencyResult;
using document::EnergyBalance;
using document::ShapeOutcome;
using document::Surface;
using ::testing::AllOf;
using ::testing::HasSubstr;

using ::testing::SizeIs;

constexpr char kWater[] = "entering_water_temp";
constexpr char kWetBulb[] = "entering_air_wb";

double Capacity(const std::vector<double>& x) {
  return 30e3 - 200 * (x[0] - 25) + 800 * (x[1] - 18);
}
double Power(const std::vector<double>& x) { return 6e3 + 120 * (x[0] - 25); }

// Capacity and power as they are; rejection with so much more per K of water.
FittedStage Stage(double slope_w_per_k, double noise_w = 0, int rejection_degree = 2) {
  FittedStage stage({kWater, kWetBulb}, {10, 12}, {40, 24}, 6);
  stage.Measure("total_capacity", 2, Capacity, noise_w);
  stage.Measure("power_input", 2, Power, noise_w / 3);
  stage.Measure(
      "heat_rejection", rejection_degree,
      [&](const auto& x) { return Capacity(x) + Power(x) + slope_w_per_k * (x[0] - 25); },
      2 * noise_w);
  return stage;
}

document::Mode Cooling() {
  document::Mode mode{.id = "m",
                      .capacity_quantity = "total_capacity",
                      .power_quantity = "power_input",
                      .conditions = {kWater, kWetBulb}};
  mode.other_responses = {"heat_rejection"};
  return mode;
}

EnergyBalance Balance(bool jointly) {
  return {.id = "unit",
          .terms = {{"heat_rejection", 1}, {"total_capacity", -1}, {"power_input", -1}},
          .tolerance_fraction = 0.02,
          .fit_jointly = jointly};
}

ConsistencyResult Judged(FittedStage& stage, const document::Mode& mode) {
  JudgeShape({}, mode, stage.points, stage.map);
  return stage.map.consistencies.at(0);
}

TEST(Consistency, ABalanceThatClosesIsProvenByDefault) {
  FittedStage stage = Stage(0);
  const ConsistencyResult result = Judged(stage, Cooling());
  EXPECT_EQ(result.id, "whole_unit");
  EXPECT_EQ(result.text, "heat_rejection - total_capacity - power_input = 0");
  EXPECT_EQ(result.outcome, ShapeOutcome::kProven) << result.reason;
  EXPECT_EQ(result.tolerance_fraction, kBalanceTolerance);
  EXPECT_LT(std::fabs(result.greatest_mismatch_w), 1e-6);
  EXPECT_LT(result.mismatch_bound_w, 1e-3);
}

// 60 W/K over 15 K either way: 900 W at the ends of the water range. Of the rejection
// that is most where it is least: 40 degC and 12 degC wet bulb, 31.05 kW.
TEST(Consistency, TheGreatestMismatchIsFoundWithItsPlace) {
  FittedStage stage = Stage(60);
  document::Mode mode = Cooling();
  mode.energy_balances = {Balance(false)};
  const ConsistencyResult result = Judged(stage, mode);
  EXPECT_EQ(result.outcome, ShapeOutcome::kRefuted);
  EXPECT_NEAR(std::fabs(result.greatest_mismatch_w), 900, 1e-6);
  EXPECT_GE(result.mismatch_bound_w, 900 - 1e-6);
  EXPECT_LE(result.mismatch_bound_w, 900.01);
  const double rejection = Capacity({40, 12}) + Power({40, 12}) + 900;
  const double cold = Capacity({10, 12}) + Power({10, 12}) - 900;
  EXPECT_NEAR(result.greatest_fraction, 900 / std::min(rejection, cold), 1e-9);
  EXPECT_DOUBLE_EQ(result.greatest_fraction_at_si[1], 12);
  EXPECT_THAT(result.reason, AllOf(HasSubstr("does not close"), HasSubstr("900 W")));
  EXPECT_FALSE(result.fitted_jointly);

  mode.energy_balances[0].tolerance_fraction = result.greatest_fraction * 1.001;
  EXPECT_EQ(Judged(stage, mode).outcome, ShapeOutcome::kProven);
  mode.energy_balances[0].tolerance_fraction = result.greatest_fraction * 0.999;
  EXPECT_EQ(Judged(stage, mode).outcome, ShapeOutcome::kRefuted);
}

TEST(Consistency, FittedTogetherTheBalanceClosesToRounding) {
  for (const int rejection_degree : {2, 3}) {
    FittedStage stage = Stage(20, 150, rejection_degree);
    document::Mode mode = Cooling();
    mode.energy_balances = {Balance(true)};
    const std::vector<Surface> before = stage.map.surfaces;
    const ConsistencyResult result = Judged(stage, mode);
    EXPECT_TRUE(result.fitted_jointly) << result.joint_refusal;
    EXPECT_EQ(result.outcome, ShapeOutcome::kProven) << result.reason;
    EXPECT_GT(std::fabs(result.mismatch_before_w), 100);
    EXPECT_LT(std::fabs(result.greatest_mismatch_w), 1e-9);
    ASSERT_THAT(result.joint_changes, SizeIs(3));
    for (const document::JointChange& change : result.joint_changes) {
      EXPECT_EQ(change.degree, rejection_degree);
      EXPECT_NE(change.greatest_change_si, 0);
      EXPECT_NE(change.greatest_change_point, "");
    }
    // Proof surfaces stand.
    for (size_t k = 1; k < before.size(); k += 2) {
      EXPECT_EQ(stage.map.surfaces[k], before[k]);
    }
    // The noisiest gives way most: rejection has twice the scatter of capacity, and six
    // times that of power.
    EXPECT_GT(std::fabs(result.joint_changes[0].greatest_change_si),
              2 * std::fabs(result.joint_changes[1].greatest_change_si));
    EXPECT_GT(std::fabs(result.joint_changes[0].greatest_change_si),
              8 * std::fabs(result.joint_changes[2].greatest_change_si));
  }
}

// Generalised least squares by the whole system (Zellner 1962; restricted by Lagrange's
// multipliers), solved here for one term by one: with identical regressors it separates
// into b - S f (f' S f)^-1 f' b.
TEST(Consistency, TheJointFitIsTheRestrictedOptimum) {
  FittedStage stage = Stage(20, 150);
  const document::StageMap apart = stage.map;
  std::vector<Surface> fitted;
  for (const char* quantity : {"heat_rejection", "total_capacity", "power_input"}) {
    fitted.push_back(*FindSurface(apart, quantity, document::SurfacePurpose::kTable));
  }
  ASSERT_OK_AND_ASSIGN(const std::vector<double> s,
                       ResidualCovariance(apart, stage.points, fitted));
  document::Mode mode = Cooling();
  mode.energy_balances = {Balance(true)};
  Judged(stage, mode);
  const double f[] = {1, -1, -1};
  // At the optimum S^-1 (b - b0) is a multiple of f, so that (b - b0) is one of S f.
  for (size_t t = 0; t < fitted[0].coefficients_si.size(); ++t) {
    double moved[3];
    double along[3] = {};
    for (int k = 0; k < 3; ++k) {
      moved[k] =
          FindSurface(stage.map, fitted[k].quantity, document::SurfacePurpose::kTable)
              ->coefficients_si[t] -
          fitted[k].coefficients_si[t];
      for (int l = 0; l < 3; ++l) along[k] += s[k * 3 + l] * f[l];
    }
    for (int k = 1; k < 3; ++k) {
      EXPECT_NEAR(moved[k] * along[0], moved[0] * along[k],
                  1e-9 * std::fabs(moved[0] * along[0]) + 1e-9);
    }
  }
}

TEST(Consistency, DataThatCloseLeaveTheSurfacesNearlyAlone) {
  FittedStage stage = Stage(0);
  document::Mode mode = Cooling();
  mode.energy_balances = {Balance(true)};
  const ConsistencyResult result = Judged(stage, mode);
  EXPECT_TRUE(result.fitted_jointly);
  for (const document::JointChange& change : result.joint_changes) {
    EXPECT_LT(std::fabs(change.greatest_change_si), 1e-8);
  }
}

TEST(Consistency, ATieIsKeptWhenSurfacesAreBent) {
  FittedStage stage = Stage(20, 400);
  document::Mode mode = Cooling();
  mode.energy_balances = {Balance(true)};
  mode.constrain_to_shape_facts = true;
  // Power may not depend on wet bulb downwards; noise alone makes its slope change sign.
  mode.shape_facts = {{.id = "f",
                       .kind = document::ShapeKind::kRises,
                       .quantity = "power_input",
                       .condition = kWetBulb}};
  const ConsistencyResult result = Judged(stage, mode);
  ASSERT_FALSE(stage.map.shape_refits.empty());
  EXPECT_EQ(stage.map.shape_refits[0].refusal, "");
  EXPECT_EQ(stage.map.shapes[0].outcome, ShapeOutcome::kProven);
  EXPECT_LT(std::fabs(result.greatest_mismatch_w), 1e-6);
}

TEST(Consistency, AQuantityOfTwoJointBalancesIsRefusedInTheSecond) {
  FittedStage stage = Stage(20, 150);
  document::Mode mode = Cooling();
  mode.energy_balances = {Balance(true), Balance(true)};
  mode.energy_balances[1].id = "again";
  Judged(stage, mode);
  ASSERT_THAT(stage.map.consistencies, SizeIs(2));
  EXPECT_TRUE(stage.map.consistencies[0].fitted_jointly);
  EXPECT_FALSE(stage.map.consistencies[1].fitted_jointly);
  EXPECT_THAT(stage.map.consistencies[1].joint_refusal, HasSubstr("before this one"));
}

TEST(Consistency, AMissingSurfaceIsSaid) {
  FittedStage stage({kWater, kWetBulb}, {10, 12}, {40, 24}, 6);
  stage.Measure("total_capacity", 2, Capacity);
  document::Mode mode = Cooling();
  mode.energy_balances = {Balance(true)};
  const ConsistencyResult result = Judged(stage, mode);
  EXPECT_EQ(result.outcome, ShapeOutcome::kNotJudged);
  EXPECT_THAT(result.reason, HasSubstr("heat_rejection"));
  EXPECT_THAT(result.joint_refusal, HasSubstr("heat_rejection"));
}

TEST(Consistency, HeatingIsBalancedByWhatIsAbsorbed) {
  FittedStage stage({kWater, kWetBulb}, {10, 12}, {40, 24}, 6);
  stage.map.capacity_quantity = "heating_capacity";
  stage.map.heating = true;
  stage.Measure("heating_capacity", 2, Capacity);
  stage.Measure("power_input", 2, Power);
  stage.Measure("heat_absorbed", 2, [](const auto& x) { return Capacity(x) - Power(x); });
  document::Mode mode = Cooling();
  mode.kind = document::ModeKind::kHeating;
  mode.capacity_quantity = "heating_capacity";
  EXPECT_EQ(Judged(stage, mode).outcome, ShapeOutcome::kProven);
}

// Leaving water by IAPWS properties, with flow as a condition.
TEST(Consistency, LeavingWaterIsLookedAtAtThePointsAndSaysSo) {
  FittedStage stage({kWater, "water_flow"}, {15, 1e-3}, {35, 2e-3}, 7);
  const auto power = [](const auto& x) { return 6e3 + 120 * (x[0] - 25); };
  const auto capacity = [](const auto& x) { return 30e3 - 200 * (x[0] - 25); };
  stage.Measure("total_capacity", 2, capacity);
  stage.Measure("power_input", 2, power);
  const auto leaving = [&](const auto& x) {
    const fluid::Liquid water;
    const double heat = fluid::Density(water, x[0] + 3, 300e3) *
                        fluid::SpecificHeat(water, x[0] + 3, 300e3);
    return x[0] + (capacity(x) + power(x)) / (heat * x[1]);
  };
  stage.Measure("leaving_water_temp", 3, leaving);
  const ConsistencyResult result = Judged(stage, Cooling());
  EXPECT_EQ(result.id, "leaving_water_temp");
  EXPECT_TRUE(result.at_points_only);
  EXPECT_EQ(result.outcome, ShapeOutcome::kUndecided);
  EXPECT_LT(result.greatest_fraction, 0.02);
  EXPECT_THAT(result.reason, HasSubstr("only looked at there"));

  // A thermometer 1 K off is some 15 %.
  for (Surface& surface : stage.map.surfaces) {
    if (surface.quantity == "leaving_water_temp") surface.coefficients_si[0] += 1;
  }
  EXPECT_EQ(Judged(stage, Cooling()).outcome, ShapeOutcome::kRefuted);
}

TEST(Consistency, CovarianceOfCapacityAndPowerIsThatOfTheirSum) {
  FittedStage stage = Stage(0, 150);
  Judged(stage, Cooling());
  ASSERT_THAT(stage.map.response_covariances, SizeIs(1));
  const document::ResponseCovariance& between = stage.map.response_covariances[0];
  EXPECT_EQ(between.first, "total_capacity");
  EXPECT_EQ(between.second, "power_input");
  EXPECT_LE(std::fabs(between.residual_correlation), 1);
  // V(a - 3 b) = V(a) + 9 V(b) - 6 V(a, b).
  const WeightedQuantity terms[] = {{"total_capacity", 1}, {"power_input", -3}};
  ASSERT_OK_AND_ASSIGN(const Surface combined,
                       FitCombination(stage.map, stage.points, terms, between.degree));
  const auto& a =
      *FindSurface(stage.map, "total_capacity", document::SurfacePurpose::kProof);
  const auto& b =
      *FindSurface(stage.map, "power_input", document::SurfacePurpose::kProof);
  ASSERT_EQ(combined.covariance_si.size(), between.coefficient_covariance_si.size());
  for (size_t k = 0; k < combined.covariance_si.size(); ++k) {
    EXPECT_NEAR(combined.covariance_si[k],
                a.covariance_si[k] + 9 * b.covariance_si[k] -
                    6 * between.coefficient_covariance_si[k],
                1e-9 * combined.covariance_si[0]);
  }
}

// A disturbance that both share shows as correlation.
TEST(Consistency, ASharedDisturbanceIsCorrelation) {
  for (const double sign : {1.0, -1.0}) {
    FittedStage stage({kWater, kWetBulb}, {10, 12}, {40, 24}, 6);
    testing::Random shared("A_SHARED_DISTURBANCE");
    testing::Random again("A_SHARED_DISTURBANCE");
    stage.Measure(
        "total_capacity", 2,
        [&](const auto& x) { return Capacity(x) + 300 * shared.Normal(); }, 30);
    stage.Measure(
        "power_input", 2,
        [&](const auto& x) { return Power(x) + sign * 100 * again.Normal(); }, 10);
    Judged(stage, [] {
      document::Mode mode = Cooling();
      mode.energy_balances = {Balance(false)};
      return mode;
    }());
    EXPECT_GT(sign * stage.map.response_covariances.at(0).residual_correlation, 0.95);
  }
}

}  // namespace
}  // namespace ratebound::map
