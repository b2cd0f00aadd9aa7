#include "engine/claim/compare.h"

namespace ratebound::claim {
namespace {

int Strength(document::Outcome outcome) {
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

}  // namespace

Change CompareVerdicts(const document::Verdict& before, const document::Verdict& after) {
  const int difference = Strength(after.outcome) - Strength(before.outcome);
  return difference == 0  ? Change::kSame
         : difference > 0 ? Change::kStronger
                          : Change::kWeaker;
}

}  // namespace ratebound::claim
