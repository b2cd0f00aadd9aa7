#include "engine/bound/cover_region.h"

#include <vector>

#include "engine/bound/bernstein.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"

namespace ratebound::bound {
namespace {

using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

double Volume(const Box& box) {
  double volume = 1;
  for (int i = 0; i < box.variables(); ++i) volume *= box.hi[i] - box.lo[i];
  return volume;
}

TEST(CoverRegion, SharesOfADiskEncloseItsArea) {
  const Polynomial disk = *Polynomial::Create(2, {2, 0, 0, 2, 0, 0}, {1, 1, -1});
  const Box box{{-1, -1}, {1, 1}};
  const auto classify = [&](const Box& part) {
    const Interval range = EncloseRange(disk, part)->range;
    return range.hi <= 0  ? Membership::kIn
           : range.lo > 0 ? Membership::kOut
                          : Membership::kUnknown;
  };
  ASSERT_OK_AND_ASSIGN(
      const Cover cover,
      CoverRegion(box, classify, {.max_boxes = 20'000, .max_out_boxes = 100'000}));
  constexpr double kShare = 3.14159265358979 / 4;  // the disk in its square
  EXPECT_LE(cover.in, kShare);
  EXPECT_GE(cover.in + cover.unknown, kShare);
  EXPECT_LT(cover.unknown, 0.01);
  EXPECT_EQ(cover.in + cover.out + cover.unknown, 1);
  double out = 0;
  for (const Box& part : cover.out_boxes) out += Volume(part) / 4;
  EXPECT_NEAR(out, cover.out, 1e-12);
}

TEST(CoverRegion, AHalfSpaceOnTheGridIsExactAndMerged) {
  const Box box{{0, 0, 5}, {1, 2, 5}};
  const auto classify = [](const Box& part) {
    return part.hi[0] <= 0.75   ? Membership::kIn
           : part.lo[0] >= 0.75 ? Membership::kOut
                                : Membership::kUnknown;
  };
  ASSERT_OK_AND_ASSIGN(const Cover cover, CoverRegion(box, classify, {}));
  EXPECT_EQ(cover.in, 0.75);
  EXPECT_EQ(cover.out, 0.25);
  EXPECT_EQ(cover.unknown, 0);
  EXPECT_EQ(cover.out_boxes, (std::vector<Box>{{{0.75, 0, 5}, {1, 2, 5}}}));
}

TEST(CoverRegion, WhatABudgetLeavesIsUnknown) {
  const auto never = [](const Box&) { return Membership::kUnknown; };
  ASSERT_OK_AND_ASSIGN(const Cover cover,
                       CoverRegion({{0}, {1}}, never, {.max_boxes = 100}));
  EXPECT_EQ(cover.boxes, 100);
  EXPECT_EQ(cover.unknown, 1);
  ASSERT_OK_AND_ASSIGN(const Cover shallow,
                       CoverRegion({{0}, {1}}, never, {.max_halvings = 3}));
  EXPECT_EQ(shallow.boxes, 15);
  EXPECT_EQ(shallow.unknown, 1);
}

TEST(CoverRegion, ListsNoMoreThanAskedFor) {
  // Every second cell of a grid is out, so that nothing merges.
  const auto checkered = [](const Box& part) {
    if (part.hi[0] - part.lo[0] > 1) return Membership::kUnknown;
    return static_cast<int>(part.lo[0]) % 2 == 0 ? Membership::kOut : Membership::kIn;
  };
  ASSERT_OK_AND_ASSIGN(const Cover cover,
                       CoverRegion({{0}, {64}}, checkered, {.max_out_boxes = 5}));
  EXPECT_EQ(cover.out, 0.5);
  EXPECT_EQ(cover.out_boxes.size(), 5u);
  EXPECT_TRUE(cover.out_boxes_cut);
}

TEST(CoverRegion, ABoxOfNoWidthIsOneQuestion) {
  const auto in = [](const Box&) { return Membership::kIn; };
  ASSERT_OK_AND_ASSIGN(const Cover cover, CoverRegion({{3}, {3}}, in, {}));
  EXPECT_EQ(cover.in, 1);
  const auto never = [](const Box&) { return Membership::kUnknown; };
  ASSERT_OK_AND_ASSIGN(const Cover unknown, CoverRegion({{3}, {3}}, never, {}));
  EXPECT_EQ(unknown.boxes, 1);
  EXPECT_EQ(unknown.unknown, 1);
}

TEST(CoverRegion, RefusesFaultyInput) {
  const auto in = [](const Box&) { return Membership::kIn; };
  EXPECT_THAT(CoverRegion({{1}, {0}}, in, {}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("reversed")));
  EXPECT_THAT(CoverRegion({{0}, {1}}, in, {.max_halvings = 60}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("halvings")));
}

TEST(MergeBoxes, FourQuartersMakeOne) {
  EXPECT_EQ(MergeBoxes(
                {{{0, 0}, {1, 1}}, {{1, 1}, {2, 2}}, {{1, 0}, {2, 1}}, {{0, 1}, {1, 2}}}),
            (std::vector<Box>{{{0, 0}, {2, 2}}}));
  EXPECT_TRUE(MergeBoxes({}).empty());
}

}  // namespace
}  // namespace ratebound::bound
