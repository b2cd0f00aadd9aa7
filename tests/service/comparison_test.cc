#include "service/comparison.h"

#include <gtest/gtest.h>

#include <string>

#include "tests/service/fake_engine.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using document::Outcome;
using ::testing::AllOf;
using ::testing::HasSubstr;

// The changes from the sample to what `alter` makes of it.
template <typename Alter>
std::vector<v1::ReleaseChange> ChangesAfter(Alter alter) {
  document::Release to = SampleRelease();
  alter(to);
  return CompareReleases(SampleRelease(), to);
}

void ExpectOne(const std::vector<v1::ReleaseChange>& changes, const std::string& kind,
               const std::string& subject, bool regression) {
  ASSERT_EQ(changes.size(), 1u);
  EXPECT_EQ(changes[0].kind(), kind);
  EXPECT_EQ(changes[0].subject(), subject);
  EXPECT_EQ(changes[0].regression(), regression) << changes[0].ShortDebugString();
}

TEST(CompareReleases, ARepeatHasNoChanges) {
  EXPECT_EQ(ChangesAfter([](document::Release&) {}).size(), 0u);
}

TEST(CompareReleases, FindsEachKindOfChange) {
  ExpectOne(ChangesAfter([](auto& to) { to.source_files[0].sha256[0] = 'b'; }), "file",
            "line.textproto", false);
  ExpectOne(
      ChangesAfter([](auto& to) { to.manifest.units[0].modes[0].stages.pop_back(); }),
      "unit", "u1", false);
  ExpectOne(ChangesAfter([](auto& to) { to.tables[0].figures[0].values[1] += 1e-9; }),
            "table", "t1", false);
}

TEST(CompareReleases, ARatingThatIsLostOrRestsOnLessIsARegression) {
  const auto refused = ChangesAfter([](auto& to) {
    to.ratings[0].value.reset();
    to.ratings[0].refusal = "no point at 50 % load";
  });
  ExpectOne(refused, "rating", "u1/rated", true);
  EXPECT_THAT(refused[0].before(), HasSubstr("4.57 W/W (4.5678, interpolated)"));
  EXPECT_EQ(refused[0].after(), "refused: no point at 50 % load");
  ExpectOne(ChangesAfter([](auto& to) {
              to.ratings[0].footing = document::Footing::kExtrapolated;
            }),
            "rating", "u1/rated", true);
  ExpectOne(
      ChangesAfter([](auto& to) { to.ratings[0].unconfirmed_numbers = {"a weight"}; }),
      "rating", "u1/rated", true);
  ExpectOne(ChangesAfter([](auto& to) { to.ratings.erase(to.ratings.begin()); }),
            "rating", "u1/rated", true);
  ExpectOne(ChangesAfter([](auto& to) { to.ratings[0].value = 4.0; }), "rating",
            "u1/rated", false);
  ExpectOne(ChangesAfter([](auto& to) { to.ratings.pop_back(); }), "rating", "u1/refused",
            false);
}

TEST(CompareReleases, AClaimShownLessWellOrDroppedIsARegression) {
  const auto weaker =
      ChangesAfter([](auto& to) { to.verdicts[0].outcome = Outcome::kRefuted; });
  ExpectOne(weaker, "claim", "a", true);
  EXPECT_THAT(weaker[0].before(),
              AllOf(HasSubstr("PROVEN: total_capacity at least 40000 W"),
                    HasSubstr("entering_water_temp 20 to 40 degC")));
  ExpectOne(ChangesAfter([](auto& to) { to.verdicts.erase(to.verdicts.begin()); }),
            "claim", "a", true);
  ExpectOne(ChangesAfter([](auto& to) { to.verdicts[1].outcome = Outcome::kProven; }),
            "claim", "b", false);
  // A refuted claim that is no longer made takes nothing away.
  ExpectOne(ChangesAfter([](auto& to) { to.verdicts.erase(to.verdicts.begin() + 1); }),
            "claim", "b", false);
}

TEST(CompareReleases, AnEasedPromiseIsARegressionThoughTheVerdictStands) {
  const auto eased = ChangesAfter([](auto& to) {
    to.verdicts[0].text.limit = 30'000;
    to.verdicts[0].text.limit_si = 30'000;
  });
  ExpectOne(eased, "claim", "a", true);
  EXPECT_THAT(eased[0].after(), HasSubstr("at least 30000 W"));
  const auto tightened = ChangesAfter([](auto& to) {
    to.verdicts[0].text.limit = 41'000;
    to.verdicts[0].text.limit_si = 41'000;
  });
  ExpectOne(tightened, "claim", "a", false);
  // One that did not hold is made honest.
  ExpectOne(ChangesAfter([](auto& to) {
              to.verdicts[1].text.limit = 30'000;
              to.verdicts[1].text.limit_si = 30'000;
            }),
            "claim", "b", false);
  // What the text of the claim does not show is told beside it.
  const auto cut = ChangesAfter([](auto& to) { to.verdicts[0].text.cuts.resize(1); });
  ExpectOne(cut, "claim", "a", true);
  EXPECT_THAT(cut[0].after(), HasSubstr("region shrunk"));
}

TEST(CompareReleases, ADeclaredRatingThatTheDataNoLongerSupportIsARegression) {
  document::Release from = SampleRelease();
  from.manifest.units[0].declared_ratings = {
      {.procedure = "rated", .value = 4.57, .unit = "W/W"}};
  document::Release to = from;
  to.ratings[0].value = 4.561;
  to.ratings[0].rounded = "4.56";
  const auto changes = CompareReleases(from, to);
  ASSERT_EQ(changes.size(), 2u);
  EXPECT_EQ(changes[0].kind(), "rating");
  EXPECT_EQ(changes[1].kind(), "declared rating");
  EXPECT_EQ(changes[1].subject(), "u1/rated");
  EXPECT_TRUE(changes[1].regression());
  EXPECT_THAT(changes[1].before(), HasSubstr("SUPPORTED"));
  EXPECT_THAT(changes[1].after(), HasSubstr("NOT SUPPORTED"));
}

}  // namespace
}  // namespace ratebound::service
