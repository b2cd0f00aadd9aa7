// What a stage loses by cycling. X is load over capacity, below 1; C the coefficient.
//   linear loss: efficiency times 1 - C (1 - X): the part-load factor of 10 CFR 430
//     Subpart B App. M1, of ISO 16358-1 (0.25), and of EN 14825 for air units (from
//     memory)
//   off power: efficiency times X / (C X + 1 - C): EN 14825 for water units (from memory)
// Both are 1 at X = 1.
#ifndef RATEBOUND_ENGINE_RATING_SEASON_CYCLING_FACTOR_H_
#define RATEBOUND_ENGINE_RATING_SEASON_CYCLING_FACTOR_H_

#include "engine/rating/season/season_plan.h"

namespace ratebound::rating {

// `load_ratio` is above 0 and at most 1.
inline double CyclingFactor(const DegradationPlan& degradation, double load_ratio) {
  const double c = degradation.coefficient;
  if (degradation.form == document::DegradationForm::kLinearLoss) {
    return 1 - c * (1 - load_ratio);
  }
  return load_ratio / (c * load_ratio + (1 - c));
}

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_SEASON_CYCLING_FACTOR_H_
