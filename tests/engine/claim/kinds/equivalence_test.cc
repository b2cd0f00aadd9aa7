#include <cmath>
#include <string>

#include "engine/claim/decide.h"
#include "engine/claim/equivalence_statistics.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/claim/kinds/machine.h"
#include "tests/testing/matchers.h"

namespace ratebound::claim {
namespace {

using document::Claim;
using document::NotShownReason;
using document::Outcome;
using document::Verdict;
using ::testing::HasSubstr;

// `part` is what the second prototype does of the first, at 10 degC water and at 40.
TestMachine Prototypes(double part_cold, double part_warm, double noise_w) {
  TestMachine machine;
  machine.Add(
      "second",
      [=](double w, double wb) {
        return TrueCapacityW(w, wb) *
               (part_cold + (part_warm - part_cold) * (w - 10) / 30);
      },
      noise_w);
  machine.Add("first", TrueCapacityW, noise_w);
  return machine;
}

Claim Within(double fraction) {
  Claim claim = RegionClaim();
  claim.quantity = "total_capacity";
  claim.equivalence = document::Equivalence{
      .specimen = "second", .reference_specimen = "first", .within_fraction = fraction};
  return claim;
}

TEST(Equivalence, IsShownFromBothSides) {
  const TestMachine machine = Prototypes(0.98, 1.01, 60);
  const Verdict within = machine.Decide(Within(0.03));
  EXPECT_EQ(within.outcome, Outcome::kProven) << within.explanation;
  EXPECT_EQ(within.unit, "1");
  EXPECT_NEAR(within.estimate, 0.98, 0.002);
  EXPECT_NEAR(within.worst_point[0].value, 10, 1e-6);
  const Verdict below = machine.Decide(Within(0.012));
  ASSERT_EQ(below.outcome, Outcome::kRefuted) << below.explanation;
  EXPECT_THAT(below.explanation, HasSubstr("at least 0.988"));
  const Verdict above = Prototypes(1.0, 1.03, 60).Decide(Within(0.02));
  ASSERT_EQ(above.outcome, Outcome::kRefuted) << above.explanation;
  EXPECT_THAT(above.explanation, HasSubstr("total_capacity of second as a part of that "
                                           "of first"));
  EXPECT_THAT(above.explanation, HasSubstr("at most 1.02"));
}

TEST(Equivalence, FindingNoDifferenceShowsNone) {
  // Alike, but known to 1 kW in 50 only.
  const Verdict verdict = Prototypes(1, 1, 1000).Decide(Within(0.02));
  EXPECT_EQ(verdict.reason, NotShownReason::kUncertain) << verdict.explanation;
}

TEST(Equivalence, ExactDataDecideByTheDifferenceItself) {
  const TestMachine machine = Prototypes(0.98, 1.01, 0);
  EXPECT_EQ(machine.Decide(Within(0.02 + 1e-9)).outcome, Outcome::kProven);
  const Verdict below = machine.Decide(Within(0.02 - 1e-6));
  EXPECT_EQ(below.outcome, Outcome::kRefuted) << below.explanation;
  EXPECT_NEAR(below.estimate, 0.98, 1e-9);
  Claim allowed = Within(0.03);
  allowed.allowance.absolute = 0.01 - 1e-6;
  EXPECT_NEAR(machine.Decide(allowed).margin, 1e-6, 1e-9);
  allowed.allowance.absolute = 0.01 + 1e-6;
  EXPECT_EQ(machine.Decide(allowed).outcome, Outcome::kNotShown);
}

// The bands add linearly, each at half the level: never narrower than what two one-sided
// tests of independent values take at a point (Schuirmann 1987; Welch 1938).
TEST(Equivalence, IsNoBolderThanTheTestAtAPoint) {
  testing::Random random("EQUIVALENCE_POINT");
  int proven = 0;
  for (int run = 0; run < 40; ++run) {
    TestMachine machine = Prototypes(random.Uniform(0.97, 1.03),
                                     random.Uniform(0.97, 1.03), random.Uniform(50, 500));
    machine.shares = false;
    const double x = random.Uniform(0.02, 0.05);
    const Verdict verdict = machine.Decide(Within(x));
    if (verdict.outcome != Outcome::kProven) continue;
    ++proven;
    for (const auto& [w, wb] : DenseSamples(7)) {
      const auto at = [&](size_t i, double* variance) {
        const document::Surface& surface = machine.stages[i]->unit.map.surfaces[0];
        const Frame frame = FrameOf(surface);
        const double z[] = {(w - frame.centre_si[0]) / frame.half_range_si[0],
                            (wb - frame.centre_si[1]) / frame.half_range_si[1]};
        *variance = FormIn(frame, surface, surface.covariance_si)->Evaluate(z);
        return ValueIn(frame, surface)->Evaluate(z);
      };
      SpecimenPair pair;
      pair.first = at(0, &pair.first_variance);
      pair.second = at(1, &pair.second_variance);
      pair.degrees_of_freedom =
          SatterthwaiteDegrees(pair.first_variance, 30, pair.second_variance, 30);
      ASSERT_OK_AND_ASSIGN(const RatioEquivalence test,
                           TestRatioEquivalence(pair, x, verdict.level));
      EXPECT_TRUE(test.equivalent) << run << " at " << w << ", " << wb;
    }
  }
  EXPECT_GT(proven, 5);
}

TEST(Equivalence, AgreesWithDenseSamplesOfTheTruth) {
  testing::Random random("EQUIVALENCE_DENSE");
  int proven = 0, refuted = 0;
  for (int run = 0; run < 60; ++run) {
    const double bend = random.Uniform(-5, 5), tilt = random.Uniform(-50, 50),
                 shift = random.Uniform(-800, 800);
    const Truth truth = [=](double w, double wb) {
      return TrueCapacityW(w, wb) + shift + tilt * (wb - 18) + bend * (w - 25) * (w - 25);
    };
    TestMachine machine;
    machine.shares = false;
    machine.Add("second", truth, 0);
    machine.Add("first", TrueCapacityW, 0);
    const double x = random.Uniform(0.005, 0.05);
    const auto margin_at = [&](double w, double wb) {
      return x - std::fabs(truth(w, wb) / TrueCapacityW(w, wb) - 1);
    };
    double worst = 1;
    for (const auto& [w, wb] : DenseSamples()) worst = std::min(worst, margin_at(w, wb));
    const Verdict verdict = machine.Decide(Within(x));
    if (verdict.outcome == Outcome::kProven) {
      ++proven;
      EXPECT_GE(worst, -1e-9) << run;
    } else if (verdict.outcome == Outcome::kRefuted) {
      ++refuted;
      const auto [w, wb] = WorstPoint(verdict);
      EXPECT_LT(margin_at(w, wb), 1e-9) << run;
    }
    if (std::fabs(worst) > 1e-4) {
      EXPECT_EQ(verdict.outcome, worst > 0 ? Outcome::kProven : Outcome::kRefuted)
          << run << verdict.explanation;
    }
  }
  EXPECT_GT(proven, 8);
  EXPECT_GT(refuted, 8);
}

TEST(Equivalence, ASpecimenWithoutPointsIsNamed) {
  TestMachine machine = Prototypes(1, 1, 10);
  machine.stages[0]->unit.map.surfaces.clear();
  machine.stages[0]->unit.map.refusals = {"specimen second has no accepted points"};
  const Verdict verdict = machine.Decide(Within(0.05));
  EXPECT_EQ(verdict.reason, NotShownReason::kModel);
  EXPECT_THAT(verdict.explanation, HasSubstr("specimen second"));
}

TEST(Equivalence, WrongDocumentsAreNamed) {
  TestMachine machine = Prototypes(1, 1, 10);
  EXPECT_THAT(machine.TryDecide(Within(1)),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("equivalence.within_fraction")));
  machine.stages.pop_back();
  EXPECT_THAT(machine.TryDecide(Within(0.02)),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("takes two specimens, not 1")));
}

}  // namespace
}  // namespace ratebound::claim
