#include "engine/screen/outliers.h"

#include <cmath>
#include <string>
#include <vector>

#include "absl/strings/str_cat.h"
#include "engine/fit/least_squares.h"
#include "engine/screen/check.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/engine/screen/screen_fixture.h"
#include "tests/testing/random.h"

namespace ratebound::screen {
namespace {

using document::Finding;
using document::Severity;
using document::TestPoint;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;

struct Data {
  std::vector<std::vector<double>> columns;
  std::vector<double> response;
};

// A plane over `conditions` of [0, 1] with normal scatter of 0.1.
Data Plane(int rows, int conditions, testing::Random& random) {
  Data data;
  data.columns.resize(static_cast<size_t>(conditions));
  for (int i = 0; i < rows; ++i) {
    double sum = 100 + 0.1 * random.Normal();
    for (std::vector<double>& column : data.columns) {
      column.push_back(random.Uniform(0, 1));
      sum += 10 * column.back();
    }
    data.response.push_back(sum);
  }
  return data;
}

std::vector<int> RowsOf(const std::vector<Outlier>& outliers) {
  std::vector<int> rows;
  for (const Outlier& outlier : outliers) rows.push_back(outlier.row);
  return rows;
}

fit::DesignMatrix Line(const std::vector<double>& x) {
  fit::DesignMatrix design(static_cast<int>(x.size()), 2);
  for (int i = 0; i < design.rows; ++i) {
    design.at(i, 0) = 1;
    design.at(i, 1) = x[i];
  }
  return design;
}

TEST(FindOutliersTest, FindsTheSpoiltRowAndNoOther) {
  testing::Random random("FIND_OUTLIERS_FINDS_THE_SPOILT_ROW");
  std::vector<std::vector<double>> columns(2);
  std::vector<double> response;
  for (int i = 0; i < 30; ++i) {
    columns[0].push_back(random.Uniform(0, 1));
    columns[1].push_back(random.Uniform(0, 1));
    response.push_back(100 + 10 * columns[0][i] - 5 * columns[1][i] +
                       0.1 * random.Normal());
  }
  EXPECT_TRUE(FindOutliers(columns, response).empty());
  response[17] += 1;
  const auto outliers = FindOutliers(columns, response);
  ASSERT_EQ(outliers.size(), 1u);
  EXPECT_EQ(outliers[0].row, 17);
  EXPECT_NEAR(outliers[0].miss_si, 1, 0.3);
}

// Gaussian responses raise an outlier in about one of a hundred sets, as the limit says.
TEST(FindOutliersTest, RaisesFewFalseAlarms) {
  testing::Random random("FIND_OUTLIERS_RAISES_FEW_FALSE_ALARMS");
  int alarms = 0;
  for (int set = 0; set < 1000; ++set) {
    std::vector<std::vector<double>> columns(1);
    std::vector<double> response;
    for (int i = 0; i < 20; ++i) {
      columns[0].push_back(i);
      response.push_back(random.Normal());
    }
    if (!FindOutliers(columns, response).empty()) ++alarms;
  }
  EXPECT_LE(alarms, 25);
}

// Two points side by side at the end of the range pull least squares to themselves, so
// that each looks good beside the other: masking.
TEST(FindCleanRowsTest, FindsTwoThatHideOneAnotherFromLeastSquares) {
  testing::Random random("FIND_CLEAN_ROWS_FINDS_TWO_THAT_HIDE");
  std::vector<double> x;
  std::vector<double> y;
  for (int i = 0; i < 14; ++i) {
    x.push_back(0.1 * i);
    y.push_back(5 + x.back() + 0.05 * random.Normal());
  }
  for (const double at : {4.0, 4.05}) {
    x.push_back(at);
    y.push_back(5 + at - 2.5);
  }
  const fit::DesignMatrix design = Line(x);
  // The classical test, on all rows, has nothing to say of either.
  const auto all = fit::SolveLeastSquares({.design = design, .response = y});
  ASSERT_TRUE(all.ok()) << all.status();
  for (const int row : {14, 15}) {
    const double squared = all->residuals[row] * all->loo_residuals[row];
    const double variance =
        (all->residual_sum_of_squares - squared) / (all->degrees_of_freedom - 1);
    EXPECT_LT(std::sqrt(squared / variance), 3.4) << row;
  }
  const auto found = FindCleanRows(design, y);
  ASSERT_TRUE(found.has_value());
  EXPECT_TRUE(found->robust);
  for (int row = 0; row < 16; ++row) EXPECT_EQ(found->clean[row], row < 14) << row;
  EXPECT_NEAR(found->misses[14], -2.5, 0.5);
  EXPECT_GT(found->leverages[14], 0.3);
}

// Robust start or not, one gross error among few points is found.
TEST(FindCleanRowsTest, FallsBackToTheClassicalTest) {
  const std::vector<double> x = {0, 1, 2, 3};
  const auto found = FindCleanRows(Line(x), std::vector<double>{1, 2.1, 2.9, 4});
  ASSERT_TRUE(found.has_value());
  EXPECT_FALSE(found->robust);
  EXPECT_FALSE(FindCleanRows(Line({0, 1, 2}), std::vector<double>{1, 2, 3}).has_value());
  // On a line to rounding but for one: no scatter to judge by, and yet plain.
  std::vector<double> ramp;
  std::vector<double> y;
  for (int i = 0; i < 10; ++i) {
    ramp.push_back(i);
    y.push_back(100 + 3.3 * i);
  }
  const auto ramped = FindCleanRows(Line(ramp), y);
  ASSERT_TRUE(ramped.has_value());
  for (int row = 0; row < 10; ++row) EXPECT_TRUE(ramped->clean[row]) << row;
  y[4] += 0.5;
  const auto exact = FindCleanRows(Line(ramp), y);
  ASSERT_TRUE(exact.has_value());
  for (int row = 0; row < 10; ++row) EXPECT_EQ(exact->clean[row], row != 4) << row;
}

// Any quarter of the points, to one side, anywhere.
TEST(FindOutliersTest, FindsAQuarterThatIsGross) {
  testing::Random random("FIND_OUTLIERS_FINDS_A_QUARTER");
  for (int set = 0; set < 20; ++set) {
    Data data = Plane(40, 2, random);
    std::vector<int> spoilt;
    for (int row = set % 3; row < 40; row += 4) {
      data.response[row] += 3;
      spoilt.push_back(row);
    }
    EXPECT_EQ(RowsOf(FindOutliers(data.columns, data.response)), spoilt) << set;
  }
}

TEST(HangingRowsTest, NamesThePointThatAloneSupportsALevel) {
  testing::Random random("HANGING_ROWS_NAMES_THE_POINT_ALONE");
  std::vector<std::vector<double>> columns(1);
  std::vector<double> response;
  for (int i = 0; i < 20; ++i) {
    columns[0].push_back(i < 10 ? 20 : 30);
    response.push_back(50 - columns[0].back() + 0.1 * random.Normal());
  }
  auto screened = ScreenResponse(columns, response);
  ASSERT_TRUE(screened.has_value());
  EXPECT_THAT(HangingRows(columns, *screened), IsEmpty());
  columns[0].push_back(60);
  response.push_back(-10);
  screened = ScreenResponse(columns, response);
  ASSERT_TRUE(screened.has_value());
  EXPECT_THAT(HangingRows(columns, *screened), ElementsAre(20));
}

// Eight days of five points.
std::vector<TestPoint> Days(testing::Random& random) {
  std::vector<TestPoint> points;
  for (int i = 0; i < 40; ++i) {
    TestPoint point = Grid()[0];
    point.id = absl::StrCat("q", i);
    point.block = absl::StrCat("day", i / 5);
    const double wb_c = random.Uniform(14, 22);
    const double water_c = random.Uniform(20, 40);
    Set(point, "entering_air_wb", wb_c);
    Set(point, "entering_water_temp", water_c);
    Set(point, "total_capacity",
        (10000 + 200 * wb_c - 50 * water_c) * (1 + 0.003 * random.Normal()));
    Set(point, "power_input",
        (2000 + 5 * wb_c + 40 * water_c) * (1 + 0.003 * random.Normal()));
    points.push_back(point);
  }
  return points;
}

int Count(const std::vector<Finding>& findings, const std::string& part) {
  int count = 0;
  for (const Finding& finding : findings) {
    count += finding.message.find(part) != std::string::npos ? 1 : 0;
  }
  return count;
}

TEST(OddBlocksTest, ADayThatIsOffIsOneFinding) {
  testing::Random random("A_DAY_THAT_IS_OFF_IS_ONE_FINDING");
  std::vector<TestPoint> points = Days(random);
  std::vector<Finding> findings = Screen(Manifest(), points);
  EXPECT_EQ(Count(findings, "day is off"), 0);
  EXPECT_EQ(Count(findings, "outlier"), 0);
  for (int i = 15; i < 20; ++i) {
    Set(points[i], "total_capacity", 0.95 * *points[i].Find("total_capacity"));
  }
  findings = Screen(Manifest(), points);
  EXPECT_THAT(findings,
              Says(Severity::kWarning, "u/cooling/low",
                   "day is off: total_capacity of the 5 points of block day3 is"));
  EXPECT_EQ(Count(findings, "day is off"), 1);
  EXPECT_EQ(Count(findings, "outlier"), 0);
  // A point that is off beside its day is told apart from it.
  Set(points[17], "total_capacity", 0.9 * *points[17].Find("total_capacity"));
  findings = Screen(Manifest(), points);
  EXPECT_EQ(Count(findings, "day is off"), 1);
  EXPECT_THAT(findings, Says(Severity::kWarning, "q17", "outlier: total_capacity"));
  EXPECT_EQ(Count(findings, "outlier"), 1);
}

TEST(OddBlocksTest, OneOutlierMakesNoDay) {
  testing::Random random("ONE_OUTLIER_MAKES_NO_DAY");
  std::vector<TestPoint> points = Days(random);
  Set(points[17], "power_input", 1.05 * *points[17].Find("power_input"));
  const std::vector<Finding> findings = Screen(Manifest(), points);
  EXPECT_THAT(findings, Says(Severity::kWarning, "q17", "outlier: power_input is"));
  EXPECT_EQ(Count(findings, "outlier"), 1);
  EXPECT_EQ(Count(findings, "day is off"), 0);
}

}  // namespace
}  // namespace ratebound::screen
