#include "engine/claim/declared_rating.h"

#include <span>
#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace ratebound::claim {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

document::LineManifest Line(double declared, const std::string& unit = "Btu/Wh") {
  return {.units = {{.id = "u",
                     .declared_ratings = {
                         {.procedure = "p", .value = declared, .unit = unit}}}}};
}

document::Rating RatingOf(double value, const std::string& rounded,
                          const std::string& unit = "Btu/Wh") {
  return {.unit = "u",
          .procedure = "p",
          .metric = "M",
          .metric_unit = unit,
          .value = value,
          .rounded = rounded,
          .trace = {{.label = "long"}}};
}

DeclaredVerdict Judge(double declared, const document::Rating& rating,
                      const std::string& unit = "Btu/Wh",
                      std::optional<double> tolerance_percent = {}) {
  document::Procedure procedure{.id = "p"};
  if (tolerance_percent) {
    procedure.surveillance_tolerance = {
        .value = *tolerance_percent, .unit = "%", .citation = {.source = "a regulation"}};
  }
  const std::vector<DeclaredVerdict> verdicts =
      JudgeDeclared(Line(declared, unit), {&rating, 1}, {&procedure, 1});
  EXPECT_THAT(verdicts, SizeIs(1));
  return verdicts[0];
}

TEST(DeclaredRating, IsHeldAgainstTheRoundedFigureAtNoTolerance) {
  const struct {
    double declared;
    double value;
    const char* rounded;
    const char* unit;
    DeclaredOutcome outcome;
  } kCases[] = {
      {15.2, 15.2014, "15.2", "Btu/Wh", DeclaredOutcome::kSupported},
      {15.2, 15.151, "15.2", "Btu/Wh", DeclaredOutcome::kSupported},
      {15.2, 15.149, "15.1", "Btu/Wh", DeclaredOutcome::kNotSupported},
      {15.2, 19, "19.0", "Btu/Wh", DeclaredOutcome::kSupported},
      // Stated finer than the procedure rounds.
      {15.25, 15.24, "15.2", "Btu/Wh", DeclaredOutcome::kNotSupported},
      {14.65, 14.6501, "14.650", "Btu/Wh", DeclaredOutcome::kSupported},
      // Power per capacity: less is better.
      {0.6, 0.5994, "0.599", "kW/ton", DeclaredOutcome::kSupported},
      {0.6, 0.6, "0.600", "kW/ton", DeclaredOutcome::kSupported},
      {0.6, 0.6006, "0.601", "kW/ton", DeclaredOutcome::kNotSupported},
  };
  for (const auto& c : kCases) {
    const DeclaredVerdict verdict =
        Judge(c.declared, RatingOf(c.value, c.rounded, c.unit), c.unit);
    EXPECT_EQ(verdict.outcome, c.outcome) << verdict.explanation;
    EXPECT_THAT(verdict.rating.trace, IsEmpty());
  }
}

TEST(DeclaredRating, ThatTheDataGiveNoFigureForIsNotRated) {
  document::Rating refused = RatingOf(0, "");
  refused.value.reset();
  refused.refusal = "no point at 50 % load";
  const DeclaredVerdict verdict = Judge(15, refused);
  EXPECT_EQ(verdict.outcome, DeclaredOutcome::kNotRated);
  EXPECT_THAT(verdict.explanation, HasSubstr("no point at 50 % load"));
  EXPECT_THAT(JudgeDeclared(Line(15), {}, {})[0].explanation,
              HasSubstr("was not computed"));
}

// The figure and the arithmetic of Commission Regulation (EU) No 206/2012, annex III:
// SEER and SCOP not lower than declared by more than 8 %.
TEST(DeclaredRating, ASurveillanceToleranceDecidesNothing) {
  const DeclaredVerdict inside = Judge(5, RatingOf(4.61, "4.6", "W/W"), "W/W", 8);
  EXPECT_EQ(inside.outcome, DeclaredOutcome::kNotSupported);
  ASSERT_TRUE(inside.what_if.has_value());
  EXPECT_DOUBLE_EQ(inside.what_if->limit, 4.6);
  EXPECT_TRUE(inside.what_if->within);
  EXPECT_FALSE(Judge(5, RatingOf(4.59, "4.6", "W/W"), "W/W", 8).what_if->within);
  const DeclaredVerdict power = Judge(0.5, RatingOf(0.54, "0.54", "kW/ton"), "kW/ton", 8);
  EXPECT_EQ(power.outcome, DeclaredOutcome::kNotSupported);
  EXPECT_DOUBLE_EQ(power.what_if->limit, 0.54);
  EXPECT_FALSE(Judge(5, RatingOf(4.6, "4.6")).what_if.has_value());
}

std::vector<std::string> FailuresOf(const std::vector<DeclaredVerdict>& before,
                                    const std::vector<DeclaredVerdict>& now,
                                    GateRule rule, GateChange change) {
  const auto gated =
      GateRatings(now, std::span<const DeclaredVerdict>(before), {.rule = rule});
  EXPECT_THAT(gated, SizeIs(1));
  EXPECT_EQ(gated[0].change, change);
  return gated[0].failures;
}

TEST(DeclaredRating, AnUnsupportedOneFailsUnderEveryRule) {
  const DeclaredVerdict before = Judge(15.2, RatingOf(15.2, "15.2"));
  const DeclaredVerdict now = Judge(15.2, RatingOf(15.1, "15.1"));
  EXPECT_THAT(FailuresOf({before}, {now}, GateRule::kRefuted, GateChange::kWeaker),
              ElementsAre("not supported: M declared 15.2 Btu/Wh; the data give 15.1 "
                          "Btu/Wh (15.1 before rounding), which does not support it"));
  EXPECT_THAT(FailuresOf({before}, {now}, GateRule::kWeaker, GateChange::kWeaker),
              SizeIs(2));
  EXPECT_THAT(GateRatings(std::vector{now}, std::nullopt)[0].failures, SizeIs(1));
}

TEST(DeclaredRating, OneThatCannotBeComputedAnyMoreIsWeaker) {
  document::Rating refused = RatingOf(0, "");
  refused.value.reset();
  const DeclaredVerdict before = Judge(15, RatingOf(15.2, "15.2"));
  const DeclaredVerdict now = Judge(15, refused);
  EXPECT_THAT(FailuresOf({before}, {now}, GateRule::kRefuted, GateChange::kWeaker),
              IsEmpty());
  EXPECT_THAT(FailuresOf({before}, {now}, GateRule::kWeaker, GateChange::kWeaker),
              ElementsAre("weaker than the baseline: NOT RATED, was SUPPORTED"));
  EXPECT_THAT(FailuresOf({now}, {now}, GateRule::kWeaker, GateChange::kSame), IsEmpty());
  EXPECT_THAT(FailuresOf({now}, {now}, GateRule::kNotShown, GateChange::kSame),
              SizeIs(1));
}

TEST(DeclaredRating, EasedOrWithdrawnIsARegressionWhereItStood) {
  const DeclaredVerdict high = Judge(15.2, RatingOf(15.2, "15.2"));
  const DeclaredVerdict low = Judge(15, RatingOf(15.2, "15.2"));
  const DeclaredVerdict false_one = Judge(16, RatingOf(15.2, "15.2"));
  EXPECT_THAT(FailuresOf({high}, {low}, GateRule::kWeaker, GateChange::kWeaker),
              ElementsAre("weaker than the baseline: declared value eased from 15.2 "
                          "Btu/Wh to 15 Btu/Wh"));
  EXPECT_THAT(FailuresOf({low}, {high}, GateRule::kWeaker, GateChange::kStronger),
              IsEmpty());
  EXPECT_THAT(FailuresOf({false_one}, {high}, GateRule::kWeaker, GateChange::kStronger),
              IsEmpty());
  EXPECT_THAT(FailuresOf({high}, {}, GateRule::kWeaker, GateChange::kGone), SizeIs(1));
  EXPECT_THAT(FailuresOf({false_one}, {}, GateRule::kWeaker, GateChange::kGone),
              IsEmpty());
}

TEST(DeclaredRating, AFigureThatMovedWithinItsPromiseIsTold) {
  const DeclaredVerdict before = Judge(15, RatingOf(15.4, "15.4"));
  const DeclaredVerdict now = Judge(15, RatingOf(15.2, "15.2"));
  const auto gated = GateRatings(std::vector{now}, std::span(&before, 1));
  ASSERT_THAT(gated[0].differences, SizeIs(1));
  EXPECT_EQ(gated[0].differences[0].text, "the data give 15.2 Btu/Wh, gave 15.4");
  EXPECT_EQ(gated[0].change, GateChange::kSame);
}

}  // namespace
}  // namespace ratebound::claim
