#include "engine/document/release_bytes.h"

#include <limits>

#include "engine/document/convert.h"
#include "engine/document/digest.h"
#include "engine/document/message_items.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/document/populate.h"
#include "tests/testing/matchers.h"

namespace ratebound::document {
namespace {

using ::ratebound::testing::IsOk;
using ::ratebound::testing::Random;
using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

Release PopulatedRelease() {
  Random random("RELEASE_BYTES");
  v1::Release message;
  Populate(&message, random);
  auto release = FromMessage(message);
  EXPECT_TRUE(release.ok()) << release.status();
  return release.ok() ? *std::move(release) : Release();
}

TEST(ReleaseBytes, AReleaseComesBackEqual) {
  const Release release = PopulatedRelease();
  ASSERT_OK_AND_ASSIGN(const ReleaseBytes bytes, SerializeRelease(release));
  ASSERT_OK_AND_ASSIGN(const Release again, ParseRelease(bytes.bytes));
  EXPECT_EQ(again, release);
  ASSERT_OK_AND_ASSIGN(const std::string digest, DigestOfReleaseBytes(bytes.bytes));
  EXPECT_EQ(digest, bytes.digest);
}

TEST(ReleaseBytes, SameReleaseGivesSameBytes) {
  ASSERT_OK_AND_ASSIGN(const ReleaseBytes one, SerializeRelease(PopulatedRelease()));
  ASSERT_OK_AND_ASSIGN(const ReleaseBytes other, SerializeRelease(PopulatedRelease()));
  EXPECT_EQ(one.bytes, other.bytes);
  EXPECT_EQ(one.digest, other.digest);
}

TEST(ReleaseBytes, NotANumberIsNotStored) {
  Release release = PopulatedRelease();
  release.verdicts[0].margin = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THAT(SerializeRelease(release),
              StatusIs(absl::StatusCode::kInternal, HasSubstr("Verdict.margin")));
}

TEST(ReleaseBytes, OtherBytesAreNoRelease) {
  EXPECT_THAT(ParseRelease("no release"),
              StatusIs(absl::StatusCode::kInvalidArgument, "these bytes are no release"));
  EXPECT_THAT(DigestOfReleaseBytes("no release"),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("no release")));
}

TEST(ReleaseBytes, NoCutCrashes) {
  ASSERT_OK_AND_ASSIGN(const ReleaseBytes bytes, SerializeRelease(PopulatedRelease()));
  for (size_t size = 0; size < bytes.bytes.size(); size += 97) {
    const auto cut = ParseRelease(std::string_view(bytes.bytes).substr(0, size));
    EXPECT_TRUE(cut.ok() || cut.status().code() == absl::StatusCode::kInvalidArgument);
  }
}

// Two bytes each, and a hundred in memory.
TEST(ReleaseBytes, MorePartsThanTheSizeAccountsForAreRefusedBeforeTheyAreRead) {
  std::string unit;
  for (int i = 0; i < 200'000; ++i) {
    unit += static_cast<char>(v1::Release::kRatingsFieldNumber << 3 | 2);
    unit += '\0';
  }
  const auto refused = StatusIs(absl::StatusCode::kResourceExhausted,
                                HasSubstr("a release of 400000 bytes holds more parts"));
  EXPECT_THAT(ParseRelease(unit).status(), refused);
  ASSERT_OK_AND_ASSIGN(const ReleaseBytes sound, SerializeRelease(PopulatedRelease()));
  EXPECT_THAT(ParseRelease(sound.bytes + unit).status(),
              StatusIs(absl::StatusCode::kResourceExhausted, HasSubstr("more parts")));
  EXPECT_THAT(CheckItems(sound.bytes, *v1::Release::descriptor(), "a release"), IsOk());
}

// A bit may be flipped without effect (true is any number but zero); every effect shows.
TEST(ReleaseBytes, NoFlippedBitCrashesOrGoesUnnoticed) {
  const Release sound = PopulatedRelease();
  ASSERT_OK_AND_ASSIGN(const ReleaseBytes bytes, SerializeRelease(sound));
  Random random("FLIPPED_BIT");
  for (int i = 0; i < 300; ++i) {
    std::string flipped = bytes.bytes;
    const int at = random.Integer(0, static_cast<int>(flipped.size()) - 1);
    flipped[static_cast<size_t>(at)] ^= static_cast<char>(1 << random.Integer(0, 7));
    const auto digest = DigestOfReleaseBytes(flipped);
    const auto release = ParseRelease(flipped);
    EXPECT_TRUE(release.ok() ||
                release.status().code() == absl::StatusCode::kInvalidArgument);
    if (!digest.ok() || !release.ok()) continue;
    EXPECT_EQ(*digest == bytes.digest, *release == sound) << "byte " << at;
  }
}

}  // namespace
}  // namespace ratebound::document
