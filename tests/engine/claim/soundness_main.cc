// Random claims against dense samples: see ci/soundness.
//   soundness [CLAIMS] [SAMPLES]
#include <cstdio>
#include <cstdlib>
#include <string>

#include "tests/engine/claim/random_claims.h"

int main(int count, char** arguments) {
  const int claims = count > 1 ? std::atoi(arguments[1]) : 1'000;
  const int samples = count > 2 ? std::atoi(arguments[2]) : 1'000'000;
  if (claims < 1 || samples < 1) {
    std::fprintf(stderr, "usage: soundness [CLAIMS] [SAMPLES], both above 0\n");
    return 2;
  }
  const auto counts = ratebound::claim::CheckRandomClaims(claims, samples, "SOUNDNESS");
  for (const std::string& fault : counts.faults) std::printf("%s\n", fault.c_str());
  std::printf(
      "%d claims, %d samples of each that was proven: %d proven, %d refuted, %d "
      "undecided; %d certificates followed; %d contradictions\n",
      counts.claims, samples, counts.proven, counts.refuted, counts.undecided,
      counts.rechecked, static_cast<int>(counts.faults.size()));
  return counts.faults.empty() ? 0 : 1;
}
