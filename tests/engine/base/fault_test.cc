#include "engine/base/fault.h"

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::base {
namespace {

TEST(FaultList, EmptyListIsOk) { EXPECT_THAT(FaultList().ToStatus(), testing::IsOk()); }

TEST(FaultList, ReportsEveryFaultWithItsPlace) {
  FaultList faults;
  faults.Add(
      {.file = "a.csv", .line = 7, .column = 3, .message = "no number", .remedy = "fix"});
  faults.Add({.field = "claims[2]", .message = "no region"});
  EXPECT_THAT(faults.ToStatus(),
              testing::StatusIs(
                  absl::StatusCode::kInvalidArgument,
                  ::testing::Eq("a.csv:7:3: no number; fix\nclaims[2]: no region")));
}

TEST(FaultList, FaultsSurviveTheTripThroughAStatus) {
  FaultList faults;
  faults.Add({.file = "a.csv", .line = 7, .column = 3, .message = "m", .remedy = "r"});
  faults.Add({.field = "f", .message = "second"});
  EXPECT_EQ(FaultsOf(faults.ToStatus()), faults.faults());
  FaultList copy;
  copy.AddStatus(faults.ToStatus());
  copy.AddStatus(absl::NotFoundError("plain"));
  ASSERT_EQ(copy.total(), 3);
  EXPECT_EQ(copy.faults()[2].message, "plain");
}

TEST(FaultList, KeepsABoundedNumberAndCountsTheRest) {
  FaultList faults;
  for (int i = 0; i < FaultList::kMostKept + 5; ++i) faults.Add({.message = "x"});
  EXPECT_EQ(faults.faults().size(), static_cast<size_t>(FaultList::kMostKept));
  EXPECT_THAT(std::string(faults.ToStatus().message()),
              ::testing::EndsWith("and 5 more"));
}

}  // namespace
}  // namespace ratebound::base
