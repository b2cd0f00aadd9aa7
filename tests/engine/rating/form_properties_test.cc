// What must hold of every form of procedure, over random units and random choices that a
// procedure may make: one point with fan and pump, moisture removal at weighted
// conditions with stages mixed to a dew point, supply air that is heated to a limit, and
// weighted load points with auxiliaries.
#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <ostream>
#include <string>

#include "gtest/gtest.h"
#include "tests/engine/rating/condition_trials.h"
#include "tests/engine/rating/form_trial.h"
#include "tests/engine/rating/load_points_trial.h"
#include "tests/testing/random.h"

namespace ratebound::rating {
namespace {

using document::Rating;
using ratebound::testing::Random;

template <typename T>
std::unique_ptr<Trial> Make(Random& random) {
  return std::make_unique<T>(random);
}

struct Form {
  const char* name;
  std::unique_ptr<Trial> (*make)(Random& random);
  bool names_jumps;
};
void PrintTo(const Form& form, std::ostream* stream) { *stream << form.name; }

class FormProperties : public ::testing::TestWithParam<Form> {};
class WeightedFormProperties : public FormProperties {};
constexpr int kTrials = 300;

TEST_P(FormProperties, ScalingAllPowersUpNeverRaisesTheEfficiency) {
  Random random("ScalingAllPowersUpNeverRaisesTheEfficiency");
  int rated = 0;
  for (int i = 0; i < kTrials; ++i) {
    const auto trial = GetParam().make(random);
    const Numbers unit = trial->Draw(random);
    const double scale = random.Uniform(1.001, 3);
    const double plain = trial->Efficiency(unit);
    if (plain == 0) continue;
    ++rated;
    const double scaled = trial->Efficiency(WithPowers(unit, scale));
    ASSERT_GT(scaled, 0) << i;
    ASSERT_LT(scaled, plain) << i;
  }
  EXPECT_GT(rated, kTrials / 2);
}

TEST_P(FormProperties, ASizeOfEverythingChangesNothing) {
  Random random("ASizeOfEverythingChangesNothing");
  int rated = 0;
  for (int i = 0; i < kTrials; ++i) {
    const auto trial = GetParam().make(random);
    const Numbers unit = trial->Draw(random);
    const double plain = trial->Efficiency(unit);
    if (plain == 0) continue;
    ++rated;
    const auto* load_points = dynamic_cast<const LoadPointsTrial*>(trial.get());
    // An own load is searched for, which ends elsewhere where the figures are rounded in
    // another way; a power of two rounds nothing.
    const double scale = load_points != nullptr && load_points->at_own_load()
                             ? std::ldexp(1, random.Integer(-3, 3))
                             : random.Uniform(0.1, 10);
    ASSERT_NEAR(trial->Efficiency(OfSize(unit, scale)), plain, 1e-12 * plain) << i;
  }
  EXPECT_GT(rated, kTrials / 2);
}

TEST_P(WeightedFormProperties, TheMetricLiesBetweenItsWorstAndBestPointAndStage) {
  Random random("TheMetricLiesBetweenItsWorstAndBestPointAndStage");
  constexpr double kRounding = 1e-8;  // an own load is searched for
  int rated = 0;
  for (int i = 0; i < kTrials; ++i) {
    const auto trial = GetParam().make(random);
    const Numbers unit = trial->Draw(random);
    const Rating rating = trial->Rate(unit);
    if (!rating.value) continue;
    ++rated;
    const double efficiency = trial->EfficiencyOf(*rating.value);
    Range points;
    for (const document::TraceStep& step : rating.trace) {
      if (step.depth == 1) points.See(trial->EfficiencyOf(step.value));
    }
    ASSERT_GE(efficiency, points.worst * (1 - 1e-14)) << i;
    ASSERT_LE(efficiency, points.best * (1 + 1e-14)) << i;
    if (const std::optional<Range> stages = trial->OfStages(unit)) {
      ASSERT_GE(efficiency, stages->worst * (1 - kRounding)) << i;
      ASSERT_LE(efficiency, stages->best * (1 + kRounding)) << i;
    }
  }
  EXPECT_GT(rated, kTrials / 2);
}

TEST_P(FormProperties, AConstantEfficiencyThatNothingDegradesIsTheMetric) {
  Random random("AConstantEfficiencyThatNothingDegradesIsTheMetric");
  int rated = 0;
  for (int i = 0; i < kTrials; ++i) {
    const auto trial = GetParam().make(random);
    const double efficiency = random.Uniform(2, 9);
    const Numbers unit = trial->MakeConstant(trial->Draw(random), efficiency);
    const double metric = trial->Efficiency(unit);
    if (metric == 0) continue;
    ++rated;
    ASSERT_NEAR(metric, efficiency, 1e-12 * efficiency) << i;
  }
  EXPECT_GT(rated, kTrials / 2);
}

// On the straight path from one unit to another, the metric goes on without a jump but
// where the procedure names one.
TEST_P(FormProperties, JumpsAreOnlyWhereTheProcedureNamesThem) {
  Random random("JumpsAreOnlyWhereTheProcedureNamesThem");
  constexpr int kPaths = 60;
  constexpr int kSteps = 32;
  constexpr int kHalvings = 36;  // of a step: to 4e-13 of the path
  int walked = 0;
  int jumps = 0;
  for (int i = 0; i < kPaths; ++i) {
    const auto trial = GetParam().make(random);
    const Numbers from = trial->Draw(random);
    const Numbers to = trial->Draw(random);
    const auto at = [&](double part) {
      return trial->Efficiency(Between(from, to, part));
    };
    double low = 0;
    double greatest = -1;
    for (int k = 0; k < kSteps; ++k) {
      const double a = at(k / double{kSteps});
      const double b = at((k + 1) / double{kSteps});
      if (a == 0 || b == 0 || std::fabs(b - a) <= greatest) continue;
      greatest = std::fabs(b - a);
      low = k / double{kSteps};
    }
    if (greatest < 0) continue;
    ++walked;
    // The half with the greater change, again and again.
    double high = low + 1.0 / kSteps;
    double at_low = at(low);
    double at_high = at(high);
    for (int k = 0; k < kHalvings; ++k) {
      const double middle = low + (high - low) / 2;
      const double at_middle = at(middle);
      if (at_middle == 0) break;
      if (std::fabs(at_middle - at_low) >= std::fabs(at_high - at_middle)) {
        high = middle;
        at_high = at_middle;
      } else {
        low = middle;
        at_low = at_middle;
      }
    }
    if (std::fabs(at_high - at_low) < 1e-7 * at_low) continue;
    ++jumps;
    ASSERT_TRUE(trial->AtNamedEdge(Between(from, to, low)))
        << "path " << i << " jumps from " << at_low << " to " << at_high << " at " << low;
  }
  EXPECT_GT(walked, kPaths / 2);
  EXPECT_EQ(jumps > 0, GetParam().names_jumps);
}

std::string NameOf(const ::testing::TestParamInfo<Form>& info) { return info.param.name; }

constexpr Form kOnePoint = {"OnePoint", &Make<OnePointTrial>, false};
constexpr Form kMoisture = {"Moisture", &Make<MoistureTrial>, true};
constexpr Form kSupplyAir = {"SupplyAir", &Make<SupplyAirTrial>, false};
constexpr Form kLoadPoints = {"LoadPoints", &Make<LoadPointsTrial>, true};

INSTANTIATE_TEST_SUITE_P(Forms, FormProperties,
                         ::testing::Values(kOnePoint, kMoisture, kSupplyAir, kLoadPoints),
                         NameOf);
INSTANTIATE_TEST_SUITE_P(Forms, WeightedFormProperties,
                         ::testing::Values(kMoisture, kSupplyAir, kLoadPoints), NameOf);

}  // namespace
}  // namespace ratebound::rating
