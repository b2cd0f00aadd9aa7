// Claims beyond one quantity of one stage against one number: serving stages, windows,
// cuts, lines, tables, other quantities, turndown, and the report of a verdict.
#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "absl/strings/str_format.h"
#include "engine/claim/decide.h"
#include "engine/claim/verdict_strength.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/claim/fixture.h"
#include "tests/testing/matchers.h"

namespace ratebound::claim {
namespace {

using document::Claim;
using document::NotShownReason;
using document::Outcome;
using document::Relation;
using document::ServingRule;
using document::Verdict;
using ::testing::EndsWith;
using ::testing::HasSubstr;

constexpr double kNoise = 0.002;

// The unit with its capacity replaced.
TestUnit WithCapacity(std::string_view seed,
                      const std::function<double(double, double)>& capacity_w,
                      double noise = kNoise) {
  TestUnit unit = MakeTestUnit(noise, seed);
  testing::Random random(std::string(seed) + " CAPACITY");
  for (size_t k = 0; k < unit.capacity_w.size(); ++k) {
    unit.capacity_w[k] = capacity_w(unit.columns[0][k], unit.columns[1][k]) *
                         (1 + noise * random.Normal());
  }
  const CombinationPart capacity[] = {{"total_capacity", 1}};
  unit.map.surfaces[0] = unit.Fit(capacity, 2);
  return unit;
}

// Stage "cold" falls with warm water from 60 to 42 kW, "warm" rises from 42 to 60 kW;
// they meet at 51 kW.
class TwoStages : public ::testing::Test {
 protected:
  TwoStages() {
    mode_ = cold_.mode;
    mode_.stages = {{.id = "cold"}, {.id = "warm"}};
  }

  ClaimInputs Inputs() const {
    return {.manifest = cold_.manifest,
            .mode = mode_,
            .map = cold_.map,
            .fit = cold_.fit(),
            .data_digest = "day 1",
            .stages = {{.id = "cold", .map = &cold_.map, .fit = cold_.fit()},
                       {.id = "warm", .map = &warm_.map, .fit = warm_.fit()}}};
  }
  Verdict Decide(const Claim& claim) const {
    return DecideClaim(claim, Inputs()).value();
  }
  static Claim AtLeast(double limit_kw, ServingRule rule) {
    Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, limit_kw, "kW");
    claim.serving = document::Serving{.rule = rule};
    return claim;
  }

  TestUnit cold_ =
      WithCapacity("COLD", [](double w, double) { return 60e3 - 600 * (w - 10); });
  TestUnit warm_ =
      WithCapacity("WARM", [](double w, double) { return 42e3 + 600 * (w - 10); });
  document::Mode mode_;
};

TEST_F(TwoStages, SomeStageServesWhereNoneServesEverywhere) {
  const Verdict some = Decide(AtLeast(49, ServingRule::kSome));
  EXPECT_EQ(some.outcome, Outcome::kProven) << some.explanation;
  EXPECT_NEAR(some.estimate, 51, 0.3);
  EXPECT_NEAR(some.worst_point[0].value, 25, 0.5);
  EXPECT_EQ(some.shares->proven_fraction, 1);
  EXPECT_EQ(Decide(AtLeast(53, ServingRule::kSome)).outcome, Outcome::kRefuted);
  const Verdict near = Decide(AtLeast(50.97, ServingRule::kSome));
  EXPECT_EQ(near.outcome, Outcome::kNotShown);
  EXPECT_EQ(near.reason, NotShownReason::kUncertain) << near.explanation;
}

TEST_F(TwoStages, EachOfSomeStagesTakesItsPartOfTheLevel) {
  const Verdict some = Decide(AtLeast(49, ServingRule::kSome));
  const Verdict every = Decide(AtLeast(40, ServingRule::kEvery));
  EXPECT_EQ(every.outcome, Outcome::kProven);
  EXPECT_GT(some.coverage_factor, every.coverage_factor + 0.2);
}

TEST_F(TwoStages, EveryLowestAndHighestAreTheirOwnStages) {
  EXPECT_EQ(Decide(AtLeast(49, ServingRule::kEvery)).outcome, Outcome::kRefuted);
  const Verdict lowest = Decide(AtLeast(45, ServingRule::kLowest));
  EXPECT_EQ(lowest.outcome, Outcome::kRefuted);
  EXPECT_EQ(lowest.worst_stage, "cold");
  EXPECT_EQ(lowest.worst_point[0].value, 40);
  const Verdict highest = Decide(AtLeast(45, ServingRule::kHighest));
  EXPECT_EQ(highest.worst_stage, "warm");
  EXPECT_EQ(highest.worst_point[0].value, 10);
}

TEST_F(TwoStages, AStageFixedForEachPartAnswersThere) {
  const auto per_part = [&](const std::string& low, const std::string& high) {
    Claim claim = AtLeast(49, ServingRule::kPerPart);
    claim.serving->parts = {
        {.stage = low, .ranges = {{"entering_water_temp", 10, 25, "degC", 10, 25}}},
        {.stage = high, .ranges = {{"entering_water_temp", 25, 40, "degC", 25, 40}}}};
    return claim;
  };
  const Verdict right = Decide(per_part("cold", "warm"));
  EXPECT_EQ(right.outcome, Outcome::kProven) << right.explanation;
  EXPECT_EQ(Decide(per_part("warm", "cold")).outcome, Outcome::kRefuted);
  Claim gap = per_part("cold", "warm");
  gap.serving->parts[1].ranges[0].low_si = 26;
  EXPECT_THAT(
      DecideClaim(gap, Inputs()),
      testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("has no stage")));
}

TEST_F(TwoStages, SomeStageKeepsAWindow) {
  Claim claim = AtLeast(48, ServingRule::kSome);
  claim.relation = Relation::kWithin;
  claim.upper_limit = 62;
  claim.upper_limit_si = 62e3;
  const Verdict within = Decide(claim);
  EXPECT_EQ(within.outcome, Outcome::kProven) << within.explanation;
  // With 10 degC water one stage gives 60 kW and the other 42: neither is in the window.
  claim.upper_limit = 54;
  claim.upper_limit_si = 54e3;
  const Verdict missed = Decide(claim);
  EXPECT_EQ(missed.outcome, Outcome::kRefuted) << missed.explanation;
}

// Each stage is tested in its own half alone; together they cover the region.
TEST_F(TwoStages, AStageCountsOnlyWhereItWasTested) {
  cold_.map.tested_high_si[0] = 25;
  warm_.map.tested_low_si[0] = 25;
  const Verdict some = Decide(AtLeast(49, ServingRule::kSome));
  EXPECT_EQ(some.outcome, Outcome::kProven) << some.explanation;
  EXPECT_EQ(some.tested_fraction, 1);
  warm_.map.tested_low_si[0] = 28;
  const Verdict gap = Decide(AtLeast(49, ServingRule::kSome));
  EXPECT_EQ(gap.reason, NotShownReason::kUntested) << gap.explanation;
  EXPECT_NEAR(gap.tested_fraction, 0.9, 1e-6);
  EXPECT_NEAR(gap.shares->untested_fraction, 0.1, 0.02);
  EXPECT_NEAR(gap.shares->proven_fraction, 0.9, 0.02);
}

TEST_F(TwoStages, PartsOfTheRegionNameTheStageThatShowsThem) {
  const Verdict verdict = Decide(AtLeast(52, ServingRule::kSome));
  // 52 kW is missed from 23.33 to 26.67 degC: 11.1 % of the region.
  EXPECT_EQ(verdict.outcome, Outcome::kRefuted);
  EXPECT_NEAR(verdict.shares->refuted_fraction, 0.111, 0.06);
  EXPECT_NEAR(verdict.shares->proven_fraction, 0.889, 0.06);
  std::vector<std::string> stages;
  for (const document::RegionPart& part : verdict.parts) {
    if (part.state == document::PartState::kProven) stages.push_back(part.stage);
  }
  EXPECT_THAT(stages, ::testing::Contains("cold"));
  EXPECT_THAT(stages, ::testing::Contains("warm"));
}

TEST(Turndown, IsTheLowestStagesPartOfTheHighest) {
  const TestUnit low =
      WithCapacity("LOW", [](double w, double wb) { return 0.4 * TrueCapacityW(w, wb); });
  const TestUnit high = WithCapacity("HIGH", TrueCapacityW);
  document::Mode mode = low.mode;
  mode.stages = {{.id = "low"}, {.id = "high"}};
  const ClaimInputs inputs{
      .manifest = low.manifest,
      .mode = mode,
      .map = low.map,
      .stages = {{.id = "low", .map = &low.map, .fit = low.fit()},
                 {.id = "high", .map = &high.map, .fit = high.fit()}}};
  const auto decide = [&](Relation relation, double part, double absolute = 0) {
    Claim claim = MakeClaim("", relation, 0, "");
    claim.turndown = document::Turndown{.capacity_fraction = part};
    claim.allowance.absolute = absolute;
    return DecideClaim(claim, inputs).value();
  };
  const Verdict proven = decide(Relation::kAtMost, 0.42);
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  EXPECT_EQ(proven.unit, "1");
  EXPECT_THAT(proven.explanation,
              EndsWith(absl::StrFormat("closest by %.3g", proven.margin)));
  EXPECT_NEAR(proven.estimate, 0.4, 0.005);
  EXPECT_NEAR(proven.bound, 0.42 - proven.margin, 1e-12);
  EXPECT_EQ(decide(Relation::kAtMost, 0.38).outcome, Outcome::kRefuted);
  EXPECT_EQ(decide(Relation::kAtMost, 0.4).reason, NotShownReason::kUncertain);
  EXPECT_EQ(decide(Relation::kAtLeast, 0.38).outcome, Outcome::kProven);
  EXPECT_NE(decide(Relation::kAtMost, 0.42, 0.03).outcome, Outcome::kProven);
}

struct CutCase {
  std::string name;
  document::RegionCut cut;
  Relation relation;
  double proven_kw;
  double refuted_kw;
};
void PrintTo(const CutCase& c, std::ostream* out) { *out << c.name; }

// Capacity is 48.5 - 0.3 (water - 10) + (wet bulb - 12) kW.
class CutTest : public ::testing::TestWithParam<CutCase> {
 protected:
  const TestUnit unit_ = WithCapacity("CUTS", TrueCapacityW);
};

TEST_P(CutTest, WhatIsCutOffIsNotPromised) {
  const CutCase& c = GetParam();
  Claim claim = MakeClaim("total_capacity", c.relation, c.proven_kw, "kW");
  EXPECT_EQ(unit_.Decide(claim).outcome, Outcome::kRefuted) << "without the cut";
  claim.cuts = {c.cut};
  const Verdict proven = unit_.Decide(claim);
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  claim.limit = c.refuted_kw;
  claim.limit_si = 1000 * c.refuted_kw;
  const Verdict refuted = unit_.Decide(claim);
  ASSERT_EQ(refuted.outcome, Outcome::kRefuted) << refuted.explanation;
  // The worst point itself keeps the cut and misses the limit in truth.
  const double water_c = refuted.worst_point[0].value_si;
  const double wet_bulb_c = refuted.worst_point[1].value_si;
  const double margin_kw = TrueCapacityW(water_c, wet_bulb_c) / 1000 - c.refuted_kw;
  EXPECT_LT(c.relation == Relation::kAtLeast ? margin_kw : -margin_kw, 0);
  EXPECT_NEAR(refuted.shares->proven_fraction + refuted.shares->refuted_fraction +
                  refuted.shares->uncertain_fraction + refuted.shares->untested_fraction,
              1, 1e-12);
}

document::RegionCut Linear(std::vector<document::LinearCutTerm> terms, double at_most) {
  return {.linear = document::LinearCut{.terms = std::move(terms), .at_most = at_most}};
}

INSTANTIATE_TEST_SUITE_P(
    Kinds, CutTest,
    ::testing::Values(
        // Least 45.5 at 40 degC, 18 degC.
        CutCase{"Linear",
                Linear({{"entering_water_temp", 0.2, "degC"},
                        {"entering_air_wb", -1, "degC"}},
                       -10),
                Relation::kAtLeast, 44.5, 47},
        // The same in degF: 0.2 (F - 32) / 1.8 and so on.
        CutCase{"LinearInDegF",
                Linear({{"entering_water_temp", 0.2, "degF"},
                        {"entering_air_wb", -1, "degF"}},
                       -10 * 1.8 + 0.2 * 32 - 32),
                Relation::kAtLeast, 44.5, 47},
        // Greatest 56.3 at 24 degC, 24 degC.
        CutCase{"Order",
                {.order = document::OrderCut{.quantity = "entering_air_wb",
                                             .not_above = "entering_water_temp"}},
                Relation::kAtMost,
                57.5,
                55},
        // Greatest 54.5 at 30 degC, 24 degC.
        CutCase{"OrderWithOffset",
                {.order = document::OrderCut{.quantity = "entering_air_wb",
                                             .not_above = "entering_water_temp",
                                             .offset = -6,
                                             .unit = "K"}},
                Relation::kAtMost,
                55.5,
                53},
        // An L without the corner of warm water and dry air: least 44 at 25, 12.
        CutCase{"PolygonBentInwards",
                {.polygon = document::PolygonCut{.quantity = "entering_water_temp",
                                                 .unit = "degC",
                                                 .other_quantity = "entering_air_wb",
                                                 .other_unit = "degC",
                                                 .vertices = {{10, 12},
                                                              {25, 12},
                                                              {25, 18},
                                                              {40, 18},
                                                              {40, 24},
                                                              {10, 24}}}},
                Relation::kAtLeast,
                43,
                45.5},
        // Least 48.5 at 10 degC, 12 degC.
        CutCase{"Bound",
                {.bound = document::BoundCut{.quantity = "entering_air_wb",
                                             .side = document::BoundSide::kAtLeast,
                                             .unit = "degC",
                                             .constant = 8,
                                             .slope = 0.4,
                                             .other_quantity = "entering_water_temp",
                                             .other_unit = "degC"}},
                Relation::kAtLeast,
                47.5,
                50}),
    [](const auto& test) { return test.param.name; });

// What cuts leave out need not be tested.
TEST(Cut, OfAnUntestedCornerLeavesAClaimThatIsTested) {
  const TestUnit unit = WithCapacity("UNTESTED_CORNER", TrueCapacityW);
  Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, 35, "kW", kLowWaterC, 50);
  EXPECT_EQ(unit.Decide(claim).reason, NotShownReason::kUntested);
  claim.cuts = {Linear({{"entering_water_temp", 1, "degC"}}, 39)};
  const Verdict verdict = unit.Decide(claim);
  EXPECT_EQ(verdict.outcome, Outcome::kProven) << verdict.explanation;
  EXPECT_EQ(verdict.tested_fraction, 1);
}

TEST(Cut, ThatLeavesNothingIsAnErrorThatNamesTheClaim) {
  const TestUnit unit = WithCapacity("NOTHING_LEFT", TrueCapacityW);
  Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, 35, "kW");
  claim.cuts = {Linear({{"entering_water_temp", 1, "degC"}}, 25),
                Linear({{"entering_water_temp", -1, "degC"}}, -26)};
  EXPECT_THAT(DecideClaim(claim, unit.Inputs()),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("claim c: cuts: leave nothing")));
  claim.cuts.pop_back();
  claim.region[0].high_si = NAN;
  EXPECT_THAT(DecideClaim(claim, unit.Inputs()),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("claim c: region")));
}

struct LimitCase {
  std::string name;
  std::function<void(Claim&)> change;
  Outcome outcome;
};
void PrintTo(const LimitCase& c, std::ostream* out) { *out << c.name; }
class LimitTest : public ::testing::TestWithParam<LimitCase> {};

TEST_P(LimitTest, IsKeptOrMissedAsInTruth) {
  TestUnit unit = WithCapacity("LIMITS", TrueCapacityW);
  unit.map.held_conditions = {"water_flow"};
  unit.map.held_values_si = {0.002};
  unit.map.held_tolerances_si = {0};
  Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, 0, "kW");
  GetParam().change(claim);
  const Verdict verdict = unit.Decide(claim);
  EXPECT_EQ(verdict.outcome, GetParam().outcome) << verdict.explanation;
  const double sign = claim.relation == Relation::kAtMost ? -1 : 1;
  if (claim.relation != Relation::kWithin && verdict.outcome == Outcome::kProven) {
    EXPECT_GT(sign * (verdict.estimate - verdict.bound), 0);
  }
}

std::function<void(Claim&)> Line(double at_10_kw, double at_40_kw) {
  return [=](Claim& claim) {
    claim.limit_line = document::LimitLine{.quantity = "entering_water_temp",
                                           .unit = "degC",
                                           .value = 10,
                                           .limit = at_10_kw,
                                           .other_value = 40,
                                           .other_limit = at_40_kw,
                                           .value_si = 10,
                                           .limit_si = 1000 * at_10_kw,
                                           .other_value_si = 40,
                                           .other_limit_si = 1000 * at_40_kw};
  };
}
std::function<void(Claim&)> Table(double cold_kw, double warm_kw) {
  return [=](Claim& claim) {
    claim.limit_table = document::LimitTable{
        .rows = {{.ranges = {{"entering_water_temp", 10, 25, "degC", 10, 25}},
                  .limit = cold_kw,
                  .limit_si = 1000 * cold_kw},
                 {.ranges = {{"entering_water_temp", 25, 40, "degC", 25, 40}},
                  .limit = warm_kw,
                  .limit_si = 1000 * warm_kw}}};
  };
}
std::function<void(Claim&)> AbovePowerBy(double offset_kw) {
  return [=](Claim& claim) {
    claim.against = document::AgainstQuantity{
        .quantity = "power_input", .offset = offset_kw, .offset_si = 1000 * offset_kw};
  };
}
std::function<void(Claim&)> Window(double low_kw, double high_kw) {
  return [=](Claim& claim) {
    claim.relation = Relation::kWithin;
    claim.limit = low_kw;
    claim.limit_si = 1000 * low_kw;
    claim.upper_limit = high_kw;
    claim.upper_limit_si = 1000 * high_kw;
  };
}
std::function<void(Claim&)> AtMost(const std::string& quantity, double limit,
                                   const std::string& unit) {
  return
      [=](Claim& claim) { claim = MakeClaim(quantity, Relation::kAtMost, limit, unit); };
}

INSTANTIATE_TEST_SUITE_P(
    Kinds, LimitTest,
    ::testing::Values(
        // The least capacity over wet bulb is 48.5 kW at 10 degC and 39.5 at 40 degC.
        LimitCase{"LineBelow", Line(47.5, 38.5), Outcome::kProven},
        LimitCase{"LineAbove", Line(50, 41), Outcome::kRefuted},
        LimitCase{"LineThatCrosses", Line(45, 41), Outcome::kRefuted},
        LimitCase{"LineAtTheTruth", Line(48.5, 39.5), Outcome::kNotShown},
        // 44 kW at 25 degC.
        LimitCase{"TableBelow", Table(43, 38.5), Outcome::kProven},
        LimitCase{"TableAboveInARow", Table(43, 41), Outcome::kRefuted},
        LimitCase{"TableAtTheTruthInARow", Table(43, 39.5), Outcome::kNotShown},
        // Capacity less power is least at 40 degC, 12 degC: 26.5 kW.
        LimitCase{"AgainstBelow", AbovePowerBy(26), Outcome::kProven},
        LimitCase{"AgainstAbove", AbovePowerBy(28), Outcome::kRefuted},
        LimitCase{"AgainstAtTheTruth", AbovePowerBy(26.5), Outcome::kNotShown},
        LimitCase{"WindowHolds", Window(38.5, 61.5), Outcome::kProven},
        LimitCase{"WindowBelow", Window(41, 61.5), Outcome::kRefuted},
        LimitCase{"WindowAbove", Window(38.5, 59), Outcome::kRefuted},
        LimitCase{"WindowAtTheTruth", Window(38.5, 60.5), Outcome::kNotShown},
        // Capacity and power together are at most 67.5 kW, at 10 degC and 24 degC.
        LimitCase{"HeatBelow", AtMost("heat_rejection", 68.5e3, "W"), Outcome::kProven},
        LimitCase{"HeatAbove", AtMost("heat_rejection", 66e3, "W"), Outcome::kRefuted},
        // 64.5 kW at 40 degC and 24 degC warm 2 L/s by 7.722 K.
        LimitCase{"LeavingWaterBelow", AtMost("leaving_water_temp", 47.9, "degC"),
                  Outcome::kProven},
        LimitCase{"LeavingWaterAbove", AtMost("leaving_water_temp", 47.5, "degC"),
                  Outcome::kRefuted}),
    [](const auto& test) { return test.param.name; });

// A flow that is a condition makes the margin a product of flow and temperature.
TEST(Expression, LeavingWaterOverAFlowThatIsACondition) {
  TestUnit unit = WithCapacity("FLOW", [](double, double) { return 50e3; });
  // The wet bulbs of the points, 12 to 24, are read as flows of 1.2 to 2.4 L/s.
  for (double& flow : unit.columns[1]) flow *= 1e-4;
  for (size_t k = 1; k < unit.map.point_conditions_si.size(); k += 2) {
    unit.map.point_conditions_si[k] *= 1e-4;
  }
  unit.map.conditions = {"entering_water_temp", "water_flow"};
  unit.map.tested_low_si[1] *= 1e-4;
  unit.map.tested_high_si[1] *= 1e-4;
  const CombinationPart capacity[] = {{"total_capacity", 1}};
  const CombinationPart power[] = {{"power_input", 1}};
  unit.map.surfaces = {unit.Fit(capacity, 2), unit.Fit(power, 2)};
  Claim claim = MakeClaim("leaving_water_temp", Relation::kAtMost, 53, "degC");
  claim.region[0] = {"water_flow", 0.0012, 0.0024, "m3/s", 0.0012, 0.0024};
  // Worst at 40 degC and 1.2 L/s: 63 kW warm it by 12.57 K.
  const Verdict proven = unit.Decide(claim);
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  EXPECT_NEAR(proven.estimate, 52.57, 0.1);
  EXPECT_EQ(proven.worst_point[0].value, 40);
  EXPECT_EQ(proven.worst_point[1].value, 0.0012);
  EXPECT_NEAR(proven.bound, 53 - proven.margin, 1e-9);
  claim.limit = claim.limit_si = 52;
  EXPECT_EQ(unit.Decide(claim).outcome, Outcome::kRefuted);
  // Two degrees above the entering water at the least, everywhere.
  claim = MakeClaim("leaving_water_temp", Relation::kAtLeast, 0, "degC");
  claim.region[0] = {"water_flow", 0.0012, 0.0024, "m3/s", 0.0012, 0.0024};
  claim.against = document::AgainstQuantity{
      .quantity = "entering_water_temp", .offset = 5, .offset_si = 5};
  // Least at 10 degC and 2.4 L/s: 57 kW warm it by 5.69 K.
  const Verdict above = unit.Decide(claim);
  EXPECT_EQ(above.outcome, Outcome::kProven) << above.explanation;
  claim.against->offset = claim.against->offset_si = 6;
  EXPECT_EQ(unit.Decide(claim).outcome, Outcome::kRefuted);
}

TEST(Kind, ThatIsNotDecidedYetSaysSo) {
  const TestUnit unit = WithCapacity("NOT_YET", TrueCapacityW);
  Claim claim;
  claim.id = "c";
  EXPECT_FALSE(DecideClaim(claim, unit.Inputs()).ok());
}

TEST(Shares, AreThoseOfTheTruthWhereThereIsLittleNoise) {
  const TestUnit unit = WithCapacity("SHARES", TrueCapacityW, 1e-6);
  const Verdict verdict =
      unit.Decide(MakeClaim("total_capacity", Relation::kAtLeast, 45, "kW"));
  // Below 45 kW: a triangle of half 18.33 K by 5.5 K, of 30 K by 12 K.
  const double below = 0.5 * 5.5 / 0.3 * 5.5 / 360;
  EXPECT_NEAR(verdict.shares->refuted_fraction, below, 0.01);
  EXPECT_NEAR(verdict.shares->proven_fraction, 1 - below, 0.01);
  EXPECT_LE(verdict.shares->refuted_fraction, below);
  EXPECT_LE(verdict.shares->proven_fraction, 1 - below);
  EXPECT_EQ(verdict.shares->untested_fraction, 0);
  double listed = 0;
  for (const document::RegionPart& part : verdict.parts) listed += part.region_fraction;
  EXPECT_GT(listed, 0.5);
  EXPECT_LE(listed, 1 + 1e-12);
}

Verdict WithProvable(const TestUnit& unit, const Claim& claim) {
  ClaimInputs inputs = unit.Inputs();
  inputs.provable = true;
  return DecideClaim(claim, inputs).value();
}

TEST(Provable, TheTightestLimitIsTheBoundAndIsItselfProven) {
  const TestUnit unit = WithCapacity("TIGHTEST", TrueCapacityW);
  for (double limit : {30.0, 38.5, 42.0}) {
    Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, limit, "kW");
    const Verdict verdict = WithProvable(unit, claim);
    ASSERT_TRUE(verdict.provable->tightest_limit) << limit;
    const double tightest = *verdict.provable->tightest_limit;
    // The bound does not depend on the limit of a capacity.
    const Verdict easy =
        unit.Decide(MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW"));
    EXPECT_NEAR(tightest, easy.bound, 2e-3) << limit;
    EXPECT_LE(tightest, easy.bound + 1e-9);
    claim.limit = tightest;
    claim.limit_si = 1000 * tightest;
    EXPECT_EQ(unit.Decide(claim).outcome, Outcome::kProven);
    EXPECT_LE(verdict.provable->proof_count, 400);
  }
}

TEST(Provable, TheRegionShrinksToWhatHoldsAndGrowsToWhatWasTested) {
  const TestUnit unit = WithCapacity("REACH", TrueCapacityW);
  const auto reach = [](const Verdict& verdict, const std::string& quantity,
                        document::RangeEnd end) {
    for (const document::RegionReach& r : verdict.provable->reaches) {
      if (r.quantity == quantity && r.end == end) return r;
    }
    return document::RegionReach();
  };
  // 43 kW at 12 degC wet bulb are reached up to 28.33 degC.
  const Verdict less =
      WithProvable(unit, MakeClaim("total_capacity", Relation::kAtLeast, 43, "kW"));
  const auto high = reach(less, "entering_water_temp", document::RangeEnd::kHigh);
  ASSERT_TRUE(high.provable);
  EXPECT_GT(*high.provable, 26.5);
  EXPECT_LT(*high.provable, 28.4);
  EXPECT_EQ(high.claimed, 40);
  // No wet bulb range that ends at 12 degC helps.
  EXPECT_FALSE(reach(less, "entering_air_wb", document::RangeEnd::kHigh).provable);
  const Verdict more = WithProvable(
      unit, MakeClaim("total_capacity", Relation::kAtLeast, 38, "kW", 15, 30));
  EXPECT_EQ(*reach(more, "entering_water_temp", document::RangeEnd::kHigh).provable,
            kHighWaterC);
  EXPECT_EQ(*reach(more, "entering_water_temp", document::RangeEnd::kLow).provable,
            kLowWaterC);
}

// Seeded properties: whatever the claim.
TEST(Properties, SmallerRegionsAndSmallerAllowancesNeverWeakenAProof) {
  testing::Random random("SHRINK_AND_ALLOW");
  const TestUnit unit = WithCapacity("PROPERTIES", TrueCapacityW);
  int proven = 0, refuted = 0;
  for (int round = 0; round < 60; ++round) {
    Claim claim =
        MakeClaim("total_capacity", Relation::kAtLeast, random.Uniform(37, 44), "kW");
    claim.allowance.absolute_si = random.Uniform(0, 500);
    if (random.Integer(0, 1) == 1) {
      claim.cuts = {Linear({{"entering_water_temp", random.Uniform(0.1, 1), "degC"},
                            {"entering_air_wb", -1, "degC"}},
                           random.Uniform(-5, 20))};
    }
    const Verdict verdict = unit.Decide(claim);
    const auto& s = *verdict.shares;
    EXPECT_NEAR(s.proven_fraction + s.refuted_fraction + s.uncertain_fraction +
                    s.untested_fraction,
                1, 1e-12);
    Claim smaller = claim;
    const double cut = random.Uniform(0, 5);
    smaller.region[1].high_si -= cut;
    smaller.region[1].high -= cut;
    Claim allowed = claim;
    allowed.allowance.absolute_si += random.Uniform(0, 2000);
    if (verdict.outcome == Outcome::kProven) {
      ++proven;
      EXPECT_EQ(unit.Decide(smaller).outcome, Outcome::kProven) << round;
    } else {
      EXPECT_NE(unit.Decide(allowed).outcome, Outcome::kProven) << round;
    }
    if (verdict.outcome != Outcome::kRefuted) {
      EXPECT_NE(unit.Decide(allowed).outcome, Outcome::kRefuted) << round;
    } else {
      ++refuted;
    }
  }
  EXPECT_GE(proven, 10);
  EXPECT_GE(refuted, 10);
}

}  // namespace
}  // namespace ratebound::claim
