#include "engine/claim/verdict_strength.h"

#include "gtest/gtest.h"

namespace ratebound::claim {
namespace {

using document::Outcome;

TEST(VerdictStrength, RisesFromRefutedOverNotShownAndObservedToProven) {
  EXPECT_LT(VerdictStrength(Outcome::kRefuted), VerdictStrength(Outcome::kNotShown));
  EXPECT_LT(VerdictStrength(Outcome::kNotShown), VerdictStrength(Outcome::kObserved));
  EXPECT_LT(VerdictStrength(Outcome::kObserved), VerdictStrength(Outcome::kProven));
}

}  // namespace
}  // namespace ratebound::claim
