#include "engine/map/support.h"

#include <limits>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/map/fitted_stage.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::map {
namespace {

using ::ratebound::testing::StatusIs;
using ::testing::HasSubstr;

FittedStage Stage(double nearest_point_fraction = 0.5) {
  FittedStage stage({"entering_water_temp", "entering_air_wb"}, {10, 12}, {40, 24}, 6);
  stage.Measure("total_capacity", 2,
                [](const auto& x) { return 50e3 - 300 * x[0] + 1000 * x[1]; });
  stage.map.nearest_point_fraction = nearest_point_fraction;
  return stage;
}

TEST(Support, TheWholeTestedBoxIsInside) {
  ASSERT_OK_AND_ASSIGN(const BoxSupport support,
                       SupportOfBox(Stage().map, std::vector<double>{10, 12},
                                    std::vector<double>{40, 24}));
  EXPECT_EQ(support.answer, BoxSupport::kInside);
  EXPECT_EQ(support.inside_fraction, 1);
  EXPECT_EQ(support.outside_fraction, 0);
}

TEST(Support, APartBeyondARangeIsMeasuredAndNamed) {
  ASSERT_OK_AND_ASSIGN(const BoxSupport support,
                       SupportOfBox(Stage().map, std::vector<double>{10, 12},
                                    std::vector<double>{50, 24}));
  EXPECT_EQ(support.answer, BoxSupport::kPartlyOutside);
  EXPECT_NEAR(support.outside_fraction, 0.25, 1e-9);
  ASSERT_FALSE(support.outside.empty());
  EXPECT_EQ(support.outside[0].condition, 0);
}

TEST(Support, ABoxWhollyOutsideHasNothingInside) {
  ASSERT_OK_AND_ASSIGN(const BoxSupport support,
                       SupportOfBox(Stage().map, std::vector<double>{45, 12},
                                    std::vector<double>{50, 24}));
  EXPECT_EQ(support.answer, BoxSupport::kPartlyOutside);
  EXPECT_EQ(support.inside_fraction, 0);
}

// With a short reach each of the 36 points supports a box of 0.1 of each range about
// itself, halved at every face: (6 * 0.1 - 0.1)^2 of the area.
TEST(Support, HolesBetweenPointsAreOutside) {
  ASSERT_OK_AND_ASSIGN(const BoxSupport support,
                       SupportOfBox(Stage(0.05).map, std::vector<double>{10, 12},
                                    std::vector<double>{40, 24}));
  EXPECT_EQ(support.answer, BoxSupport::kPartlyOutside);
  EXPECT_NEAR(support.inside_fraction, 0.25, 0.02);
  EXPECT_NEAR(support.outside_fraction, 0.75, 0.02);
}

TEST(Support, NoPointOfABoxInsideIsUnsupported) {
  const FittedStage stage = Stage(0.13);
  testing::Random random("NO_POINT_OF_A_BOX_INSIDE_IS_UNSUPPORTED");
  int inside = 0;
  for (int round = 0; round < 60; ++round) {
    std::vector<double> low(2), high(2);
    for (int i = 0; i < 2; ++i) {
      const double ends[2][2] = {{8, 42}, {11, 25}};
      low[i] = random.Uniform(ends[i][0], ends[i][1]);
      high[i] = low[i] + random.Uniform(0, 3);
    }
    ASSERT_OK_AND_ASSIGN(const BoxSupport support, SupportOfBox(stage.map, low, high));
    inside += support.answer == BoxSupport::kInside;
    bool all = true;
    for (int k = 0; k < 20; ++k) {
      const std::vector<double> x = {random.Uniform(low[0], high[0]),
                                     random.Uniform(low[1], high[1])};
      ASSERT_OK_AND_ASSIGN(const bool supported, IsSupported(stage.map, x));
      all = all && supported;
    }
    EXPECT_TRUE(all || support.answer != BoxSupport::kInside);
  }
  EXPECT_GT(inside, 10);
}

TEST(Support, RefusesWhatIsNoBox) {
  const FittedStage stage = Stage();
  EXPECT_THAT(SupportOfBox(stage.map, std::vector<double>{10}, std::vector<double>{40}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("2 conditions")));
  EXPECT_THAT(
      SupportOfBox(stage.map, std::vector<double>{30, 12}, std::vector<double>{20, 24}),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("entering_water_temp")));
  document::StageMap empty = stage.map;
  empty.surfaces.clear();
  EXPECT_THAT(IsSupported(empty, std::vector<double>{20, 20}),
              StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("no surface")));
}

}  // namespace
}  // namespace ratebound::map
