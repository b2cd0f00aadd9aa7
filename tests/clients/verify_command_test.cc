// The gate as a pipeline uses it: line folders broken one way each, and how the command
// ends.
#include <string>
#include <vector>

#include "clients/cli/arguments.h"
#include "clients/cli/commands.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/small_line.h"
#include "tests/testing/temp_folder.h"

namespace ratebound::cli {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::Not;

std::string Replaced(std::string text, const std::string& from, const std::string& to) {
  const size_t at = text.find(from);
  EXPECT_NE(at, text.npos) << from;
  return text.replace(at, from.size(), to);
}

class VerifyCommand : public ::testing::Test {
 protected:
  VerifyCommand() {
    folder_.Write("line/line.textproto", testing::kSmallLineManifest);
    WriteClaim(floor_);
    folder_.Write("line/points/p.csv", testing::SmallLinePoints());
  }

  void WriteClaim(const std::string& claims) {
    folder_.Write("line/claims.textproto", claims);
  }

  absl::StatusOr<Result> Call(std::vector<std::string> words) {
    words.push_back("--store");
    words.push_back(folder_.Below("store.sqlite"));
    auto arguments = ParseArguments(Commands(), words);
    if (!arguments.ok()) return arguments.status();
    return cli::Run(*arguments);
  }
  std::string Published() {
    const auto result = Call({"publish", line()});
    EXPECT_TRUE(result.ok()) << result.status();
    return result.ok() ? result->out.substr(8, 64) : "";
  }
  std::string line() const { return folder_.Below("line"); }

  const std::string floor_ = testing::SmallLineClaim(
      "floor",
      "quantity: 'total_capacity' relation: RELATION_AT_LEAST limit: 37 limit_unit: "
      "'kW'");
  testing::TempFolder folder_;
};

struct PromiseCase {
  std::string name;
  std::string from;
  std::string to;
  Exit exit;
  std::string says;
};
class PromiseTest : public VerifyCommand,
                    public ::testing::WithParamInterface<PromiseCase> {};

TEST_P(PromiseTest, IsHeldAgainstTheBaselines) {
  const std::string baseline = Published();
  WriteClaim(Replaced(floor_, GetParam().from, GetParam().to));
  ASSERT_OK_AND_ASSIGN(const Result result,
                       Call({"verify", line(), "--baseline", baseline}));
  EXPECT_EQ(result.exit, GetParam().exit) << result.out;
  EXPECT_THAT(result.out, HasSubstr(GetParam().says));
  // A pipeline that only minds refuted claims goes on.
  ASSERT_OK_AND_ASSIGN(const Result refuted, Call({"verify", line(), "--baseline",
                                                   baseline, "--fail-on", "refuted"}));
  EXPECT_EQ(refuted.exit, Exit::kWell) << refuted.out;
}

INSTANTIATE_TEST_SUITE_P(
    Promises, PromiseTest,
    ::testing::Values(
        PromiseCase{"Same", "limit: 37", "limit: 37", Exit::kWell, "nothing differs"},
        PromiseCase{"LimitEased", "limit: 37", "limit: 36.5", Exit::kFound,
                    "limit eased from 37 kW to 36.5 kW"},
        PromiseCase{"LimitTightened", "limit: 37", "limit: 37.1", Exit::kWell,
                    "limit tightened from 37 kW to 37.1 kW"},
        PromiseCase{"RegionShrunk", "low: 12 high: 24", "low: 14 high: 24", Exit::kFound,
                    "region shrunk: entering_air_wb 14 to 24 degC, was 12 to 24 degC"},
        PromiseCase{"ConfidenceLowered", "confidence: 0.95", "confidence: 0.9",
                    Exit::kFound, "confidence lowered from 0.95 to 0.9"},
        PromiseCase{"AllowanceRaised", "relative_fraction: 0 ",
                    "relative_fraction: 0.001 ", Exit::kWell,
                    "allowance raised from none to 0.1 %"},
        PromiseCase{"Renamed", "id: \"floor\"", "id: \"flor\"", Exit::kFound,
                    "no longer claimed; it was PROVEN"}),
    [](const auto& test) { return test.param.name; });

TEST_F(VerifyCommand, AMarginMayFallAsFarAsItIsTold) {
  const std::string baseline = Published();
  folder_.Write("line/points/p.csv", testing::SmallLinePoints(0.006));
  const auto call = [&](const std::string& percent) {
    return Call({"verify", line(), "--baseline", baseline, "--margin-drop", percent});
  };
  ASSERT_OK_AND_ASSIGN(const Result any,
                       Call({"verify", line(), "--baseline", baseline}));
  EXPECT_EQ(any.exit, Exit::kWell) << any.out;
  EXPECT_THAT(any.out, HasSubstr("margin "));
  ASSERT_OK_AND_ASSIGN(const Result much, call("95"));
  EXPECT_EQ(much.exit, Exit::kWell) << much.out;
  ASSERT_OK_AND_ASSIGN(const Result little, call("1"));
  EXPECT_EQ(little.exit, Exit::kFound) << little.out;
  EXPECT_THAT(little.out, HasSubstr("more than the 1 % allowed"));
}

TEST_F(VerifyCommand, FailOnHasLayers) {
  WriteClaim(floor_ + testing::SmallLineClaim(
                          "hot-water",
                          "quantity: 'total_capacity' relation: RELATION_AT_LEAST limit: "
                          "37 limit_unit: 'kW'",
                          45));
  ASSERT_OK_AND_ASSIGN(const Result weaker, Call({"verify", line()}));
  EXPECT_EQ(weaker.exit, Exit::kWell) << weaker.out;
  EXPECT_THAT(weaker.out, HasSubstr("The gate passes (fail on weaker)"));
  ASSERT_OK_AND_ASSIGN(const Result not_shown,
                       Call({"verify", line(), "--fail-on", "not-shown"}));
  EXPECT_EQ(not_shown.exit, Exit::kFound) << not_shown.out;
  EXPECT_THAT(not_shown.out, HasSubstr("hot-water: not shown: NOT_SHOWN (UNTESTED)"));
}

TEST_F(VerifyCommand, ABaselineMayBeAFile) {
  const std::string file = folder_.Below("baseline.release");
  ASSERT_OK_AND_ASSIGN(const Result built, Call({"build", line(), "--to", file}));
  EXPECT_EQ(built.exit, Exit::kWell);
  ASSERT_OK_AND_ASSIGN(const Result same, Call({"verify", line(), "--baseline", file}));
  EXPECT_EQ(same.exit, Exit::kWell) << same.out;
  EXPECT_THAT(same.out, HasSubstr("Against baseline " + built.out.substr(8, 16)));
  folder_.Write("line/points/p.csv", testing::SmallLinePoints(0.15));
  ASSERT_OK_AND_ASSIGN(const Result weaker, Call({"verify", line(), "--baseline", file}));
  EXPECT_EQ(weaker.exit, Exit::kFound) << weaker.out;
}

TEST_F(VerifyCommand, WhatIsAskedWrongSaysHowToAskIt) {
  folder_.Write("empty", "");
  folder_.Write("text", "no release");
  folder_.Write("other/line.textproto",
                Replaced(testing::kSmallLineManifest, "\"small\"", "\"other\""));
  folder_.Write("other/claims.textproto", floor_);
  folder_.Write("other/points/p.csv", testing::SmallLinePoints());
  ASSERT_OK_AND_ASSIGN(const Result other, Call({"publish", folder_.Below("other")}));
  const struct {
    std::vector<std::string> words;
    std::string message;
  } kCases[] = {
      {{"--fail-on", "weeker", "--baseline", "12345678"}, "did you mean 'weaker'?"},
      {{"--fail-on", "weaker"}, "give --baseline RELEASE"},
      {{"--margin-drop", "20"}, "give --baseline RELEASE"},
      {{"--margin-drop", "20%", "--baseline", "12345678"}, "a number from 0 to 100"},
      {{"--margin-drop", "-1", "--baseline", "12345678"}, "a number from 0 to 100"},
      {{"--margin-drop", "5", "--fail-on", "refuted", "--baseline", "12345678"},
       "take --fail-on weaker"},
      {{"--baseline", "12345678"}, "12345678"},
      {{"--baseline", ""}, "an empty text names no release"},
      {{"--baseline", "nowhere.release"}, "neither the digest of a release nor a file"},
      {{"--baseline", folder_.Below("empty")}, "is empty and no release"},
      {{"--baseline", folder_.Below("text")}, "release"},
      {{"--baseline", other.out.substr(8, 64)}, "a release of line 'other'"},
  };
  for (const auto& c : kCases) {
    std::vector<std::string> words = {"verify", line()};
    words.insert(words.end(), c.words.begin(), c.words.end());
    const auto result = Call(words);
    ASSERT_FALSE(result.ok()) << c.message;
    EXPECT_EQ(ExitOf(result.status()), Exit::kWrongInput) << result.status();
    EXPECT_THAT(std::string(result.status().message()), HasSubstr(c.message));
  }
}

TEST_F(VerifyCommand, ReportsAreWrittenWhetherTheGatePassesOrFails) {
  for (const bool fails : {false, true}) {
    if (fails) WriteClaim(testing::SmallLineClaims());
    ASSERT_OK_AND_ASSIGN(const Result result,
                         Call({"verify", line(), "--junit", folder_.Below("v.xml"),
                               "--markdown", folder_.Below("v.md")}));
    EXPECT_EQ(result.exit, fails ? Exit::kFound : Exit::kWell);
    EXPECT_THAT(folder_.Read("v.xml"),
                HasSubstr(fails ? "failures=\"1\"" : "failures=\"0\""));
    EXPECT_THAT(folder_.Read("v.md"),
                HasSubstr(fails ? "the gate fails" : "the gate passes"));
  }
  const auto nowhere =
      Call({"verify", line(), "--junit", folder_.Below("no/such/v.xml")});
  EXPECT_EQ(ExitOf(nowhere.status()), Exit::kCouldNot);
  EXPECT_THAT(std::string(nowhere.status().message()), HasSubstr("--junit FILE"));
}

// A unit of one stage that a procedure of full and part load cannot rate, but whose
// declared value is asked for all the same.
TEST_F(VerifyCommand, ADeclaredRatingIsHeldAgainstTheData) {
  const auto declare = [&](const std::string& declared) {
    folder_.Write("line/line.textproto",
                  Replaced(testing::kSmallLineManifest, "  machines { id: \"m\" }",
                           "  machines { id: \"m\" }\n  " + declared) +
                      "procedures: \"ieer-water-cooled\"\n");
  };
  declare("declared_ratings { procedure: 'ieer-water-cooled' value: 15 unit: 'Btu/Wh' }");
  ASSERT_OK_AND_ASSIGN(const Result result, Call({"verify", line()}));
  EXPECT_THAT(result.out,
              AllOf(HasSubstr("NOT RATED  u1/ieer-water-cooled: declared 15 Btu/Wh; the "
                              "data give no rating: "),
                    HasSubstr("1 proven")));
  EXPECT_EQ(result.exit, Exit::kWell);
  ASSERT_OK_AND_ASSIGN(const Result strict,
                       Call({"verify", line(), "--fail-on", "not-shown"}));
  EXPECT_EQ(strict.exit, Exit::kFound);
  ASSERT_OK_AND_ASSIGN(const Result one, Call({"verify", line(), "--claim", "floor"}));
  EXPECT_THAT(one.out, Not(HasSubstr("NOT RATED")));

  declare("declared_ratings { procedure: 'ieer-water-cooled' value: 4 unit: 'W/W' }");
  const auto wrong_unit = Call({"verify", line()});
  ASSERT_FALSE(wrong_unit.ok());
  EXPECT_EQ(ExitOf(wrong_unit.status()), Exit::kWrongInput);
  EXPECT_THAT(std::string(wrong_unit.status().message()),
              AllOf(HasSubstr("declared_ratings[0].unit"),
                    HasSubstr("write the value in Btu/Wh")));
}

}  // namespace
}  // namespace ratebound::cli
