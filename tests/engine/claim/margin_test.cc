#include "engine/claim/margin.h"

#include <cmath>
#include <vector>

#include "engine/bound/interval.h"
#include "gtest/gtest.h"
#include "tests/engine/claim/fixture.h"
#include "tests/testing/matchers.h"

namespace ratebound::claim {
namespace {

using document::Relation;

double At(const bound::BandedFunction& g, std::vector<double> z) {
  const bound::Interval value = bound::Evaluate(g, z);
  return (value.lo + value.hi) / 2;
}

class MarginTest : public ::testing::Test {
 protected:
  TestUnit unit_ = MakeTestUnit(0.0, "MARGIN");

  Margin Make(const document::Claim& claim) { return unit_.MarginOf(claim); }
};

TEST_F(MarginTest, IsTheDistanceToTheLimitOnTheRightSide) {
  const Margin at_least = Make(MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW"));
  const Margin at_most = Make(MakeClaim("total_capacity", Relation::kAtMost, 80, "kW"));
  const std::vector<double> centre = {0, 0};  // 25 degC water, 18 degC wet bulb: 50 kW
  EXPECT_NEAR(at_least.taken.value.Evaluate(centre), 20e3, 1e-6);
  EXPECT_NEAR(at_most.taken.value.Evaluate(centre), 30e3, 1e-6);
}

TEST_F(MarginTest, AllowanceIsTakenInAProofAndGrantedInARefutation) {
  document::Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW");
  claim.allowance = {.relative_fraction = 0.1, .absolute_si = 500};  // 3.5 kW
  const Margin margin = Make(claim);
  ASSERT_OK_AND_ASSIGN(const auto pessimistic, Pessimistic(margin, {0}));
  ASSERT_OK_AND_ASSIGN(const auto shortfall, Shortfall(margin, {0}));
  EXPECT_NEAR(At(pessimistic, {0, 0}), 20e3 - 3500, 1e-6);
  EXPECT_NEAR(At(shortfall, {0, 0}), -20e3 - 3500, 1e-6);
}

TEST_F(MarginTest, EfficiencyIsProvenOnCapacityLessLimitTimesPower) {
  // COP at the centre is 5. Margins are in watts of capacity: 50 - 4 * 10 = 10 kW.
  const Margin at_least =
      Make(MakeClaim("coefficient_of_performance", Relation::kAtLeast, 4, "W/W"));
  EXPECT_NEAR(at_least.taken.value.Evaluate(std::vector<double>{0, 0}), 10e3, 1e-6);
  document::Claim claim =
      MakeClaim("coefficient_of_performance", Relation::kAtMost, 7, "W/W");
  claim.allowance.absolute_si = 0.5;
  const Margin at_most = Make(claim);
  EXPECT_NEAR(at_most.taken.value.Evaluate(std::vector<double>{0, 0}), 6.5 * 10e3 - 50e3,
              1e-6);
  ASSERT_OK_AND_ASSIGN(const auto shortfall, Shortfall(at_most, {0}));
  EXPECT_NEAR(At(shortfall, {0, 0}), 50e3 - 7.5 * 10e3, 1e-6);
}

TEST_F(MarginTest, SystematicErrorAddsLinearlyFromResponseAndConditions) {
  unit_.manifest.systematic_uncertainties = {
      {.quantity = "total_capacity", .relative_fraction = 0.02, .absolute_si = 100},
      {.quantity = "entering_water_temp", .absolute_si = 0.5},
      {.quantity = "entering_air_wb", .relative_fraction = 0.01}};
  const Margin margin = Make(MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW"));
  // 2 % of 50 kW, 100 W, 0.5 K at 300 W/K, 1 % of at most 24 degC at 1000 W/K.
  const double want = 1000 + 100 + 150 + 240;
  EXPECT_NEAR(SystematicAt(margin.taken, std::vector<double>{0, 0}, {0}), want, 1e-6);
  ASSERT_OK_AND_ASSIGN(const auto pessimistic, Pessimistic(margin, {0}));
  EXPECT_NEAR(At(pessimistic, {0, 0}), 20e3 - want, 1e-6);
}

TEST_F(MarginTest, OfAnEfficiencyCapacityAndPowerErrAgainstTheClaimTogether) {
  unit_.manifest.systematic_uncertainties = {
      {.quantity = "total_capacity", .relative_fraction = 0.02},
      {.quantity = "power_input", .relative_fraction = 0.01}};
  const Margin margin =
      Make(MakeClaim("coefficient_of_performance", Relation::kAtLeast, 4, "W/W"));
  EXPECT_NEAR(SystematicAt(margin.taken, std::vector<double>{0, 0}, {0}), 1000 + 4 * 100,
              1e-6);
}

// What the instruments give stands in place of what the manifest states.
TEST_F(MarginTest, InstrumentsCarriedThroughTheReductionComeBeforeWhatIsStated) {
  unit_.manifest.systematic_uncertainties = {
      {.quantity = "total_capacity", .relative_fraction = 0.02, .absolute_si = 100},
      {.quantity = "entering_water_temp", .absolute_si = 0.5}};
  for (document::Surface& surface : unit_.map.surfaces) {
    if (surface.quantity == "total_capacity") surface.systematic_fraction = 0.03;
  }
  unit_.map.condition_systematic_si = {0.2, 0};
  const Margin margin = Make(MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW"));
  // 3 % of 50 kW and 0.2 K at 300 W/K; nothing is known of the other condition.
  EXPECT_NEAR(SystematicAt(margin.taken, std::vector<double>{0, 0}, {0}), 1500 + 60,
              1e-6);
}

// What is granted is another combination: its errors are those of capacity less the
// other limit times power, not of the one that a proof stands on.
TEST(EfficiencyMargin, ARefutationHasTheUncertaintyOfItsOwnLimit) {
  TestUnit unit = MakeTestUnit(0.01, "GRANTED_SIDE");
  unit.manifest.systematic_uncertainties = {
      {.quantity = "power_input", .relative_fraction = 0.01}};
  document::Claim claim =
      MakeClaim("coefficient_of_performance", Relation::kAtMost, 5, "W/W");
  claim.allowance.absolute_si = 2;
  const Margin margin = unit.MarginOf(claim);
  const CombinationPart combination[] = {{"total_capacity", 1}, {"power_input", -7}};
  const document::Surface want = unit.Fit(combination, 2);
  const std::vector<double> centre = {0, 0};
  EXPECT_NEAR(StandardErrorAt(margin.granted, centre), std::sqrt(want.covariance_si[0]),
              1e-9);
  EXPECT_NEAR(margin.granted.value.Evaluate(centre), -want.coefficients_si[0], 1e-6);
  const double power_w = margin.denominator.Evaluate(centre);
  EXPECT_NEAR(SystematicAt(margin.granted, centre, {0}), 7 * 0.01 * power_w, 1e-6);
  EXPECT_NEAR(SystematicAt(margin.taken, centre, {0}), 3 * 0.01 * power_w, 1e-6);
}

TEST(SystematicAt, OfAPartOfAValueIsTakenAtTheFarEndOfItsBand) {
  TestUnit unit = MakeTestUnit(0.01, "FAR_END");
  unit.manifest.systematic_uncertainties = {
      {.quantity = "power_input", .relative_fraction = 0.05}};
  const Margin margin =
      unit.MarginOf(MakeClaim("power_input", Relation::kAtMost, 14, "kW"));
  const std::vector<double> z = {1, 1};
  const double value_w = 14e3 - margin.taken.value.Evaluate(z);
  const double band_w = 2 * StandardErrorAt(margin.taken, z);
  EXPECT_NEAR(SystematicAt(margin.taken, z, {2}), 0.05 * (value_w + band_w), 1e-6);
  // Every true value that reads as some value of the band, 5 % off at most, is inside.
  ASSERT_OK_AND_ASSIGN(const auto pessimistic, Pessimistic(margin, {2}));
  EXPECT_NEAR(At(pessimistic, z), 14e3 - 1.05 * (value_w + band_w), 1e-6);
}

TEST(StandardErrorAt, IsThatOfTheFit) {
  const TestUnit unit = MakeTestUnit(0.01, "STANDARD_ERROR");
  const document::Claim claim = MakeClaim("total_capacity", Relation::kAtLeast, 30, "kW");
  const Margin margin = unit.MarginOf(claim);
  // At the centre of z only the constant term counts: its variance is the first entry.
  EXPECT_NEAR(StandardErrorAt(margin.taken, std::vector<double>{0, 0}),
              std::sqrt(unit.map.surfaces[0].covariance_si[0]), 1e-9);
}

}  // namespace
}  // namespace ratebound::claim
