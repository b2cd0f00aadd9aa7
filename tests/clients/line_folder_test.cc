#include "clients/cli/line_folder.h"

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/temp_folder.h"

namespace ratebound::cli {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

TEST(ReadLineFolder, TakesTheFilesOfALineAndLeavesOthers) {
  testing::TempFolder folder;
  folder.Write("line.textproto", "id: 'x'");
  folder.Write("claims.textproto", "");
  folder.Write("points/b.csv", "b");
  folder.Write("points/a.csv", std::string("a\0a", 3));
  folder.Write("points/notes.txt", "no");
  folder.Write("procedures/own.textproto", "p");
  folder.Write("make_points.py", "no");
  ASSERT_OK_AND_ASSIGN(const auto files, ReadLineFolder(folder.path().string()));
  std::vector<std::string> paths;
  for (const FolderFile& file : files) paths.push_back(file.path);
  EXPECT_THAT(paths, ElementsAre("claims.textproto", "line.textproto", "points/a.csv",
                                 "points/b.csv", "procedures/own.textproto"));
  EXPECT_EQ(files[2].bytes, std::string("a\0a", 3));
}

TEST(ReadLineFolder, SaysWhatIsMissing) {
  testing::TempFolder folder;
  EXPECT_THAT(
      ReadLineFolder(folder.Below("nowhere")),
      testing::StatusIs(absl::StatusCode::kNotFound, HasSubstr("no such folder")));
  EXPECT_THAT(
      ReadLineFolder(folder.path().string()),
      testing::StatusIs(absl::StatusCode::kNotFound, HasSubstr("no line.textproto")));
  folder.Write("file", "x");
  EXPECT_THAT(ReadLineFolder(folder.Below("file")),
              testing::StatusIs(absl::StatusCode::kNotFound, HasSubstr("is no folder")));
}

// A gibibyte on one line, sparse: refused by its size, before a byte is read.
TEST(ReadLineFolder, RefusesWhatIsTooLargeByName) {
  testing::TempFolder folder;
  folder.Write("line.textproto", "id: 'x'");
  folder.Write("points/huge.csv", "");
  std::filesystem::resize_file(folder.Below("points/huge.csv"), uintmax_t{1} << 30);
  EXPECT_THAT(ReadLineFolder(folder.path().string()),
              testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                HasSubstr("points/huge.csv: with its 1073741824 bytes")));
}

}  // namespace
}  // namespace ratebound::cli
