#include "engine/screen/lab_figures.h"

#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"

namespace ratebound::screen {
namespace {

document::TestPoint Computed(double value_w, double lab_w) {
  document::TestPoint point{.id = "p"};
  point.values = {{.quantity = "total_capacity",
                   .value_si = value_w,
                   .computed = true,
                   .lab_value_si = lab_w}};
  return point;
}

TEST(LabFiguresTest, FlagsAFigureThatIsNotTheLabs) {
  EXPECT_TRUE(CheckLabFigures(Computed(10049, 10000)).empty());
  ASSERT_EQ(CheckLabFigures(Computed(10060, 10000)).size(), 1u);
  EXPECT_EQ(
      CheckLabFigures(Computed(10060, 10000))[0].message,
      "total_capacity computed from the readings is 10060 W and the lab gives 10000 "
      "W, 60 W apart, allowed 50 W; look at methods, corrections and units of both");
}

TEST(LabFiguresTest, AllowsTheUncertaintyThatIsKnown) {
  document::TestPoint point = Computed(10060, 10000);
  ValueOf(point, "total_capacity").uncertainty = {.expanded_si = 70};
  EXPECT_TRUE(CheckLabFigures(point).empty());
  ValueOf(point, "total_capacity").uncertainty = {.expanded_si = 30};
  EXPECT_EQ(CheckLabFigures(point).size(), 1u);
}

TEST(LabFiguresTest, ComparesOnlyWhatWasComputed) {
  document::TestPoint point = Computed(20000, 10000);
  ValueOf(point, "total_capacity").computed = false;
  EXPECT_TRUE(CheckLabFigures(point).empty());
  ValueOf(point, "total_capacity").computed = true;
  ValueOf(point, "total_capacity").lab_value_si.reset();
  EXPECT_TRUE(CheckLabFigures(point).empty());
}

}  // namespace
}  // namespace ratebound::screen
