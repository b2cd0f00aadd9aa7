#include "engine/fit/advice.h"

#include <cmath>
#include <string>
#include <vector>

#include "gmock/gmock.h"
#include "gtest/gtest.h"

namespace ratebound::fit {
namespace {

using ::testing::HasSubstr;

struct Case {
  std::string name;
  Advice advice;
  Concern concern;
  std::string part;  // of the text
};

TEST(AdviceTest, ConcernBeginsWhereItIsSaidTo) {
  using enum Concern;
  // 20 rows, 4 terms: average leverage 0.2; median of F(4, 16) = 0.876.
  const std::vector<Case> cases = {
      {"leverage", AdviseOnLeverage(0.39, 20, 4), kNone, "1.9 times the average"},
      {"leverage", AdviseOnLeverage(0.41, 20, 4), kLook, "Repeat it"},
      {"leverage", AdviseOnLeverage(1, 20, 4), kAct, "whatever it reads"},
      {"residual", AdviseOnStudentisedResidual(-2.9, 20, 4), kNone, "below"},
      {"residual", AdviseOnStudentisedResidual(3.1, 20, 4), kLook, "above"},
      // 20 * 2 * P(t15 < -3.8) = 3.5 %.
      {"residual", AdviseOnStudentisedResidual(3.8, 20, 4), kAct, "a chance of 3.5 %"},
      {"residual", AdviseOnStudentisedResidual(INFINITY, 20, 4), kAct, "less than 0.01"},
      {"residual", AdviseOnStudentisedResidual(1, 5, 4), kNone, "ordinary"},
      {"Cook", AdviseOnCooksDistance(0.19, 20, 4), kNone, "hardly"},
      {"Cook", AdviseOnCooksDistance(0.21, 20, 4), kLook, "sound"},
      {"Cook", AdviseOnCooksDistance(0.87, 20, 4), kLook, "0.87"},
      {"Cook", AdviseOnCooksDistance(0.88, 20, 4), kAct, "50 % confidence"},
      {"DFFITS", AdviseOnDffits(-0.89, 20, 4), kNone, "0.89"},
      {"DFFITS", AdviseOnDffits(-0.90, 20, 4), kLook, "with and without"},
      {"COVRATIO", AdviseOnCovratio(1.59, 20, 4), kNone, "does not depend"},
      {"COVRATIO", AdviseOnCovratio(1.61, 20, 4), kLook, "surer"},
      {"COVRATIO", AdviseOnCovratio(0.39, 20, 4), kLook, "less sure"},
      {"predicted", AdviseOnPredictedRSquared(0.95, 0.99), kNone, "predicts 95.0 %"},
      {"predicted", AdviseOnPredictedRSquared(0.85, 0.99), kLook, "lower degree"},
      {"predicted", AdviseOnPredictedRSquared(0.6, 0.99), kAct, "lower degree"},
      {"predicted", AdviseOnPredictedRSquared(-0.1, 0.1), kAct, "no better"},
      {"inflation", AdviseOnInflation(4.9), kNone, "apart"},
      {"inflation", AdviseOnInflation(9), kLook, "3.0 times"},
      {"inflation", AdviseOnInflation(100), kAct, "10.0 times"},
      {"normality", AdviseOnNormality(0.06, 20, 4), kNone, "look normal, as"},
      {"normality", AdviseOnNormality(0.06, 12, 4), kNone, "so few"},
      {"normality", AdviseOnNormality(0.04, 20, 4), kLook, "4 %"},
      {"normality", AdviseOnNormality(0.00001, 20, 4), kAct, "less than 0.01 %"},
      {"lack of fit", AdviseOnLackOfFit(0.3), kNone, "no more"},
      {"lack of fit", AdviseOnLackOfFit(0.02), kLook, "2 %"},
      {"lack of fit", AdviseOnLackOfFit(0.002), kAct, "0.2 %"},
      {"blocks", AdviseOnBlockRatio(1.1, 12, 6), kNone, "no more together"},
      {"blocks", AdviseOnBlockRatio(1.5, 12, 6), kLook, "1.5 times"},
      {"blocks", AdviseOnBlockRatio(2.5, 12, 6), kAct, "More days"},
      {"robust", AdviseOnRobustnessWeight(0.9), kNone, "agrees"},
      {"robust", AdviseOnRobustnessWeight(0.3), kLook, "30 %"},
      {"robust", AdviseOnRobustnessWeight(0), kAct, "sets it aside"},
  };
  for (const Case& c : cases) {
    EXPECT_EQ(c.advice.concern, c.concern) << c.name << ": " << c.advice.text;
    EXPECT_THAT(c.advice.text, HasSubstr(c.part)) << c.name;
    EXPECT_EQ(c.advice.text.back(), '.') << c.name;
  }
}

}  // namespace
}  // namespace ratebound::fit
