// Rounding of published figures: to the nearest multiple of a step, halves away from
// zero, which is common practice for rating figures (no source).
//
// A value within one part in 10^12 of a half counts as the half, so that 13.35, which no
// double holds, rounds to 13.4 at a step of 0.1 as it does on paper.
#ifndef RATEBOUND_ENGINE_RATING_ROUNDING_H_
#define RATEBOUND_ENGINE_RATING_ROUNDING_H_

#include <string>

namespace ratebound::rating {

// "13.2" for (13.175972, 0.1), "14.650" for (14.6501, 0.025). `step` is above 0; the text
// has as many decimals as the step.
std::string RoundedText(double value, double step);

}  // namespace ratebound::rating

#endif  // RATEBOUND_ENGINE_RATING_ROUNDING_H_
