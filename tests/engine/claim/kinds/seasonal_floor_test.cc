#include <cmath>
#include <string>

#include "engine/claim/decide.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::claim {
namespace {

using document::Claim;
using document::Footing;
using document::NotShownReason;
using document::Outcome;
using document::Rating;
using document::Verdict;
using ::testing::HasSubstr;

// Student's t of 10 degrees of freedom, one-sided 97.5 %, which the first look takes at
// a confidence of 95 %: 2.228 in any table.
constexpr double kT = 2.2281388520;

Rating MakeRating(double value, double standard_error, double systematic,
                  const std::string& unit = "Btu/Wh") {
  Rating rating{.procedure = "seer", .metric_unit = unit, .value = value};
  rating.footing = Footing::kInterpolated;
  rating.uncertainty =
      document::MetricUncertainty{.method = document::UncertaintyMethod::kFirstOrder,
                                  .standard_error = standard_error,
                                  .degrees_of_freedom = 10,
                                  .systematic = systematic};
  return rating;
}

Claim Floor(double at_least, const std::string& unit = "Btu/Wh", double absolute = 0,
            double fraction = 0) {
  Claim claim{.id = "c", .confidence = 0.95};
  claim.allowance = {.relative_fraction = fraction, .absolute = absolute};
  claim.seasonal_floor =
      document::SeasonalFloor{.procedure = "seer", .at_least = at_least, .unit = unit};
  return claim;
}

absl::StatusOr<Verdict> TryDecide(const Claim& claim, const Rating* rating,
                                  const Verdict* earlier = nullptr,
                                  std::string digest = "day 1") {
  const document::LineManifest manifest;
  const document::Mode mode;
  const document::StageMap map;
  return DecideClaim(claim, {.manifest = manifest,
                             .mode = mode,
                             .map = map,
                             .data_digest = std::move(digest),
                             .earlier = earlier,
                             .rating = rating});
}
Verdict Decide(const Claim& claim, const Rating& rating) {
  return TryDecide(claim, &rating).value();
}

TEST(SeasonalFloor, BothPartsAndTheAllowanceAreTakenOffLinearly) {
  const Rating rating = MakeRating(16, 0.1, 0.3);
  // 16 - 0.2228 - 0.3 - 0.2 = 15.2772.
  const double bound = 16 - kT * 0.1 - 0.3 - 0.2;
  const Verdict proven = Decide(Floor(bound - 1e-6, "Btu/Wh", 0.2), rating);
  EXPECT_EQ(proven.outcome, Outcome::kProven) << proven.explanation;
  EXPECT_NEAR(proven.margin, 1e-6, 1e-9);
  EXPECT_NEAR(proven.bound, bound, 1e-9);
  EXPECT_NEAR(proven.coverage_factor, kT, 1e-9);
  EXPECT_EQ(proven.estimate, 16);
  EXPECT_EQ(proven.unit, "Btu/Wh");
  EXPECT_NEAR(proven.level, 0.025, 1e-15);
  EXPECT_THAT(proven.explanation, HasSubstr("97.5 %"));
  const Verdict open = Decide(Floor(bound + 1e-6, "Btu/Wh", 0.2), rating);
  EXPECT_EQ(open.outcome, Outcome::kNotShown);
  EXPECT_EQ(open.reason, NotShownReason::kUncertain) << open.explanation;
}

TEST(SeasonalFloor, RefutedWhereEverythingGrantedFallsShort) {
  const Rating rating = MakeRating(16, 0.1, 0.3);
  const double upper = 16 + kT * 0.1 + 0.3 + 0.02 * 17;
  EXPECT_EQ(Decide(Floor(17, "Btu/Wh", 0, 0.02), rating).reason,
            upper >= 17 ? NotShownReason::kUncertain : NotShownReason::kNone);
  const Verdict refuted = Decide(Floor(16 + kT * 0.1 + 0.3 + 1e-6), rating);
  ASSERT_EQ(refuted.outcome, Outcome::kRefuted) << refuted.explanation;
  EXPECT_NEAR(refuted.margin, -1e-6, 1e-9);
  EXPECT_THAT(refuted.explanation, HasSubstr("fails: the rating is 16 Btu/Wh"));
  EXPECT_NE(Decide(Floor(16 + kT * 0.1 + 0.3 - 1e-6), rating).outcome, Outcome::kRefuted);
}

TEST(SeasonalFloor, LessIsBetterForPowerOverCapacity) {
  const Rating rating = MakeRating(0.6, 0.01, 0.02, "kW/ton");
  const double bound = 0.6 + kT * 0.01 + 0.02;
  EXPECT_EQ(Decide(Floor(bound + 1e-9, "kW/ton"), rating).outcome, Outcome::kProven);
  EXPECT_EQ(Decide(Floor(bound - 1e-9, "kW/ton"), rating).reason,
            NotShownReason::kUncertain);
  const Verdict refuted = Decide(Floor(0.5, "kW/ton"), rating);
  EXPECT_EQ(refuted.outcome, Outcome::kRefuted);
  EXPECT_THAT(refuted.explanation, HasSubstr("at most 0.5"));
}

TEST(SeasonalFloor, OtherUnitsOfTheSameKindAreTurned) {
  const double btu_per_wh = 3.412141633;
  const Verdict verdict = Decide(Floor(15 / btu_per_wh, "W/W"), MakeRating(16, 0.1, 0.3));
  EXPECT_EQ(verdict.outcome, Outcome::kProven) << verdict.explanation;
  EXPECT_NEAR(verdict.estimate, 16 / btu_per_wh, 1e-8);
  EXPECT_NEAR(verdict.systematic, 0.3 / btu_per_wh, 1e-8);
  const Rating rating = MakeRating(16, 0.1, 0.3);
  EXPECT_THAT(TryDecide(Floor(0.6, "kW/ton"), &rating),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("claim c: seasonal_floor.unit: seer gives "
                                          "Btu/Wh, and the claim says kW/ton")));
}

TEST(SeasonalFloor, WhatIsNotKnownShowsNothing) {
  Rating none{.procedure = "seer", .refusal = "no point at 82 degF"};
  const Verdict refused = Decide(Floor(14), none);
  EXPECT_EQ(refused.reason, NotShownReason::kModel);
  EXPECT_THAT(refused.explanation, HasSubstr("no point at 82 degF"));
  Rating unsure = MakeRating(16, 0.1, 0.3);
  unsure.uncertainty.reset();
  unsure.notes = {"how sure the figure is cannot be told: one block"};
  const Verdict model = Decide(Floor(14), unsure);
  EXPECT_EQ(model.reason, NotShownReason::kModel);
  EXPECT_THAT(model.explanation, HasSubstr("one block"));
  // Far above the value and far below it alike.
  Rating beyond = MakeRating(16, 0.1, 0.3);
  beyond.footing = Footing::kExtrapolated;
  EXPECT_EQ(Decide(Floor(10), beyond).reason, NotShownReason::kUntested);
  EXPECT_EQ(Decide(Floor(20), beyond).reason, NotShownReason::kUntested);
  EXPECT_THAT(TryDecide(Floor(14), nullptr),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("claim c: seasonal_floor")));
}

TEST(SeasonalFloor, LooksOnNewDataPayForThemselves) {
  const Rating rating = MakeRating(16, 0.1, 0.3);
  const Verdict first = TryDecide(Floor(15), &rating).value();
  const Verdict same = TryDecide(Floor(15), &rating, &first, "day 1").value();
  EXPECT_EQ(same.look, 1);
  const Verdict second = TryDecide(Floor(15), &rating, &first, "day 2").value();
  EXPECT_EQ(second.look, 2);
  EXPECT_NEAR(second.level, 0.05 / 6, 1e-15);
  EXPECT_GT(second.coverage_factor, first.coverage_factor);
}

// A floor at the truth itself is called proven, and a truth at the floor refuted, no more
// often than the level says: normal errors with a known number of degrees of freedom.
TEST(SeasonalFloor, ErrsNoMoreOftenThanTheLevel) {
  testing::Random random("SEASONAL_LEVEL");
  constexpr int kRuns = 20'000;
  int proven = 0, refuted = 0;
  for (int run = 0; run < kRuns; ++run) {
    double square = 0;
    for (int i = 0; i < 10; ++i) {
      const double z = random.Normal();
      square += z * z;
    }
    const double estimate = 16 + 0.1 * random.Normal();
    const Outcome outcome =
        Decide(Floor(16), MakeRating(estimate, 0.1 * std::sqrt(square / 10), 0)).outcome;
    proven += outcome == Outcome::kProven;
    refuted += outcome == Outcome::kRefuted;
  }
  // 2.5 % and four standard deviations of the count.
  EXPECT_NEAR(proven, 0.025 * kRuns, 4 * std::sqrt(0.025 * kRuns));
  EXPECT_NEAR(refuted, 0.025 * kRuns, 4 * std::sqrt(0.025 * kRuns));
}

}  // namespace
}  // namespace ratebound::claim
