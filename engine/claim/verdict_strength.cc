#include "engine/claim/verdict_strength.h"

namespace ratebound::claim {

int VerdictStrength(document::Outcome outcome) {
  switch (outcome) {
    case document::Outcome::kRefuted:
      return 0;
    case document::Outcome::kNotShown:
      return 1;
    case document::Outcome::kObserved:
      return 2;
    case document::Outcome::kProven:
      return 3;
  }
  return 0;
}

bool IsShown(document::Outcome outcome) {
  return VerdictStrength(outcome) >= VerdictStrength(document::Outcome::kObserved);
}

}  // namespace ratebound::claim
