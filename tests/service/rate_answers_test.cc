#include "service/rate_answers.h"

#include <string>
#include <utility>
#include <vector>

#include "absl/strings/str_cat.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/service/fake_engine.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using testing::StatusIs;

document::Rating RatingOf(const std::string& unit, const std::string& procedure) {
  return {.unit = unit,
          .procedure = procedure,
          .metric = absl::StrCat(procedure, " of ", unit)};
}

class RateAnswers : public ::testing::Test {
 protected:
  // What is answered where the engine computes `ratings`.
  absl::StatusOr<std::vector<v1::RateLineResponse>> Rate(
      std::vector<document::Rating> ratings, const v1::RateLineOptions& options = {}) {
    const Engine engine{.build =
                            [&](const release::BuildRequest& request) {
                              ++build_count_;
                              asked_ = request;
                              document::Release release = SampleRelease();
                              release.ratings = ratings;
                              return absl::StatusOr<document::Release>(release);
                            },
                        .published = NothingPublished};
    ASSIGN_OR_RETURN(auto source, RateLine(engine, options, {}, [] { return false; }));
    std::vector<v1::RateLineResponse> answers;
    v1::RateLineResponse answer;
    while (source(answer)) answers.push_back(answer);
    return answers;
  }

  release::BuildRequest asked_;
  int build_count_ = 0;
};

TEST_F(RateAnswers, EveryRatingIsOneAnswerAndNothingElseIsComputed) {
  ASSERT_OK_AND_ASSIGN(const auto answers,
                       Rate({RatingOf("a", "first"), RatingOf("b", "first")}));
  ASSERT_EQ(answers.size(), 2u);
  EXPECT_EQ(answers[0].rating().metric(), "first of a");
  EXPECT_EQ(answers[1].rating().metric(), "first of b");
  EXPECT_FALSE(answers[0].has_against());
  EXPECT_TRUE(asked_.parts.ratings);
  EXPECT_FALSE(asked_.parts.maps || asked_.parts.verdicts || asked_.parts.tables);
}

TEST_F(RateAnswers, OptionsReachTheEngine) {
  v1::RateLineOptions options;
  options.set_unit("a");
  options.set_procedure("first");
  options.set_against_procedure("y/colder");
  options.set_published_only(true);
  options.set_minimum_day("2026-03-31");
  options.set_monte_carlo_draws(2000);
  ASSERT_TRUE(Rate({}, options).ok());
  EXPECT_EQ(asked_.only_unit, "a");
  EXPECT_EQ(asked_.only_procedure, "first");
  EXPECT_EQ(asked_.also_procedure, "y/colder");
  EXPECT_TRUE(asked_.published_only);
  EXPECT_EQ(asked_.minimum_day, "2026-03-31");
  EXPECT_EQ(asked_.monte_carlo_draws, 2000);
}

TEST_F(RateAnswers, PairsAreOfOneUnitWhateverTheOrderOfTheRatings) {
  v1::RateLineOptions options;
  options.set_procedure("new");
  options.set_against_procedure("old");
  ASSERT_OK_AND_ASSIGN(
      const auto answers,
      Rate({RatingOf("a", "old"), RatingOf("a", "new"), RatingOf("b", "new"),
            RatingOf("b", "old"), RatingOf("c", "new")},
           options));
  ASSERT_EQ(answers.size(), 3u);
  EXPECT_EQ(answers[0].rating().metric(), "new of a");
  EXPECT_EQ(answers[0].against().metric(), "old of a");
  EXPECT_EQ(answers[1].rating().metric(), "new of b");
  EXPECT_EQ(answers[1].against().metric(), "old of b");
  EXPECT_EQ(answers[2].rating().metric(), "new of c");
  EXPECT_FALSE(answers[2].has_against());
}

TEST_F(RateAnswers, OptionsThatDoNotFitAreRefusedTogetherBeforeAnythingIsBuilt) {
  v1::RateLineOptions options;
  options.set_against_procedure("first");
  options.set_monte_carlo_draws(5);
  options.set_minimum_day("2026-02-30");
  EXPECT_THAT(
      Rate({}, options).status(),
      StatusIs(absl::StatusCode::kInvalidArgument,
               AllOf(HasSubstr("there is no procedure to compare it with"),
                     HasSubstr("monte_carlo_draws: 5 is out of range; write a number "
                               "from 1000"),
                     HasSubstr("'2026-02-30' is no day"))));
  EXPECT_EQ(build_count_, 0);

  v1::RateLineOptions same;
  same.set_procedure("first");
  same.set_against_procedure("first");
  EXPECT_THAT(Rate({}, same).status(), StatusIs(absl::StatusCode::kInvalidArgument,
                                                HasSubstr("is the procedure itself")));
}

TEST_F(RateAnswers, DrawsHaveBounds) {
  const struct {
    int64_t draws;
    bool fits;
  } kCases[] = {{0, true},    {-1, false},        {999, false},
                {1000, true}, {10'000'000, true}, {10'000'001, false}};
  for (const auto& c : kCases) {
    v1::RateLineOptions options;
    options.set_monte_carlo_draws(c.draws);
    EXPECT_EQ(Rate({}, options).ok(), c.fits) << c.draws;
  }
}

class GetProcedureAnswers : public ::testing::Test {
 protected:
  GetProcedureAnswers() {
    published_.procedures = {{.id = "season-a", .title = "Season"}};
    published_.methods = {{.id = "method-a", .title = "Method"}};
    published_.minimums = {{.id = "levels-a", .title = "Levels"}};
    published_.files = {
        {.id = "season-a", .path = "us/a.textproto", .text = "id: 1"},
        {.id = "method-a", .path = "methods/a.textproto", .text = "id: 2"},
        {.id = "levels-a", .path = "minimums/a.textproto", .text = "id: 3"}};
  }
  absl::StatusOr<v1::GetProcedureResponse> Get(const std::string& id) {
    const Engine engine{.build = nullptr,
                        .published = [&]() -> absl::StatusOr<const PublishedFiles*> {
                          return &published_;
                        }};
    v1::GetProcedureRequest request;
    request.set_id(id);
    return GetProcedure(engine, request);
  }
  PublishedFiles published_;
};

TEST_F(GetProcedureAnswers, AreTheFileAndTheSummaryOfItsKind) {
  ASSERT_OK_AND_ASSIGN(const auto procedure, Get("season-a"));
  EXPECT_EQ(procedure.procedure().title(), "Season");
  EXPECT_EQ(procedure.path(), "us/a.textproto");
  EXPECT_EQ(procedure.text(), "id: 1");
  ASSERT_OK_AND_ASSIGN(const auto method, Get("method-a"));
  EXPECT_EQ(method.method().title(), "Method");
  EXPECT_EQ(method.text(), "id: 2");
  ASSERT_OK_AND_ASSIGN(const auto levels, Get("levels-a"));
  EXPECT_EQ(levels.minimum().title(), "Levels");
  EXPECT_EQ(levels.text(), "id: 3");
}

TEST_F(GetProcedureAnswers, NameTheNearestIdWhereThereIsNone) {
  EXPECT_THAT(Get("seasona").status(), StatusIs(absl::StatusCode::kNotFound,
                                                HasSubstr("did you mean 'season-a'?")));
  EXPECT_THAT(Get("").status(), StatusIs(absl::StatusCode::kNotFound, ::testing::_));
}

}  // namespace
}  // namespace ratebound::service
