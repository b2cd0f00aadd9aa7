#include "service/release_library.h"

#include <gtest/gtest.h>

#include "absl/strings/str_cat.h"
#include "engine/document/release_bytes.h"
#include "tests/service/fake_engine.h"
#include "tests/testing/matchers.h"

namespace ratebound::service {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

class ReleaseLibraryTest : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_OK_AND_ASSIGN(store_, Store::Open(":memory:"));
    library_ = std::make_unique<ReleaseLibrary>(*store_);
  }
  std::unique_ptr<Store> store_;
  std::unique_ptr<ReleaseLibrary> library_;
};

TEST_F(ReleaseLibraryTest, PublishesOnceAndGivesBackTheSameBytes) {
  ASSERT_OK_AND_ASSIGN(const Published first, library_->Publish(SampleRelease()));
  ASSERT_OK_AND_ASSIGN(const Published again, library_->Publish(SampleRelease()));
  EXPECT_FALSE(first.already_stored);
  EXPECT_TRUE(again.already_stored);
  EXPECT_EQ(first.summary.digest(), again.summary.digest());
  ASSERT_OK_AND_ASSIGN(const std::string bytes,
                       library_->Bytes(first.summary.digest().substr(0, 8)));
  ASSERT_OK_AND_ASSIGN(const auto serialized,
                       document::SerializeRelease(SampleRelease()));
  EXPECT_EQ(bytes, serialized.bytes);
}

TEST_F(ReleaseLibraryTest, TheSummaryCountsWhatTheReleaseHolds) {
  const v1::ReleaseSummary summary = SummaryOf(SampleRelease(), "d");
  EXPECT_EQ(summary.line(), "fake");
  EXPECT_EQ(summary.units_size(), 1);
  EXPECT_EQ(summary.point_count(), 1);
  EXPECT_EQ(summary.rating_count(), 1);
  EXPECT_EQ(summary.proven_count(), 1);
  EXPECT_EQ(summary.refuted_count(), 1);
  EXPECT_EQ(summary.not_shown_count(), 1);
  EXPECT_EQ(summary.table_count(), 1);
}

TEST_F(ReleaseLibraryTest, BytesThatNoLongerFitTheirDigestAreDataLoss) {
  document::Release other = SampleRelease();
  other.manifest.title = "Another title";
  ASSERT_OK_AND_ASSIGN(const auto real, document::SerializeRelease(SampleRelease()));
  ASSERT_OK_AND_ASSIGN(const auto changed, document::SerializeRelease(other));
  const std::string nonsense_digest(64, 'e');
  ASSERT_THAT(store_->Put({.digest = real.digest, .line = "l", .content = changed.bytes}),
              testing::IsOk());
  ASSERT_THAT(
      store_->Put({.digest = nonsense_digest, .line = "l", .content = "\xff\xff"}),
      testing::IsOk());
  for (const std::string& digest : {real.digest, nonsense_digest}) {
    const auto damaged = testing::StatusIs(
        absl::StatusCode::kDataLoss, AllOf(HasSubstr(digest), HasSubstr("is damaged"),
                                           HasSubstr("restore the store from a copy")));
    EXPECT_THAT(library_->Bytes(digest), damaged);
    EXPECT_THAT(library_->Open(digest), damaged);
  }
}

TEST_F(ReleaseLibraryTest, KeepsThoseUsedLast) {
  std::vector<std::string> digests;
  for (int i = 0; i <= ReleaseLibrary::kOpenReleases; ++i) {
    document::Release release = SampleRelease();
    release.manifest.title = absl::StrCat("Title ", i);
    ASSERT_OK_AND_ASSIGN(const Published published, library_->Publish(release));
    digests.push_back(published.summary.digest());
  }
  ASSERT_OK_AND_ASSIGN(const auto first, library_->Open(digests[0]));
  std::weak_ptr<const OpenRelease> second;
  for (size_t i = 1; i < digests.size(); ++i) {
    ASSERT_OK_AND_ASSIGN(const auto open, library_->Open(digests[i]));
    if (i == 1) second = open;
    ASSERT_OK_AND_ASSIGN(const auto again, library_->Open(digests[0]));
    EXPECT_EQ(again, first);
  }
  EXPECT_TRUE(second.expired());
}

TEST_F(ReleaseLibraryTest, LatestVerdictsOfALineThatHasNoneAreNone) {
  ASSERT_OK_AND_ASSIGN(auto verdicts, library_->LatestVerdicts("fake"));
  EXPECT_EQ(verdicts.size(), 0u);
  ASSERT_THAT(library_->Publish(SampleRelease()), testing::IsOk());
  ASSERT_OK_AND_ASSIGN(verdicts, library_->LatestVerdicts("fake"));
  EXPECT_EQ(verdicts.size(), 3u);
}

}  // namespace
}  // namespace ratebound::service
