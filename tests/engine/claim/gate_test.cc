#include "engine/claim/gate.h"

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/claim/verdict_strength.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace ratebound::claim {
namespace {

using document::NotShownReason;
using document::Outcome;
using document::Verdict;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

Verdict VerdictOf(Outcome outcome, double margin = 4) {
  return {.claim = "x",
          .text = {.id = "x",
                   .unit = "u",
                   .quantity = "total_capacity",
                   .limit = 40,
                   .limit_unit = "kW",
                   .limit_si = 40'000},
          .outcome = outcome,
          .reason = outcome == Outcome::kNotShown ? NotShownReason::kUncertain
                                                  : NotShownReason::kNone,
          .margin = margin,
          .unit = "kW",
          .level = 0.025,
          .model = "degree 2",
          .explanation = "because"};
}

GatedClaim Gate(const Verdict& before, const Verdict& now,
                const GateOptions& options = {}) {
  const std::vector<Verdict> a = {now};
  const std::vector<Verdict> b = {before};
  std::vector<GatedClaim> gated = GateClaims(a, std::span<const Verdict>(b), options);
  EXPECT_THAT(gated, SizeIs(1));
  gated[0].now = nullptr;  // the lists end here
  gated[0].before = nullptr;
  return gated[0];
}

constexpr Outcome kStrongToWeak[] = {Outcome::kProven, Outcome::kObserved,
                                     Outcome::kNotShown, Outcome::kRefuted};

TEST(Gate, OrdersOutcomesFromProvenToRefuted) {
  for (int now = 0; now < 4; ++now) {
    for (int before = 0; before < 4; ++before) {
      SCOPED_TRACE(absl::StrCat(now, " against ", before));
      const GatedClaim gated =
          Gate(VerdictOf(kStrongToWeak[before]), VerdictOf(kStrongToWeak[now]));
      EXPECT_EQ(gated.change, now < before   ? GateChange::kStronger
                              : now > before ? GateChange::kWeaker
                                             : GateChange::kSame);
    }
  }
}

// Which rule fails for which outcome, and that each has all of the one before.
TEST(Gate, RulesAreLayers) {
  const struct {
    Outcome before;
    Outcome now;
    bool refuted;
    bool weaker;
    bool not_shown;
  } kCases[] = {
      {Outcome::kProven, Outcome::kProven, false, false, false},
      {Outcome::kProven, Outcome::kObserved, false, true, true},
      {Outcome::kProven, Outcome::kNotShown, false, true, true},
      {Outcome::kProven, Outcome::kRefuted, true, true, true},
      {Outcome::kObserved, Outcome::kObserved, false, false, false},
      {Outcome::kNotShown, Outcome::kNotShown, false, false, true},
      {Outcome::kNotShown, Outcome::kProven, false, false, false},
      {Outcome::kRefuted, Outcome::kRefuted, true, true, true},
      {Outcome::kRefuted, Outcome::kNotShown, false, false, true},
  };
  for (const auto& c : kCases) {
    const auto fails = [&](GateRule rule) {
      return !Gate(VerdictOf(c.before), VerdictOf(c.now), {.rule = rule})
                  .failures.empty();
    };
    SCOPED_TRACE(
        absl::StrCat(static_cast<int>(c.before), " to ", static_cast<int>(c.now)));
    EXPECT_EQ(fails(GateRule::kRefuted), c.refuted);
    EXPECT_EQ(fails(GateRule::kWeaker), c.weaker);
    EXPECT_EQ(fails(GateRule::kNotShown), c.not_shown);
  }
}

TEST(Gate, AnEasedPromiseIsWeakerWhereItStood) {
  const auto ease = [](Verdict verdict) {
    verdict.text.limit = 38;
    verdict.text.limit_si = 38'000;
    return verdict;
  };
  const GatedClaim stood =
      Gate(VerdictOf(Outcome::kProven), ease(VerdictOf(Outcome::kProven)));
  EXPECT_EQ(stood.change, GateChange::kWeaker);
  EXPECT_THAT(stood.failures,
              ElementsAre("weaker than the baseline: limit eased from 40 kW to 38 kW"));
  // A promise that did not hold is made honest.
  for (Outcome before : {Outcome::kNotShown, Outcome::kRefuted}) {
    const GatedClaim mended = Gate(VerdictOf(before), ease(VerdictOf(Outcome::kProven)));
    EXPECT_EQ(mended.change, GateChange::kStronger);
    EXPECT_THAT(mended.failures, IsEmpty());
    EXPECT_THAT(mended.differences, SizeIs(2));
  }
  const GatedClaim no_better =
      Gate(VerdictOf(Outcome::kNotShown), ease(VerdictOf(Outcome::kNotShown)));
  EXPECT_EQ(no_better.change, GateChange::kSame);
}

TEST(Gate, AsWellShownWithMorePromisedIsStronger) {
  Verdict now = VerdictOf(Outcome::kProven);
  now.text.limit = 42;
  now.text.limit_si = 42'000;
  const GatedClaim gated = Gate(VerdictOf(Outcome::kProven), now);
  EXPECT_EQ(gated.change, GateChange::kStronger);
  EXPECT_THAT(gated.failures, IsEmpty());
}

TEST(Gate, MarginsFallByPartsOfTheBaselinesMargin) {
  const struct {
    double now;
    double allowed_percent;
    bool weaker;
  } kCases[] = {
      {4, 0, false}, {5, 0, false},  {3.9, 0, true},  {3, 25, false},
      {3, 24, true}, {1, 80, false}, {0.5, 80, true},
  };
  for (const auto& c : kCases) {
    SCOPED_TRACE(absl::StrCat(c.now, " at ", c.allowed_percent));
    const Verdict before = VerdictOf(Outcome::kProven, 4);
    const Verdict now = VerdictOf(Outcome::kProven, c.now);
    EXPECT_EQ(Gate(before, now, {.margin_drop_percent = c.allowed_percent}).change,
              c.weaker ? GateChange::kWeaker : GateChange::kSame);
    EXPECT_EQ(Gate(before, now).change, GateChange::kSame) << "without the option";
  }
  const GatedClaim gated =
      Gate(VerdictOf(Outcome::kProven, 4), VerdictOf(Outcome::kProven, 1),
           {.margin_drop_percent = 20});
  EXPECT_THAT(gated.failures,
              ElementsAre("weaker than the baseline: margin 1 kW, was 4: fell by 75 % of "
                          "it, more than the 20 % allowed"));
}

// A stricter limit leaves less margin, and nothing of the unit is lost.
TEST(Gate, MarginsOfUnlikePromisesAreNotCompared) {
  Verdict now = VerdictOf(Outcome::kProven, 0.1);
  now.text.limit = 43.9;
  now.text.limit_si = 43'900;
  const GatedClaim gated =
      Gate(VerdictOf(Outcome::kProven, 4), now, {.margin_drop_percent = 0});
  EXPECT_EQ(gated.change, GateChange::kStronger);
}

TEST(Gate, ANewModelOrLookIsToldAndDecidesNothing) {
  Verdict now = VerdictOf(Outcome::kProven);
  now.model = "degree 1";
  now.look = 2;
  now.level = 0.00833;
  const GatedClaim gated = Gate(VerdictOf(Outcome::kProven), now);
  EXPECT_EQ(gated.change, GateChange::kSame);
  ASSERT_THAT(gated.differences, SizeIs(2));
  EXPECT_EQ(gated.differences[0].text, "model: degree 1, was degree 2");
  EXPECT_THAT(gated.differences[1].text, HasSubstr("look 2"));
}

TEST(Gate, NewOnesStandInOrderAndGoneOnesLast) {
  std::vector<Verdict> now = {VerdictOf(Outcome::kNotShown), VerdictOf(Outcome::kProven)};
  now[0].claim = "new";
  now[1].claim = "kept";
  std::vector<Verdict> before = {VerdictOf(Outcome::kProven),
                                 VerdictOf(Outcome::kRefuted),
                                 VerdictOf(Outcome::kProven)};
  before[0].claim = "gone";
  before[1].claim = "gone-refuted";
  before[2].claim = "kept";
  const auto gated = GateClaims(now, std::span<const Verdict>(before));
  ASSERT_THAT(gated, SizeIs(4));
  EXPECT_EQ(gated[0].change, GateChange::kNew);
  EXPECT_EQ(gated[0].before, nullptr);
  EXPECT_THAT(gated[0].failures, IsEmpty());
  EXPECT_EQ(gated[1].change, GateChange::kSame);
  EXPECT_EQ(gated[1].before, &before[2]);
  EXPECT_EQ(gated[2].change, GateChange::kGone);
  EXPECT_THAT(gated[2].failures, ElementsAre("no longer claimed; it was PROVEN"));
  // A refuted claim that is no longer made takes nothing away.
  EXPECT_EQ(gated[3].change, GateChange::kGone);
  EXPECT_THAT(gated[3].failures, IsEmpty());
}

TEST(Gate, WithoutABaselineOnlyTheClaimsThemselvesCount) {
  const std::vector<Verdict> now = {VerdictOf(Outcome::kProven),
                                    VerdictOf(Outcome::kNotShown),
                                    VerdictOf(Outcome::kRefuted)};
  const auto gated = GateClaims(now, std::nullopt);
  ASSERT_THAT(gated, SizeIs(3));
  for (const GatedClaim& claim : gated) {
    EXPECT_EQ(claim.change, GateChange::kNoBaseline);
  }
  EXPECT_THAT(gated[1].failures, IsEmpty());
  EXPECT_THAT(gated[2].failures, ElementsAre("refuted: because"));
  EXPECT_THAT(GateClaims(now, std::nullopt, {.rule = GateRule::kNotShown})[1].failures,
              ElementsAre("not shown: NOT_SHOWN (UNCERTAIN): because"));
}

}  // namespace
}  // namespace ratebound::claim
