#include "service/line_upload.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <ostream>
#include <utility>

#include "absl/strings/str_cat.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using ::testing::AllOf;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::SizeIs;

std::shared_ptr<UploadBudget> LargeBudget() {
  return std::make_shared<UploadBudget>(int64_t{1} << 30);
}

TEST(LineUpload, JoinsChunksOfInterleavedFilesInTheOrderOfPaths) {
  LineUpload upload(LargeBudget());
  ASSERT_THAT(upload.Add("points/b.csv", "b1"), testing::IsOk());
  ASSERT_THAT(upload.Add("line.textproto", "l"), testing::IsOk());
  ASSERT_THAT(upload.Add("points/b.csv", "b2"), testing::IsOk());
  ASSERT_THAT(upload.Add("points/a.csv", ""), testing::IsOk());
  const std::vector<release::LineFile> files = std::move(upload).Take();
  ASSERT_THAT(files, SizeIs(3));
  EXPECT_EQ(files[0].path, "line.textproto");
  EXPECT_EQ(files[1].path, "points/a.csv");
  EXPECT_EQ(files[1].bytes, "");
  EXPECT_EQ(files[2].bytes, "b1b2");
}

struct PathCase {
  std::string name;
  std::string path;
  std::string message;  // empty: allowed
};

class Paths : public ::testing::TestWithParam<PathCase> {};

TEST_P(Paths, AreHeldToTheRules) {
  const absl::Status status = CheckPath(GetParam().path);
  if (GetParam().message.empty()) {
    EXPECT_THAT(status, testing::IsOk());
  } else {
    EXPECT_THAT(status, testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                          HasSubstr(GetParam().message)));
  }
}

constexpr char kNotPlain[] = "not relative to the line folder in its plain form";
INSTANTIATE_TEST_SUITE_P(
    Rules, Paths,
    ::testing::Values(
        PathCase{"Plain", "points/day 1.csv", ""},
        PathCase{"Umlaut", "points/M\xC3\xA4rz.csv", ""},
        PathCase{"DotsInAName", "points/a..b.csv", ""}, PathCase{"Hidden", ".hidden", ""},
        PathCase{"LongestAllowed", std::string(512, 'a'), ""},
        PathCase{"Empty", "", "is empty"}, PathCase{"Absolute", "/etc/passwd", kNotPlain},
        PathCase{"Parent", "points/../../x", kNotPlain},
        PathCase{"OnlyParent", "..", kNotPlain},
        PathCase{"Dot", "./line.textproto", kNotPlain},
        PathCase{"Twice", "points//a", kNotPlain},
        PathCase{"Folder", "points/", kNotPlain},
        PathCase{"Backslash", "points\\a.csv", "backslash"},
        PathCase{"Nul", std::string("a\0b", 3), "control character"},
        PathCase{"LineEnd", "a\nb", "control character"},
        PathCase{"NotUtf8", "\xC3(", "not UTF-8"},
        PathCase{"OverlongSlash",
                 "a\xC0\xAF"
                 "b",
                 "not UTF-8"},
        PathCase{"TooLong", std::string(513, 'a'), "longer than 512 bytes"}),
    [](const auto& path_case) { return path_case.param.name; });

TEST(LineUpload, RefusesAChunkOfMoreThan64KiB) {
  LineUpload upload(LargeBudget());
  EXPECT_THAT(upload.Add("a", std::string(kChunkBytes, 'x')), testing::IsOk());
  EXPECT_THAT(
      upload.Add("a", std::string(kChunkBytes + 1, 'x')),
      testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("65537 bytes")));
}

TEST(LineUpload, HoldsExactly64MiB) {
  LineUpload upload(LargeBudget());
  const std::string chunk(kChunkBytes, 'x');
  for (int i = 0; i < kFolderBytes / kChunkBytes; ++i) {
    ASSERT_THAT(upload.Add(absl::StrCat("f", i % 3), chunk), testing::IsOk());
  }
  EXPECT_THAT(upload.Add("f0", "x"),
              testing::StatusIs(absl::StatusCode::kResourceExhausted,
                                HasSubstr("larger than 64 MiB")));
}

TEST(LineUpload, HoldsExactlyTenThousandFiles) {
  LineUpload upload(LargeBudget());
  for (int i = 0; i < kFolderFiles; ++i) {
    ASSERT_THAT(upload.Add(absl::StrCat("f", i), ""), testing::IsOk());
  }
  EXPECT_THAT(upload.Add("f0", "more"), testing::IsOk());
  EXPECT_THAT(
      upload.Add("one more", ""),
      testing::StatusIs(absl::StatusCode::kResourceExhausted, HasSubstr("10000 files")));
}

TEST(LineUpload, SharesABudgetAndGivesItBack) {
  auto budget = std::make_shared<UploadBudget>(1000);
  {
    LineUpload first(budget);
    ASSERT_THAT(first.Add("a", std::string(600, 'x')), testing::IsOk());
    LineUpload second(budget);
    EXPECT_THAT(second.Add("a", std::string(600, 'x')),
                testing::StatusIs(absl::StatusCode::kResourceExhausted,
                                  HasSubstr("too many line folders")));
  }
  LineUpload third(budget);
  EXPECT_THAT(third.Add("a", std::string(700, 'x')), testing::IsOk());
}

// What became of the logs of an upload, one entry each.
struct LogsSeen {
  std::vector<std::string> opened;
  std::vector<std::string> paths_before;  // of the files at the last opening
  std::string manifest;                   // its bytes then
  std::map<std::string, std::string> bytes;
  std::map<std::string, int> finished;
  int open = 0;
  int most_open = 0;
  int points_left = 0;  // that reading a log leaves behind
};

class RecordingSink final : public LogSink {
 public:
  RecordingSink(LogsSeen& seen, std::string path) : seen_(seen), path_(std::move(path)) {
    seen_.opened.push_back(path_);
    seen_.most_open = std::max(seen_.most_open, ++seen_.open);
  }
  ~RecordingSink() override { --seen_.open; }
  void Feed(std::string_view content) override {
    if (seen_.bytes[path_].size() < 1000) seen_.bytes[path_] += content;
  }
  std::shared_ptr<const release::LogRead> Finish() override {
    ++seen_.finished[path_];
    auto log = std::make_shared<release::LogRead>();
    log->sha256 = path_;
    points::LogResult result;
    result.points.resize(static_cast<size_t>(seen_.points_left));
    log->result = std::move(result);
    return log;
  }

 private:
  LogsSeen& seen_;
  const std::string path_;
};

LogOpener Recorder(LogsSeen& seen) {
  return [&seen](std::span<const release::LineFile> files, std::string_view path) {
    seen.paths_before.clear();
    for (const release::LineFile& file : files) {
      seen.paths_before.push_back(file.path);
      if (file.path == "line.textproto") seen.manifest = file.bytes;
    }
    return std::make_unique<RecordingSink>(seen, std::string(path));
  };
}

TEST(LogsOfAnUpload, AreFedToSinksOneAfterTheOtherAndNotKept) {
  LogsSeen seen;
  LineUpload upload(LargeBudget(), Recorder(seen));
  ASSERT_THAT(upload.Add("points/p.csv", "p"), testing::IsOk());
  ASSERT_THAT(upload.Add("line.textproto", "li"), testing::IsOk());
  ASSERT_THAT(upload.Add("line.textproto", "ne"), testing::IsOk());
  ASSERT_THAT(upload.Add("logs/b.csv", "b1"), testing::IsOk());
  EXPECT_THAT(seen.paths_before, ElementsAre("points/p.csv", "line.textproto"));
  EXPECT_EQ(seen.manifest, "line");
  ASSERT_THAT(upload.Add("logs/b.csv", ""), testing::IsOk());
  ASSERT_THAT(upload.Add("logs/b.csv", "b2"), testing::IsOk());
  EXPECT_TRUE(seen.finished.empty());
  ASSERT_THAT(upload.Add("logs/a.csv", "a"), testing::IsOk());
  EXPECT_EQ(seen.finished["logs/b.csv"], 1);
  const std::vector<release::LineFile> files = std::move(upload).Take();
  EXPECT_EQ(seen.most_open, 1);
  EXPECT_EQ(seen.open, 0);
  EXPECT_THAT(seen.opened, ElementsAre("logs/b.csv", "logs/a.csv"));
  EXPECT_EQ(seen.bytes["logs/b.csv"], "b1b2");
  EXPECT_EQ(seen.bytes["logs/a.csv"], "a");
  EXPECT_EQ(seen.finished["logs/a.csv"], 1);
  EXPECT_EQ(seen.finished["logs/b.csv"], 1);
  ASSERT_THAT(files, SizeIs(4));
  EXPECT_EQ(files[1].path, "logs/a.csv");
  EXPECT_EQ(files[1].bytes, "");
  ASSERT_NE(files[1].log, nullptr);
  EXPECT_EQ(files[1].log->sha256, "logs/a.csv");
  EXPECT_EQ(files[2].log->sha256, "logs/b.csv");
  EXPECT_EQ(files[3].log, nullptr);
}

TEST(LogsOfAnUpload, GoUnreadWhereTheUploadGoes) {
  LogsSeen seen;
  {
    LineUpload upload(LargeBudget(), Recorder(seen));
    ASSERT_THAT(upload.Add("line.textproto", ""), testing::IsOk());
    ASSERT_THAT(upload.Add("logs/a.csv", "a"), testing::IsOk());
  }
  EXPECT_EQ(seen.open, 0);
  EXPECT_TRUE(seen.finished.empty());
}

struct OrderCase {
  std::string name;
  std::vector<std::string> paths;  // the last is refused
  std::string message;
};
void PrintTo(const OrderCase& order, std::ostream* out) { *out << order.name; }
class Orders : public ::testing::TestWithParam<OrderCase> {};

TEST_P(Orders, InWhichALogCouldNotBeReadAreRefused) {
  LogsSeen seen;
  LineUpload upload(LargeBudget(), Recorder(seen));
  std::vector<std::string> paths = GetParam().paths;
  const std::string last = paths.back();
  paths.pop_back();
  for (const std::string& path : paths) {
    ASSERT_THAT(upload.Add(path, "x"), testing::IsOk()) << path;
  }
  EXPECT_THAT(upload.Add(last, "x"),
              testing::StatusIs(
                  absl::StatusCode::kInvalidArgument,
                  AllOf(HasSubstr("'" + last + "'"), HasSubstr(GetParam().message))));
}

constexpr char kLast[] = "send all other files of the line first, logs last";
INSTANTIATE_TEST_SUITE_P(
    Files, Orders,
    ::testing::Values(
        OrderCase{"AheadOfTheManifest", {"points/p.csv", "logs/a.csv"}, "ahead of line"},
        OrderCase{
            "ManifestBehind", {"line.textproto", "logs/a.csv", "line.textproto"}, kLast},
        OrderCase{"MethodBehind",
                  {"line.textproto", "logs/a.csv", "methods/m.textproto"},
                  kLast},
        OrderCase{
            "PointsBehind", {"line.textproto", "logs/a.csv", "points/p.csv"}, kLast},
        OrderCase{"BackToALog",
                  {"line.textproto", "logs/a.csv", "logs/b.csv", "logs/a.csv"},
                  "one after the other"},
        OrderCase{"AWrongPath", {"line.textproto", "logs/../a.csv"}, "plain form"}),
    [](const auto& order) { return order.param.name; });

TEST(LogsOfAnUpload, AreRefusedWhereNobodyReadsThem) {
  LineUpload upload(LargeBudget());
  ASSERT_THAT(upload.Add("line.textproto", "x"), testing::IsOk());
  EXPECT_THAT(upload.Add("logs/a.csv", "x"),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("logs are not taken here")));
}

// Three times what a folder may hold, in a budget of an eighth of that.
TEST(LogsOfAnUpload, TakeTheSameMemoryWhateverTheirLength) {
  constexpr int64_t kBudgetBytes = 8 << 20;
  auto budget = std::make_shared<UploadBudget>(kBudgetBytes);
  LogsSeen seen;
  int64_t left_at_start = 0;
  const auto left = [&budget] {
    int64_t bytes = 0;
    for (int64_t step = kBudgetBytes; step > 0; step /= 2) {
      while (budget->Reserve(step)) bytes += step;
    }
    budget->Return(bytes);
    return bytes;
  };
  {
    LineUpload upload(budget, Recorder(seen));
    ASSERT_THAT(upload.Add("line.textproto", "x"), testing::IsOk());
    const std::string chunk(kChunkBytes, 'x');
    ASSERT_THAT(upload.Add("logs/a.csv", chunk), testing::IsOk());
    left_at_start = left();
    EXPECT_LT(left_at_start, kBudgetBytes - kOpenLogBytes) << "an open log is not free";
    for (int64_t sent = 0; sent < 3 * kFolderBytes; sent += kChunkBytes) {
      ASSERT_THAT(upload.Add("logs/a.csv", chunk), testing::IsOk());
    }
    EXPECT_EQ(left(), left_at_start);
  }
  EXPECT_EQ(left(), kBudgetBytes) << "all is given back";
}

TEST(LogsOfAnUpload, CountWithWhatTheyLeaveBehind) {
  auto budget = std::make_shared<UploadBudget>(16 << 20);
  LogsSeen seen{.points_left = 10'000};
  absl::Status status;
  int logs = 0;
  {
    LineUpload upload(budget, Recorder(seen));
    ASSERT_THAT(upload.Add("line.textproto", "x"), testing::IsOk());
    while (status.ok() && logs < 1000) {
      status = upload.Add(absl::StrCat("logs/", ++logs, ".csv"), "x");
    }
  }
  EXPECT_THAT(status, testing::StatusIs(absl::StatusCode::kResourceExhausted,
                                        HasSubstr("too many line folders")));
  // 10,000 points take some 4 MB, and an open log 4 MiB.
  EXPECT_GT(logs, 2);
  EXPECT_LT(logs, 8);
  LineUpload next(budget, Recorder(seen));
  ASSERT_THAT(next.Add("line.textproto", "x"), testing::IsOk());
  EXPECT_THAT(next.Add("logs/a.csv", "x"), testing::IsOk()) << "all is given back";
}

}  // namespace
}  // namespace ratebound::service
