#include "engine/rating/rounding.h"

#include "gtest/gtest.h"

namespace ratebound::rating {
namespace {

TEST(RoundedText, GoesToTheNearestStepWithTheDecimalsOfTheStep) {
  struct Case {
    double value;
    double step;
    const char* text;
  };
  for (const Case& c : {Case{13.175972, 0.1, "13.2"}, Case{14.650088, 0.025, "14.650"},
                        Case{12.34, 0.05, "12.35"}, Case{0.4591172, 0.001, "0.459"},
                        Case{36049, 100, "36000"}, Case{36050, 100, "36100"},
                        Case{2.5, 1, "3"}, Case{-2.5, 1, "-3"}, Case{-0.04, 0.1, "0.0"},
                        Case{0, 0.1, "0.0"}, Case{1.5e-7, 1e-7, "0.0000002"}}) {
    EXPECT_EQ(RoundedText(c.value, c.step), c.text) << c.value << " by " << c.step;
  }
}

TEST(RoundedText, AHalfOnPaperIsAHalf) {
  // None of these is a double; half of them lie below their decimal.
  for (int tenths = 0; tenths < 1000; ++tenths) {
    const double value = tenths / 10.0 + 0.05;
    char expected[16];
    std::snprintf(expected, sizeof expected, "%d.%d", (tenths + 1) / 10,
                  (tenths + 1) % 10);
    EXPECT_EQ(RoundedText(value, 0.1), expected) << tenths;
  }
}

}  // namespace
}  // namespace ratebound::rating
