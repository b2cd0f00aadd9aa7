// The trace shows every intermediate value under what it was used for.
#include <string>

#include "engine/rating/rate.h"
#include "gtest/gtest.h"
#include "tests/engine/rating/invented.h"
#include "tests/testing/matchers.h"

namespace ratebound::rating {
namespace {

using document::Footing;
using document::Rating;
using document::TraceStep;
using ::testing::Contains;
using ::testing::ElementsAre;

ChillerStage WithFooting(double capacity_w, Footing footing, std::string reason) {
  return [=](double) {
    StageFigures figures = Figures(capacity_w, capacity_w / 5, footing);
    figures.footing_reason = reason;
    return figures;
  };
}

TEST(Trace, IsATreeInTheOrderOfThePoints) {
  ASSERT_OK_AND_ASSIGN(
      const Rating rating,
      RateUnit(FourPoints(), Chiller({Constant(40e3, 8e3), Constant(60e3, 12e3),
                                      Constant(100e3, 20e3)})));
  ASSERT_FALSE(rating.trace.empty());
  EXPECT_EQ(rating.trace[0].label, "IPLV");
  EXPECT_EQ(rating.trace[0].value, *rating.value);
  EXPECT_EQ(rating.trace[0].how, "0.1 x A + 0.4 x B + 0.3 x C + 0.2 x D");
  std::vector<std::string> points;
  int depth = 0;
  for (const TraceStep& step : rating.trace) {
    EXPECT_LE(step.depth, depth + 1) << step.label;
    depth = step.depth;
    if (step.depth == 1) points.push_back(step.label + ": " + step.how);
  }
  EXPECT_THAT(points,
              ElementsAre("point A, 100 % load: stage s3 at full load",
                          "point B, 75 % load: interpolated over load between stages "
                          "s2 and s3",
                          "point C, 50 % load: interpolated over load between stages "
                          "s1 and s2",
                          "point D, 25 % load: stage s1 cycling"));
}

TEST(Trace, TheFootingIsTheWeakestAndItsReasonIsNoted) {
  ASSERT_OK_AND_ASSIGN(
      const Rating rating,
      RateUnit(FourPoints(),
               Chiller({WithFooting(25e3, Footing::kInterpolated, ""),
                        WithFooting(50e3, Footing::kExtrapolated, "colder than tested"),
                        WithFooting(75e3, Footing::kTested, ""),
                        WithFooting(100e3, Footing::kTested, "")})));
  EXPECT_EQ(rating.footing, Footing::kExtrapolated);
  EXPECT_THAT(rating.notes, Contains("point C is extrapolated: colder than tested"));
  for (const TraceStep& step : rating.trace) {
    if (step.label == "point B, 75 % load") {
      EXPECT_EQ(step.footing, Footing::kTested);
    }
    if (step.label == "point D, 25 % load") {
      EXPECT_EQ(step.footing, Footing::kInterpolated);
    }
  }
}

}  // namespace
}  // namespace ratebound::rating
