// Random claims over polynomial and derived quantities, decided by the prover and held
// against dense samples of their own surfaces in long double.
//
// Kinds: a quantity with its band against a limit; a ratio as a fitted combination; a
// product; the dew point of a humidity ratio, or of dry and wet bulb; some of several
// stages. Half of the regions are cut. Limits lie near the truth on either side.
#ifndef RATEBOUND_TESTS_ENGINE_CLAIM_RANDOM_CLAIMS_H_
#define RATEBOUND_TESTS_ENGINE_CLAIM_RANDOM_CLAIMS_H_

#include <string>
#include <vector>

namespace ratebound::claim {

struct SoundnessCounts {
  int claims = 0;
  int proven = 0;
  int refuted = 0;
  int undecided = 0;
  int rechecked = 0;  // certificates that the recheck follows
  // Claims of each kind that were proven or refuted.
  std::vector<int> decided_by_kind;
  // One sentence for each contradiction: none is the only good answer.
  std::vector<std::string> faults;
};

SoundnessCounts CheckRandomClaims(int claims, int samples, const std::string& seed);

}  // namespace ratebound::claim

#endif  // RATEBOUND_TESTS_ENGINE_CLAIM_RANDOM_CLAIMS_H_
