// Dew points of the leaving air from what is mapped instead of them. The truth is that of
// engine/fluid/moist_air.h, which is checked against the Handbook by its own tests.
#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "engine/claim/decide.h"
#include "engine/fluid/moist_air.h"
#include "engine/recheck/recheck.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/claim/kinds/machine.h"
#include "tests/testing/matchers.h"

namespace ratebound::claim {
namespace {

using document::Claim;
using document::NotShownReason;
using document::Outcome;
using document::Relation;
using document::Verdict;
using fluid::Phase;
using fluid::Si;
using ::testing::HasSubstr;

constexpr double kPressurePa = 101325;

double DewPointOf(double humidity_ratio) {
  return fluid::DewPoint<Si>(humidity_ratio, kPressurePa, Phase::kWater);
}
double DewPointOfBulbs(double dry_c, double wet_c) {
  return DewPointOf(
      fluid::HumidityRatioFromWetBulb<Si>(dry_c, wet_c, kPressurePa, Phase::kWater));
}

void HoldPressure(TestMachine& machine) {
  machine.mode.held_conditions = {{.quantity = "barometric_pressure",
                                   .value = kPressurePa,
                                   .unit = "Pa",
                                   .value_si = kPressurePa}};
}

// Humidity 7.5 to 10.5 g/kg over the wet bulb, and a little with the water.
double Humidity(double w, double wb) {
  return 0.0075 + 0.00025 * (wb - 12) + 0.00001 * (w - 10);
}

TestMachine ByHumidity(double noise) {
  TestMachine machine;
  machine.Add("full", "leaving_air_humidity_ratio", Humidity, "leaving_air_db",
              TruePowerW, noise);
  HoldPressure(machine);
  return machine;
}

double DryBulb(double w, double wb) { return 14 + 0.1 * (w - 10) + 0.3 * (wb - 12); }
double WetBulb(double w, double wb) { return 11 + 0.05 * (w - 10) + 0.35 * (wb - 12); }

TestMachine ByBulbs(double noise_k) {
  TestMachine machine;
  machine.Add("full", "leaving_air_db", DryBulb, "leaving_air_wb", WetBulb, noise_k);
  HoldPressure(machine);
  return machine;
}

Claim DewClaim(Relation relation, double limit, double upper = 0) {
  Claim claim = MakeClaim("leaving_air_dew_point", relation, limit, "degC");
  claim.stage = "full";
  if (relation == Relation::kWithin) {
    claim.upper_limit = upper;
    claim.upper_limit_si = upper;
  }
  return claim;
}

TEST(DewPoint, FollowsFromTheHumidityRatio) {
  const TestMachine machine = ByHumidity(0);
  const double most = DewPointOf(Humidity(40, 24)), least = DewPointOf(Humidity(10, 12));
  const Verdict proven = machine.Decide(DewClaim(Relation::kAtMost, most + 1e-4));
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  EXPECT_EQ(proven.unit, "degC");
  EXPECT_NEAR(proven.estimate, most, 1e-6);
  EXPECT_NEAR(proven.margin, 1e-4, 1e-6);
  const Verdict refuted = machine.Decide(DewClaim(Relation::kAtMost, most - 1e-4));
  ASSERT_EQ(refuted.outcome, Outcome::kRefuted) << refuted.explanation;
  EXPECT_EQ(WorstPoint(refuted), (std::pair<double, double>(40, 24)));
  EXPECT_EQ(machine.Decide(DewClaim(Relation::kAtLeast, least - 1e-4)).outcome,
            Outcome::kProven);
  EXPECT_EQ(machine.Decide(DewClaim(Relation::kAtLeast, least + 1e-4)).outcome,
            Outcome::kRefuted);
  EXPECT_EQ(
      machine.Decide(DewClaim(Relation::kWithin, least - 1e-4, most + 1e-4)).outcome,
      Outcome::kProven);
  EXPECT_EQ(
      machine.Decide(DewClaim(Relation::kWithin, least - 1e-4, most - 1e-4)).outcome,
      Outcome::kRefuted);
  const Verdict open = ByHumidity(2e-5).Decide(DewClaim(Relation::kAtMost, most));
  EXPECT_EQ(open.reason, NotShownReason::kUncertain) << open.explanation;
}

TEST(DewPoint, TheAllowanceIsTakenInKelvinOfDewPoint) {
  const TestMachine machine = ByHumidity(0);
  const double most = DewPointOf(Humidity(40, 24));
  // The tangent takes at most some more than the allowance, never less.
  Claim claim = DewClaim(Relation::kAtMost, most + 0.5);
  claim.allowance.absolute = claim.allowance.absolute_si = 0.501;
  EXPECT_NE(machine.Decide(claim).outcome, Outcome::kProven);
  claim.allowance.absolute = claim.allowance.absolute_si = 0.48;
  const Verdict proven = machine.Decide(claim);
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  EXPECT_EQ(proven.allowance, 0.48);
}

TEST(DewPoint, FollowsFromBothBulbs) {
  const TestMachine machine = ByBulbs(0.01);
  double least = 1e9, most = -1e9;
  for (const auto& [w, wb] : DenseSamples()) {
    const double dew = DewPointOfBulbs(DryBulb(w, wb), WetBulb(w, wb));
    least = std::min(least, dew);
    most = std::max(most, dew);
  }
  const Verdict proven = machine.Decide(DewClaim(Relation::kAtMost, most + 0.3));
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  EXPECT_NEAR(proven.estimate, most, 0.1);
  EXPECT_EQ(machine.Decide(DewClaim(Relation::kAtLeast, least - 0.5)).outcome,
            Outcome::kProven);
  const Verdict within =
      machine.Decide(DewClaim(Relation::kWithin, least - 0.5, most + 0.3));
  EXPECT_EQ(within.outcome, Outcome::kProven) << within.explanation;
  // Lines imply the limit only: what misses one is not refuted.
  for (const Claim& missed :
       {DewClaim(Relation::kAtMost, most - 1), DewClaim(Relation::kAtLeast, least + 1)}) {
    const Verdict verdict = machine.Decide(missed);
    EXPECT_EQ(verdict.outcome, Outcome::kNotShown);
    EXPECT_EQ(verdict.reason, NotShownReason::kUncertain) << verdict.explanation;
  }
}

TEST(DewPoint, AgreesWithDenseSamplesOfTheTruth) {
  testing::Random random("DEW_POINT_DENSE");
  int proven = 0;
  for (int run = 0; run < 24; ++run) {
    const double shift = random.Uniform(-8, 8), tilt = random.Uniform(-0.1, 0.1);
    const Truth dry = [=](double w, double wb) {
      return DryBulb(w, wb) + shift + tilt * (wb - 18);
    };
    const Truth wet = [=](double w, double wb) { return WetBulb(w, wb) + shift; };
    TestMachine machine;
    machine.shares = false;
    machine.Add("full", "leaving_air_db", dry, "leaving_air_wb", wet, 0);
    HoldPressure(machine);
    double least = 1e9, most = -1e9;
    for (const auto& [w, wb] : DenseSamples()) {
      const double dew = DewPointOfBulbs(dry(w, wb), wet(w, wb));
      least = std::min(least, dew);
      most = std::max(most, dew);
    }
    const double low = least + random.Uniform(-0.8, 0.2),
                 high = most + random.Uniform(-0.05, 0.2);
    const Verdict verdict = machine.Decide(DewClaim(Relation::kWithin, low, high));
    EXPECT_NE(verdict.outcome, Outcome::kRefuted);
    if (verdict.outcome != Outcome::kProven) continue;
    ++proven;
    EXPECT_LE(low, least + 1e-9) << run;
    EXPECT_GE(high, most - 1e-9) << run;
  }
  EXPECT_GT(proven, 5);
}

TEST(DewPoint, AMappedDewPointIsAPlainQuantity) {
  TestMachine machine;
  machine.Add("full", "leaving_air_dew_point", WetBulb, "leaving_air_db", DryBulb, 0.01);
  EXPECT_EQ(machine.Decide(DewClaim(Relation::kAtMost, 17)).outcome, Outcome::kProven);
  EXPECT_EQ(machine.Decide(DewClaim(Relation::kAtMost, 16)).outcome, Outcome::kRefuted);
}

// A freeze margin: evaporating temperature at least so much, as any measured quantity.
TEST(DewPoint, AFreezeMarginIsAPlainClaimOnEvaporatingTemperature) {
  TestMachine machine;
  machine.Add(
      "full", "saturated_suction_temp",
      [](double, double wb) { return 1 + 0.5 * (wb - 12); }, "power_input", TruePowerW,
      0.02);
  Claim claim = MakeClaim("saturated_suction_temp", Relation::kAtLeast, 0, "degC");
  claim.stage = "full";
  const Verdict proven = machine.Decide(claim);
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  EXPECT_NEAR(proven.estimate, 1, 0.05);
  claim.limit = claim.limit_si = 1.5;
  EXPECT_EQ(machine.Decide(claim).outcome, Outcome::kRefuted);
}

TEST(DewPoint, WhatCannotBeDerivedIsNamed) {
  TestMachine machine = ByHumidity(0);
  Claim against = DewClaim(Relation::kAtMost, 14);
  against.against = document::AgainstQuantity{.quantity = "entering_air_wb"};
  EXPECT_THAT(machine.TryDecide(against),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("claim c: against: a dew point")));
  machine.mode.held_conditions.clear();
  EXPECT_THAT(machine.TryDecide(DewClaim(Relation::kAtMost, 14)),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("name it among the mode's held_conditions")));
  // Only one bulb.
  TestMachine half = ByBulbs(0.01);
  half.stages[0]->unit.map.surfaces.erase(half.stages[0]->unit.map.surfaces.begin());
  const Verdict verdict = half.Decide(DewClaim(Relation::kAtMost, 14));
  EXPECT_EQ(verdict.reason, NotShownReason::kModel) << verdict.explanation;
  EXPECT_THAT(verdict.explanation, HasSubstr("leaving_air_db"));
}

// A release that holds no more than what a recheck reads.
document::Release ReleaseOf(const TestMachine& machine, const Verdict& verdict) {
  document::Release release{.manifest = machine.manifest, .verdicts = {verdict}};
  document::Mode mode = machine.mode;
  mode.id = verdict.text.mode;
  release.manifest.units = {{.id = verdict.text.unit, .modes = {mode}}};
  for (const auto& stage : machine.stages) {
    document::StageMap& map = release.maps.emplace_back(stage->unit.map);
    map.unit = verdict.text.unit;
    map.mode = verdict.text.mode;
    map.stage = stage->id;
  }
  return release;
}

TEST(DewPoint, CertificatesByHumidityAreFormedOnceMore) {
  TestMachine machine = ByHumidity(2e-5);
  const double most = DewPointOf(Humidity(40, 24)), least = DewPointOf(Humidity(10, 12));
  Claim claim = DewClaim(Relation::kWithin, least - 0.5, most + 0.5);
  claim.allowance.absolute = claim.allowance.absolute_si = 0.1;
  for (const bool refuted : {false, true}) {
    if (refuted) claim.upper_limit = claim.upper_limit_si = most - 1;
    Certification certification;
    ASSERT_OK_AND_ASSIGN(const Verdict verdict, machine.TryDecide(claim, &certification));
    ASSERT_EQ(verdict.outcome, refuted ? Outcome::kRefuted : Outcome::kProven)
        << verdict.explanation;
    ASSERT_TRUE(certification.certificate) << certification.why_none;
    document::Certificate certificate = *certification.certificate;
    document::Release release = ReleaseOf(machine, verdict);
    ASSERT_OK_AND_ASSIGN(const recheck::RecheckReport report,
                         recheck::RecheckAgainst(certificate, release));
    EXPECT_TRUE(report.all_derived()) << report.ties[0].why;
    // The same humidity at another pressure is another dew point.
    release.manifest.units[0].modes[0].held_conditions[0].value_si = 100000;
    EXPECT_FALSE(recheck::RecheckAgainst(certificate, release).ok());
    release = ReleaseOf(machine, verdict);
    release.verdicts[0].text.upper_limit_si += 0.001;
    EXPECT_FALSE(recheck::RecheckAgainst(certificate, release).ok());
    certificate.parts.back().functions[0].value.coefficients[0] += 1e-6;
    certificate.seal = document::SealOf(certificate);
    EXPECT_FALSE(recheck::RecheckAgainst(certificate, ReleaseOf(machine, verdict)).ok());
  }
}

TEST(DewPoint, ByBulbsThereIsNoCertificateAndASentenceWhy) {
  Certification certification;
  ASSERT_OK_AND_ASSIGN(
      const Verdict verdict,
      ByBulbs(0.01).TryDecide(DewClaim(Relation::kAtMost, 40), &certification));
  EXPECT_EQ(verdict.outcome, Outcome::kProven) << verdict.explanation;
  EXPECT_FALSE(certification.certificate);
  EXPECT_THAT(certification.why_none, HasSubstr("lines of dry and wet bulb"));
}

}  // namespace
}  // namespace ratebound::claim
