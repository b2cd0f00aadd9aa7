#include "engine/map/shape.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/fit/constrained.h"
#include "engine/map/shape_change.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/map/fitted_stage.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using document::ShapeFact;
using document::ShapeKind;
using document::ShapeOutcome;
using document::ShapeRefit;
using document::ShapeResult;
using document::Surface;
using ::testing::AllOf;

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

ShapeFact Positive(const std::string& quantity, double limit_si = 0) {
  return {.id = "positive", .quantity = quantity, .limit_si = limit_si, .reason = "r"};
}
ShapeFact Rises(const std::string& quantity, const std::string& condition) {
  return {.id = "rises",
          .kind = ShapeKind::kRises,
          .quantity = quantity,
          .condition = condition,
          .reason = "r"};
}
ShapeFact Falls(const std::string& quantity, const std::string& condition) {
  ShapeFact fact = Rises(quantity, condition);
  fact.id = "falls";
  fact.kind = ShapeKind::kFalls;
  return fact;
}
ShapeFact AtMost(const std::string& quantity, const std::string& other,
                 double offset_si = 0) {
  return {.id = "at-most",
          .kind = ShapeKind::kAtMostOther,
          .quantity = quantity,
          .other_quantity = other,
          .limit_si = offset_si,
          .reason = "r"};
}

constexpr char kWater[] = "entering_water_temp";
constexpr char kWetBulb[] = "entering_air_wb";

FittedStage Stage(int levels = 6) {
  return FittedStage({kWater, kWetBulb}, {10, 12}, {40, 24}, levels);
}

void Judge(const std::vector<ShapeFact>& facts, FittedStage& stage,
           bool constrain = false) {
  document::Mode mode{
      .id = "m", .capacity_quantity = "total_capacity", .power_quantity = "power_input"};
  mode.shape_facts = facts;
  mode.constrain_to_shape_facts = constrain;
  JudgeShape({}, mode, stage.points, stage.map);
}

const Surface& TableOf(const FittedStage& stage, const std::string& quantity) {
  return *JudgedSurface(stage.map, quantity).value();
}

TEST(Shape, FactsThatAreTrueAreProven) {
  FittedStage stage = Stage();
  stage.Measure("total_capacity", 2, [](const auto& x) {
    return 50e3 - 300 * (x[0] - 25) + 1000 * (x[1] - 18) - 2 * x[0] * x[0];
  });
  stage.Measure("sensible_capacity", 1,
                [](const auto& x) { return 30e3 - 200 * (x[0] - 25); });
  stage.Measure("power_input", 2,
                [](const auto& x) { return 10e3 + 200 * x[0] + 3 * x[0] * x[1]; });
  Judge({Positive("power_input"), Positive("total_capacity", 20e3),
         Falls("total_capacity", kWater), Rises("total_capacity", kWetBulb),
         Rises("power_input", kWater), AtMost("sensible_capacity", "total_capacity")},
        stage);
  ASSERT_THAT(stage.map.shapes, SizeIs(6));
  for (const ShapeResult& result : stage.map.shapes) {
    EXPECT_EQ(result.outcome, ShapeOutcome::kProven) << result.fact.id << result.reason;
    EXPECT_GT(result.worst_margin_si, 0);
    EXPECT_LE(result.margin_bound_si, result.worst_margin_si);
    EXPECT_EQ(result.failing_fraction_high, 0);
    EXPECT_LE(result.box_count, 4);
    EXPECT_THAT(result.reason, HasSubstr("holds over the tested ranges"));
  }
  // Capacity falls least where water is coldest: 300 + 4 * 10 W/K.
  EXPECT_NEAR(stage.map.shapes[2].worst_margin_si, 340, 1e-6);
  EXPECT_THAT(stage.map.shapes[2].reason, HasSubstr("W per K"));
  EXPECT_DOUBLE_EQ(stage.map.shapes[2].worst_point_si[0], 10);
  EXPECT_THAT(stage.map.shape_refits, IsEmpty());
}

// f = 1000 - 40 (x - 30)^2 + ... rises up to x = 30 of 10 to 40: fails over a third.
TEST(Shape, AFalseFactIsRefutedWithItsPlaceAndItsPart) {
  FittedStage stage = Stage();
  stage.Measure("power_input", 2, [](const auto& x) {
    return 9000 - 4 * (x[0] - 30) * (x[0] - 30) + 20 * x[1];
  });
  Judge({Rises("power_input", kWater)}, stage);
  const ShapeResult& result = stage.map.shapes[0];
  EXPECT_EQ(result.outcome, ShapeOutcome::kRefuted);
  EXPECT_NEAR(result.worst_margin_si, -80, 1e-6);
  EXPECT_DOUBLE_EQ(result.worst_point_si[0], 40);
  EXPECT_NEAR(result.failing_fraction_low, 1.0 / 3, 1e-4);
  EXPECT_NEAR(result.failing_fraction_high, 1.0 / 3, 1e-3);
  EXPECT_LE(result.failing_fraction_low, result.failing_fraction_high);
  EXPECT_THAT(result.reason,
              AllOf(HasSubstr("fails over"), HasSubstr("entering_water_temp 40 degC")));
}

// The least value is 0 exactly, at one point: rounding decides nothing.
TEST(Shape, AFactThatTouchesItsLimitIsUndecidedAndSaysSo) {
  FittedStage stage = Stage();
  stage.Measure("power_input", 2, [](const auto& x) { return x[0] + x[1]; });
  for (Surface& surface : stage.map.surfaces) {
    surface.coefficients_si = {0, 0, 0, 1, 0, 1};  // z0^2 + z1^2
  }
  Judge({Positive("power_input")}, stage);
  const ShapeResult& result = stage.map.shapes[0];
  EXPECT_EQ(result.outcome, ShapeOutcome::kUndecided) << result.reason;
  EXPECT_NEAR(result.worst_margin_si, 0, 1e-12);
  EXPECT_EQ(result.failing_fraction_low, 0);
  EXPECT_THAT(result.reason, HasSubstr("touches its limit"));
}

TEST(Shape, AFactWithoutASurfaceIsNotJudged) {
  FittedStage stage = Stage();
  stage.Measure("power_input", 1, [](const auto& x) { return 1000 + x[0]; });
  Judge({Positive("total_capacity"), AtMost("power_input", "total_capacity"),
         Rises("power_input", "air_flow")},
        stage);
  EXPECT_EQ(stage.map.shapes[0].outcome, ShapeOutcome::kNotJudged);
  EXPECT_THAT(stage.map.shapes[0].reason, HasSubstr("no surface of total_capacity"));
  EXPECT_EQ(stage.map.shapes[1].outcome, ShapeOutcome::kNotJudged);
  EXPECT_THAT(stage.map.shapes[2].reason, HasSubstr("no surface depends on air_flow"));
}

TEST(Shape, AFactOfAnotherRegimeIsPassedOver) {
  FittedStage stage = Stage();
  stage.Measure("power_input", 1, [](const auto& x) { return 1000 + x[0]; });
  stage.map.regime = "dry_coil";
  ShapeFact wet = Positive("power_input");
  wet.regime = "wet_coil";
  ShapeFact dry = Positive("power_input");
  dry.regime = "dry_coil";
  Judge({wet, dry}, stage);
  ASSERT_THAT(stage.map.shapes, SizeIs(1));
  EXPECT_EQ(stage.map.shapes[0].fact.regime, "dry_coil");
}

// What fails only in a corner that was never tested is proven all the same.
TEST(Shape, WhatWasNeverTestedDoesNotCount) {
  FittedStage stage = Stage();
  stage.Measure("power_input", 1, [](const auto& x) { return x[0] - 9 + x[1] - 12; });
  Judge({Positive("power_input", 1.5)}, stage);
  EXPECT_EQ(stage.map.shapes[0].outcome, ShapeOutcome::kRefuted);

  // Without the points about the cold corner, and with a short reach of the others.
  document::StageMap cut = stage.map;
  cut.nearest_point_fraction = 0.15;
  cut.point_ids.clear();
  cut.point_conditions_si.clear();
  for (size_t k = 0; k < stage.points.size(); ++k) {
    const double water = stage.columns[0][k];
    const double wet_bulb = stage.columns[1][k];
    if (water < 20 && wet_bulb < 16) continue;
    cut.point_ids.push_back(stage.points[k].id);
    cut.point_conditions_si.push_back(water);
    cut.point_conditions_si.push_back(wet_bulb);
  }
  const ShapeResult result = JudgeFact(Positive("power_input", 1.5), cut);
  EXPECT_EQ(result.outcome, ShapeOutcome::kProven) << result.reason;
  EXPECT_LT(result.margin_bound_si, 0);  // over all ranges it would not hold
  EXPECT_GT(result.worst_margin_si, 0);
  EXPECT_THAT(result.reason, HasSubstr("the tested region"));
}

TEST(ShapeRefit, ASurfaceThatObeysIsNotTouchedToTheLastBit) {
  FittedStage stage = Stage();
  stage.Measure(
      "power_input", 2, [](const auto& x) { return 5000 + 100 * x[0]; }, 30);
  const document::StageMap before = stage.map;
  Judge({Positive("power_input"), Rises("power_input", kWater)}, stage, true);
  EXPECT_EQ(stage.map.surfaces, before.surfaces);
  EXPECT_THAT(stage.map.shape_refits, IsEmpty());
  EXPECT_EQ(stage.map.shapes[0].outcome_before_refit, ShapeOutcome::kUnspecified);
}

// A saturating truth, noisy: the quadratic turns down at the end, the refit may not.
TEST(ShapeRefit, ABentSurfaceIsProvenByTheSameProver) {
  testing::Random random("A_BENT_SURFACE_IS_PROVEN");
  int bent = 0;
  for (int round = 0; round < 12; ++round) {
    const int degree = random.Integer(2, 3);
    FittedStage stage = Stage(7);
    const double knee = random.Uniform(20, 35);
    stage.Measure("heating_capacity", degree, [&](const auto& x) {
      return 8000 + 150 * std::min(x[0], knee) + 40 * (x[1] - 12) + 50 * random.Normal();
    });
    const Surface before = TableOf(stage, "heating_capacity");
    const Surface proof = stage.map.surfaces[1];
    Judge({Rises("heating_capacity", kWater), Rises("heating_capacity", kWetBulb),
           Positive("heating_capacity")},
          stage, true);
    if (stage.map.shape_refits.empty()) continue;
    const ShapeRefit& refit = stage.map.shape_refits[0];
    EXPECT_EQ(refit.refusal, "");
    for (const ShapeResult& result : stage.map.shapes) {
      EXPECT_EQ(result.outcome, ShapeOutcome::kProven) << result.reason;
      EXPECT_NE(result.outcome_before_refit, ShapeOutcome::kUnspecified);
    }
    ++bent;
    const Surface& after = TableOf(stage, "heating_capacity");
    EXPECT_NE(after.coefficients_si, before.coefficients_si);
    EXPECT_EQ(stage.map.surfaces[1], proof);
    EXPECT_GT(refit.residual_sd_after_si, refit.residual_sd_before_si);
    EXPECT_LT(refit.residual_sd_after_si, 2 * refit.residual_sd_before_si);
    EXPECT_GT(refit.active_count, 0);
    EXPECT_LE(refit.stationarity, 1e-9);
    EXPECT_LE(refit.infeasibility, 1e-9);
    EXPECT_LE(refit.complementarity, 1e-9);
    // The stated figures are those of the points.
    double sum = 0;
    double greatest = 0;
    for (size_t k = 0; k < stage.points.size(); ++k) {
      const std::vector<double> x = {stage.columns[0][k], stage.columns[1][k]};
      const double residual =
          *stage.points[k].Find("heating_capacity") - ValueAt(after, x);
      sum += residual * residual;
      greatest = std::max(greatest, std::fabs(ValueAt(after, x) - ValueAt(before, x)));
    }
    const double degrees =
        static_cast<double>(stage.points.size() - after.coefficients_si.size());
    EXPECT_NEAR(refit.residual_sd_after_si, std::sqrt(sum / degrees),
                1e-6 * refit.residual_sd_after_si);
    EXPECT_NEAR(std::fabs(refit.greatest_change_si), greatest, 1e-6 * greatest);
    // Sampled, too, it never falls.
    for (int k = 0; k < 200; ++k) {
      const double wet_bulb = random.Uniform(12, 24);
      const double low = random.Uniform(10, 39);
      EXPECT_LE(ValueAt(after, {low, wet_bulb}), ValueAt(after, {low + 1, wet_bulb}));
    }
  }
  EXPECT_GE(bent, 6);
}

// Sensible above total where the air is dry: both give way, the noisier one more.
TEST(ShapeRefit, TwoQuantitiesGiveWayByTheirScatter) {
  FittedStage stage = Stage();
  stage.Measure(
      "total_capacity", 1, [](const auto& x) { return 20e3 + 500 * (x[1] - 15); }, 20);
  stage.Measure(
      "sensible_capacity", 1, [](const auto& x) { return 20e3 + 100 * (x[1] - 15); },
      200);
  Judge({AtMost("sensible_capacity", "total_capacity")}, stage, true);
  EXPECT_EQ(stage.map.shapes[0].outcome, ShapeOutcome::kProven);
  EXPECT_EQ(stage.map.shapes[0].outcome_before_refit, ShapeOutcome::kRefuted);
  ASSERT_THAT(stage.map.shape_refits, SizeIs(2));
  double change[2] = {};
  for (const ShapeRefit& refit : stage.map.shape_refits) {
    change[refit.quantity == "total_capacity"] = refit.greatest_change_si;
  }
  EXPECT_LT(change[0], 0);  // sensible comes down,
  EXPECT_GT(change[1], 0);  // total goes up,
  // by the ratio of their variances: about a hundred.
  EXPECT_GT(-change[0], 30 * change[1]);
}

TEST(ShapeRefit, FactsThatContradictAreNamedAndNothingIsChanged) {
  FittedStage stage = Stage();
  stage.Measure(
      "power_input", 2, [](const auto& x) { return 5000 + 100 * x[0]; }, 30);
  const std::vector<Surface> before = stage.map.surfaces;
  Judge({Rises("power_input", kWater), Falls("power_input", kWater)}, stage, true);
  ASSERT_THAT(stage.map.shape_refits, SizeIs(1));
  EXPECT_THAT(stage.map.shape_refits[0].refusal,
              AllOf(HasSubstr("rises"), HasSubstr("falls")));
  EXPECT_EQ(stage.map.surfaces, before);
  EXPECT_EQ(stage.map.shapes[1].outcome, ShapeOutcome::kRefuted);
}

// The inequalities are enough, and little more: what the refit costs lies between the
// cost of obeying at a grid of points alone, which is too cheap, and a twentieth above.
TEST(ShapeRefit, CostsLittleMoreThanObeyingAtAGrid) {
  FittedStage stage({kWater, kWetBulb}, {10, 12}, {40, 24}, 8);
  stage.Measure(
      "total_capacity", 3,
      [](const auto& x) {
        return 50e3 + 300 * std::min(x[0], 28.0) + 750 * std::min(x[1], 19.2) -
               15 * x[0] * (x[1] - 18);
      },
      300);
  const Surface before = TableOf(stage, "total_capacity");
  Judge({Rises("total_capacity", kWater), Rises("total_capacity", kWetBulb)}, stage,
        true);
  ASSERT_THAT(stage.map.shape_refits, SizeIs(1));
  EXPECT_GT(stage.map.shape_refits[0].parts, 1);

  const int terms = static_cast<int>(before.coefficients_si.size());
  fit::QuadraticProgram grid{.centre = before.coefficients_si};
  for (int i = 0; i < terms; ++i) {
    for (int j = 0; j < terms; ++j) {
      grid.inverse_hessian.push_back(TriangleEntry(before.leverage_matrix, i, j));
    }
  }
  for (int k = 0; k < 41 * 41; ++k) {
    const double z[] = {-1 + 0.05 * (k % 41), -1 + 0.05 * (k / 41)};
    for (int by = 0; by < 2; ++by) {
      for (int t = 0; t < terms; ++t) {
        double entry = before.exponents[t * 2 + by];
        for (int v = 0; v < 2; ++v) {
          for (int e = before.exponents[t * 2 + v] - (v == by); e > 0; --e) entry *= z[v];
        }
        grid.normals.push_back(entry);
      }
      grid.limits.push_back(0);
    }
  }
  ASSERT_OK_AND_ASSIGN(const fit::QuadraticSolution sampled, fit::SolveQuadratic(grid));
  const double degrees = static_cast<double>(stage.points.size()) - terms;
  const double least = std::sqrt(before.residual_sd_si * before.residual_sd_si +
                                 sampled.added_sum_of_squares / degrees);
  EXPECT_GE(stage.map.shape_refits[0].residual_sd_after_si, least * (1 - 1e-9));
  EXPECT_LE(stage.map.shape_refits[0].residual_sd_after_si, least * 1.05);
}

// Terms that a restricted model does not have stay out of it.
TEST(ShapeRefit, TermsThatWereNotFittedStayNothing) {
  FittedStage stage = Stage();
  stage.Measure(
      "power_input", 2, [](const auto& x) { return 5000 + 60 * std::min(x[0], 25.0); },
      20);
  Surface& surface = stage.map.surfaces[0];
  // z1^2, the last of six terms.
  ASSERT_EQ(surface.exponents[11], 2);
  surface.coefficients_si[5] = 0;
  for (int j = 0; j < 6; ++j) surface.leverage_matrix[15 + j] = 0;
  ASSERT_THAT(FittedTerms(surface), SizeIs(5));
  Judge({Rises("power_input", kWater)}, stage, true);
  ASSERT_THAT(stage.map.shape_refits, SizeIs(1));
  EXPECT_EQ(stage.map.shape_refits[0].refusal, "");
  EXPECT_NE(stage.map.shape_refits[0].greatest_change_si, 0);
  EXPECT_EQ(TableOf(stage, "power_input").coefficients_si[5], 0);
  EXPECT_EQ(stage.map.shapes[0].outcome, ShapeOutcome::kProven);
}

TEST(Shape, ASurfaceOfAnotherFormIsNotJudged) {
  FittedStage stage = Stage();
  stage.Measure("power_input", 1, [](const auto& x) { return 1000 + x[0]; });
  stage.map.surfaces[0].form.emplace().response_transform =
      document::ResponseTransform::kLog;
  Judge({Positive("power_input")}, stage, true);
  EXPECT_EQ(stage.map.shapes[0].outcome, ShapeOutcome::kNotJudged);
  EXPECT_THAT(stage.map.shapes[0].reason, HasSubstr("no plain polynomial"));
  EXPECT_THAT(stage.map.shape_refits, IsEmpty());
}

TEST(Shape, JudgedTwiceIsTheSame) {
  const auto judged = [] {
    FittedStage stage = Stage();
    stage.Measure(
        "power_input", 3, [](const auto& x) { return 5000 + 60 * std::min(x[0], 28.0); },
        40);
    Judge({Rises("power_input", kWater)}, stage, true);
    return stage.map;
  };
  const document::StageMap first = judged();
  EXPECT_EQ(first, judged());
  EXPECT_THAT(first.shape_refits, SizeIs(1));
}

}  // namespace
}  // namespace ratebound::map
