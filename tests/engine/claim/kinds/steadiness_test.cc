// 1 degF about the set point for a controlled temperature is common practice, no source.
#include <string>

#include "engine/claim/decide.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::claim {
namespace {

using document::Claim;
using document::NotShownReason;
using document::Outcome;
using document::Verdict;
using ::testing::HasSubstr;

double FromF(double f) { return (f - 32) / 1.8; }

// Leaving air held at 55 degF: the mean within 0.5, no reading further away than 1.
Claim Steady() {
  Claim claim{.id = "c"};
  claim.steadiness = document::Steadiness{.log = "logs/day1.csv",
                                          .quantity = "leaving_air_db",
                                          .target = 55,
                                          .unit = "degF",
                                          .mean_within = 0.5,
                                          .band = 1,
                                          .target_si = FromF(55),
                                          .mean_within_si = 0.5 / 1.8,
                                          .band_si = 1 / 1.8};
  return claim;
}

document::ReadingStatistics Readings(double mean, double least, double greatest) {
  return {.quantity = "leaving_air_db",
          .count = 3600,
          .mean_si = FromF(mean),
          .least_si = FromF(least),
          .greatest_si = FromF(greatest),
          .least_line = 17,
          .greatest_line = 42};
}

absl::StatusOr<Verdict> TryDecide(const document::ReadingStatistics* readings) {
  const document::LineManifest manifest;
  const document::Mode mode;
  const document::StageMap map;
  return DecideClaim(
      Steady(), {.manifest = manifest, .mode = mode, .map = map, .readings = readings});
}
Verdict Decide(const document::ReadingStatistics& readings) {
  return TryDecide(&readings).value();
}

TEST(Steadiness, IsObservedWithItsFiguresAndNeverProven) {
  const Verdict verdict = Decide(Readings(55.2, 54.3, 55.9));
  EXPECT_EQ(verdict.outcome, Outcome::kObserved) << verdict.explanation;
  EXPECT_NEAR(verdict.estimate, 55.2, 1e-9);
  EXPECT_NEAR(verdict.bound, 55.9, 1e-9);
  EXPECT_NEAR(verdict.margin, 0.1, 1e-9);
  EXPECT_EQ(verdict.unit, "degF");
  EXPECT_EQ(verdict.model, "3600 readings of logs/day1.csv");
  EXPECT_THAT(verdict.explanation, HasSubstr("mean 55.2 degF"));
  EXPECT_THAT(verdict.explanation, HasSubstr("55.9 in line 42"));
  EXPECT_THAT(verdict.explanation, HasSubstr("not proven"));
}

TEST(Steadiness, ALogThatMissesItShowsNothingAndRefutesNothing) {
  const Verdict band = Decide(Readings(55.2, 53.8, 55.9));
  EXPECT_EQ(band.outcome, Outcome::kNotShown);
  EXPECT_EQ(band.reason, NotShownReason::kUncertain);
  EXPECT_THAT(band.explanation, HasSubstr("readings leave the band"));
  EXPECT_THAT(band.explanation, HasSubstr("53.8 in line 17"));
  EXPECT_NEAR(band.margin, -0.2, 1e-9);
  const Verdict mean = Decide(Readings(55.6, 54.3, 55.9));
  EXPECT_EQ(mean.outcome, Outcome::kNotShown);
  EXPECT_THAT(mean.explanation, HasSubstr("the mean is off"));
  EXPECT_NEAR(mean.margin, -0.1, 1e-9);
}

// 56 degF is 1 degF from 55 as it is written, whatever both are in degC.
TEST(Steadiness, AReadingAtTheEndOfTheBandKeepsIt) {
  EXPECT_EQ(Decide(Readings(55.5, 54, 56)).outcome, Outcome::kObserved);
  EXPECT_EQ(Decide(Readings(54.5, 54, 55)).outcome, Outcome::kObserved);
  EXPECT_EQ(Decide(Readings(55, 54, 56.001)).outcome, Outcome::kNotShown);
}

TEST(Steadiness, WithoutReadingsThereIsNothingToSee) {
  const Verdict none = Decide({.quantity = "leaving_air_db"});
  EXPECT_EQ(none.reason, NotShownReason::kUntested) << none.explanation;
  EXPECT_THAT(TryDecide(nullptr),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("claim c: steadiness.quantity: logs/day1.csv "
                                          "has no column of leaving_air_db")));
}

}  // namespace
}  // namespace ratebound::claim
