// Values as people wrote them, beside the SI values that the engine computes with.
//
// Plain structs of the documents of proto/ratebound/v1; engine rooms use these and never
// the messages. Where a struct has both `value` with `unit` and `value_si`, reading a
// document fills both, and the engine reads only the second.
#ifndef RATEBOUND_ENGINE_DOCUMENT_MEASURE_H_
#define RATEBOUND_ENGINE_DOCUMENT_MEASURE_H_

#include <string>

namespace ratebound::document {

// How a figure stands to what was measured, from the strongest to the weakest.
enum class Footing { kUnspecified, kTested, kInterpolated, kExtrapolated, kPredicted };

// "tested", "interpolated", "extrapolated", "predicted"; "" for kUnspecified.
std::string FootingName(Footing footing);

// The weaker of two; kUnspecified gives way to anything.
Footing Weaker(Footing a, Footing b);

struct Measure {
  std::string quantity;
  double value = 0;
  std::string unit;
  double value_si = 0;
  friend bool operator==(const Measure&, const Measure&) = default;
};

struct MeasureRange {
  std::string quantity;
  double low = 0;
  double high = 0;
  std::string unit;
  double low_si = 0;
  double high_si = 0;
  friend bool operator==(const MeasureRange&, const MeasureRange&) = default;
};

}  // namespace ratebound::document

#endif  // RATEBOUND_ENGINE_DOCUMENT_MEASURE_H_
