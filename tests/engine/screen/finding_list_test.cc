#include "engine/screen/finding_list.h"

#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/screen/figures.h"
#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"

namespace ratebound::screen {
namespace {

using document::Finding;
using document::Severity;

// Twelve doubts of one kind: the eight weightiest in the order of the points, the other
// four by id.
TEST(FindingListTest, GathersWhatIsMoreThanAPersonReads) {
  const std::vector<document::TestPoint> points = [] {
    std::vector<document::TestPoint> made(12);
    for (size_t i = 0; i < made.size(); ++i) made[i].id = absl::StrCat("p", i);
    return made;
  }();
  std::vector<Doubt> doubts;
  for (size_t i = 0; i < points.size(); ++i) {
    doubts.push_back({"odd", &points[i], absl::StrCat("by ", i), i % 3 == 0 ? 0.0 : 1.0});
    if (i == 0) doubts.push_back({"other", &points[0], "once", 1});
  }
  FindingList list;
  list.AddDoubts("u/cooling/low", doubts);
  const std::vector<Finding> findings = list.Take();
  ASSERT_EQ(findings.size(), 10u);
  EXPECT_EQ(findings[0].subject, "p1");
  EXPECT_EQ(findings[0].message, "odd: by 1");
  EXPECT_EQ(findings[7].subject, "p11");
  EXPECT_EQ(findings[8].subject, "u/cooling/low");
  EXPECT_EQ(findings[8].severity, Severity::kWarning);
  EXPECT_EQ(findings[8].message,
            "odd: 4 more of this kind, less far off, at p0, p3, p6, p9");
  EXPECT_EQ(findings[9].message, "other: once");
}

TEST(FindingListTest, SpellsOutOnlySoManyIds) {
  EXPECT_EQ(SpeltIds(std::vector<std::string>{"a", "b", "c"}, 3), "a, b, c");
  EXPECT_EQ(SpeltIds(std::vector<std::string>{"a", "b", "c"}, 2), "a, b and 1 more");
}

TEST(FiguresTest, AreInTheUnitsOfTheQuantity) {
  EXPECT_EQ(Shown("entering_water_temp", 25.3111), "25.31 degC");
  EXPECT_EQ(ShownDifference("entering_water_temp", 0.3111), "0.31 K");
  EXPECT_EQ(Shown("total_capacity", 9431.72), "9431.7 W");
  EXPECT_EQ(ShownDifference("suction_pressure", 1500), "1500 Pa");
  EXPECT_EQ(Shown("sensible_heat_ratio", 0.75), "0.75");
  EXPECT_EQ(Shown("no_such_quantity", 1.5), "1.5");
}

TEST(FiguresTest, TheValuesOwnUncertaintyComesBeforeThatOfTheLine) {
  document::LineManifest manifest = Manifest();
  document::SiValue value{.quantity = "water_flow", .value_si = -2};
  EXPECT_FALSE(KnownUncertaintySi(manifest, value).has_value());
  manifest.systematic_uncertainties = {
      {.quantity = "water_flow", .relative_fraction = 0.1, .absolute_si = 0.05}};
  EXPECT_DOUBLE_EQ(*KnownUncertaintySi(manifest, value), 0.25);
  value.uncertainty = {.expanded_si = 0.5};
  EXPECT_EQ(*KnownUncertaintySi(manifest, value), 0.5);
}

}  // namespace
}  // namespace ratebound::screen
