// What a point must hold to be believed, apart from its labels: conditions measured, held
// conditions held, wet bulbs and dew points not above what they cannot exceed.
//
// Inside of ReadAllPoints. Thread-safety: pure.
#ifndef RATEBOUND_ENGINE_POINTS_POINT_CHECKS_H_
#define RATEBOUND_ENGINE_POINTS_POINT_CHECKS_H_

#include <string>
#include <string_view>
#include <vector>

#include "engine/document/line.h"
#include "engine/document/points.h"

namespace ratebound::points {

struct PointFault {
  std::string quantity;  // whose cell is at fault
  std::string message;
  std::string remedy;
};

// How far a reading of humidity may stand above its dry or wet bulb: the expanded
// uncertainties of the two, of their instruments or else as the manifest states them; or
// kHumidityReadingSlackK where it gives none.
double HumiditySlackK(const document::LineManifest& manifest, std::string_view file,
                      std::string_view lower, std::string_view upper, double lower_c,
                      double upper_c);

// Conditions of the mode, fitted and held, in that order.
std::vector<std::string> AllConditions(const document::Mode& mode);

// Faults of held conditions and of humidity readings; missing conditions are not among
// them.
std::vector<PointFault> CheckValues(const document::LineManifest& manifest,
                                    const document::Mode& mode,
                                    const document::TestPoint& point);

}  // namespace ratebound::points

#endif  // RATEBOUND_ENGINE_POINTS_POINT_CHECKS_H_
