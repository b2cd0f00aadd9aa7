#include "engine/table/tabulate.h"

#include <string>
#include <vector>

#include "engine/document/text.h"
#include "engine/map/fit_line.h"
#include "engine/points/ingest.h"
#include "gmock/gmock.h"
#include "gtest/gtest.h"
#include "tests/testing/matchers.h"
#include "tests/testing/small_line.h"

namespace ratebound::table {
namespace {

using document::Footing;
using ::testing::AllOf;
using ::testing::Each;
using ::testing::Gt;
using ::testing::HasSubstr;
using ::testing::SizeIs;

class TabulateTest : public ::testing::Test {
 protected:
  void SetUp() override {
    ASSERT_OK_AND_ASSIGN(manifest_, document::ParseLineManifest(
                                        "line.textproto", testing::kSmallLineManifest));
    const std::string csv = testing::SmallLinePoints(0.001);
    const points::PointSource sources[] = {{"points/p.csv", csv}};
    ASSERT_OK_AND_ASSIGN(const auto points, points::ReadAllPoints(manifest_, sources));
    ASSERT_OK_AND_ASSIGN(auto maps, map::FitLine(manifest_, points));
    ASSERT_OK_AND_ASSIGN(model_, map::StageModel::Create(std::move(maps.at(0))));
    request_ = manifest_.tables.at(0);
  }

  absl::StatusOr<document::Table> Make() { return Tabulate(request_, *model_); }

  document::LineManifest manifest_;
  std::optional<map::StageModel> model_;
  document::TableRequest request_;
};

TEST_F(TabulateTest, CellsAreTheTruthRowByRowInTheUnitAskedFor) {
  ASSERT_OK_AND_ASSIGN(const document::Table table, Make());
  ASSERT_THAT(table.figures, SizeIs(2));
  const double water_c[] = {15, 25, 35};
  const double wet_bulb_c[] = {14, 18, 22};
  for (int r = 0; r < 3; ++r) {
    for (int c = 0; c < 3; ++c) {
      const double capacity_kw = 50 - 0.3 * (water_c[r] - 25) + (wet_bulb_c[c] - 18);
      EXPECT_NEAR(table.figures[0].values[3 * r + c], capacity_kw, 0.1);
      EXPECT_NEAR(table.figures[1].values[3 * r + c], 10 + 0.2 * (water_c[r] - 25), 0.03);
    }
  }
  EXPECT_THAT(table.figures[0].half_widths, AllOf(SizeIs(9), Each(Gt(0))));
}

TEST_F(TabulateTest, HalfWidthGrowsWithConfidence) {
  ASSERT_OK_AND_ASSIGN(const document::Table usual, Make());
  request_.confidence = 0.99;
  ASSERT_OK_AND_ASSIGN(const document::Table surer, Make());
  EXPECT_GT(surer.figures[0].half_widths[4], usual.figures[0].half_widths[4]);
}

TEST_F(TabulateTest, FootingTellsTestedFromExtrapolated) {
  request_.rows.values_si = {10, 25, 60};
  request_.columns.values_si = {12, 17, 24};
  ASSERT_OK_AND_ASSIGN(const document::Table table, Make());
  const auto& footings = table.figures[0].footings;
  EXPECT_EQ(footings[0], Footing::kTested);
  EXPECT_EQ(footings[4], Footing::kInterpolated);
  EXPECT_EQ(footings[8], Footing::kExtrapolated);
  ASSERT_THAT(table.notes, SizeIs(1));
  EXPECT_THAT(table.notes[0], HasSubstr("3 of 9 cells"));
}

TEST_F(TabulateTest, OneAxisGivesOneColumn) {
  request_.columns = {};
  request_.fixed_conditions = {{"entering_air_wb", 18, "degC", 18}};
  ASSERT_OK_AND_ASSIGN(const document::Table table, Make());
  EXPECT_THAT(table.figures[0].values, SizeIs(3));
}

TEST_F(TabulateTest, AMissingOrUnknownConditionIsNamed) {
  request_.columns = {};
  EXPECT_THAT(Make(), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                        HasSubstr("entering_air_wb")));
  request_.fixed_conditions = {{"entering_air_wb", 18, "degC", 18},
                               {"air_flow", 1, "m3/s", 1}};
  EXPECT_THAT(Make(), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                        HasSubstr("does not depend on air_flow")));
}

TEST_F(TabulateTest, AnUnknownFigureIsAnError) {
  request_.figures.push_back({"moisture_removal", "lb/h", 1});
  EXPECT_THAT(Make(), testing::StatusIs(absl::StatusCode::kInvalidArgument,
                                        HasSubstr("moisture_removal")));
}

}  // namespace
}  // namespace ratebound::table
