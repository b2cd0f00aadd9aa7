#include "service/store.h"

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <stdlib.h>

#include <filesystem>
#include <fstream>
#include <thread>

#include "absl/strings/str_cat.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::SizeIs;

std::string Digest(std::string start) {
  return start + std::string(64 - start.size(), '0');
}

StoreEntry Entry(const std::string& digest_start, const std::string& line = "line-a",
                 std::vector<std::string> units = {"unit-1"}) {
  return {.digest = Digest(digest_start),
          .line = line,
          .title = "Title",
          .units = std::move(units),
          .summary = "summary of " + digest_start,
          .content = std::string("content\0of ", 11) + digest_start};
}

class StoreTest : public ::testing::Test {
 protected:
  StoreTest() {
    std::string name = ::testing::TempDir() + "/ratebound_store_XXXXXX";
    folder_ = mkdtemp(name.data());
  }
  ~StoreTest() override { std::filesystem::remove_all(folder_); }

  std::string PathOf(const std::string& name) const { return (folder_ / name).string(); }
  std::string Fresh() const { return PathOf("releases.db"); }

  // Changes a store behind its back.
  void Tamper(const std::string& sql) const {
    sqlite3* database = nullptr;
    ASSERT_EQ(sqlite3_open(Fresh().c_str(), &database), SQLITE_OK);
    char* error = nullptr;
    EXPECT_EQ(sqlite3_exec(database, sql.c_str(), nullptr, nullptr, &error), SQLITE_OK)
        << error;
    sqlite3_close(database);
  }

  std::filesystem::path folder_;
};

TEST_F(StoreTest, GivesBackWhatWasPutInAfterOpeningAgain) {
  {
    ASSERT_OK_AND_ASSIGN(auto store, Store::Open(Fresh()));
    ASSERT_OK_AND_ASSIGN(const bool was_there, store->Put(Entry("aa")));
    EXPECT_FALSE(was_there);
  }
  ASSERT_OK_AND_ASSIGN(auto store, Store::Open(Fresh()));
  ASSERT_OK_AND_ASSIGN(const std::string content, store->Content(Digest("aa")));
  EXPECT_EQ(content, Entry("aa").content);
}

TEST_F(StoreTest, TheSameDigestIsStoredOnce) {
  ASSERT_OK_AND_ASSIGN(auto store, Store::Open(":memory:"));
  ASSERT_THAT(store->Put(Entry("aa")), testing::IsOk());
  StoreEntry other = Entry("aa");
  other.content = "something else";
  ASSERT_OK_AND_ASSIGN(const bool was_there, store->Put(other));
  EXPECT_TRUE(was_there);
  ASSERT_OK_AND_ASSIGN(const std::string content, store->Content(Digest("aa")));
  EXPECT_EQ(content, Entry("aa").content);
  ASSERT_OK_AND_ASSIGN(const auto rows, store->List("", 1000, 10));
  EXPECT_THAT(rows, SizeIs(1));
}

TEST_F(StoreTest, FindsADigestByItsStart) {
  ASSERT_OK_AND_ASSIGN(auto store, Store::Open(":memory:"));
  ASSERT_THAT(store->Put(Entry("abcdef01")), testing::IsOk());
  ASSERT_THAT(store->Put(Entry("abcdef0123f")), testing::IsOk());
  ASSERT_THAT(store->Put(Entry("ffffffffff")), testing::IsOk());
  ASSERT_OK_AND_ASSIGN(std::string digest, store->Resolve("ABCDEF0123"));
  EXPECT_EQ(digest, Digest("abcdef0123f"));
  ASSERT_OK_AND_ASSIGN(digest, store->Resolve(Digest("abcdef01")));
  EXPECT_EQ(digest, Digest("abcdef01"));
  ASSERT_OK_AND_ASSIGN(digest, store->Resolve("ffffffff"));
  EXPECT_EQ(digest, Digest("ffffffffff"));
  EXPECT_THAT(store->Resolve("abcdef01"),
              testing::StatusIs(
                  absl::StatusCode::kFailedPrecondition,
                  AllOf(HasSubstr(Digest("abcdef01")), HasSubstr(Digest("abcdef0123f")),
                        HasSubstr("give more digits"))));
  EXPECT_THAT(store->Resolve("abcdef02"),
              testing::StatusIs(absl::StatusCode::kNotFound,
                                HasSubstr("the nearest is " + Digest("abcdef0123f"))));
  EXPECT_THAT(store->Resolve("00000000"),
              testing::StatusIs(absl::StatusCode::kNotFound,
                                ::testing::Not(HasSubstr("the nearest"))));
  EXPECT_THAT(
      store->Resolve("abcdef0"),
      testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("has 7 digits")));
  EXPECT_THAT(
      store->Resolve("abcdefgh"),
      testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("hexadecimal")));
  EXPECT_THAT(
      store->Resolve(std::string(65, 'a')),
      testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("65 digits")));
}

TEST_F(StoreTest, FindsTheLatestReleaseOfUnitAndLine) {
  ASSERT_OK_AND_ASSIGN(auto store, Store::Open(":memory:"));
  ASSERT_THAT(store->Put(Entry("a1", "line-a", {"small", "large", "small"})),
              testing::IsOk());
  ASSERT_THAT(store->Put(Entry("a2", "line-a", {"small"})), testing::IsOk());
  ASSERT_THAT(store->Put(Entry("b1", "line-b", {"other"})), testing::IsOk());
  ASSERT_OK_AND_ASSIGN(std::string digest, store->LatestWithUnit("small"));
  EXPECT_EQ(digest, Digest("a2"));
  ASSERT_OK_AND_ASSIGN(digest, store->LatestWithUnit("large"));
  EXPECT_EQ(digest, Digest("a1"));
  ASSERT_OK_AND_ASSIGN(digest, store->LatestOfLine("line-a"));
  EXPECT_EQ(digest, Digest("a2"));
  EXPECT_THAT(
      store->LatestWithUnit("none"),
      testing::StatusIs(absl::StatusCode::kNotFound, HasSubstr("no release holds a unit "
                                                               "'none'")));
  EXPECT_THAT(store->LatestOfLine("none"),
              testing::StatusIs(absl::StatusCode::kNotFound, HasSubstr("line 'none'")));
}

TEST_F(StoreTest, ListsNewestFirstInPages) {
  ASSERT_OK_AND_ASSIGN(auto store, Store::Open(":memory:"));
  for (int i = 0; i < 5; ++i) {
    ASSERT_THAT(store->Put(Entry(absl::StrCat("a", i), i % 2 == 0 ? "even" : "odd")),
                testing::IsOk());
  }
  ASSERT_OK_AND_ASSIGN(auto page, store->List("", INT64_MAX, 2));
  ASSERT_THAT(page, SizeIs(2));
  EXPECT_EQ(page[0].summary, "summary of a4");
  EXPECT_EQ(page[0].sequence, 5);
  ASSERT_OK_AND_ASSIGN(page, store->List("", page[1].sequence, 10));
  EXPECT_THAT(page, SizeIs(3));
  ASSERT_OK_AND_ASSIGN(page, store->List("odd", INT64_MAX, 10));
  EXPECT_THAT(page, SizeIs(2));
  ASSERT_OK_AND_ASSIGN(page, store->List("none", INT64_MAX, 10));
  EXPECT_THAT(page, IsEmpty());
}

TEST_F(StoreTest, RowsRefuseToChangeEvenFromOutside) {
  {
    ASSERT_OK_AND_ASSIGN(auto store, Store::Open(Fresh()));
    ASSERT_THAT(store->Put(Entry("aa")), testing::IsOk());
  }
  sqlite3* database = nullptr;
  ASSERT_EQ(sqlite3_open(Fresh().c_str(), &database), SQLITE_OK);
  for (const char* sql : {"UPDATE releases SET content = 'x'", "DELETE FROM releases"}) {
    EXPECT_EQ(sqlite3_exec(database, sql, nullptr, nullptr, nullptr), SQLITE_CONSTRAINT)
        << sql;
  }
  sqlite3_close(database);
}

TEST_F(StoreTest, AFileThatIsNoDatabaseIsLeftAlone) {
  std::ofstream(Fresh()) << std::string(5000, 'x');
  EXPECT_THAT(Store::Open(Fresh()),
              testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                                AllOf(HasSubstr(Fresh()), HasSubstr("not a database"),
                                      HasSubstr("give the path of a store"))));
  EXPECT_EQ(std::filesystem::file_size(Fresh()), 5000u);
}

TEST_F(StoreTest, ADatabaseOfAnotherProgramIsLeftAlone) {
  Tamper("CREATE TABLE t (x)");
  EXPECT_THAT(Store::Open(Fresh()),
              testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                                HasSubstr("another program")));
}

TEST_F(StoreTest, AStoreOfANewerVersionIsLeftAlone) {
  ASSERT_THAT(Store::Open(Fresh()), testing::IsOk());
  Tamper("PRAGMA user_version = 2");
  EXPECT_THAT(
      Store::Open(Fresh()),
      testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                        AllOf(HasSubstr("has version 2"), HasSubstr("newer program"))));
}

TEST_F(StoreTest, AMissingFolderAndAFolderAreNamed) {
  for (const std::string& path : {PathOf("missing/releases.db"), folder_.string()}) {
    EXPECT_THAT(Store::Open(path),
                testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                                  AllOf(HasSubstr(path), HasSubstr("make its folder"))));
  }
  EXPECT_THAT(Store::Open(""),
              testing::StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("empty")));
}

TEST_F(StoreTest, AReadOnlyStoreAnswersAndRefusesToPublish) {
  {
    ASSERT_OK_AND_ASSIGN(auto store, Store::Open(Fresh()));
    ASSERT_THAT(store->Put(Entry("aa")), testing::IsOk());
  }
  ASSERT_OK_AND_ASSIGN(auto store, Store::Open(Fresh(), {.read_only = true}));
  EXPECT_THAT(store->Content(Digest("aa")), testing::IsOk());
  EXPECT_THAT(
      store->Put(Entry("bb")),
      testing::StatusIs(absl::StatusCode::kFailedPrecondition,
                        AllOf(HasSubstr(Fresh()), HasSubstr("may only be read"))));
  EXPECT_THAT(
      Store::Open(PathOf("none.db"), {.read_only = true}),
      testing::StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("none.db")));
}

TEST_F(StoreTest, AFullStoreSaysSoAndKeepsWhatItHas) {
  ASSERT_OK_AND_ASSIGN(auto store, Store::Open(Fresh(), {.most_bytes = 200'000}));
  ASSERT_THAT(store->Put(Entry("aa")), testing::IsOk());
  StoreEntry large = Entry("bb");
  large.content = std::string(300'000, 'x');
  EXPECT_THAT(store->Put(large),
              testing::StatusIs(absl::StatusCode::kUnavailable,
                                AllOf(HasSubstr(Fresh()), HasSubstr("make room"))));
  EXPECT_THAT(store->Content(Digest("aa")), testing::IsOk());
  EXPECT_THAT(store->Resolve(Digest("bb")),
              testing::StatusIs(absl::StatusCode::kNotFound, HasSubstr("")));
  EXPECT_THAT(store->Put(Entry("cc")), testing::IsOk());
}

TEST_F(StoreTest, ADamagedFileIsDataLossAndNotACrash) {
  {
    ASSERT_OK_AND_ASSIGN(auto store, Store::Open(Fresh()));
    StoreEntry large = Entry("aa");
    large.content = std::string(100'000, 'x');
    ASSERT_THAT(store->Put(large), testing::IsOk());
  }
  {
    // Every page but the first, which tells that this is a store.
    std::fstream file(Fresh(), std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(4096);
    file << std::string(std::filesystem::file_size(Fresh()) - 4096, '\xA5');
  }
  ASSERT_OK_AND_ASSIGN(auto store, Store::Open(Fresh()));
  EXPECT_THAT(store->Content(Digest("aa")),
              testing::StatusIs(absl::StatusCode::kDataLoss,
                                AllOf(HasSubstr(Fresh()), HasSubstr("damaged"))));
}

TEST_F(StoreTest, ThreadsAndProcessesShareAFile) {
  // Two connections to one file stand for two processes.
  ASSERT_OK_AND_ASSIGN(auto first, Store::Open(Fresh()));
  ASSERT_OK_AND_ASSIGN(auto second, Store::Open(Fresh()));
  {
    std::vector<std::jthread> threads;
    for (int t = 0; t < 4; ++t) {
      threads.emplace_back([&, t] {
        Store& store = t % 2 == 0 ? *first : *second;
        for (int i = 0; i < 10; ++i) {
          EXPECT_THAT(store.Put(Entry(absl::StrCat("a", t / 2, "b", i))),
                      testing::IsOk());
        }
      });
    }
  }
  ASSERT_OK_AND_ASSIGN(const auto rows, first->List("", INT64_MAX, 100));
  EXPECT_THAT(rows, SizeIs(20));
}

}  // namespace
}  // namespace ratebound::service
