// The built program as a pipeline runs it: exit statuses, and what goes to which stream.
#include <sys/wait.h>

#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/small_line.h"
#include "tests/testing/temp_folder.h"

namespace ratebound::cli {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::StartsWith;

class ProgramTest : public ::testing::Test {
 protected:
  struct Ended {
    int status = -1;
    std::string out;
    std::string err;
  };

  ProgramTest() {
    folder_.Write("line/line.textproto", testing::kSmallLineManifest);
    folder_.Write("line/claims.textproto", testing::SmallLineClaims());
    folder_.Write("line/points/p.csv", testing::SmallLinePoints());
  }

  // `words` are for a shell, in the test's folder.
  Ended Call(const std::string& words) const {
    const std::string command = "cd '" + folder_.path().string() +
                                "' && HOME=. XDG_DATA_HOME= '" RATEBOUND_PROGRAM "' " +
                                words + " >out 2>err </dev/null";
    const int status = std::system(command.c_str());
    return {.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1,
            .out = folder_.Read("out"),
            .err = folder_.Read("err")};
  }

  testing::TempFolder folder_;
};

TEST_F(ProgramTest, ExitStatusSaysWhoIsToAct) {
  const struct {
    int status;
    const char* words;
    const char* err;  // a part of it
  } kCases[] = {
      {0, "--help", ""},
      {0, "help verify", ""},
      {0, "check line", ""},
      {0, "verify line --claim floor", ""},
      {1, "verify line", ""},
      {2, "", ""},
      {2, "vrify line", "did you mean 'verify'? See ratebound --help"},
      {2, "verify line --clam floor", "did you mean '--claim'? See ratebound verify"},
      {2, "verify line --claim flor", "there is no claim 'flor'; did you mean 'floor'?"},
      {2, "verify", "takes LINE, and 0 words came"},
      {2, "fit line --units us", "none of si, ip"},
      {2, "check nowhere", "nowhere: no such folder"},
      {2, "check out", "out: is no folder"},
      {2, "check .", "has no line.textproto"},
      {2, "show 12345678", "12345678"},
      {2, "query u1 --at entering_water_temp=warm", "entering_water_temp=85degF"},
      {3, "releases --server 127.0.0.1:1 --timeout 5", "is the server running"},
      {3, "releases --store /proc/no/such.sqlite", "name another place with --store"},
  };
  for (const auto& c : kCases) {
    SCOPED_TRACE(c.words);
    const Ended ended = Call(c.words);
    EXPECT_EQ(ended.status, c.status) << ended.err;
    EXPECT_THAT(ended.err, HasSubstr(c.err));
    if (c.status >= 2 && *c.words != '\0') {
      EXPECT_THAT(ended.err, StartsWith("ratebound"));
      EXPECT_THAT(ended.out, IsEmpty());
    } else {
      EXPECT_THAT(ended.err, IsEmpty());
      EXPECT_THAT(ended.out, Not(IsEmpty()));
    }
  }
}

// One gibibyte on one line, sparse; and a document nested without end.
TEST_F(ProgramTest, HugeInputIsRefusedInBoundedMemory) {
  std::filesystem::resize_file(folder_.Below("line/points/p.csv"), uintmax_t{1} << 30);
  const Ended huge = Call("check line");
  EXPECT_EQ(huge.status, 2) << huge.err;
  EXPECT_THAT(huge.err, HasSubstr("line/points/p.csv: with its 1073741824 bytes"));

  folder_.Write("line/points/p.csv", testing::SmallLinePoints());
  std::string deep;
  for (int i = 0; i < 200'000; ++i) deep += "units {";
  folder_.Write("line/line.textproto", deep);
  const Ended nested = Call("check line");
  EXPECT_EQ(nested.status, 2) << nested.err;
  EXPECT_THAT(nested.err, HasSubstr("nested more than"));
}

TEST_F(ProgramTest, StageThatItsPointsCannotCarryIsWrongInput) {
  folder_.Write("line/points/p.csv",
                "point,block,entering_water_temp[degC],entering_air_wb[degC],"
                "total_capacity[kW],power_input[kW]\na,d,25,18,50,10\n");
  for (const char* command : {"build line", "publish line", "table line", "fit line"}) {
    SCOPED_TRACE(command);
    const Ended ended = Call(command);
    EXPECT_EQ(ended.status, 2) << ended.out;
    EXPECT_THAT(ended.err, HasSubstr("entering_water_temp has 1 level"));
  }
  EXPECT_THAT(Call("build line").err, HasSubstr("points/p.csv:2: u1/cooling/full"));
  EXPECT_EQ(Call("check line").status, 1);
}

TEST_F(ProgramTest, JsonIsOneMessageALineAndCsvHasAHeader) {
  for (const char* command :
       {"check line", "fit line", "rate line --procedure ieer-air-cooled", "verify line",
        "table line", "build line", "publish line", "releases", "procedures"}) {
    SCOPED_TRACE(command);
    const Ended json = Call(std::string(command) + " --output json");
    ASSERT_THAT(json.out, Not(IsEmpty())) << json.err;
    size_t start = 0;
    while (start < json.out.size()) {
      const size_t end = json.out.find('\n', start);
      ASSERT_NE(end, std::string::npos);
      EXPECT_EQ(json.out[start], '{');
      EXPECT_EQ(json.out[end - 1], '}');
      start = end + 1;
    }
    const Ended csv = Call(std::string(command) + " --output csv");
    EXPECT_THAT(csv.err, IsEmpty());
    const size_t end = csv.out.find("\r\n");
    ASSERT_NE(end, std::string::npos);
    EXPECT_THAT(csv.out.substr(0, end), HasSubstr(","));
  }
}

TEST_F(ProgramTest, ComputingOnAFolderNeedsNoPlaceToWrite) {
  for (const char* command : {"check line", "build line", "verify line --claim floor"}) {
    SCOPED_TRACE(command);
    EXPECT_EQ(Call(command).status, 0);
  }
  EXPECT_FALSE(std::filesystem::exists(folder_.Below(".local")));
  const Ended ended = Call("build line --to nowhere/release");
  EXPECT_EQ(ended.status, 3);
  EXPECT_THAT(ended.err, HasSubstr("nowhere/release: cannot be written: No such file"));
}

TEST_F(ProgramTest, NothingClaimedIsSaidAloud) {
  std::filesystem::remove(folder_.Below("line/claims.textproto"));
  const Ended ended = Call("verify line");
  EXPECT_EQ(ended.status, 0);
  EXPECT_THAT(ended.err, HasSubstr("nothing is claimed"));
}

TEST_F(ProgramTest, ProvenClaimThatIsMadeNoMoreIsARegression) {
  folder_.Write("line/claims.textproto",
                testing::SmallLineClaim("floor",
                                        "quantity: 'total_capacity' relation: "
                                        "RELATION_AT_LEAST limit: 37 limit_unit: 'kW'"));
  const std::string digest = Call("publish line").out.substr(8, 64);
  EXPECT_EQ(Call("verify line --baseline " + digest).status, 0);
  std::filesystem::remove(folder_.Below("line/claims.textproto"));
  const Ended gone = Call("verify line --baseline " + digest);
  EXPECT_EQ(gone.status, 1) << gone.out;
  EXPECT_THAT(gone.out, HasSubstr("GONE  floor: was PROVEN"));
}

}  // namespace
}  // namespace ratebound::cli
