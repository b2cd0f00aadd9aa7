#include "tests/engine/claim/random_claims.h"

#include "gtest/gtest.h"

namespace ratebound::claim {
namespace {

// A tenth of the claims of ci/soundness, at a hundredth of its samples.
TEST(RandomClaims, NoSampleContradictsAVerdictAndEveryCertificateIsFollowed) {
  const SoundnessCounts counts = CheckRandomClaims(100, 10'000, "RANDOM_CLAIMS");
  for (const std::string& fault : counts.faults) ADD_FAILURE() << fault;
  EXPECT_GT(counts.proven, 30);
  EXPECT_GT(counts.refuted, 10);
  EXPECT_LT(counts.undecided, 30);
  EXPECT_GE(counts.rechecked, counts.proven);
  for (const int decided : counts.decided_by_kind) EXPECT_GT(decided, 2);
}

}  // namespace
}  // namespace ratebound::claim
