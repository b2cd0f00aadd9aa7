// The liquid streams of a test point and which way their temperature must go. Inside of
// Screen. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_SCREEN_STREAMS_H_
#define RATEBOUND_ENGINE_SCREEN_STREAMS_H_

#include <string>
#include <vector>

#include "engine/document/line.h"

namespace ratebound::screen {

struct Stream {
  std::string entering;  // quantities
  std::string leaving;
  std::string flow;  // empty where no quantity is known to be its flow
  bool gains_heat = false;
  bool delivers_capacity = false;  // otherwise the far side: source or sink
};

// As the reduction of the mode names them, then those it does not name: water and brine
// on the far side (gain heat in cooling, lose it in heating), chilled water (loses heat),
// condenser water and hot water (gain heat).
std::vector<Stream> StreamsOf(const document::Mode& mode);

}  // namespace ratebound::screen

#endif  // RATEBOUND_ENGINE_SCREEN_STREAMS_H_
