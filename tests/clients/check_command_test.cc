// The command check on a line with logs, with the chain of a point, and what of a folder
// is sent.
#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "absl/strings/str_format.h"
#include "clients/cli/arguments.h"
#include "clients/cli/commands.h"
#include "clients/cli/line_folder.h"
#include "clients/cli/render.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/small_line.h"
#include "tests/testing/temp_folder.h"

namespace ratebound::cli {
namespace {

using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;
using testing::StatusIs;

constexpr char kLogEntry[] = R"(
log_files {
  path: "logs/day.csv" unit: "u1" mode: "cooling" stage: "full"
  time { header: "t" format: "s" }
  steady_windows {
    length_s: 600
    tolerances {
      quantity: "entering_air_wb"
      greatest_spread { absolute: 0.5 unit: "delta_degC" }
      citation { source: "a test" basis: BASIS_MEMORY }
    }
  }
}
)";

// Rows 10 s apart with a gap of 1000 s behind the first window.
std::string Log() {
  std::string csv =
      "t,entering_water_temp[degC],entering_air_wb[degC],total_capacity[kW],"
      "power_input[kW]\n";
  for (int row = 0; row <= 130; ++row) {
    const int s = 10 * row + (row > 65 ? 1000 : 0);
    const double swing = (row % 3 - 1) * 0.01;
    absl::StrAppendFormat(&csv, "%d,%.2f,%.2f,%.2f,%.3f\n", s, 25 + swing, 18 - swing,
                          50 + swing, 10 - swing);
  }
  return csv;
}

class CheckCommand : public ::testing::Test {
 protected:
  CheckCommand() { WriteLine("line"); }

  void WriteLine(const std::string& below) {
    folder_.Write(below + "/line.textproto",
                  std::string(testing::kSmallLineManifest) + kLogEntry);
    folder_.Write(below + "/points/p.csv", testing::SmallLinePoints());
    folder_.Write(below + "/logs/day.csv", Log());
  }
  absl::StatusOr<Result> Call(std::vector<std::string> words) {
    words.insert(words.begin() + 1, folder_.Below("line"));
    words.push_back("--store");
    words.push_back(folder_.Below("store.sqlite"));
    auto arguments = ParseArguments(Commands(), words);
    if (!arguments.ok()) return arguments.status();
    return cli::Run(*arguments);
  }

  testing::TempFolder folder_;
};

TEST_F(CheckCommand, PrintsTheWindowsAndRejectedSpansOfALog) {
  ASSERT_OK_AND_ASSIGN(const Result result, Call({"check"}));
  EXPECT_EQ(result.exit, Exit::kWell) << result.out;
  EXPECT_THAT(result.out,
              AllOf(HasSubstr("logs/day.csv: 131 rows over 0:38:20; 2 windows, "),
                    HasSubstr("window  day.csv:2"), HasSubstr("window  day.csv:68"),
                    HasSubstr("left out: "), Not(HasSubstr("gap of 1010 s")),
                    HasSubstr("26 points: 26 accepted")));
  ASSERT_OK_AND_ASSIGN(const Result all, Call({"check", "--all"}));
  EXPECT_THAT(all.out, AllOf(HasSubstr("rejected"), HasSubstr("gap of 1010 s")));
  ASSERT_OK_AND_ASSIGN(const Result json, Call({"check", "--output", "json"}));
  EXPECT_THAT(json.out, AllOf(HasSubstr("\"log\":"), HasSubstr("\"summary\":")));
}

TEST_F(CheckCommand, PrintsTheChainOfAPoint) {
  ASSERT_OK_AND_ASSIGN(const Result text, Call({"check", "--point", "day.csv:2"}));
  EXPECT_EQ(text.exit, Exit::kWell);
  EXPECT_THAT(text.out,
              AllOf(HasSubstr("point day.csv:2  (logs/day.csv:2)  u1/cooling"),
                    HasSubstr("Where the uncertainty comes from"),
                    HasSubstr("scatter of the readings"), Not(HasSubstr("26 points"))));
  ASSERT_OK_AND_ASSIGN(const Result csv,
                       Call({"check", "--point", "p00", "--output", "csv"}));
  EXPECT_THAT(csv.out, HasSubstr("depth,label,value,unit,how,clause"));
  ASSERT_OK_AND_ASSIGN(const Result json,
                       Call({"check", "--point", "p00", "--output", "json"}));
  EXPECT_THAT(json.out, HasSubstr("\"chain\":"));
}

struct Mistake {
  std::string name;
  std::vector<std::string> words;
  std::string says;
};
void PrintTo(const Mistake& mistake, std::ostream* out) { *out << mistake.name; }
class Mistakes : public CheckCommand, public ::testing::WithParamInterface<Mistake> {};
TEST_P(Mistakes, AreWrongInput) {
  const auto result = Call(GetParam().words);
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(ExitOf(result.status()), Exit::kWrongInput) << result.status();
  EXPECT_THAT(std::string(result.status().message()), HasSubstr(GetParam().says));
}
INSTANTIATE_TEST_SUITE_P(
    Words, Mistakes,
    ::testing::Values(
        Mistake{"DrawsWithoutAPoint", {"check", "--monte-carlo", "5000"}, "--point ID"},
        Mistake{"DrawsThatAreNoNumber",
                {"check", "--point", "p00", "--monte-carlo", "many"},
                "takes a number of draws"},
        Mistake{"NoDraws",
                {"check", "--point", "p00", "--monte-carlo", "0"},
                "takes a number of draws"},
        Mistake{"TooFewDraws",
                {"check", "--point", "p00", "--monte-carlo", "10"},
                "--monte-carlo: 10 draws are too few or too many; give 2000 to 1000000"},
        Mistake{"AnUnknownPoint",
                {"check", "--point", "day.csv:3"},
                "--point: the line has no point 'day.csv:3'; did you mean 'day.csv:2'?"}),
    [](const auto& mistake) { return mistake.param.name; });

// A file that opens and cannot be read, for root, too: the start of this process's
// memory.
TEST_F(CheckCommand, ALogThatCannotBeReadIsNamedAndNotTakenForAShortOne) {
  const std::filesystem::path log = folder_.path() / "line/logs/day.csv";
  std::filesystem::remove(log);
  std::filesystem::create_symlink("/proc/self/mem", log);
  for (const char* command : {"check", "publish"}) {
    const auto result = Call({command});
    ASSERT_FALSE(result.ok()) << command;
    EXPECT_EQ(ExitOf(result.status()), Exit::kCouldNot) << result.status();
    EXPECT_THAT(std::string(result.status().message()),
                HasSubstr(log.string() + ": cannot be read"));
  }
}

TEST_F(CheckCommand, FaultsOfALogNameTheirPlaces) {
  std::string log = Log();
  log.replace(log.find("\n30,"), 1, "\nx");
  folder_.Write("line/logs/day.csv", log);
  const auto result = Call({"check"});
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(ExitOf(result.status()), Exit::kWrongInput);
  EXPECT_THAT(std::string(result.status().message()), HasSubstr("logs/day.csv:5:1"));
}

std::vector<std::string> PathsOf(const std::vector<FolderFile>& files) {
  std::vector<std::string> paths;
  for (const FolderFile& file : files) paths.push_back(file.path);
  return paths;
}

TEST_F(CheckCommand, SendsLogsLastAndDoesNotHoldThem) {
  folder_.Write("line/methods/m.textproto", "x");
  folder_.Write("line/methods/readme.md", "x");
  folder_.Write("line/procedures/p.textproto", "x");
  folder_.Write("line/logs/deeper/x.csv", "x");
  ASSERT_OK_AND_ASSIGN(const auto files, ReadLineFolder(folder_.Below("line")));
  EXPECT_THAT(PathsOf(files),
              ElementsAre("line.textproto", "methods/m.textproto", "points/p.csv",
                          "procedures/p.textproto", "logs/day.csv"));
  EXPECT_EQ(files.back().bytes, "");
  EXPECT_EQ(files.back().log_file, folder_.Below("line/logs/day.csv"));
}

// The name of the folder itself means nothing.
TEST_F(CheckCommand, ALineMayBeCalledLogs) {
  WriteLine("logs");
  for (const std::string& name : {folder_.Below("logs"), folder_.Below("logs") + "/"}) {
    ASSERT_OK_AND_ASSIGN(const auto files, ReadLineFolder(name));
    EXPECT_THAT(PathsOf(files),
                ElementsAre("line.textproto", "points/p.csv", "logs/day.csv"));
    EXPECT_THAT(files[0].bytes, HasSubstr("log_files"));
  }
}

struct ChunkCase {
  size_t bytes;
  std::vector<size_t> chunks;
};
class Chunks : public ::testing::TestWithParam<ChunkCase> {};
TEST_P(Chunks, JoinToTheFile) {
  constexpr size_t kMost = 64 << 10;
  testing::TempFolder folder;
  std::string content(GetParam().bytes, 'x');
  for (size_t i = 0; i < content.size(); ++i) content[i] = static_cast<char>(i * 7 % 251);
  folder.Write("a.csv", content);
  for (const FolderFile& file :
       {FolderFile{.path = "points/a.csv", .bytes = content},
        FolderFile{.path = "logs/a.csv", .log_file = folder.Below("a.csv")}}) {
    FileChunks chunks(file);
    std::vector<size_t> sizes;
    std::string joined;
    do {
      std::string chunk = "left over";
      ASSERT_THAT(chunks.Next(chunk), testing::IsOk());
      EXPECT_LE(chunk.size(), kMost);
      sizes.push_back(chunk.size());
      joined += chunk;
    } while (!chunks.done());
    EXPECT_EQ(sizes, GetParam().chunks) << file.path;
    EXPECT_EQ(joined, content);
  }
}
INSTANTIATE_TEST_SUITE_P(
    Sizes, Chunks,
    ::testing::Values(ChunkCase{0, {0}}, ChunkCase{1, {1}}, ChunkCase{65535, {65535}},
                      ChunkCase{65536, {65536}}, ChunkCase{65537, {65536, 1}},
                      ChunkCase{131072, {65536, 65536}}),
    [](const auto& chunk) { return absl::StrFormat("%d", chunk.param.bytes); });

TEST(FileChunks, SaysWhichFileIsGone) {
  testing::TempFolder folder;
  const FolderFile file{.path = "logs/a.csv", .log_file = folder.Below("a.csv")};
  FileChunks chunks(file);
  std::string chunk;
  EXPECT_THAT(chunks.Next(chunk),
              StatusIs(absl::StatusCode::kUnavailable, HasSubstr(folder.Below("a.csv"))));
}

TEST(LogsText, ShowsTheFirstWindowsOfManyAndReasonsOfTheRest) {
  v1::LogReport log;
  log.set_path("logs/a.csv");
  for (int i = 0; i < 50; ++i) {
    v1::LogSpan& window = *log.add_spans();
    window.set_kind(v1::LOG_SPAN_KIND_WINDOW);
    window.set_point(absl::StrFormat("a.csv:%d", i));
    v1::LogSpan& span = *log.add_spans();
    span.set_kind(v1::LOG_SPAN_KIND_REJECTED);
    span.set_start_s(100 * i);
    span.set_end_s(100 * i + 60);
    span.set_reason(absl::StrFormat("only %d s before a change", i));
  }
  const std::string some = LogsText({log}, false);
  EXPECT_THAT(some,
              AllOf(HasSubstr("50 windows, 50 rejected spans"), HasSubstr("a.csv:39"),
                    Not(HasSubstr("a.csv:40")), HasSubstr("and 10 more (--all"),
                    HasSubstr("left out: 50 spans, 0:50:00 together: only")));
  EXPECT_THAT(LogsText({log}, true),
              AllOf(HasSubstr("a.csv:49"), HasSubstr("only 49 s before a change"),
                    Not(HasSubstr("--all shows"))));
}

TEST(ChainText, ShowsSharesThatCancelOthersAndLeavesOutSmallOnes) {
  v1::PointChain chain;
  v1::UncertaintyBudget& budget = *chain.add_budgets();
  budget.set_quantity("total_capacity");
  for (const auto& [name, share] :
       {std::pair{"great", 1.3}, std::pair{"against", -0.3}, std::pair{"small", 0.001}}) {
    v1::UncertaintyContribution& line = *budget.add_contributions();
    line.set_name(name);
    line.set_share(share);
  }
  EXPECT_THAT(ChainText(chain, false, false),
              AllOf(HasSubstr("great"), HasSubstr("-30.0 %"), HasSubstr("against"),
                    Not(HasSubstr("small"))));
  EXPECT_THAT(ChainText(chain, false, true), HasSubstr("small"));
}

}  // namespace
}  // namespace ratebound::cli
