#include "engine/claim/decide.h"

#include <cmath>
#include <string>
#include <tuple>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/claims_campaign/campaign.h"
#include "tests/engine/claim/fixture.h"
#include "tests/testing/matchers.h"

namespace ratebound::claim {
namespace {

using document::NotShownReason;
using document::Outcome;
using document::Relation;
using document::Verdict;
using ::testing::HasSubstr;

// Capacity is lowest, 39.5 kW, at 40 degC water and 12 degC wet bulb, and highest, 60.5
// kW, at the opposite corner. Power runs from 7 to 13 kW, COP from 3.04 to 8.6.
struct DecideCase {
  std::string name;
  std::string quantity;
  Relation relation;
  double limit;
  std::string unit;
  double high_water_c;
  Outcome outcome;
  NotShownReason reason;
};
class DecideTest : public ::testing::TestWithParam<DecideCase> {};

TEST_P(DecideTest, VerdictFollowsTheTruth) {
  const DecideCase& c = GetParam();
  const TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  const Verdict verdict = unit.Decide(
      MakeClaim(c.quantity, c.relation, c.limit, c.unit, kLowWaterC, c.high_water_c));
  EXPECT_EQ(verdict.outcome, c.outcome) << verdict.explanation;
  EXPECT_EQ(verdict.reason, c.reason) << verdict.explanation;
  EXPECT_FALSE(verdict.explanation.empty());
  EXPECT_EQ(verdict.outcome == Outcome::kProven,
            verdict.margin > 0 && verdict.tested_fraction == 1);
}

constexpr NotShownReason kNone = NotShownReason::kNone;
INSTANTIATE_TEST_SUITE_P(
    Claims, DecideTest,
    ::testing::Values(
        DecideCase{"CapacityFloorProven", "total_capacity", Relation::kAtLeast, 38, "kW",
                   40, Outcome::kProven, kNone},
        DecideCase{"CapacityFloorRefuted", "total_capacity", Relation::kAtLeast, 43, "kW",
                   40, Outcome::kRefuted, kNone},
        DecideCase{"CapacityFloorUncertain", "total_capacity", Relation::kAtLeast, 39.8,
                   "kW", 40, Outcome::kNotShown, NotShownReason::kUncertain},
        DecideCase{"CapacityFloorUntested", "total_capacity", Relation::kAtLeast, 35,
                   "kW", 45, Outcome::kNotShown, NotShownReason::kUntested},
        DecideCase{"RefutedThoughPartIsUntested", "total_capacity", Relation::kAtLeast,
                   43, "kW", 45, Outcome::kRefuted, kNone},
        DecideCase{"PowerCeilingProven", "power_input", Relation::kAtMost, 13.3, "kW", 40,
                   Outcome::kProven, kNone},
        DecideCase{"PowerCeilingRefuted", "power_input", Relation::kAtMost, 12, "kW", 40,
                   Outcome::kRefuted, kNone},
        DecideCase{"EfficiencyFloorProven", "coefficient_of_performance",
                   Relation::kAtLeast, 2.9, "W/W", 40, Outcome::kProven, kNone},
        DecideCase{"EfficiencyFloorRefuted", "coefficient_of_performance",
                   Relation::kAtLeast, 3.4, "W/W", 40, Outcome::kRefuted, kNone}),
    [](const auto& test) { return test.param.name; });

TEST(Decide, NamesTheWorstPointInTheUnitsOfTheClaim) {
  const TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  const Verdict verdict =
      unit.Decide(MakeClaim("total_capacity", Relation::kAtLeast, 38, "kW"));
  ASSERT_EQ(verdict.worst_point.size(), 2u);
  EXPECT_EQ(verdict.worst_point[0].quantity, "entering_water_temp");
  EXPECT_EQ(verdict.worst_point[0].value, 40);
  EXPECT_EQ(verdict.worst_point[1].value, 12);
  EXPECT_NEAR(verdict.estimate, 39.5, 0.4);
  EXPECT_EQ(verdict.unit, "kW");
}

TEST(Decide, MarginIsBoundLessLimitAndEstimateLessItsParts) {
  TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  unit.manifest.systematic_uncertainties = {
      {.quantity = "total_capacity", .relative_fraction = 0.01}};
  document::Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, 35, "kW");
  claim.allowance.absolute_si = 400;
  const Verdict verdict = unit.Decide(claim);
  EXPECT_NEAR(verdict.margin, verdict.bound - 35, 1e-9);
  EXPECT_NEAR(verdict.bound,
              verdict.estimate - verdict.coverage_factor * verdict.standard_error -
                  verdict.systematic - verdict.allowance,
              1e-6);
  EXPECT_NEAR(verdict.allowance, 0.4, 1e-12);
  EXPECT_NEAR(
      verdict.systematic,
      0.01 * (verdict.estimate + verdict.coverage_factor * verdict.standard_error), 1e-6);
}

TEST(Decide, ARefutationsPartsAddUpToo) {
  TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  unit.manifest.systematic_uncertainties = {
      {.quantity = "total_capacity", .relative_fraction = 0.01},
      {.quantity = "power_input", .relative_fraction = 0.005}};
  for (const auto& [quantity, unit_name, limit] :
       {std::tuple("total_capacity", "kW", 44.0),
        std::tuple("coefficient_of_performance", "W/W", 4.0)}) {
    document::Claim claim = MakeClaim(quantity, Relation::kAtLeast, limit, unit_name);
    claim.allowance.relative_fraction = 0.01;
    const Verdict verdict = unit.Decide(claim);
    ASSERT_EQ(verdict.outcome, Outcome::kRefuted) << verdict.explanation;
    EXPECT_LT(verdict.margin, 0);
    EXPECT_NEAR(verdict.margin, verdict.bound - limit, 1e-9);
    EXPECT_NEAR(verdict.bound,
                verdict.estimate + verdict.coverage_factor * verdict.standard_error +
                    verdict.systematic + verdict.allowance,
                1e-6);
  }
}

// A linear capacity and a power that needs a square: their ratio is proven by a model
// that holds both.
TEST(Decide, AnEfficiencyTakesTheHigherModelOfItsParts) {
  TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  const CombinationPart capacity[] = {{"total_capacity", 1}};
  const CombinationPart power[] = {{"power_input", 1}};
  unit.map.surfaces = {unit.Fit(capacity, 1), unit.Fit(power, 3)};
  const document::Claim claim =
      MakeClaim("coefficient_of_performance", Relation::kAtLeast, 2.5, "W/W");
  EXPECT_THAT(unit.Decide(claim).model, HasSubstr("degree 3"));
  unit.map.surfaces.pop_back();
  EXPECT_EQ(unit.Decide(claim).reason, NotShownReason::kModel);
}

TEST(Decide, MeasuresTemperaturesOnTheirOwnScale) {
  TestUnit unit = MakeTestUnit(0.001, "DEGF");
  // Capacity in kW read as degC: 39.5 to 60.5 degC is 103.1 to 140.9 degF.
  for (double& value : unit.capacity_w) value /= 1000;
  unit.mode.capacity_quantity = "leaving_water_temp";
  const CombinationPart part[] = {{"leaving_water_temp", 1}};
  unit.map.surfaces[0] = unit.Fit(part, 2);
  document::Claim claim =
      MakeClaim("leaving_water_temp", Relation::kAtLeast, 100, "degF");
  claim.limit_si = (100 - 32) / 1.8;
  claim.allowance = {.absolute = 0.9, .absolute_si = 0.5};
  const Verdict verdict = unit.Decide(claim);
  EXPECT_EQ(verdict.outcome, Outcome::kProven) << verdict.explanation;
  EXPECT_NEAR(verdict.estimate, 103.1, 0.3);
  EXPECT_NEAR(verdict.allowance, 0.9, 1e-12);
  EXPECT_NEAR(verdict.bound, 100 + verdict.margin, 1e-9);
  EXPECT_NEAR(verdict.bound,
              verdict.estimate - verdict.coverage_factor * verdict.standard_error - 0.9,
              1e-9);
  claim.allowance.relative_fraction = 0.01;
  EXPECT_THAT(DecideClaim(claim, unit.Inputs()),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("state the allowance as a difference")));
}

TEST(Decide, ARangeOverWhatTheMapDoesNotFollowIsRefused) {
  const TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  document::Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW");
  claim.region.push_back({"air_flow", 0.5, 1, "m3/s", 0.5, 1});
  EXPECT_THAT(DecideClaim(claim, unit.Inputs()),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("air_flow is no condition")));
}

TEST(Decide, NamesWhatWasHeld) {
  TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  unit.map.held_conditions = {"entering_air_db"};
  EXPECT_THAT(
      unit.Decide(MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW")).model,
      HasSubstr("entering_air_db"));
}

TEST(Decide, AModelThatRepeatsContradictProvesNothing) {
  TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  unit.map.surfaces[0].lack_of_fit_probability = 0.001;
  const Verdict verdict =
      unit.Decide(MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW"));
  EXPECT_EQ(verdict.reason, NotShownReason::kModel);
  EXPECT_THAT(verdict.explanation, HasSubstr("repeats"));
}

TEST(Decide, WithoutUncertaintyNothingIsProven) {
  TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  unit.map.surfaces[0].covariance_si.clear();
  EXPECT_EQ(unit.Decide(MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW")).reason,
            NotShownReason::kModel);
  unit.map.surfaces.clear();
  unit.map.refusals = {"total_capacity: entering_water_temp has 1 level"};
  const Verdict verdict =
      unit.Decide(MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW"));
  EXPECT_EQ(verdict.reason, NotShownReason::kModel);
  EXPECT_THAT(verdict.explanation, HasSubstr("1 level"));
}

TEST(Decide, ALookIsCountedOnNewDataOnly) {
  const TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  const document::Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, 38, "kW");
  const Verdict first = unit.Decide(claim, nullptr, "day 1");
  EXPECT_EQ(first.look, 1);
  EXPECT_NEAR(first.level, 0.05 / 2, 1e-15);
  const Verdict again = unit.Decide(claim, &first, "day 1");
  EXPECT_EQ(again.look, 1);
  const Verdict more = unit.Decide(claim, &first, "day 2");
  EXPECT_EQ(more.look, 2);
  EXPECT_NEAR(more.level, 0.05 / 6, 1e-15);
  EXPECT_GT(more.coverage_factor, first.coverage_factor);
}

TEST(Decide, KilowattsPerTonCannotStateALimit) {
  const TestUnit unit = MakeTestUnit(0.005, "DECIDE");
  document::Claim claim =
      MakeClaim("coefficient_of_performance", Relation::kAtMost, 0.7, "kW/ton");
  EXPECT_THAT(DecideClaim(claim, unit.Inputs()),
              testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("Btu/Wh")));
}

// The statistics behind the word: a claim whose limit is the true minimum itself is false
// only by nothing, and may be called proven in at most the level's share of campaigns.
TEST(Decide, AClaimAtTheTruthIsRarelyProvenAndRarelyRefuted) {
  constexpr int kCampaigns = 2000;
  int proven = 0;
  int refuted = 0;
  for (int i = 0; i < kCampaigns; ++i) {
    const TestUnit unit = MakeTestUnit(0.01, "CAMPAIGN " + std::to_string(i), 4, 1);
    ClaimInputs inputs = unit.Inputs();
    inputs.shares = false;
    const Verdict verdict =
        DecideClaim(MakeClaim("total_capacity", Relation::kAtLeast, 39.5, "kW"), inputs)
            .value();
    proven += verdict.outcome == Outcome::kProven;
    refuted += verdict.outcome == Outcome::kRefuted;
  }
  // Level 2.5 %; four standard deviations of a binomial above it.
  const double most = kCampaigns * 0.025 + 4 * std::sqrt(kCampaigns * 0.025 * 0.975);
  EXPECT_LE(proven, most);
  EXPECT_LE(refuted, most);
  EXPECT_GE(proven, 1) << "a bound that never errs is not a 97.5 % bound";
}

// The same by whole test days that err together, as a laboratory's do; with a false claim
// of each kind. More plans and more campaigns: ci/campaign.
class CampaignTest : public ::testing::TestWithParam<CampaignPlan> {};

TEST_P(CampaignTest, VerdictsErrAtMostAtTheirLevel) {
  const Rates rates = RunCampaign(GetParam());
  const double expected = rates.campaigns * rates.level;
  const double most = expected + 4 * std::sqrt(expected * (1 - rates.level));
  EXPECT_LE(rates.proven, most);
  EXPECT_LE(rates.refuted, most);
  EXPECT_GE(rates.proven, 1);
  EXPECT_LE(rates.model, 0.015 * rates.campaigns);
}

INSTANTIATE_TEST_SUITE_P(
    Plans, CampaignTest,
    ::testing::Values(CampaignPlan{.name = "Days", .correlation = 0.6, .campaigns = 1000},
                      CampaignPlan{.name = "DaysBiased",
                                   .correlation = 0.6,
                                   .biased = true,
                                   .campaigns = 1000},
                      CampaignPlan{.name = "DaysRatio",
                                   .quantity = "coefficient_of_performance",
                                   .correlation = 0.6,
                                   .campaigns = 1000},
                      CampaignPlan{.name = "PowerAtMostWithoutDays",
                                   .quantity = "power_input",
                                   .at_least = false,
                                   .campaigns = 1000}),
    [](const auto& test) { return test.param.name; });

}  // namespace
}  // namespace ratebound::claim
