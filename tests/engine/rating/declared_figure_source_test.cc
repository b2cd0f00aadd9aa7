// Declared figures answer at their own conditions and nowhere else.
#include "engine/rating/declared_figure_source.h"

#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using ratebound::testing::StatusIs;
using ::testing::HasSubstr;

SourceDescription Description() {
  const RatedUnit unit = Chiller({Constant(1, 1)});
  return {.unit = unit.unit, .mode = unit.mode, .quantities = {"total_capacity"}};
}

TEST(DeclaredFigures, AnswerWithinTheToleranceAndTheNearestWins) {
  ASSERT_OK_AND_ASSIGN(const DeclaredFigureSource source,
                       DeclaredFigureSource::Create(
                           Description(),
                           {{.id = "a", .conditions_si = {20}, .figures_si = {1e3}},
                            {.id = "b", .conditions_si = {20.8}, .figures_si = {2e3}}},
                           {0.5}));
  double figure = 0;
  const auto at = [&](double water_c) {
    const double conditions[] = {water_c};
    return source.Figures(0, conditions, std::span(&figure, 1)) ? figure : -1;
  };
  EXPECT_EQ(at(20), 1e3);
  EXPECT_EQ(at(20.35), 1e3);
  EXPECT_EQ(at(20.45), 2e3);
  EXPECT_EQ(at(19.5), 1e3);
  EXPECT_EQ(at(19.4), -1);
  EXPECT_EQ(at(21.4), -1);
  EXPECT_EQ(source.Footing(0, std::vector<double>{20.45}).test_points,
            std::vector<std::string>{"b"});
}

TEST(DeclaredFigures, OfOtherSizesAreErrors) {
  EXPECT_THAT(DeclaredFigureSource::Create(Description(), {}, {}),
              StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("one tolerance")));
  EXPECT_THAT(
      DeclaredFigureSource::Create(
          Description(),
          {{.id = "x", .stage = 3, .conditions_si = {20}, .figures_si = {1}}}, {0.1}),
      StatusIs(absl::StatusCode::kInvalidArgument, HasSubstr("point x")));
}

}  // namespace
}  // namespace ratebound::rating
