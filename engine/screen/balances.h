// Points that contradict themselves: energy balances that do not close, sensible above
// total capacity. Inside of Screen. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_BALANCES_H_
#define RATEBOUND_ENGINE_SCREEN_BALANCES_H_

#include <string>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/points.h"

namespace ratebound::screen {

// One sentence for each contradiction.
std::vector<std::string> CheckBalances(const document::LineManifest& manifest,
                                       const document::Mode& mode,
                                       const document::TestPoint& point);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_BALANCES_H_
