#include "engine/map/tested_region.h"

#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/map/fitted_stage.h"
#include "tests/testing/matchers.h"

namespace ratebound::map {
namespace {

class TestedRegionTest : public ::testing::Test {
 protected:
  FittedStage unit_ =
      FittedStage({"entering_water_temp", "entering_air_wb"}, {10, 12}, {40, 24}, 6)
          .Measure("total_capacity", 2,
                   [](const auto& x) { return 50e3 - 300 * x[0] + 1000 * x[1]; });
  const document::Surface& surface_ = unit_.map.surfaces[0];

  TestedShare Share(std::vector<double> low, std::vector<double> high) {
    const auto tested = TestedRegion::Create(unit_.map, surface_);
    return tested->Share(low, high).value();
  }
};

TEST_F(TestedRegionTest, TheWholeGridIsTestedUpToItsCorners) {
  const TestedShare share = Share({10, 12}, {40, 24});
  EXPECT_EQ(share.tested_fraction, 1);
  EXPECT_TRUE(share.untested.empty());
}

TEST_F(TestedRegionTest, NamesTheConditionWhoseRangeTheRegionLeaves) {
  const TestedShare share = Share({10, 12}, {50, 24});
  EXPECT_NEAR(share.tested_fraction, 0.75, 1e-9);
  ASSERT_EQ(share.untested.size(), 1u);
  EXPECT_EQ(share.untested[0].condition, 0);
  EXPECT_EQ(share.untested[0].low_si, (std::vector<double>{40, 12}));
  EXPECT_EQ(share.untested[0].high_si, (std::vector<double>{50, 24}));
  EXPECT_NEAR(share.untested[0].region_fraction, 0.25, 1e-9);
}

TEST_F(TestedRegionTest, ARegionOutsideHasNothingInside) {
  const TestedShare share = Share({45, 12}, {50, 24});
  EXPECT_EQ(share.tested_fraction, 0);
  EXPECT_FALSE(share.inside.has_value());
}

TEST_F(TestedRegionTest, ASinglePointCanBeARegion) {
  EXPECT_EQ(Share({20, 15}, {20, 15}).tested_fraction, 1);
}

TEST_F(TestedRegionTest, AHoleBetweenPointsIsUntestedWhereThePointsAreFar) {
  unit_.map.nearest_point_fraction = 0.05;  // the grid's spacing is 0.2 of the range
  const TestedShare share = Share({10, 12}, {40, 24});
  // Each of 36 points reaches a box of 0.1 of the range; those at the edges half of it.
  EXPECT_NEAR(share.tested_fraction, 0.25, 0.02);
  EXPECT_FALSE(share.untested.empty());
  EXPECT_EQ(share.untested[0].condition, -1);
}

TEST_F(TestedRegionTest, ContainsAgreesWithTheRanges) {
  ASSERT_OK_AND_ASSIGN(const TestedRegion tested,
                       TestedRegion::Create(unit_.map, surface_));
  EXPECT_TRUE(tested.Contains(std::vector<double>{0, 0}));
  EXPECT_TRUE(tested.Contains(std::vector<double>{1, -1}));
  EXPECT_FALSE(tested.Contains(std::vector<double>{1.001, 0}));
}

}  // namespace
}  // namespace ratebound::map
