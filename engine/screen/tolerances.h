// Tests that were not steady, or not at their set points. Inside of Screen.
//
// Each tolerance of the mode's steadiness method is held against the readings of a point:
//   greatest_spread              the spread of the readings
//   greatest_standard_deviation  their standard deviation
//   greatest_deviation           of one reading from the set point or mean. Readings
//                                themselves are not kept: what is judged is the least
//                                that it can have been, half the spread, or the distance
//                                of the mean from the set point
//   mean_deviation               distance of the mean from the set point
// The set point is the value of a held condition. A fitted condition has none: the levels
// it was tested at come out of the readings themselves, so that their means are not
// judged. A relative figure is a part of the set point, or of the mean without one.
//
// Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_TOLERANCES_H_
#define RATEBOUND_ENGINE_SCREEN_TOLERANCES_H_

#include <span>
#include <string_view>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/method.h"
#include "engine/document/points.h"
#include "engine/screen/finding_list.h"

namespace ratebound::screen {

// The method that the mode names, where it is among `methods` and of the steadiness kind.
const document::MeasurementMethod* SteadinessMethodOf(
    const document::Mode& mode, std::span<const document::MeasurementMethod> methods);

// One doubt for each quantity that is out of some tolerance.
std::vector<Doubt> CheckTolerances(const document::MeasurementMethod& method,
                                   const document::Mode& mode,
                                   const document::TestPoint& point);

// Quantities that the method holds to a spread, standard deviation or deviation, and that
// a point measured without any figure of its readings; each once, in the method's order.
std::vector<std::string> NotJudged(const document::MeasurementMethod& method,
                                   std::span<const document::TestPoint* const> points);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_TOLERANCES_H_
