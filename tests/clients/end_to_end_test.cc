// The commands as a user types them, against the service hosted in this process.
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

class EndToEnd : public ::testing::Test {
 protected:
  EndToEnd() {
    folder_.Write("line/line.textproto", testing::kSmallLineManifest);
    folder_.Write("line/claims.textproto", testing::SmallLineClaims());
    folder_.Write("line/points/p.csv", testing::SmallLinePoints());
  }

  absl::StatusOr<Result> Call(std::vector<std::string> words) {
    words.push_back("--store");
    words.push_back(folder_.Below("store.sqlite"));
    auto arguments = ParseArguments(Commands(), words);
    if (!arguments.ok()) return arguments.status();
    return cli::Run(*arguments);
  }
  std::string line() const { return folder_.Below("line"); }
  // The digest that "build" and "publish" print behind "release ".
  static std::string DigestIn(const std::string& text) { return text.substr(8, 64); }

  testing::TempFolder folder_;
};

TEST_F(EndToEnd, CheckAcceptsGoodPoints) {
  ASSERT_OK_AND_ASSIGN(const Result result, Call({"check", line()}));
  EXPECT_EQ(result.exit, Exit::kWell) << result.out;
  EXPECT_THAT(result.out, HasSubstr("24 points: 24 accepted"));
}

TEST_F(EndToEnd, FitShowsEverySurface) {
  ASSERT_OK_AND_ASSIGN(const Result result, Call({"fit", line()}));
  EXPECT_THAT(result.out, AllOf(HasSubstr("total_capacity"), HasSubstr("power_input"),
                                HasSubstr("in proofs")));
}

TEST_F(EndToEnd, VerifyGivesEachVerdictAndFailsForTheRefutedClaim) {
  ASSERT_OK_AND_ASSIGN(const Result result, Call({"verify", line()}));
  EXPECT_EQ(result.exit, Exit::kFound);
  EXPECT_THAT(result.out, AllOf(HasSubstr("PROVEN  floor"), HasSubstr("REFUTED  ceiling"),
                                HasSubstr("NOT_SHOWN (UNTESTED)  hot-water"),
                                HasSubstr("3 claims: 1 proven, 1 refuted, 1 not shown")));
  ASSERT_OK_AND_ASSIGN(const Result one, Call({"verify", line(), "--claim", "floor"}));
  EXPECT_EQ(one.exit, Exit::kWell);
}

TEST_F(EndToEnd, TablePrintsTheMapInTheUnitsAskedFor) {
  ASSERT_OK_AND_ASSIGN(const Result text, Call({"table", line()}));
  EXPECT_THAT(text.out, HasSubstr("total_capacity, kW"));
  ASSERT_OK_AND_ASSIGN(const Result csv, Call({"table", line(), "--output", "csv"}));
  EXPECT_THAT(csv.out, HasSubstr("entering_water_temp[degC],entering_air_wb[degC],"));
}

TEST_F(EndToEnd, RateRefusesAUnitThatItCannotRateAndSaysWhy) {
  ASSERT_OK_AND_ASSIGN(const Result result,
                       Call({"rate", line(), "--procedure", "ieer-air-cooled"}));
  EXPECT_THAT(result.out, HasSubstr("not rated"));
}

TEST_F(EndToEnd, PublishThenQueryAnswersFromTheStore) {
  ASSERT_OK_AND_ASSIGN(const Result built, Call({"build", line()}));
  ASSERT_OK_AND_ASSIGN(const Result published, Call({"publish", line()}));
  EXPECT_EQ(DigestIn(built.out), DigestIn(published.out));
  EXPECT_THAT(published.out, HasSubstr("\nstored\n"));
  ASSERT_OK_AND_ASSIGN(const Result again, Call({"publish", line()}));
  EXPECT_THAT(again.out, HasSubstr("already in the store"));

  ASSERT_OK_AND_ASSIGN(
      const Result inside,
      Call({"query", "u1", "--at", "entering_water_temp=25degC,entering_air_wb=18degC"}));
  EXPECT_THAT(inside.out, AllOf(HasSubstr("interpolated"), HasSubstr("total_capacity")));
  ASSERT_OK_AND_ASSIGN(const Result outside,
                       Call({"query", "u1", "--units", "ip", "--at",
                             "entering_water_temp=122degF,entering_air_wb=64 degF"}));
  EXPECT_THAT(outside.out, AllOf(HasSubstr("extrapolated"), HasSubstr("kBtu/h")));

  ASSERT_OK_AND_ASSIGN(const Result releases, Call({"releases"}));
  EXPECT_THAT(releases.out, HasSubstr(DigestIn(built.out).substr(0, 16)));
  ASSERT_OK_AND_ASSIGN(const Result shown,
                       Call({"show", DigestIn(built.out).substr(0, 12)}));
  EXPECT_THAT(shown.out, HasSubstr("PROVEN  floor"));
}

TEST_F(EndToEnd, VerifyAgainstABaselineFailsOnARegressionOnly) {
  folder_.Write("line/claims.textproto",
                testing::SmallLineClaim("floor",
                                        "quantity: 'total_capacity' relation: "
                                        "RELATION_AT_LEAST limit: 37 limit_unit: 'kW'"));
  ASSERT_OK_AND_ASSIGN(const Result published, Call({"publish", line()}));
  const std::string baseline = DigestIn(published.out);
  ASSERT_OK_AND_ASSIGN(const Result same,
                       Call({"verify", line(), "--baseline", baseline}));
  EXPECT_EQ(same.exit, Exit::kWell) << same.out;
  EXPECT_THAT(same.out, HasSubstr("[same"));

  // Noisier points: the claim no longer stands out of the band.
  folder_.Write("line/points/p.csv", testing::SmallLinePoints(0.15));
  ASSERT_OK_AND_ASSIGN(const Result weaker,
                       Call({"verify", line(), "--baseline", baseline}));
  EXPECT_EQ(weaker.exit, Exit::kFound) << weaker.out;
  EXPECT_THAT(weaker.out, HasSubstr("[WEAKER"));

  ASSERT_OK_AND_ASSIGN(const Result republished, Call({"publish", line()}));
  ASSERT_OK_AND_ASSIGN(const Result diff,
                       Call({"diff", baseline, DigestIn(republished.out)}));
  EXPECT_EQ(diff.exit, Exit::kFound);
  EXPECT_THAT(diff.out, HasSubstr("WORSE claim"));
}

TEST_F(EndToEnd, ProceduresAreListedWithTheirEditions) {
  ASSERT_OK_AND_ASSIGN(const Result result, Call({"procedures"}));
  EXPECT_THAT(result.out, AllOf(HasSubstr("ieer-water-cooled"), HasSubstr("IPLV")));
}

struct BadInput {
  std::string name;
  std::string file;
  std::string bytes;
  std::string message;
};
class BadInputTest : public EndToEnd, public ::testing::WithParamInterface<BadInput> {};
TEST_P(BadInputTest, IsAnErrorThatNamesThePlace) {
  folder_.Write("line/" + GetParam().file, GetParam().bytes);
  const auto result = Call({"build", line()});
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(ExitOf(result.status()), Exit::kWrongInput) << result.status();
  EXPECT_THAT(std::string(result.status().message()), HasSubstr(GetParam().message));
}
const char kHeader[] =
    "point,block,entering_water_temp[degC],entering_air_wb[degC],total_capacity[kW],"
    "power_input[kW]\n";
INSTANTIATE_TEST_SUITE_P(
    Files, BadInputTest,
    ::testing::Values(
        BadInput{"EmptyPoints", "points/p.csv", "", "points/p.csv"},
        BadInput{"HeaderOnly", "points/p.csv", kHeader, "points/p.csv"},
        BadInput{"NotANumber", "points/p.csv",
                 std::string(kHeader) + "a,d,25,18,nan,10\n", "points/p.csv:2:11"},
        BadInput{"TextInANumber", "points/p.csv",
                 std::string(kHeader) + "a,d,25,warm,50,10\n", "points/p.csv:2:8"},
        BadInput{"UnknownUnit", "points/p.csv", "entering_water_temp[degG]\n1\n", "degF"},
        BadInput{"NotUtf8", "points/p.csv", std::string(kHeader) + "\xFF,d,25,18,50,10\n",
                 "points/p.csv:2"},
        BadInput{"UnknownField", "line.textproto",
                 std::string(testing::kSmallLineManifest) + "colour: 'red'\n",
                 "line.textproto:"},
        BadInput{"SyntaxError", "claims.textproto", "claims {", "claims.textproto:1"}),
    [](const auto& test) { return test.param.name; });

TEST_F(EndToEnd, EveryFaultIsReportedAtOnce) {
  folder_.Write(
      "line/points/p.csv",
      std::string(kHeader) + "a,d,25,warm,50,10\nb,d,x,18,50,10\nc,d,25,18,50,y\n");
  const auto result = Call({"check", line()});
  ASSERT_FALSE(result.ok());
  EXPECT_THAT(std::string(result.status().message()),
              AllOf(HasSubstr("p.csv:2"), HasSubstr("p.csv:3"), HasSubstr("p.csv:4")));
}

TEST_F(EndToEnd, AServerThatIsNotThereIsStatusThree) {
  const auto result = Call({"procedures", "--server", "127.0.0.1:1", "--timeout", "5"});
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(ExitOf(result.status()), Exit::kCouldNot) << result.status();
}

}  // namespace
}  // namespace ratebound::cli
