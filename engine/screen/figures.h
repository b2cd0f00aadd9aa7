// What a measured figure may be off by, and figures as people read them. Inside of
// Screen. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_FIGURES_H_
#define RATEBOUND_ENGINE_SCREEN_FIGURES_H_

#include <optional>
#include <string>
#include <string_view>

#include "engine/document/line.h"
#include "engine/document/points.h"

namespace ratebound::screen {

// Expanded, in the SI unit of a difference: that of the value where the reduction gave
// one, else the manifest's systematic uncertainty of the quantity; empty where neither is
// known.
std::optional<double> KnownUncertaintySi(const document::LineManifest& manifest,
                                         const document::SiValue& value);

// "25.31 degC", "9431.7 W"; the SI unit of the quantity. A quantity that nobody knows has
// no unit.
std::string Shown(std::string_view quantity, double value_si);
// "0.31 K", "120 W".
std::string ShownDifference(std::string_view quantity, double difference_si);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_FIGURES_H_
