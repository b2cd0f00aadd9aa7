// A compiled metric: the bits of the rating, without allocation.
#include "engine/rating/metric.h"

#include <cmath>

#include "engine/rating/function_figure_source.h"
#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/counted_allocations.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"
#include "tests/testing/random.h"

namespace ratebound::rating {
namespace {

using document::BracketCondition;
using document::Procedure;
using ratebound::testing::Random;
using ratebound::testing::StatusIs;
using ::testing::HasSubstr;

// Stages that lose capacity and efficiency with warmer water.
FunctionFigureSource Unit(double lowest_w, int stages) {
  RatedUnit rated = Chiller(std::vector<ChillerStage>(stages, Constant(1, 1)));
  return FunctionFigureSource(
      {.unit = rated.unit, .mode = rated.mode, .quantities = QuantitiesOf(FourPoints())},
      [=](int stage, std::span<const double> conditions, std::span<double> out) {
        const double figures[] = {lowest_w * (stage + 1) * (1.3 - 0.01 * conditions[0]),
                                  lowest_w * (stage + 1) * (1.3 - 0.01 * conditions[0]) /
                                      (9 - 0.1 * conditions[0] - 0.2 * stage)};
        std::copy_n(figures, out.size(), out.begin());
        return true;
      });
}

TEST(Metric, HasTheBitsOfItsRatingAndAllocatesNothing) {
  Random random("HasTheBitsOfItsRatingAndAllocatesNothing");
  for (int i = 0; i < 200; ++i) {
    Procedure procedure = FourPoints();
    if (i % 2 == 1) procedure.part_load->bracket_condition = BracketCondition::kOwnLoad;
    if (i % 3 == 0) procedure.aggregation = document::Aggregation::kWeightedHarmonic;
    const FunctionFigureSource source =
        Unit(random.Uniform(10e3, 40e3), random.Integer(1, 5));
    ASSERT_OK_AND_ASSIGN(const Metric metric,
                         Metric::Compile(procedure, source.description()));
    const int before = AllocationsOfThread();
    const double value = metric.Value(source);
    ASSERT_EQ(AllocationsOfThread(), before);
    ASSERT_OK_AND_ASSIGN(const document::Rating rating, metric.Explain(source));
    ASSERT_EQ(rating.value.has_value(), !std::isnan(value)) << rating.refusal;
    if (rating.value) {
      ASSERT_EQ(*rating.value, value);
    }
  }
}

TEST(Metric, OfAUnitOutsideIsRefusedWhenItIsCompiled) {
  SourceDescription description = Unit(1e4, 2).description();
  description.unit.equipment_class = "residential_split";
  EXPECT_THAT(Metric::Compile(FourPoints(), description),
              StatusIs(absl::StatusCode::kFailedPrecondition, HasSubstr("applies to")));
  Procedure broken = FourPoints();
  broken.rounding_step.value = 0;
  EXPECT_THAT(Metric::Compile(broken, Unit(1e4, 2).description()),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("rounding_step")));
}

TEST(Metric, KnowsWhetherLessIsBetter) {
  Procedure procedure = FourPoints();
  const FunctionFigureSource source = Unit(25e3, 4);
  EXPECT_FALSE(Metric::Compile(procedure, source.description())->less_is_better());
  procedure.aggregation = document::Aggregation::kWeightedHarmonic;
  EXPECT_TRUE(Metric::Compile(procedure, source.description())->less_is_better());
}

TEST(Day, AProcedureIsRefusedWhereItDoesNotHold) {
  Procedure procedure = FourPoints();
  procedure.scope.valid_from = "2023-01-01";
  procedure.scope.valid_until = "2029-01-01";
  const FunctionFigureSource source = Unit(25e3, 4);
  const auto on = [&](std::string day) {
    return RateSource(procedure, source, {.day = day})->refusal;
  };
  EXPECT_EQ(on(""), "");
  EXPECT_EQ(on("2023-01-01"), "");
  EXPECT_EQ(on("2028-12-31"), "");
  EXPECT_THAT(on("2022-12-31"), HasSubstr("holds from 2023-01-01"));
  EXPECT_THAT(on("2029-01-01"), HasSubstr("holds until 2029-01-01"));
  EXPECT_THAT(RateSource(procedure, source, {.day = "2029-02-30"}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("is no day")));
}

}  // namespace
}  // namespace ratebound::rating
