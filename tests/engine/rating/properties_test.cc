// What must hold of any rating by weighted points, over random units.
//
// Raising one stage's power alone can raise some metrics; scaling all powers up never
// does.
#include <algorithm>
#include <vector>

#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::rating {
namespace {

using document::BracketCondition;
using document::Procedure;
using document::Rating;
using ratebound::testing::Random;

struct StageLaw {
  double capacity_w;
  double slope_per_k;  // of capacity and efficiency, down with warmer water
  double cop;
};

std::vector<StageLaw> RandomStages(Random& random) {
  std::vector<StageLaw> stages;
  double capacity_w = random.Uniform(10e3, 60e3);
  const int count = random.Integer(1, 5);
  for (int i = 0; i < count; ++i) {
    stages.push_back({capacity_w, random.Uniform(0, 0.015), random.Uniform(3, 8)});
    capacity_w *= random.Uniform(1.05, 2);
  }
  return stages;
}

RatedUnit UnitOf(const std::vector<StageLaw>& laws, double capacity_scale = 1,
                 double power_scale = 1) {
  std::vector<ChillerStage> stages;
  for (const StageLaw& law : laws) {
    stages.push_back([=](double water_c) {
      const double relief = 1 - law.slope_per_k * (water_c - 30);
      const double capacity_w = law.capacity_w * relief;
      const double power_w = capacity_w / (law.cop * relief);
      return Figures(capacity_scale * capacity_w, power_scale * power_w);
    });
  }
  return Chiller(stages);
}

Procedure RandomProcedure(Random& random) {
  Procedure procedure = FourPoints();
  if (random.Integer(0, 1) == 1) {
    procedure.part_load->bracket_condition = BracketCondition::kOwnLoad;
  }
  if (random.Integer(0, 1) == 1) {
    procedure.part_load->interpolated = document::InterpolatedFigure::kSpecificPower;
  }
  if (random.Integer(0, 1) == 1) {
    procedure.aggregation = document::Aggregation::kWeightedHarmonic;
  }
  return procedure;
}

// Efficiency whichever way round the metric is; 0 where refused.
double Efficiency(const Procedure& procedure, const RatedUnit& unit) {
  absl::StatusOr<Rating> rating = RateUnit(procedure, unit);
  EXPECT_TRUE(rating.ok()) << rating.status();
  if (!rating.ok() || !rating->value) return 0;
  return procedure.aggregation == document::Aggregation::kWeightedHarmonic
             ? 1 / *rating->value
             : *rating->value;
}

constexpr int kUnits = 500;

TEST(RatingProperties, ScalingAllPowersUpNeverRaisesTheMetric) {
  Random random("ScalingAllPowersUpNeverRaisesTheMetric");
  for (int i = 0; i < kUnits; ++i) {
    const Procedure procedure = RandomProcedure(random);
    const std::vector<StageLaw> laws = RandomStages(random);
    const double scale = random.Uniform(1, 3);
    const double plain = Efficiency(procedure, UnitOf(laws));
    const double scaled = Efficiency(procedure, UnitOf(laws, 1, scale));
    ASSERT_LE(scaled, plain) << i;
    ASSERT_NEAR(scaled * scale, plain, 1e-9 * plain) << i;
  }
}

TEST(RatingProperties, ScalingCapacitiesAndPowersTogetherChangesNothing) {
  Random random("ScalingCapacitiesAndPowersTogetherChangesNothing");
  for (int i = 0; i < kUnits; ++i) {
    const Procedure procedure = RandomProcedure(random);
    const std::vector<StageLaw> laws = RandomStages(random);
    // A power of two scales without rounding, so nothing may change at all.
    ASSERT_EQ(Efficiency(procedure, UnitOf(laws)),
              Efficiency(procedure, UnitOf(laws, 4, 4)));
    const double scale = random.Uniform(0.1, 10);
    const double plain = Efficiency(procedure, UnitOf(laws));
    ASSERT_NEAR(Efficiency(procedure, UnitOf(laws, scale, scale)), plain, 1e-8 * plain)
        << i;
  }
}

TEST(RatingProperties, TheMetricLiesBetweenItsWorstAndBestPoint) {
  Random random("TheMetricLiesBetweenItsWorstAndBestPoint");
  int rated = 0;
  for (int i = 0; i < kUnits; ++i) {
    const Procedure procedure = RandomProcedure(random);
    absl::StatusOr<Rating> rating = RateUnit(procedure, UnitOf(RandomStages(random)));
    ASSERT_TRUE(rating.ok());
    if (!rating->value) continue;
    ++rated;
    double least = 1e300;
    double greatest = 0;
    for (const document::TraceStep& step : rating->trace) {
      if (step.depth != 1) continue;
      least = std::min(least, step.value);
      greatest = std::max(greatest, step.value);
    }
    ASSERT_GE(*rating->value, least * (1 - 1e-14)) << i;
    ASSERT_LE(*rating->value, greatest * (1 + 1e-14)) << i;
  }
  EXPECT_GT(rated, kUnits / 2);
}

TEST(RatingProperties, ConstantEfficiencyWithoutDegradationIsTheMetric) {
  Random random("ConstantEfficiencyWithoutDegradationIsTheMetric");
  for (int i = 0; i < kUnits; ++i) {
    Procedure procedure = RandomProcedure(random);
    procedure.part_load->degradation_slope.value = 0;
    procedure.part_load->degradation_intercept.value = 1;
    std::vector<StageLaw> laws = RandomStages(random);
    const double cop = random.Uniform(2, 9);
    std::vector<ChillerStage> stages;
    for (const StageLaw& law : laws) {
      stages.push_back([=](double water_c) {
        const double capacity_w = law.capacity_w * (1 - law.slope_per_k * (water_c - 30));
        return Figures(capacity_w, capacity_w / cop);
      });
    }
    ASSERT_NEAR(Efficiency(procedure, Chiller(stages)), cop, 1e-12 * cop) << i;
  }
}

TEST(RatingProperties, DegradationNeverRaisesTheMetric) {
  Random random("DegradationNeverRaisesTheMetric");
  for (int i = 0; i < kUnits; ++i) {
    Procedure procedure = RandomProcedure(random);
    const RatedUnit unit = UnitOf(RandomStages(random));
    const double degraded = Efficiency(procedure, unit);
    procedure.part_load->degradation_slope.value = 0;
    procedure.part_load->degradation_intercept.value = 1;
    ASSERT_LE(degraded, Efficiency(procedure, unit) * (1 + 1e-14)) << i;
  }
}

TEST(RatingProperties, TheSameQuestionHasTheSameBits) {
  Random random("TheSameQuestionHasTheSameBits");
  for (int i = 0; i < 50; ++i) {
    const Procedure procedure = RandomProcedure(random);
    const RatedUnit unit = UnitOf(RandomStages(random));
    ASSERT_EQ(RateUnit(procedure, unit).value(), RateUnit(procedure, unit).value());
  }
}

}  // namespace
}  // namespace ratebound::rating
