#include "service/line_upload.h"

#include <gtest/gtest.h>

#include "absl/strings/str_cat.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

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

}  // namespace
}  // namespace ratebound::service
