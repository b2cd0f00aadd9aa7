#include "engine/claim/level.h"

#include <cmath>

#include "gtest/gtest.h"

namespace ratebound::claim {
namespace {

TEST(LookLevel, AllLooksTogetherSpendAtMostTheLevel) {
  double spent = 0;
  for (int look = 1; look <= 1000; ++look) spent += LookLevel(0.95, look);
  EXPECT_LT(spent, 0.05 + 1e-15);
  EXPECT_GT(spent, 0.0499);
  EXPECT_NEAR(LookLevel(0.95, 1), 0.025, 1e-16);
}

TEST(ServingLevel, OnlyAChoiceAmongStagesPaysForThem) {
  for (int stages = 1; stages <= 7; ++stages) {
    EXPECT_EQ(ServingLevel(0.025, stages, ServingRule::kSome), 0.025 / stages);
    EXPECT_EQ(ServingLevel(0.025, stages, ServingRule::kEvery), 0.025);
    EXPECT_EQ(ServingLevel(0.025, stages, ServingRule::kFixed), 0.025);
    EXPECT_EQ(RefutingLevel(0.025, stages), 0.025 / stages);
    EXPECT_EQ(JointLevel(0.025, stages), 0.025 / stages);
  }
  EXPECT_EQ(ServingLevel(0.025, 0, ServingRule::kSome), 0.025);
}

// Student's t, upper 2.5 % and 5 % points: handbook tables (from memory, as printed).
TEST(ProvingFactor, IsTheOneSidedStudentQuantile) {
  EXPECT_NEAR(ProvingFactor(0.025, 10), 2.228, 5e-4);
  EXPECT_NEAR(ProvingFactor(0.05, 29), 1.699, 5e-4);
}

TEST(RefutingFactor, BandForOneTermIsTheTwoSidedStudentQuantile) {
  // sqrt(F(1 - level; 1, df)) = t(1 - level / 2; df).
  const auto factor = RefutingFactor(0.05, 1, 10, false);
  ASSERT_TRUE(factor.has_value());
  EXPECT_NEAR(*factor, ProvingFactor(0.025, 10), 1e-9);
}

TEST(RefutingFactor, BlocksWidenTheBandAndTooFewGiveNone) {
  const auto independent = RefutingFactor(0.05, 6, 20, false);
  const auto blocks = RefutingFactor(0.05, 6, 20, true);
  ASSERT_TRUE(independent && blocks);
  EXPECT_GT(*blocks, *independent);
  EXPECT_FALSE(RefutingFactor(0.05, 6, 5, true).has_value());
  // With many blocks the two agree.
  EXPECT_NEAR(*RefutingFactor(0.05, 6, 1e6, true), *RefutingFactor(0.05, 6, 1e6, false),
              1e-4);
}

}  // namespace
}  // namespace ratebound::claim
