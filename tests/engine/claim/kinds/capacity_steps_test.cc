#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/claim/decide.h"
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

Claim StepsClaim(int count, double distinct, std::optional<double> gap = {}) {
  Claim claim = RegionClaim();
  claim.capacity_steps = document::CapacitySteps{
      .least_count = count, .distinct_fraction = distinct, .greatest_gap_fraction = gap};
  return claim;
}

// An invented machine of two compressors, 11 and 38 kW, in part 5 and 17 kW: off, part or
// full each, which are eight running combinations (common practice, no source). All fall
// alike with warm water.
TestMachine TwoUnequal(double noise_w) {
  TestMachine machine;
  const std::pair<const char*, double> combinations[] = {
      {"part, off", 5},   {"full, off", 11}, {"off, part", 17},  {"part, part", 22},
      {"full, part", 28}, {"off, full", 38}, {"part, full", 43}, {"full, full", 49}};
  for (const auto& [id, kw] : combinations) {
    machine.Add(
        id, [kw = kw](double w, double) { return 1000 * kw * (1.2 - 0.01 * w); },
        noise_w);
  }
  return machine;
}

TEST(CapacitySteps, TwoUnequalMachinesEachOffPartOrFullGiveEight) {
  const TestMachine machine = TwoUnequal(20);
  const Verdict eight = machine.Decide(StepsClaim(8, 0.08, 0.23));
  EXPECT_EQ(eight.outcome, Outcome::kProven) << eight.explanation;
  EXPECT_EQ(eight.unit, "1");
  EXPECT_EQ(eight.shares->proven_fraction, 1);
  EXPECT_THAT(machine.TryDecide(StepsClaim(9, 0.08)),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("capacity_steps.least_count: the mode has 8 "
                                          "stages, and 9 steps are promised")));
}

// Rises of 5, 6, 6, 5, 6, 10, 5 and 6 of 49, the same everywhere.
TEST(CapacitySteps, ExactDataDecideByTheRisesThemselves) {
  const TestMachine machine = TwoUnequal(0);
  struct Case {
    int count;
    double distinct;
    std::optional<double> gap;
    Outcome outcome;
    double estimate;
  };
  const Case cases[] = {
      {8, 4.99 / 49, {}, Outcome::kProven, 5.0 / 49},
      {8, 5.01 / 49, {}, Outcome::kRefuted, 5.0 / 49},
      // Five rises are above 5.5 of 49: those of 6 and that of 10.
      {5, 5.5 / 49, {}, Outcome::kProven, 0},
      {6, 5.5 / 49, {}, Outcome::kRefuted, 5.0 / 49},
      {1, 9.99 / 49, {}, Outcome::kProven, 0},
      {2, 9.99 / 49, {}, Outcome::kRefuted, 6.0 / 49},
      {8, 0.05, 10.01 / 49, Outcome::kProven, 0},
      {8, 0.05, 9.99 / 49, Outcome::kRefuted, 10.0 / 49},
  };
  for (const Case& c : cases) {
    const Verdict verdict = machine.Decide(StepsClaim(c.count, c.distinct, c.gap));
    EXPECT_EQ(verdict.outcome, c.outcome)
        << c.count << " above " << c.distinct << ": " << verdict.explanation;
    if (c.estimate > 0) {
      EXPECT_NEAR(verdict.estimate, c.estimate, 1e-9);
    }
    EXPECT_NEAR(verdict.standard_error, 0, 1e-9);
  }
}

TEST(CapacitySteps, ARefutationNamesTheRise) {
  const TestMachine machine = TwoUnequal(20);
  const Verdict gap = machine.Decide(StepsClaim(8, 0.08, 0.19));
  ASSERT_EQ(gap.outcome, Outcome::kRefuted) << gap.explanation;
  EXPECT_EQ(gap.worst_stage, "off, full");
  EXPECT_THAT(gap.explanation,
              HasSubstr("the rise from stage full, part to stage off, full"));
  EXPECT_THAT(gap.explanation, HasSubstr("at most 0.19"));
  EXPECT_NEAR(gap.estimate, 10.0 / 49, 0.003);
}

TEST(CapacitySteps, ABandThatStraddlesShowsNothing) {
  const Verdict verdict = TwoUnequal(20).Decide(StepsClaim(8, 5.0 / 49));
  EXPECT_EQ(verdict.outcome, Outcome::kNotShown);
  EXPECT_EQ(verdict.reason, NotShownReason::kUncertain) << verdict.explanation;
}

TEST(CapacitySteps, TheAllowanceIsAPartOfTheHighestCapacity) {
  const TestMachine machine = TwoUnequal(0);
  Claim claim = StepsClaim(8, 0.08);
  claim.allowance.absolute = 5.0 / 49 - 0.08 - 1e-6;
  const Verdict just = machine.Decide(claim);
  EXPECT_EQ(just.outcome, Outcome::kProven) << just.explanation;
  EXPECT_NEAR(just.margin, 1e-6, 1e-9);
  claim.allowance.absolute += 2e-6;
  EXPECT_EQ(machine.Decide(claim).outcome, Outcome::kNotShown);
}

// Where stages change places, steps do not rise, however distinct they are.
TEST(CapacitySteps, StagesThatChangePlacesAreRefuted) {
  TestMachine machine;
  machine.Add(
      "a", [](double w, double) { return 20e3 + 500 * (w - 25); }, 5);
  machine.Add(
      "b", [](double w, double) { return 22e3 - 500 * (w - 25); }, 5);
  machine.Add(
      "c", [](double, double) { return 60e3; }, 5);
  const Verdict verdict = machine.Decide(StepsClaim(2, 0.1));
  ASSERT_EQ(verdict.outcome, Outcome::kRefuted) << verdict.explanation;
  EXPECT_EQ(verdict.worst_stage, "b");
  EXPECT_GT(WorstPoint(verdict).first, 27);
}

// The pair of rises that is large changes with the water; their number does not.
TEST(CapacitySteps, WhichRisesAreLargeMayChangeOverTheRegion) {
  TestMachine machine;
  machine.Add(
      "a", [](double w, double) { return 10e3 + 600 * (w - 10); }, 5);
  machine.Add(
      "b", [](double, double) { return 30e3; }, 5);
  machine.Add(
      "c", [](double, double) { return 60e3; }, 5);
  // a's rise is 10 to 28 kW, b's 20 to 2: above 13 kW are one of them and c.
  EXPECT_EQ(machine.Decide(StepsClaim(2, 13.0 / 60)).outcome, Outcome::kProven);
  const Verdict three = machine.Decide(StepsClaim(3, 13.0 / 60));
  EXPECT_EQ(three.outcome, Outcome::kRefuted) << three.explanation;
  // Where neither is above 15.5 kW.
  const Verdict at_16 = machine.Decide(StepsClaim(2, 16.0 / 60));
  ASSERT_EQ(at_16.outcome, Outcome::kRefuted) << at_16.explanation;
  EXPECT_NEAR(WorstPoint(at_16).first, 10 + 5e3 / 600, 1.5);
}

TEST(CapacitySteps, RegionsThatWereNeverTestedShowNothing) {
  const TestMachine machine = TwoUnequal(20);
  Claim claim = StepsClaim(8, 0.08);
  claim.region = RegionClaim(46).region;
  const Verdict verdict = machine.Decide(claim);
  EXPECT_EQ(verdict.reason, NotShownReason::kUntested) << verdict.explanation;
  EXPECT_NEAR(verdict.tested_fraction, 30.0 / 36, 1e-6);
}

TEST(CapacitySteps, AStageWithoutAMapIsNoModel) {
  TestMachine machine = TwoUnequal(20);
  machine.stages[3]->unit.map.surfaces.clear();
  machine.stages[3]->unit.map.refusals = {"the stage has no map"};
  const Verdict verdict = machine.Decide(StepsClaim(8, 0.08));
  EXPECT_EQ(verdict.reason, NotShownReason::kModel);
  EXPECT_THAT(verdict.explanation, HasSubstr("stage part, part: "));
}

TEST(CapacitySteps, OneStageHasNoSteps) {
  TestMachine machine;
  machine.Add("only", TrueCapacityW, 0);
  EXPECT_THAT(machine.TryDecide(StepsClaim(1, 0.1)),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("claim c: capacity_steps: the mode has one")));
}

// Random machines and claims against samples of the known truth.
TEST(CapacitySteps, AgreesWithDenseSamplesOfTheTruth) {
  testing::Random random("CAPACITY_STEPS_DENSE");
  int proven = 0, refuted = 0;
  for (int run = 0; run < 60; ++run) {
    const int count = random.Integer(2, 4);
    std::vector<Truth> truths;
    double level = 0;
    TestMachine machine;
    machine.shares = false;
    for (int i = 0; i < count; ++i) {
      level += random.Uniform(4, 16);
      const double slope = random.Uniform(-0.2, 0.2), other = random.Uniform(-0.2, 0.2);
      const double bend = random.Uniform(-0.01, 0.01), at = level;
      truths.push_back([=](double w, double wb) {
        const double x = w - 25, y = wb - 18;
        return 1000 * (at + slope * x + other * y + bend * x * x);
      });
      machine.Add(absl::StrCat("s", i), truths.back(), 0);
    }
    const int n = random.Integer(1, count);
    const double distinct = random.Uniform(0.02, 0.35), gap = random.Uniform(0.35, 0.9);
    const auto margin_at = [&](double w, double wb) {
      const double highest = truths.back()(w, wb);
      std::vector<double> rises;
      double before = 0;
      for (const Truth& truth : truths) {
        rises.push_back((truth(w, wb) - before) / highest);
        before = truth(w, wb);
      }
      std::sort(rises.rbegin(), rises.rend());
      return std::min({rises[static_cast<size_t>(n - 1)] - distinct, gap - rises.front(),
                       rises.back()});
    };
    double worst = 1;
    for (const auto& [w, wb] : DenseSamples()) worst = std::min(worst, margin_at(w, wb));
    const Verdict verdict = machine.Decide(StepsClaim(n, distinct, gap));
    if (verdict.outcome == Outcome::kProven) {
      ++proven;
      EXPECT_GE(worst, -1e-9) << run;
    } else if (verdict.outcome == Outcome::kRefuted) {
      ++refuted;
      const auto [w, wb] = WorstPoint(verdict);
      EXPECT_LT(margin_at(w, wb), 1e-9) << run;
    }
    // Exact data leave nothing open but a draw.
    if (worst > 1e-4) {
      EXPECT_EQ(verdict.outcome, Outcome::kProven) << run << verdict.explanation;
    }
  }
  EXPECT_GT(proven, 8);
  EXPECT_GT(refuted, 8);
}

}  // namespace
}  // namespace ratebound::claim
