#include "engine/release/parallel.h"

#include <atomic>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::release {
namespace {

using ::testing::HasSubstr;
using testing::IsOk;
using testing::StatusIs;

TEST(ForEachIndexTest, DoesEveryIndexOnceWhateverTheThreads) {
  for (const int threads : {-1, 0, 1, 2, 7, 64}) {
    for (const int count : {0, 1, 2, 50}) {
      std::vector<int> done(count);
      ASSERT_THAT(ForEachIndex(count, threads, nullptr, [&](int i) { ++done[i]; }),
                  IsOk());
      EXPECT_EQ(done, std::vector<int>(count, 1)) << threads << " threads";
    }
  }
}

TEST(ForEachIndexTest, StopsBeforeTheNextIndex) {
  for (const int threads : {1, 2}) {
    std::atomic<int> done = 0;
    const auto status = ForEachIndex(
        1000, threads, [&] { return done >= 10; }, [&](int) { ++done; });
    EXPECT_THAT(status, StatusIs(absl::StatusCode::kCancelled, HasSubstr("stopped")));
    // A thread that was asked just before may finish the index that it had.
    EXPECT_LE(done, 10 + threads - 1);
  }
}

TEST(ForEachIndexTest, IsDoneWhenOnlyTheLastWouldHaveBeenStopped) {
  int done = 0;
  EXPECT_THAT(ForEachIndex(
                  5, 1, [&] { return done >= 5; }, [&](int) { ++done; }),
              IsOk());
}

}  // namespace
}  // namespace ratebound::release
