#include "engine/base/nearest_name.h"

#include <string>
#include <vector>

#include "gtest/gtest.h"

namespace ratebound::base {
namespace {

const std::vector<std::string> kUnits = {"degF", "degC", "K", "gpm", "L/s"};

TEST(NearestName, FindsTheNameOneSlipAway) {
  EXPECT_EQ(NearestName("degf", kUnits), "degF");
  EXPECT_EQ(NearestName("dgC", kUnits), "degC");
  EXPECT_EQ(NearestName("gmp", {kUnits.begin() + 3, kUnits.end()}), "gpm");  // a swap
  EXPECT_EQ(NearestName("gpmm", kUnits), "gpm");
}

TEST(NearestName, SaysNothingWhenNothingIsNear) {
  EXPECT_EQ(NearestName("furlong", kUnits), "");
  EXPECT_EQ(NearestName("", kUnits), "");
  EXPECT_EQ(NearestName(std::string(100000, 'd'), kUnits), "");
  EXPECT_EQ(DidYouMean("furlong", kUnits), "");
  EXPECT_EQ(DidYouMean("degf", kUnits), "; did you mean 'degF'?");
}

}  // namespace
}  // namespace ratebound::base
