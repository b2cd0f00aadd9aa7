#include "engine/map/systematic.h"

#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace ratebound::map {
namespace {

using document::TestPoint;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

document::SiValue Value(const std::string& quantity, double value_si, double expanded) {
  document::SiValue value{.quantity = quantity, .value_si = value_si};
  if (expanded > 0) value.uncertainty = {{.systematic_expanded_si = expanded}};
  return value;
}

TEST(SystematicTest, IsTheGreatestPartOverThePointsOrTheGreatestOfATemperature) {
  std::vector<TestPoint> points(3);
  points[0].values = {Value("leaving_air_db", 12, 0.3),
                      Value("total_capacity", 1e4, 300)};
  points[1].values = {Value("leaving_air_db", 10, 0.4),
                      Value("total_capacity", 5e3, 200)};
  points[2].values = {Value("leaving_air_db", 10, 0), Value("total_capacity", 5e3, 0)};
  const std::vector<const TestPoint*> pointers = {&points[0], &points[1], &points[2]};
  EXPECT_DOUBLE_EQ(SystematicOfPoints(pointers, "total_capacity").fraction, 0.04);
  EXPECT_EQ(SystematicOfPoints(pointers, "total_capacity").absolute_si, 0);
  EXPECT_DOUBLE_EQ(SystematicOfPoints(pointers, "leaving_air_db").absolute_si, 0.4);
  EXPECT_EQ(SystematicOfPoints(pointers, "leaving_air_db").fraction, 0);
  EXPECT_EQ(SystematicOfPoints(pointers, "power_input").fraction, 0);

  document::StageMap map;
  map.conditions = {"leaving_air_db", "air_flow"};
  map.surfaces.resize(2);
  map.surfaces[0].quantity = "total_capacity";
  map.surfaces[1].quantity = "power_input";
  SetSystematic(pointers, map);
  EXPECT_THAT(map.condition_systematic_si, ElementsAre(0.4, 0));
  EXPECT_DOUBLE_EQ(map.surfaces[0].systematic_fraction, 0.04);
  EXPECT_EQ(map.surfaces[1].systematic_fraction, 0);

  map.conditions = {"air_flow"};
  map.condition_systematic_si.clear();
  SetSystematic(pointers, map);
  EXPECT_THAT(map.condition_systematic_si, IsEmpty());
}

}  // namespace
}  // namespace ratebound::map
