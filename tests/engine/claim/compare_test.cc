#include "engine/claim/compare.h"

#include "gtest/gtest.h"

namespace ratebound::claim {
namespace {

using document::Outcome;

document::Verdict With(Outcome outcome) {
  document::Verdict verdict;
  verdict.outcome = outcome;
  return verdict;
}

TEST(CompareVerdicts, OrdersRefutedNotShownObservedProven) {
  const Outcome order[] = {Outcome::kRefuted, Outcome::kNotShown, Outcome::kObserved,
                           Outcome::kProven};
  for (int before = 0; before < 4; ++before) {
    for (int after = 0; after < 4; ++after) {
      const Change want = after == before  ? Change::kSame
                          : after > before ? Change::kStronger
                                           : Change::kWeaker;
      EXPECT_EQ(CompareVerdicts(With(order[before]), With(order[after])), want);
    }
  }
}

TEST(CompareVerdicts, AnotherReasonForNotShownIsTheSame) {
  document::Verdict before = With(Outcome::kNotShown);
  document::Verdict after = before;
  before.reason = document::NotShownReason::kUntested;
  after.reason = document::NotShownReason::kUncertain;
  EXPECT_EQ(CompareVerdicts(before, after), Change::kSame);
}

}  // namespace
}  // namespace ratebound::claim
