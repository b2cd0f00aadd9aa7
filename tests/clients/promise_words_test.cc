// Promises in words, and how many verdicts there are of each kind.
#include "clients/cli/promise_words.h"

#include <string>
#include <vector>

#include "clients/cli/render.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace ratebound::cli {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

v1::Claim RatingClaim(const std::string& unit, double value) {
  v1::Claim claim;
  claim.mutable_seasonal_floor()->set_procedure("iplv");
  claim.mutable_seasonal_floor()->set_at_least(value);
  claim.mutable_seasonal_floor()->set_unit(unit);
  return claim;
}

TEST(PromiseWords, LessIsBetterInKilowattsPerTon) {
  EXPECT_EQ(PromiseWords(RatingClaim("Btu/Wh", 14.2)),
            "rating by iplv at least 14.2 Btu/Wh");
  EXPECT_EQ(PromiseWords(RatingClaim("kW/ton", 0.6)),
            "rating by iplv at most 0.6 kW/ton");
}

TEST(PromiseWords, ARatioStandsWithoutAUnit) {
  v1::Claim claim;
  claim.set_quantity("sensible_heat_ratio");
  claim.set_relation(v1::RELATION_AT_LEAST);
  claim.set_limit(0.7);
  claim.set_limit_unit("1");
  EXPECT_EQ(PromiseWords(claim), "sensible_heat_ratio at least 0.7");
}

TEST(VerdictsText, CountsWhatWasObservedAndWritesRatiosWithoutAUnit) {
  std::vector<v1::VerifyLineResponse> items(2);
  v1::Verdict& turndown = *items[0].mutable_verdict();
  turndown.set_outcome(v1::OUTCOME_PROVEN);
  turndown.set_unit("1");
  turndown.set_margin(0.0129);
  turndown.mutable_text()->mutable_turndown()->set_capacity_fraction(0.2);
  v1::Measure& worst = *turndown.add_worst_point();
  worst.set_quantity("entering_air_relative_humidity");
  worst.set_value(0.4);
  worst.set_unit("1");
  items[1].mutable_verdict()->set_outcome(v1::OUTCOME_OBSERVED);
  const std::string text = VerdictsText(items);
  EXPECT_THAT(text, HasSubstr("margin 0.0129\n"));
  EXPECT_THAT(text, HasSubstr("worst at   entering_air_relative_humidity 0.4\n"));
  EXPECT_THAT(text,
              HasSubstr("2 claims: 1 proven, 0 refuted, 0 not shown, 1 observed\n"));
  items.pop_back();
  EXPECT_THAT(VerdictsText(items), Not(HasSubstr("observed")));
}

}  // namespace
}  // namespace ratebound::cli
